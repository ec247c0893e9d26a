"""The commands as a person types them."""

from __future__ import annotations

import argparse
import json
import re
from pathlib import Path

import pytest
from PIL import Image

from diagnose.cli import DONE, MISUSE, PROBLEM, main, parser

ROOT = Path(__file__).resolve().parent.parent
CASE = str(sorted((ROOT / "cases").glob("*.yaml"))[0])


def commands(
    top: argparse.ArgumentParser, name: str = "diagnose"
) -> dict[str, argparse.ArgumentParser]:
    """Every command and sub-command with its parser."""
    found = {}
    for action in top._actions:
        if isinstance(action, argparse._SubParsersAction):
            for word, its in action.choices.items():
                found[f"{name} {word}"] = its
                found |= commands(its, f"{name} {word}")
    return found


def test_every_command_shows_an_example() -> None:
    """`--help` of each ends in a line to copy."""
    for name, its in commands(parser()).items():
        assert "example" in its.format_help(), name


def test_the_readme_names_every_command() -> None:
    """Nothing can be done that the README does not tell."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")

    for name in commands(parser()):
        if name.count(" ") == 1:
            assert f"`{name}" in readme, name


def test_the_readme_names_no_command_that_is_not_there() -> None:
    """Nor does it promise more."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`(diagnose [a-z]+)", readme))

    assert named <= set(commands(parser()))


def test_a_case_in_each_format(capsys: pytest.CaptureFixture[str]) -> None:
    """Text, Markdown and JSON tell the same cause."""
    said = {}
    for kind in ("text", "markdown", "json"):
        assert main(["case", CASE, "--format", kind]) == DONE
        said[kind] = capsys.readouterr().out
    cause = json.loads(said["json"])["complaints"][0]["cause"]

    assert cause in " ".join(said["text"].split())
    assert cause.replace("_", "\\_") in said["markdown"]


def test_a_kept_case_is_reported_by_its_id_with_its_photos(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was photographed and marked afterwards stands in the pages of the kept case."""
    records, picture, page = tmp_path / "r.sqlite3", tmp_path / "a.png", tmp_path / "page.html"
    kept = ["--records", str(records)]
    Image.new("RGB", (90, 60), "navy").save(picture)
    assert main(["cases", "import", CASE, *kept]) == DONE
    name = Path(CASE).stem
    assert main(["cases", "photo", name, str(picture), "--mark", "0.5,0.5", *kept]) == DONE
    assert main(["case", name, "--format", "html", "--output", str(page), *kept]) == DONE

    assert "(1 marked place)" in page.read_text(encoding="utf-8")


def test_a_case_that_nobody_kept_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What looks like the id of a case and is none is told so, with where the kept ones are."""
    records = str(tmp_path / "r.sqlite3")
    assert main(["cases", "import", CASE, "--records", records]) == DONE
    capsys.readouterr()

    assert main(["case", "2026-01-01-0009", "--records", records]) == MISUSE

    said = capsys.readouterr().err
    assert "no kept case and no file called '2026-01-01-0009'" in said
    assert "cases list" in said


def test_pages_go_where_the_output_is_led(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    """A page in a pipe is the page, and no file appears beside it; a named file is written."""
    case = str(Path(CASE).resolve())
    monkeypatch.chdir(tmp_path)

    assert main(["case", case, "--format", "html"]) == DONE

    assert capfdbinary.readouterr().out.startswith(b"<!doctype html>")
    assert list(tmp_path.iterdir()) == []
    assert main(["case", case, "--output", "page.html"]) == DONE
    assert capfdbinary.readouterr().out == b""
    assert Path("page.html").read_bytes().startswith(b"<!doctype html>")


def test_a_report_does_not_overwrite(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file that is there stays as it is, and is named."""
    out = tmp_path / "report.md"

    assert main(["case", CASE, "--output", str(out)]) == DONE
    written = out.read_bytes()
    assert main(["case", CASE, "--output", str(out)]) == MISUSE

    assert out.read_bytes() == written
    assert "exists already" in capsys.readouterr().err


BAD = [
    (["case", "nowhere.yaml"], "cannot be read"),
    (["case", "-"], "cannot be diagnosed"),
    (["rules", "check", "--rules", "nowhere"], ""),
    (["case", CASE, "--rules", "nowhere"], "no rule file"),
]


@pytest.mark.parametrize(("arguments", "sentence"), BAD)
def test_bad_input_is_one_sentence(
    arguments: list[str],
    sentence: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Exit code 2 (1 for a check that found something), a sentence, no traceback."""
    import io

    monkeypatch.setattr("sys.stdin", io.StringIO("complaints: 5\n"))

    code = main(arguments)

    assert code in (MISUSE, PROBLEM)
    assert sentence in capsys.readouterr().err


def test_an_unknown_word_is_refused_with_usage(capsys: pytest.CaptureFixture[str]) -> None:
    """Argparse exits with 2 and says what there is."""
    with pytest.raises(SystemExit) as stop:
        main(["diagnoze"])

    assert stop.value.code == MISUSE
    assert "callback" in capsys.readouterr().err


def test_a_measure_from_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    """The dew point margin of the example in the help."""
    inputs = ["air_temp_c=24", "humidity_percent=60", "panel_temp_c=18"]

    assert main(["measure", "dew_point_margin_c", *inputs, "--json"]) == DONE
    assert "2.2" in capsys.readouterr().out


@pytest.mark.parametrize(
    "words",
    [
        ["case", CASE],
        ["case", "2026-01-01-0009"],
        ["rules", "outcomes"],
        ["rules", "show", "pulled_to_edge"],
        ["rules", "atlas"],
        *(["practice", word] for word in ("progress", "trainer", "result", "apprentices")),
        ["practice", "erase", "--apprentice", "Ada", "--yes"],
        ["cases", "list"],
    ],
    ids=" ".join,
)
def test_records_that_are_only_read_have_to_be_there(words: list[str], tmp_path: Path, capsys):
    """A slip in --records is told, makes no file, and nothing is reasoned without them."""
    slip = tmp_path / "recrods.sqlite3"

    assert main([*words, "--records", str(slip)]) == MISUSE

    told = capsys.readouterr()
    assert f"there are no records at {slip}: look at the name" in told.err
    assert told.out == ""
    assert not slip.exists()
