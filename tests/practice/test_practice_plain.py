"""The practice over a pipe: everything can be done line by line, and nothing is lost on the way."""

from __future__ import annotations

import argparse
import json
import re
import sys
from io import StringIO
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.commands import run
from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.command import base_of
from diagnose.practice.command import add_parser, all_cases, read_cases
from diagnose.practice.items.bank import Bank
from diagnose.practice.progress.apprentice import ApprenticeDesk
from diagnose.practice.progress.apprentice_records import Book, names
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Session, offered
from diagnose.practice.wording import with_word
from diagnose.records.case.case_text import GRADES
from diagnose.records.case.journal import EventKind
from diagnose.records.store.store import Store
from diagnose.terminal.callback.plain import Leave
from diagnose.terminal.practice import run as practice_run
from diagnose.terminal.practice.plain import PlainPractice
from tests.examples import examples

from .players import START

DOOR = "door_return_after_wash.1"
RIGHT = "edges_and_gaps_not_cleaned"


@pytest.fixture
def desk(bank: Bank, judge: Judge, store: Store) -> ApprenticeDesk:
    """A desk on which the door that lifts has been begun."""
    made = ApprenticeDesk(judge, bank, Book(store, "Ada"), lambda: START, Random(1))
    made.start(Session(bank.items[DOOR]))
    return made


def talk(desk: ApprenticeDesk, action: str | None, *lines: str) -> str:
    """What is said when these lines are entered; the end of the input leaves."""
    out = StringIO()
    face = PlainPractice(desk, StringIO("".join(f"{line}\n" for line in lines)), out)
    try:
        face.run(action)
    except Leave:
        print("(left)", file=out)
    return out.getvalue()


def test_case_opens_as_it_came_in(desk: ApprenticeDesk) -> None:
    """Complaint, place, remark, circumstances and the drawing in words; no title, no lesson."""
    said = talk(desk, "case", "q")
    item = desk.bank.items[DOOR]
    assert "Complaint: Edge lifting, front door, left." in said
    assert item.facts["remark"] in said
    assert "Finish of the film: gloss" in said
    assert "[Drawing: " in said
    assert item.title not in said
    assert item.lesson not in said


def test_checks_are_found_by_number_name_and_word(desk: ApprenticeDesk, base: Base) -> None:
    """A check is done by its whole name, by a word that only it has, or by its number."""
    name = base.checks["adhesive_side"].name
    said = talk(desk, "case", name, name, "relief cut", "zzz", "k", "q")
    assert f"{name}: dust, sand" in said or f"{name}: " in said
    assert "that is known already" in said
    assert f"{base.checks['relief_cut'].name}: " in said
    assert "This destroys film or paint at that place." in said
    assert "Caution at a real car" in said
    assert "No check is called 'zzz'" in said
    assert "working minutes so far; harm done by:" in said


def test_a_word_of_many_checks_lists_them(desk: ApprenticeDesk) -> None:
    """Where a word fits several checks, they are listed with their numbers."""
    said = talk(desk, "case", "film", "q")
    listed = re.findall(r"^ +(\d+)\. ", said, re.MULTILINE)
    assert "Several checks fit" in said
    assert len(listed) > 1


def test_checks_are_listed_by_where_they_are_done(desk: ApprenticeDesk) -> None:
    """The list has a head for each place, once, and its numbers are those that do a check."""
    said = talk(desk, "case", "l", "2", "q")
    heads = re.findall(r"^  (At the car|In the bay|Papers and people|Laboratory)$", said, re.M)
    assert heads == ["At the car", "In the bay", "Papers and people", "Laboratory"][: len(heads)]
    assert len(heads) > 2
    (second,) = re.findall(r"^ +2\. (.+?) \(", said, re.M)
    assert f"\n{second}: " in said


def test_a_check_is_found_by_what_it_asks(desk: ApprenticeDesk, base: Base) -> None:
    """A word that stands in no name finds the checks whose question has it."""
    listed = offered(desk.judge, Session(desk.bank.items[DOOR]))
    names = " ".join(base.checks[c].name.casefold() for c in listed)
    asked = [w for c in listed for w in re.findall(r"[a-z]{6,}", base.checks[c].ask.casefold())]
    word = next(w for w in asked if w not in names)
    said = talk(desk, "case", word, "q")
    found = with_word(base, listed, word)
    assert found
    assert all(base.checks[c].name in said for c in found)
    assert "No check is called" not in said


def test_a_caution_is_told_once_and_named_after(desk: ApprenticeDesk, base: Base) -> None:
    """Two checks that bid the same care: it is told once, then named; h tells all of it."""
    once, again = "relay_after_clean", "relief_cut"
    shared = set(base.checks[once].cautions) & set(base.checks[again].cautions)
    assert shared
    said = talk(desk, "case", base.checks[once].name, base.checks[again].name, "q")
    for caution in (base.cautions[c] for c in shared):
        assert said.count(f"Caution at a real car, {caution.name.lower()}:") == 1
        assert said.count(caution.say.partition(". ")[0]) == 1
        assert said.count(caution.name.lower()) >= 3
    told = talk(desk, "case", "h", base.checks[again].name, "q")
    assert all(base.cautions[c].say in told for c in base.checks[again].cautions)


def number_of(desk: ApprenticeDesk, cause: str) -> int:
    """The number that a cause has in the list of this case."""
    return 1 + list(desk.judge.causes("edge_lifting")).index(cause)


def test_whole_case_by_lines(desk: ApprenticeDesk, base: Base) -> None:
    """Look, believe, commit: then verdict, score, both paths, the missed sign, the lesson."""
    number = number_of(desk, RIGHT)
    said = talk(
        desk,
        "case",
        "adhesive side",
        base.checks["adhesive_side"].name,
        "b",
        "nonsense",
        f"{number} 60",
        "c",
        base.causes[RIGHT].name,
        base.remedies["clean_and_relay_edge"].name,
        "installer",
    )
    assert "names no cause here" in said
    assert f"{base.causes[RIGHT].name} 60%" in said
    assert f"Right: you named {base.causes[RIGHT].name}" in said
    for part in ("Score", "Your path", "The path by what tells most", "The sign you missed"):
        assert part in said
    assert desk.bank.items[DOOR].lesson in said
    (attempt,) = desk.progress.attempts
    assert (attempt.item, attempt.hit, attempt.remedy) == (DOOR, True, "clean_and_relay_edge")
    assert attempt.sure == pytest.approx(0.6)


@pytest.mark.parametrize("by_enter", [False, True])
def test_a_cause_is_committed_to_by_the_number_it_was_believed_by(
    desk: ApprenticeDesk, base: Base, by_enter: bool
) -> None:
    """What is believed does not move to the top: the same number is the same cause; Enter too."""
    number = number_of(desk, RIGHT)
    assert number > 1
    said = talk(desk, "case", "b", str(number), "c", "" if by_enter else str(number), "1", "1")

    assert f"You believe: {base.causes[RIGHT].name} 100%." in said
    assert f"Right: you named {base.causes[RIGHT].name}" in said


def test_a_part_of_a_name_that_no_other_has_is_enough(desk: ApprenticeDesk, base: Base) -> None:
    """As with checks; where two causes have it, none is taken."""
    name = base.causes[RIGHT].name
    others = [c.name.casefold() for c in base.behind("edge_lifting") if c.id != RIGHT]
    part = next(
        w for w in re.findall(r"[a-z]{4,}", name.casefold()) if not any(w in n for n in others)
    )
    twice = next(
        w for n in others for w in n.split() if len(w) > 3 and sum(w in o for o in others) > 1
    )
    said = talk(desk, "case", "b", f"{twice} 40", f"{part} 60", "c", part, "1", "1")

    assert f"'{twice} 40' names no cause here" in said
    assert f"  {name} 60%" in said
    assert f"Right: you named {name}" in said


def test_leaving_in_the_middle_loses_nothing(desk: ApprenticeDesk, bank: Bank, base: Base) -> None:
    """Where the pipe ends, what was done is there at the next start."""
    name = base.checks["adhesive_side"].name
    assert talk(desk, "case", name).endswith("(left)\n")
    again = ApprenticeDesk(
        desk.judge, bank, Book(desk.book._store, "Ada"), lambda: START, Random(8)
    )
    said = talk(again, "case", "q")
    assert f"{name}: " in said


def test_commit_asks_again_for_what_does_not_exist(desk: ApprenticeDesk) -> None:
    """A cause, remedy or payer that is not there is asked for again."""
    number = number_of(desk, RIGHT)
    said = talk(desk, "case", "c", str(number), "the moon", "1", "the moon", "1", "the moon", "1")
    assert said.count("'the moon'") == 3
    assert len(desk.progress.attempts) == 1


def test_commit_without_a_belief_goes_back(desk: ApprenticeDesk) -> None:
    """Who leaves the belief empty is back at the case."""
    talk(desk, "case", "c", "", "q")
    assert desk.progress.attempts == ()


@pytest.mark.parametrize("kind", ["signs", "apart", "drawing", "first", "remedy"])
def test_drills_by_lines(desk: ApprenticeDesk, kind: str) -> None:
    """A drill lists its options and tells what was right and why."""
    said = talk(desk, kind, "99", "1")
    assert "is none of these" in said
    assert ("% right." in said) == (kind in ("signs", "first", "remedy"))
    assert re.search(r"^  (Right|Missed|It is|Not so): .+\. .+$", said, re.MULTILINE)
    assert [a.kind for a in desk.progress.attempts] == [kind]


def test_drawing_drill_does_not_name_the_symptom(desk: ApprenticeDesk, base: Base) -> None:
    """The sentence in place of the drawing says how it looks, not what it is called."""
    said = talk(desk, "drawing", "q")
    (shown,) = [line for line in said.splitlines() if line.startswith("[Drawing")]
    options = re.findall(r"^ +\d+\. (.+)$", said, re.MULTILINE)
    assert options
    assert not [name for name in options if f"[Drawing: {name}" in shown]


def test_what_was_chosen_is_drawn_too(desk: ApprenticeDesk) -> None:
    """A wrong choice is told how it would look, so that the two can be held side by side."""
    told = [talk(desk, "drawing", str(number)) for number in range(1, 7)]
    wrong = [said for said in told if "Not so: " in said]
    assert len(wrong) >= 4
    assert all("[What you chose would be drawn so: " in said for said in wrong)
    assert all("What you chose" not in said for said in told if said not in wrong)


def test_menu_leads_to_everything(desk: ApprenticeDesk) -> None:
    """Without an action there is a choice of all, again and again until the person leaves."""
    said = talk(desk, None, "9", "nothing", "3", "1", "q")
    assert "Nothing practised yet." in said
    assert "'nothing' is none of these." in said
    assert "right." in said
    assert said.count("Practice. What next?") == 4


def test_exam_by_lines(desk: ApprenticeDesk) -> None:
    """Ten cases without feedback between, then the result."""
    lines = ["c", "1", "1", "1", "1"] * 10
    said = talk(desk, "exam", *lines)
    assert "Exam: case 10 of 10." in said
    assert "causes right" in said
    assert "The sign you missed" not in said
    assert len(desk.progress.cases) == 10
    assert desk.exam_begun() is None


def test_what_a_person_typed_never_reaches_the_terminal_raw(desk: ApprenticeDesk) -> None:
    """Control characters in what is typed are taken out before they are said again."""
    said = talk(desk, "case", "\x1b[2J\x07film\x9b31m?", "q")
    assert "\x1b" not in said
    assert "\x07" not in said
    assert "\x9b" not in said


SAID = ("l", "k", "d", "b", "c", "h", "1", "2", "1 50", "3 70, 5 20", "film", "", "99", "\x1b[2J")


@settings(max_examples=examples(25))
@given(lines=st.lists(st.sampled_from(SAID), max_size=25))
def test_whatever_is_typed_is_understood_or_told(
    judge: Judge, bank: Bank, lines: list[str]
) -> None:
    """No words end the practice with an error, and what was begun can be gone on with."""
    with TemporaryDirectory() as folder, Store.open(Path(folder) / "r.sqlite3") as store:
        desk = ApprenticeDesk(judge, bank, Book(store, "Ada"), lambda: START, Random(1))
        assert "\x1b" not in talk(desk, "exam", *lines)
        again = ApprenticeDesk(judge, bank, Book(store, "Ada"), lambda: START, Random(2))
        assert again.progress.attempts == desk.progress.attempts
        under_way = again.exam_begun()
        assert under_way is not None
        assert again.exam_case(under_way) == desk.exam_case(under_way)


def test_grades_of_the_command_are_those_of_cases() -> None:
    """What can be asked for is what a case can be."""
    parser = add_parser(argparse.ArgumentParser().add_subparsers(), practice_run.run)
    (grade,) = [a for a in parser._actions if a.dest == "grade"]
    assert tuple(grade.choices or ()) == GRADES


# The command


@pytest.fixture
def command(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    judge: Judge,
) -> Command:
    """The command; the shipped rules are read once for the whole run."""

    def opened(folder: Path | None) -> Base:
        return base_of(folder) if folder else judge.base

    monkeypatch.setattr(practice_run, "base_of", opened)
    monkeypatch.setattr(practice_run, "Reasoner", lambda base: judge.reasoner)
    return Command(tmp_path / "r.sqlite3", capsys, monkeypatch)


class Command:
    """The command as a shell would call it."""

    def __init__(
        self,
        records: Path,
        capsys: pytest.CaptureFixture[str],
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        self.records = records
        self._capsys = capsys
        self._monkeypatch = monkeypatch

    def __call__(self, *arguments: str, typed: str = "") -> tuple[int, str, str]:
        """The exit code, what was printed and what was said as an error."""
        parser = argparse.ArgumentParser()
        add_parser(parser.add_subparsers(), practice_run.run)
        options = parser.parse_args(["practice", *arguments, "--records", str(self.records)])
        self._monkeypatch.setattr(sys, "stdin", StringIO(typed))
        code = run(options)
        out, err = self._capsys.readouterr()
        return code, out, err


def test_command_from_first_case_to_erasing(command: Command, tmp_path: Path) -> None:
    """Practise, look at the progress, export, erase."""
    code, out, _ = command("case", "--seed", "1", "--apprentice", "Ada", typed="c\n1\n1\n1\n1\n")
    assert code == 0
    assert "Score" in out
    code, out, _ = command("progress", "--apprentice", "Ada")
    assert "1 case and 0 drills practised." in out
    code, out, _ = command("progress", "--apprentice", "Ada", "--json")
    assert len(json.loads(out)["attempts"]) == 1
    assert command("apprentices")[1] == "Ada: 1\n"
    file = tmp_path / "ada.json"
    assert command("export", "--apprentice", "Ada", "--output", str(file))[0] == 0
    assert json.loads(file.read_text())["apprentice"] == "Ada"
    code, _, err = command("export", "--apprentice", "Ada", "--output", str(file))
    assert (code, "exists already" in err) == (2, True)
    code, _, err = command("erase", "--apprentice", "Ada")
    assert (code, "say --yes too" in err) == (2, True)
    assert command("erase", "--apprentice", "Ada", "--yes")[1] == "Ada is forgotten.\n"
    assert command("apprentices")[1] == "Nobody has practised yet.\n"
    code, _, err = command("erase", "--apprentice", "Ada", "--yes")
    assert (code, "nobody of the name Ada" in err) == (2, True)


def test_command_writes_the_result_of_an_exam(command: Command, tmp_path: Path) -> None:
    """The result of the last exam goes to a file as a page or as text."""
    code, _, err = command("result")
    assert (code, "there are no records at" in err) == (2, True)
    Store.open(command.records).close()
    code, _, err = command("result")
    assert (code, "has not finished an exam yet" in err) == (2, True)
    first = tmp_path / "first.txt"
    typed = "c\n1\n1\n1\n1\n" * 10
    code, out, _ = command("exam", "--seed", "2", "--output", str(first), typed=typed)
    assert code == 0
    assert first.read_text() in out
    page = tmp_path / "result.html"
    assert command("result", "--output", str(page))[0] == 0
    assert page.read_text().startswith("<!DOCTYPE html>")
    assert command("result")[1] in out


def test_leaving_is_told(command: Command) -> None:
    """Where the input ends within a case, the exit code and a sentence tell that it is kept."""
    code, _, err = command("case", "--seed", "1", typed="k\n")
    assert code == 1
    assert "What was begun is kept" in err


def test_seed_draws_the_same_case(command: Command, tmp_path: Path) -> None:
    """A seed gives everyone the same first case."""
    openings = []
    for name in ("Ada", "Ben"):
        _, out, _ = command("case", "--seed", "5", "--apprentice", name, typed="q\n")
        openings.append(out)
    assert openings[0] == openings[1]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--apprentice", " "), "an apprentice's name"),
        (("--rules", "nowhere"), "nowhere"),
        (("--cases", "nowhere"), "there is no folder nowhere"),
    ],
)
def test_bad_use_is_told(command: Command, arguments: tuple[str, str], told: str) -> None:
    """A name or a folder that cannot be is told in a sentence, with exit code 2."""
    code, _, err = command("case", *arguments)
    assert code == 2
    assert told in err


def test_broken_case_files_are_told_and_passed_over(
    tmp_path: Path, base: Base, command: Command
) -> None:
    """A case file that is not sound is named; the others are practised."""
    good = (Path(__file__).parents[2] / "cases" / "door_return_after_wash.yaml").read_text()
    (tmp_path / "good.yaml").write_text(good)
    (tmp_path / "bad.yaml").write_text("case: bad\ncomplaints: [{symptom: edge_liftin}]\n")
    (tmp_path / "worse.yaml").write_bytes(b"\xff\xfe\x00")
    cases, problems = read_cases(tmp_path, base)
    assert [case.id for case in cases] == ["door_return_after_wash"]
    assert any(p.startswith("bad.yaml:") for p in problems)
    assert any(p.startswith("worse.yaml cannot be read") for p in problems)
    _, out, err = command("case", "--cases", str(tmp_path), typed="q\n")
    assert "bad.yaml" in err
    assert "Edge lifting" in out


def test_closed_cases_of_the_shop_are_practised_too(store: Store, base: Base) -> None:
    """A case of the shop counts once it has an outcome; its customer does not come along."""
    for _ in range(2):
        case_id = store.begin(START)
        store.append(case_id, START, EventKind.COMPLAINED, key="edge_lifting", text="bonnet")
    store.set_customer(case_id, "A Person")
    data = {"cause": RIGHT, "confirmed_by": "cleaned and it held"}
    store.append(case_id, START, EventKind.CLOSED, complaint=1, data=data)
    bank = Bank.of(base, all_cases((), store))
    assert list(bank.items) == [f"{case_id}.1"]
    assert "A Person" not in repr(bank.items)
    assert names(store) == ()
