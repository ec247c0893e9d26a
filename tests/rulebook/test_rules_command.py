"""The commands: what they print, where errors go, and with which code they leave."""

from __future__ import annotations

import argparse
import json
import shutil
from pathlib import Path

import pytest

from diagnose.commands import run
from diagnose.rulebook.command import add_parsers
from tests.rulebook.frame import FRAME
from tests.rulebook.test_impact import CASE
from tests.small import SCALES

Captured = pytest.CaptureFixture[str]


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    """The frame as a folder of rules."""
    folder = tmp_path / "rules"
    folder.mkdir()
    (folder / "rules.yaml").write_text(FRAME)
    (folder / "scales.yaml").write_text(SCALES)
    return folder


def _run(*words: str | Path) -> int:
    parser = argparse.ArgumentParser()
    add_parsers(parser.add_subparsers())
    options = parser.parse_args([str(w) for w in words])
    return run(options)


def _with(rules: Path, old: str, new: str) -> None:
    file = rules / "rules.yaml"
    assert old in file.read_text()
    file.write_text(file.read_text().replace(old, new, 1))


def test_a_sound_base_passes_strictly(rules: Path, capsys: Captured) -> None:
    """No problem, a table of what is weak, the counts, code 0."""
    assert _run("check", "--rules", rules, "--strict") == 0

    out = capsys.readouterr().out
    assert "Causes least told apart by a harmless check" in out
    assert "Sound: 2 symptoms, 3 causes" in out
    assert "0 errors, 0 warnings, 0 notes." in out


def test_a_warning_fails_only_strictly(rules: Path, capsys: Captured) -> None:
    """A payer whom no cause names is told at his line; code 0, and strictly 1."""
    _with(rules, "payers:\n", "payers:\n  - {id: aunt, name: A, carries: b, source: memory}\n")

    assert _run("check", "--rules", rules) == 0
    assert "rules.yaml:12:6: warning: never pays" in capsys.readouterr().out
    assert _run("check", "--rules", rules, "--strict") == 1


def test_an_error_always_fails(rules: Path, capsys: Captured) -> None:
    """A remedy that is forbidden for its own cause fails without --strict."""
    _with(
        rules,
        "    remedies: {relay: 60, renew: 90}",
        "    remedies: {relay: 60, renew: 90}\n    never: [{remedy: relay, because: no}]",
    )

    assert _run("check", "--rules", rules) == 1
    assert "[remedy_forbidden]" in capsys.readouterr().out


def test_a_base_that_cannot_be_used_says_why(rules: Path, capsys: Captured) -> None:
    """Problems of loading come first, each with its place; as JSON too."""
    _with(rules, "check: shade, answers: [darker]", "check: shade, answers: [darkr]")

    assert _run("check", "--rules", rules) == 1
    assert "shade has no answer 'darkr' (did you mean darker?)" in capsys.readouterr().out
    assert _run("check", "--rules", rules, "--json") == 1
    (problem,) = json.loads(capsys.readouterr().out)["problems"]
    assert (problem["file"], problem["line"], problem["kind"]) == ("rules.yaml", 4, "confusion")


def test_a_judgement_as_json(rules: Path, capsys: Captured) -> None:
    """Counts, problems and the weakest rows, as many as asked for."""
    assert _run("check", "--rules", rules, "--json", "--weakest", "1") == 0

    found = json.loads(capsys.readouterr().out)
    assert found["counts"]["causes"] == 3
    assert found["problems"] == []
    (pair,) = found["weakest_pairs"]
    assert {pair["first"], pair["second"]} <= {"pulled", "dirty_edge", "gritty"}
    assert pair["decibans"] >= 5


def test_a_kind_of_problem_explains_itself(capsys: Captured) -> None:
    """--explain gives the reason and both examples; all of them in a list; a slip its nearest."""
    assert _run("check", "--explain", "unused_payer") == 0
    assert "Shown by:" in capsys.readouterr().out
    assert _run("check", "--explain", "all") == 0
    assert "warning  unused_payer: Someone who never pays" in capsys.readouterr().out
    assert _run("check", "--explain", "unused_player") == 2
    assert "did you mean unused_payer?" in capsys.readouterr().err


def test_an_entry_is_shown(rules: Path, capsys: Captured) -> None:
    """As text and as JSON; without an id, the list of all."""
    assert _run("show", "pulled", "--rules", rules) == 0
    assert "cause pulled, rules.yaml:" in capsys.readouterr().out
    assert _run("show", "pulled", "--rules", rules, "--json") == 0
    assert json.loads(capsys.readouterr().out)["kind"] == "cause"
    assert _run("show", "--rules", rules) == 0
    assert "cause    pulled: Pulled to the edge" in capsys.readouterr().out
    assert _run("show", "puled", "--rules", rules) == 2
    assert "did you mean pulled?" in capsys.readouterr().err


def _case(folder: Path) -> Path:
    """A folder with one worked case."""
    cases = folder / "cases"
    cases.mkdir()
    (cases / "first.yml").write_text(CASE.replace("CASE", "first"))
    return cases


def test_an_entry_is_found_by_any_word(rules: Path, capsys: Captured) -> None:
    """Words that one entry holds show its page; where several do they are listed, named ones first.

    A page holds all that stands in the file: what a remedy mends, which remedies mend a symptom.
    """
    _with(rules, "{id: renew, name: New piece", "{id: renew, mends: [Raised], name: New piece")

    assert _run("show", "sweep", "the", "BAY", "--rules", rules) == 0
    assert "cause gritty, rules.yaml:" in capsys.readouterr().out
    assert _run("show", "edge", "--rules", rules, "--json") == 0
    assert [e["id"] for e in json.loads(capsys.readouterr().out)][:2] == ["pulled", "dirty_edge"]
    assert _run("show", "renew", "--rules", rules) == 0
    assert "- mends: Raised" in capsys.readouterr().out
    assert _run("show", "lifting", "--rules", rules) == 0
    shown = capsys.readouterr().out
    assert "- remedies that mend it: Re-lay [relay]\n" in shown
    assert "- group: Edges" in shown


def test_a_folder_of_cases_that_is_empty_or_not_there_is_said(
    rules: Path, tmp_path: Path, capsys: Captured
) -> None:
    """Nothing was compared then, which must not look as if nothing had moved."""
    (tmp_path / "empty").mkdir()

    assert _run("impact", rules, rules, "--cases", tmp_path / "nowhere") == 2
    assert "there is no folder" in capsys.readouterr().err
    assert _run("impact", rules, rules, "--cases", tmp_path / "empty") == 2
    assert "holds no case file (*.yaml, *.yml)" in capsys.readouterr().err
    assert _run("atlas", "--rules", rules, "--cases", tmp_path / "empty") == 2
    assert "holds no case file" in capsys.readouterr().err


def test_the_shipped_rules_are_compared_by_their_word(
    rules: Path, tmp_path: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever adds to them need not know where they lie; a folder of that name goes before."""
    monkeypatch.setattr("diagnose.rulebook.change.command.shipped", lambda name: rules)

    assert _run("impact", "shipped", rules, "--cases", _case(tmp_path)) == 0
    assert "0 of 1 complaints moved" in capsys.readouterr().out


def test_a_book_is_written_once(rules: Path, tmp_path: Path, capsys: Captured) -> None:
    """Into a new file, or to the standard output; never over something that exists."""
    file = tmp_path / "book.html"
    cases = _case(tmp_path)

    assert _run("atlas", "--rules", rules, "--cases", cases, "--output", file) == 0
    written = file.read_text(encoding="utf-8")
    assert written.startswith("<!DOCTYPE html>")
    assert _run("atlas", "--rules", rules, "--cases", cases, "--output", file) == 2
    assert "exists already" in capsys.readouterr().err
    assert _run("atlas", "--rules", rules, "--cases", cases) == 0
    assert capsys.readouterr().out == written


def test_an_impact_is_told(rules: Path, tmp_path: Path, capsys: Captured) -> None:
    """Two folders compared; what is neither a folder nor a revision is said so."""
    cases = _case(tmp_path)

    assert _run("impact", rules, rules, "--cases", cases) == 0
    assert "Suggested: none." in capsys.readouterr().out
    assert _run("impact", rules, rules, "--cases", cases, "--json") == 0
    assert json.loads(capsys.readouterr().out)["moved"] == []
    assert _run("impact", tmp_path / "nowhere", rules, "--cases", cases) == 2
    assert "neither a folder nor a git revision" in capsys.readouterr().err
    assert _run("impact", rules, tmp_path / "nowhere", "--cases", cases) == 2
    assert "there is no rule file" in capsys.readouterr().err
    assert _run("impact", rules, rules, "--band", "400") == 2


def test_an_impact_is_shown_again_after_each_save(
    rules: Path, tmp_path: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Watching, a save that breaks the rules is said so and the next good one is told again."""
    mine = tmp_path / "mine"
    shutil.copytree(rules, mine)
    good = (mine / "rules.yaml").read_text()
    saves = [good + "\nnonsense: [", good.replace("lifting: common", "lifting: rare", 1)]

    def save(seconds: float) -> None:
        if not saves:
            raise KeyboardInterrupt
        (mine / "rules.yaml").write_text(saves.pop(0))

    monkeypatch.setattr("diagnose.rulebook.change.watch.sleep", save)

    assert _run("impact", rules, mine, "--cases", rules, "--cases", mine, "--watch") == 0

    out = capsys.readouterr().out
    assert out.count("Suggested: none.") == 1
    assert "has 1 problem:" in out
    assert "changed in behind" in out
