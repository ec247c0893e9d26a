"""The command: template, proposal, classification; codes and sentences."""

from __future__ import annotations

import argparse
import io
import json
import sys
from pathlib import Path

import pytest

from diagnose.claims.command import add_parser
from diagnose.claims.mapping import mapping
from diagnose.claims.mapping.facts import facts
from diagnose.claims.table import source
from diagnose.commands import DONE, MISUSE, PROBLEM, run
from diagnose.knowledge.base import Base
from tests.claims.tables import COMPLETE, write_csv


def claims(*arguments: object) -> int:
    """Run `diagnose claims` with these arguments."""
    parser = argparse.ArgumentParser()
    add_parser(parser.add_subparsers())
    options = parser.parse_args(["claims", *map(str, arguments)])
    return run(options)


def test_a_table_in_a_table_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Decided rows, rows set aside, summary; the sum; code 1 where some were set aside."""
    given = write_csv(tmp_path / "in.csv", [COMPLETE, COMPLETE | {"symptom": "sadness"}])

    assert claims(given) == PROBLEM
    assert "2 rows read = 0 decided + 1 with a question + 1 set aside." in capsys.readouterr().out
    assert sorted(p.name for p in tmp_path.iterdir() if p.is_file()) == [
        "in.classified.csv",
        "in.classified.set_aside.csv",
        "in.classified.summary.csv",
        "in.csv",
    ]


def test_a_year_that_cannot_be_makes_no_week_of_the_summary(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Laid in 2062 is asked about; the weeks of laying count it as not given."""
    given = write_csv(tmp_path / "in.csv", [COMPLETE, COMPLETE | {"laid_on": "2062-01-01"}])

    claims(given)
    said = capsys.readouterr().out

    assert "Weeks of laying" in said
    assert "2061-W52" not in said


def test_the_summary_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Only JSON on the standard output; no bar in a pipe; code 0."""
    given = write_csv(tmp_path / "in.csv", [COMPLETE])

    assert claims(given, "--json", "--output", tmp_path / "out.xlsx") == DONE
    found = capsys.readouterr()
    data = json.loads(found.out)
    assert (data["rows"], data["decided"], data["aside"]) == (1, 1, 0)
    assert "\x1b" not in found.err


class Terminal(io.StringIO):
    """An error output that is a terminal."""

    def isatty(self) -> bool:
        """It is one."""
        return True


def test_a_bar_with_speed_on_a_terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Rows done and rows a second are shown where someone looks on."""
    given = write_csv(tmp_path / "in.csv", [COMPLETE] * 30)
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("TERM", "xterm-256color")

    assert claims(given, "--output", tmp_path / "out.csv") == DONE
    assert "30 rows" in terminal.getvalue()
    assert "left" in terminal.getvalue()


def test_on_a_narrow_terminal_the_numbers_stay_on_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At 40 columns the bar itself gives way."""
    given = write_csv(tmp_path / "in.csv", [COMPLETE] * 30)
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLUMNS", "40")

    assert claims(given, "--output", tmp_path / "out.csv") == DONE
    assert "30 rows" in terminal.getvalue()
    assert "━" not in terminal.getvalue()


def test_an_interrupted_run_says_how_it_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ctrl-C leaves no output, says what to type, and the run goes on from there."""
    from diagnose.claims import run as runs

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    given = write_csv(tmp_path / "in.csv", [COMPLETE])
    with monkeypatch.context() as patch:
        patch.setattr(runs, "write", interrupted)
        assert claims(given) == PROBLEM
    assert "the same command with --resume goes on" in capsys.readouterr().err
    assert [p.name for p in tmp_path.glob("*.csv")] == ["in.csv"]
    assert claims(given, "--resume") == DONE


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "give a table of claims, or --template"),
        (["missing.csv"], "cannot be read"),
        (["in.csv", "--output", "out.doc"], "give a name that ends in"),
        (["in.csv", "--output", "in.csv"], "exists already"),
        (["in.csv", "--policy", "missing.yml"], "cannot be read"),
        (["in.csv", "--policy", "in.csv"], "1 problem:"),
        (["in.csv", "--mapping", "in.csv"], "1 problem:"),
        (["other.csv"], "no column of other.csv is known to tell the symptom"),
        (["--template", "out.ods"], "give a name in .xlsx"),
        (["in.csv", "--rules", "nowhere"], "the rule base in nowhere has 1 problem"),
    ],
)
def test_misuse_gets_a_sentence_and_code_two(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    says: str,
) -> None:
    """What is wrong and what to do, on the error output; nothing is written."""
    monkeypatch.chdir(tmp_path)
    write_csv(tmp_path / "in.csv", [COMPLETE])
    write_csv(tmp_path / "other.csv", [{"a": "1"}])

    assert claims(*arguments) == MISUSE
    assert says in capsys.readouterr().err
    assert sorted(p.name for p in tmp_path.iterdir() if p.is_file()) == ["in.csv", "other.csv"]


def test_the_template_has_every_fact_and_can_be_read_back(base: Base, tmp_path: Path) -> None:
    """A column for each fact, lists for choices, a sheet that explains; no mapping is needed."""
    import fastexcel

    path = tmp_path / "template.xlsx"
    assert claims("--template", path) == DONE
    book = fastexcel.read_excel(str(path))
    names = source.table(path).names

    assert book.sheet_names == ["claims", "what the columns mean", "lists"]
    assert len(names) == len(facts(base))
    assert {c.fact for c in mapping.by_name(base, names).columns} == set(facts(base))
    explained = book.load_sheet("what the columns mean").to_polars()
    assert set(facts(base)) <= set(explained["id in a mapping file"].to_list())
    assert b"dataValidation" in _unzipped(path, "xl/worksheets/sheet1.xml")


def _unzipped(path: Path, name: str) -> bytes:
    import zipfile

    with zipfile.ZipFile(path) as book:
        return book.read(name)


def test_what_is_read_of_a_workbook_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A title over the header, a cover sheet before the claims: both are passed over, and said."""
    from tests.claims.test_source import sheets

    rows = [["symptom", "lot"], ["fading", "L-1"]]
    path = sheets(tmp_path / "book.xlsx", front=[["Read me"]], claims=[["Of spring"], *rows])

    assert claims(path, "--output", tmp_path / "out.csv") == DONE
    said = capsys.readouterr().err
    assert "Read: the sheet 'claims' (there are also 'front'), row 2 as the header." in said
    assert claims(path, "--sheet", "front") == MISUSE
    assert "Row 1 reads 'Read me'." in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("columns:\n  - {column: Nope, fact: symptom}", "the table has no column 'Nope'"),
        ("columns:\n  - {column: a, fact: symptm}", "did you mean symptom?"),
        ("columns:\n  - {column: a, fact: symptom, values: {x: fadign}}", "did you mean fading?"),
        ("columns:\n  - {column: a, fact: symptom, unit: mm}", "symptom is no number"),
        (
            "columns:\n  - {column: a, fact: install_panel_temp_c, unit: bar}",
            "cannot be read in 'bar'",
        ),
        ("columns:\n  - {column: a, fact: laid_on, date: m-d-y}", "'m-d-y' is none of"),
        (
            "columns:\n  - {column: a, fact: laid_on, date: [day/month/year, month/day/year]}",
            "cannot be told apart",
        ),
        ("columns:\n  - {column: a, fact: claimed, decimal: dot}", "'dot' is none of comma, point"),
        ("columns:\n  - {column: a, fact: film, decimal: comma}", "film is no number"),
        (
            "columns:\n  - {column: a, fact: film}\n  - {column: b, fact: film}",
            "told by 'a' already",
        ),
        ("columns:\n  - {column: a, fact: film, colour: 1}", "'colour' is not known here"),
        ("facts: []", "'columns' is missing"),
        ("", "a mapping starts with 'columns:'"),
        ("columns: [3]", "an entry of 'columns' must be keys with values"),
    ],
)
def test_a_fault_in_a_mapping_is_named_with_its_place(base: Base, text: str, says: str) -> None:
    """File, line, column, and what to write instead."""
    read, problems = mapping.read("own.yaml", text, base, ("a", "b"))

    assert read is None
    assert any(says in str(p) for p in problems)
    assert all(str(p).startswith("own.yaml:") for p in problems)
