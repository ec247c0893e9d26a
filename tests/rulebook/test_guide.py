"""The guide for people who have never seen such a file: it works as it is written."""

from __future__ import annotations

import re
import shlex
import shutil
from functools import cache
from pathlib import Path

import pytest

from diagnose.cli import main
from diagnose.knowledge import marked
from diagnose.knowledge.reading.load import load, read
from diagnose.practice.items.trial import full, play
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.casefile import read_case

ROOT = Path(__file__).resolve().parents[2]
GUIDE = (ROOT / "rules" / "README.md").read_text(encoding="utf-8")

SAVED = dict(re.findall(r"Save it as `([^`]+)`:\n\n```yaml\n(.*?)```", GUIDE, re.DOTALL))
COMMANDS = [
    c for part in re.findall(r"```sh\n(.*?)```", GUIDE, re.DOTALL) for c in part.split("\n")
]
SLIPS = re.findall(r"^\| `([a-z_0-9]+: [^`]+)` \| `([^`]+)` \|$", GUIDE, re.MULTILINE)

CAUSE, CASE = "my_rules/causes/our_own.yaml", "my_cases/rectangle_on_both_doors.yaml"
ADDITIONS = "our_rules/additions.yaml"


parsed = cache(marked.read)
"""Files of the shipped rules are parsed once; each test changes one more."""


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the rules in it, as the reader has it before the first step."""
    monkeypatch.setattr(marked, "read", parsed)
    shutil.copytree(ROOT / "rules", tmp_path / "rules")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def _save(desk: Path) -> None:
    for name, text in SAVED.items():
        file = desk / name
        file.parent.mkdir(exist_ok=True)
        file.write_text(text, encoding="utf-8")


def _do(command: str) -> int:
    """Carry out a line of the guide; an impact only over the guide's own case, to be quick."""
    match shlex.split(command):
        case ["cp", "-r", old, new]:
            shutil.copytree(old, new)
            return 0
        case ["cp", old, new]:
            shutil.copy(old, new)
            return 0
        case ["diagnose", *words]:
            more = ["--cases", "my_cases"] if "impact" in words else []
            return main([*words, *more])
    raise AssertionError(f"not a command that the guide may ask for: {command}")


def test_the_guide_has_what_it_promises() -> None:
    """One cause with two marks, one case, additions, and commands for each step."""
    assert list(SAVED) == [CAUSE, CASE, ADDITIONS]
    assert SAVED[CAUSE].count("- check:") == 2
    assert len(SLIPS) >= 5
    for part in ("show", "check", "case", "impact"):
        assert any(part in c.split() for c in COMMANDS)


def test_followed_step_by_step_it_works(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every command of the guide succeeds, and the report names the new cause with its reasons."""
    said = []
    for command in filter(None, COMMANDS):
        if command.startswith("cp -r"):
            assert _do(command) == 0
            _save(desk)
            continue
        assert _do(command) == 0, command
        said.append(f"{command}: {capsys.readouterr().out}")
    shown = " ".join(" ".join(said).split())

    assert "Sound: " in shown
    assert "0 errors, 0 warnings," in shown
    assert "Magnetic sign left on the film" in shown
    assert "The mark has straight sides and corners, as a sign has." in shown
    assert "minor: cause magnetic_sign is new" in shown
    of_additions = [its for its in said if re.match("diagnose .*our_rules", its)]
    assert "0 errors, 0 warnings," in of_additions[0]
    assert "changed in additions.yaml" in " ".join(of_additions[1].split())
    assert "Ask body shops to take masking tape off the same day" in of_additions[1]
    assert "major: cause dirty_storage_cover is gone" in of_additions[2]
    assert "minor: cause magnetic_sign is new" in of_additions[2]
    assert (desk / "our_rules" / "schema.json").exists()


def test_the_case_of_the_guide_is_diagnosed_right(desk: Path) -> None:
    """With the cause of the guide its case comes out right, asked and all told."""
    _do("cp -r rules my_rules")
    _save(desk)
    base = load(desk / "my_rules")
    case_file, problems = read_case("guide.yaml", (desk / CASE).read_text(), base)

    assert problems == []
    assert case_file is not None
    reasoner = Reasoner(base)
    for trial in (*play(reasoner, case_file.case), *full(reasoner, case_file.case)):
        assert (trial.leading, trial.place) == ("magnetic_sign", 1)


def test_the_second_entry_keeps_the_masking_tape_what_it_is(desk: Path) -> None:
    """As the guide says: with it the tape's case, all told, comes out surer than without it."""
    _do("cp -r rules my_rules")
    _save(desk)
    first, second, rest = SAVED[CAUSE].partition("      - check: events_since")
    without = first + rest[rest.index("    remedies:") :]
    leading = []
    for text in (first + second + rest, without):
        (desk / CAUSE).write_text(text)
        base = load(desk / "my_rules")
        name = "tape_outline_tailgate.yaml"
        case_file, _ = read_case(name, (ROOT / "cases" / name).read_text(), base)
        assert case_file is not None
        leading += full(Reasoner(base), case_file.case)

    with_it, without_it = leading
    assert with_it.leading == "later_bodywork"
    assert with_it.probability > without_it.probability


@pytest.mark.parametrize(("slip", "says"), SLIPS)
def test_a_slip_is_answered_as_the_guide_says(desk: Path, slip: str, says: str) -> None:
    """Each line of the table, put in place of the right one, gives the words beside it."""
    _do("cp -r rules my_rules")
    _save(desk)
    key = slip.split(":")[0]
    text, changed = re.subn(rf"\b{key}: (?:\{{.*\}}|[a-z0-9_-]+)", slip, SAVED[CAUSE], count=1)
    (desk / CAUSE).write_text(text)

    assert changed == 1
    assert any(says in p.sentence for p in read(desk / "my_rules").problems)


def test_a_tab_is_found(desk: Path) -> None:
    """The key that the guide warns of is named with its line."""
    _do("cp -r rules my_rules")
    _save(desk)
    (desk / CAUSE).write_text(SAVED[CAUSE].replace("    origin", "\torigin"))

    (problem,) = read(desk / "my_rules").problems
    assert problem.spot.file == "causes/our_own.yaml"
    assert "not readable as YAML" in problem.sentence


def test_the_guide_names_every_folder_and_file() -> None:
    """The table at the end leaves out nothing that lies beside it."""
    there = {p.name + ("/" if p.is_dir() else "") for p in (ROOT / "rules").iterdir()}
    named = set(re.findall(r"`([a-z_]+(?:/|\.(?:yaml|json)))`", GUIDE))

    assert there - {"README.md"} <= named
