"""The callback line by line: through a pipe, killed in the middle, gone on with."""

from __future__ import annotations

import io
import os
import resource
import signal
import subprocess
import sys
import termios
from pathlib import Path

import pytest

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.journals import LooseJournal
from diagnose.dialogue.step import Stage
from diagnose.knowledge.model.values import OneOfThese
from diagnose.knowledge.words.understanding import Understanding
from diagnose.records.case.journal import Customer
from diagnose.records.store.store import Store
from diagnose.terminal.callback.plain import Leave, Plain
from diagnose.terminal.lines import fitted
from tests.terminal.workshop import clock, reasoner

ROOT = Path(__file__).resolve().parents[2]

TO_REACH = ("1", "1", "gloss", "6", "n", "n", "n")
"""Up to the question how far it reaches, which tells an edge from a corner."""
ANSWERS_THAT_CLASH = ("it holds", "wet")


def heard(*lines: str) -> tuple[Dialogue, str]:
    """Have the small dialogue with these lines; what it came to and what was said."""
    dialogue = Dialogue(reasoner(), LooseJournal("2026-03-04-0001", clock()))
    out = io.StringIO()
    face = Plain(dialogue, io.StringIO("".join(f"{line}\n" for line in lines)), out)
    try:
        face.run()
    except Leave:
        out.write("(left)")
    return dialogue, out.getvalue()


def test_the_first_prompt_waits_for_nothing_that_only_words_need() -> None:
    """What reads own words takes longest to make; who leaves at the first prompt never needs it."""

    def made() -> Understanding:
        raise AssertionError("made before anybody typed a word")

    dialogue = Dialogue(reasoner(), LooseJournal("2026-03-04-0001", clock()), made)
    out = io.StringIO()
    with pytest.raises(Leave):
        Plain(dialogue, io.StringIO("q\n"), out).run()

    assert "What is wrong?" in out.getvalue()
    with pytest.raises(AssertionError, match="anybody typed"):
        Plain(dialogue, io.StringIO("it pops out of the pocket\n"), out).run()


def test_a_callback_in_seven_lines() -> None:
    """A word for the symptom, a place, answers by number, words and unit, then conclude."""
    dialogue, said = heard("peeling", "front door, left", "gloss", "6 months", "2", "s")

    assert dialogue.step().stage is Stage.CONCLUDED
    assert "What finish has the film?" in said
    assert "Film pulled toward the edge" in said


@pytest.mark.parametrize("line", ["1 or 2", "2, 1", "gloss or matte", "1 | 2"])
def test_one_of_several_answers_is_said_by_numbers_or_words(line: str) -> None:
    """Who cannot tell two answers apart says both; the question counts as answered."""
    dialogue, said = heard("peeling", "front door, left", "?", line, "6 months")
    answer = dialogue.case.circumstances["film_finish"]

    assert isinstance(answer, OneOfThese)
    assert len(answer.words) == 2
    assert "one of these, and not known which" in said
    assert dialogue.step().check.id != "film_finish"  # type: ignore[union-attr]


def test_another_complaint_can_follow_at_any_question() -> None:
    """The customer points at a second place while the first is still asked about."""
    dialogue, _ = heard("peeling", "front door, left", "gloss", "6 months", "a", "peeling", "roof")

    assert [c.panel for c in dialogue.case.complaints] == ["front_door_left", "roof"]
    assert dialogue.step().stage is Stage.CHECK


@pytest.mark.parametrize("then", ["q", "b", ""])
def test_who_leaves_while_changing_an_answer_keeps_the_old_one(then: str) -> None:
    """Nothing is taken back before there is something else to put in its place."""
    opened = ("peeling", "front door, left", "gloss", "6 months")
    dialogue, _ = heard(*opened, "c", "1", *([then] if then else []))

    assert dialogue.case.circumstances["film_finish"] == "gloss"


def test_who_finds_while_changing_that_it_cannot_be_done_here_takes_the_answer_back() -> None:
    """A check that is set aside has no answer."""
    opened = ("peeling", "front door, left", "gloss", "6 months")
    dialogue, _ = heard(*opened, "c", "1", "n")

    assert "film_finish" not in dialogue.case.circumstances


def test_back_takes_back_that_a_check_cannot_be_done_here() -> None:
    """N sets a check aside; b asks it again at once, and the answer before it stays."""
    dialogue, _ = heard("peeling", "front door, left", "gloss", "6 months")
    first = dialogue.step().check
    dialogue.cannot_here(first.id)  # type: ignore[union-attr]
    aside = dialogue.step().check
    dialogue.undo()

    assert aside != first
    assert dialogue.step().check == first
    assert dialogue.case.circumstances["film_finish"] == "gloss"


def test_what_is_piped_in_is_shown_behind_its_prompt() -> None:
    """A log of a callback that was fed from a file reads as a dialogue, one line each."""
    _, said = heard("peeling", "front door, left", "gloss")

    for line in ("What is wrong? peeling", "Place: front door, left", "Answer: gloss"):
        assert line in said.splitlines()


def test_at_a_terminal_lines_break_between_words() -> None:
    """Forty columns: no word is cut, what belongs to a point stands under it; a pipe gets one line."""
    near_end, far_end = os.openpty()
    termios.tcsetwinsize(far_end, (24, 40))
    long = "  The film was pulled toward its edge, and now it is drawing back from there."
    with os.fdopen(far_end, "w") as terminal:
        lines = fitted(long, terminal)
    os.close(near_end)

    assert len(lines) == 3
    assert all(len(line) <= 40 for line in lines)
    assert lines[1].startswith("    ")
    assert " ".join(" ".join(lines).split()) == long.strip()
    assert fitted(long, io.StringIO()) == [long]


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (
            (
                "",
                "nought",
            ),
            "Nothing is called 'nought'",
        ),
        (("nought",), "Nothing of that is known here"),
        (("1", "frunt door, left"), "did you mean"),
        (("1", "1", "1", "900"), "900 lies outside 0 to 240 months"),
        (("1", "1", "purple"), "'purple' is no answer"),
        (("1", "1", "w"), "asked at every callback"),
        (("1", "1", "h"), "Look at it."),
        (("1", "1", "c", ""), "Nothing is answered yet."),
    ],
)
def test_what_is_not_understood_is_said_plainly(lines: tuple[str, ...], says: str) -> None:
    """A wrong word costs one sentence that says what would be right; nothing is entered."""
    dialogue, said = heard(*lines)

    assert says in said
    assert said.endswith("(left)")
    assert len(dialogue.case.circumstances) <= 1


def test_changing_an_answer_line_by_line() -> None:
    """C lists the answers; the one chosen is asked again."""
    dialogue, _ = heard("1", "1", "gloss", "c", "1", "matte")

    assert dialogue.case.circumstances["film_finish"] == "matte"


def test_why_this_cause_and_what_would_change_it_line_by_line() -> None:
    """Y tells the evidence for the leading cause, x what would change it; the question stays."""
    dialogue, said = heard("1", "1", "gloss", "6 months", "x", "creeps_up", "y")

    assert "puts another cause in the lead" in said
    assert "film under pull creeps up again." in said
    assert "min of work on average, takes" in said
    assert dialogue.step().check is dialogue.base.checks["relief_cut"]


def test_it_is_rather_another_symptom_line_by_line() -> None:
    """Where the answers point to another symptom, r takes it: same complaint, the answers stay."""
    dialogue, said = heard(*TO_REACH, "corner", "r")

    assert "! This may rather be corner lifting" in said
    assert "Now it is: Corner lifting. The answers stay." in said
    (complaint,) = dialogue.case.complaints
    assert (complaint.number, complaint.symptom) == (1, "corner_lifting")
    assert complaint.answers["reach"] == "corner"


def test_being_rather_another_symptom_is_undone_like_any_entry() -> None:
    """B after r gives back the symptom that was said first, with its answers."""
    dialogue, _ = heard(*TO_REACH, "corner", "r", "b")

    (complaint,) = dialogue.case.complaints
    assert complaint.symptom == "edge_lifting"
    assert complaint.answers["reach"] == "corner"


def test_the_letters_are_told_once_and_on_demand() -> None:
    """The first question names every letter; later ones only say how to see them again."""
    _, said = heard("1", "1", "gloss", "6", "?")

    assert said.count("could not tell") == 2
    assert said.count("? lists the letters") == 2


def test_r_means_nothing_while_nothing_points_elsewhere() -> None:
    """Without another symptom in sight r is an answer that the check does not have."""
    _, said = heard("1", "1", "r")

    assert "'r' is no answer" in said


def test_what_does_not_fit_is_said_once() -> None:
    """Two answers that cannot both be right are told when the second comes, not after each."""
    _, said = heard("1", "1", "gloss", "6", *ANSWERS_THAT_CLASH, "n")

    assert said.count("Wet adhesive holds nothing down.") == 1


def test_a_second_complaint_line_by_line() -> None:
    """A at the end concludes and asks what else is wrong; the vehicle is not asked about again."""
    dialogue, said = heard("1", "1", "gloss", "6", *["n"] * 4, "a", "tunnelling", "roof")

    first, second = dialogue.case.complaints
    assert (first.symptom, second.symptom) == ("edge_lifting", "tunnelling")
    assert said.count("What finish has the film?") == 1


def test_undo_line_by_line() -> None:
    """B takes back the answer, then the place, then the symptom."""
    dialogue, _ = heard("1", "1", "gloss", "b", "b")

    assert dialogue.case.complaints == ()
    assert dialogue.step().stage is Stage.PANEL
    dialogue.undo()
    assert dialogue.step().stage is Stage.WORDS


def test_what_is_typed_reaches_the_terminal_without_control_characters() -> None:
    """An escape sequence in an answer is not sent back to the terminal."""
    _, said = heard("\x1b[2Jpeal\x07ing")

    assert "\x1b" not in said
    assert "\x07" not in said


def command(records: Path) -> list[str]:
    """The callback by pipe, on records of its own."""
    program = [sys.executable, "-m", "diagnose.cli", "callback", "--plain"]
    return [*program, "--records", str(records)]


def test_killed_in_the_middle_and_gone_on_with(tmp_path: Path) -> None:
    """After kill -9 every acknowledged answer is there, and the next start goes on with them."""
    records = tmp_path / "records.sqlite3"
    with subprocess.Popen(
        command(records), cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as running:
        assert running.stdin
        assert running.stdout
        running.stdin.write("edge_lifting\nroof\ngloss\n14\n")
        running.stdin.flush()
        said = ""
        while said.count("Answer:") < 3:
            letter = running.stdout.read(1)
            assert letter, said
            said += letter
        os.kill(running.pid, signal.SIGKILL)
    with Store.open(records) as store:
        (case_id,) = store.ids()
        kept = store.case(case_id).circumstances
    assert kept["film_finish"] == "gloss"
    assert "age_months" in kept

    again = subprocess.run(
        command(records), cwd=ROOT, input="s\n", capture_output=True, text=True, check=True
    )
    assert f"Going on with the unfinished case {case_id}" in again.stdout
    assert "Edge lifting, Roof: " in again.stdout


def test_what_could_not_be_saved_is_asked_again(tmp_path: Path) -> None:
    """On a full disk each answer costs a sentence; what was saved before is there."""
    records = tmp_path / "records.sqlite3"
    first = subprocess.run(
        command(records), cwd=ROOT, input="edge_lifting\nroof\n", capture_output=True, text=True
    )
    assert first.returncode == 1
    room = records.stat().st_size

    def little_room() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))

    done = subprocess.run(
        command(records),
        cwd=ROOT,
        input="".join("gloss\nb\n" for _ in range(40)),
        capture_output=True,
        text=True,
        preexec_fn=little_room,
    )

    assert "make room" in done.stdout
    assert "Traceback" not in done.stderr
    assert done.returncode == 1
    with Store.open(records) as store:
        assert store.faults() == ()
        assert [c.symptom for c in store.case(store.ids()[0]).complaints][:1] == ["edge_lifting"]


def test_who_enters_nothing_leaves_no_case(tmp_path: Path) -> None:
    """A start by mistake is not in the list for ever; an empty line asks again."""
    records = tmp_path / "records.sqlite3"
    done = subprocess.run(
        command(records), cwd=ROOT, input="\n\nq\n", capture_output=True, text=True
    )

    assert done.stdout.count("Symptom:") == 2
    assert "Nothing is called" not in done.stdout
    assert done.stderr.strip() == "Left. Nothing was entered."
    with Store.open(records) as store:
        assert store.ids() == ()


def test_the_end_of_the_input_loses_nothing(tmp_path: Path) -> None:
    """Where the pipe ends before the conclusion, it says so and keeps the case."""
    records = tmp_path / "records.sqlite3"

    done = subprocess.run(
        command(records),
        cwd=ROOT,
        input="edge_lifting\nroof\ngloss\n",
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 1
    assert "is kept: diagnose callback goes on with it" in done.stderr
    with Store.open(records) as store:
        unfinished = store.unfinished()
    assert unfinished
    assert unfinished.circumstances == {"film_finish": "gloss"}


def test_whose_vehicle_it_is_is_kept_with_the_first_answer(tmp_path: Path) -> None:
    """Name and plate are said at the start, and stand beside the case, not in it."""
    records = tmp_path / "records.sqlite3"
    done = subprocess.run(
        [*command(records), "--customer", "Corner Bakery", "--plate", "PA 12"],
        cwd=ROOT,
        input="edge_lifting\nroof\n",
        capture_output=True,
        text=True,
    )

    assert "is kept" in done.stderr
    with Store.open(records) as store:
        (case_id,) = store.ids()
        assert store.customer(case_id) == Customer("Corner Bakery", "PA 12")
        assert "Bakery" not in str(store.events(case_id))
