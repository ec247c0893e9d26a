"""Closed cases of another mind than the answers: both are shown, and the next check decides."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from diagnose.cli import main
from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.journals import LooseJournal
from diagnose.dialogue.step import Step
from diagnose.measures.quantity import exact
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case.journal import EventKind
from diagnose.records.experience.disagreement import Disagreement, deciding
from diagnose.records.experience.nearness import PastComplaint
from diagnose.records.store.database import StoreError
from diagnose.records.store.store import Store
from diagnose.terminal.callback.plain import Leave, Plain
from tests.terminal.workshop import WIDE, clock, keys, reasoner, settle, shown, workshop

BETWEEN = (
    "Cases old0 and old1, most like this one, ended as edge not cleaned; the answers weigh for"
    " film pulled toward the edge. This tells the two apart."
)


def old(cause: str, count: int = 2, **answers: str) -> list[PastComplaint]:
    """Closed complaints of this shop."""
    return [
        PastComplaint(f"old{n}", 1, "edge_lifting", cause, answers, "renew", True, 90.0)
        for n in range(count)
    ]


def asked(past: list[PastComplaint], **answers: str) -> Dialogue:
    """A callback about a lifting edge in a shop with these closed complaints."""
    found = Dialogue(reasoner(), LooseJournal("now", clock()), past=lambda symptom: past)
    found.name_symptom("edge_lifting")
    found.say_panel("roof")
    for check, answer in {"film_finish": "gloss", "age_months": exact(6), **answers}.items():
        found.answer(check, answer)
    return found


def test_both_sides_are_said_and_the_next_question_decides() -> None:
    """The edge creeps up: pull, say the answers; dirt, say the two cases most like it."""
    step = asked(old("dirty_edge", thumb_relay="creeps_up"), thumb_relay="creeps_up").step()

    assert step.between == BETWEEN
    assert step.check is not None
    assert step.check.id == "relief_cut"


def test_the_check_that_parts_the_two_is_asked_and_not_the_one_that_tells_most() -> None:
    """Dirt or cold: what is on the adhesive; pull or cold: no look at the adhesive helps."""
    found = reasoner().diagnose(AnsweredComplaint("edge_lifting", {}))
    assert found.choice.questions[0].observable == "thumb_relay"

    between = {
        other: deciding(reasoner().base, found, Disagreement(leading, other, ()))
        for leading, other in (("dirty_edge", "cold_bay"), ("cold_bay", "cold_bay"))
    }
    assert between["cold_bay"] is None
    asks = deciding(reasoner().base, found, Disagreement("dirty_edge", "cold_bay", ()))
    assert asks is not None
    assert asks.observable == "adhesive"


@pytest.mark.parametrize(
    ("past", "why"),
    [
        (old("pulled", thumb_relay="creeps_up"), "they ended as the answers weigh"),
        (old("dirty_edge", count=1, thumb_relay="creeps_up"), "one case is no pattern"),
        (old("unlisted", thumb_relay="creeps_up"), "no check tells what is not listed"),
        (old("dirty_edge", thumb_relay="holds"), "they are not like this one"),
        ([], "there are none"),
    ],
    ids=lambda its: its if isinstance(its, str) else "",
)
def test_where_there_is_nothing_to_decide_it_is_asked_as_ever(
    past: list[PastComplaint], why: str
) -> None:
    """The order of the questions is that of a shop without closed cases."""
    plainly = asked([], thumb_relay="creeps_up").step()

    assert asked(past, thumb_relay="creeps_up").step() == plainly == _without(plainly), why


def _without(step: Step) -> Step:
    assert step.between == ""
    return step


def test_what_has_been_decided_is_not_brought_up_again() -> None:
    """The cut gapes: of dirt hardly anything is left, whatever older cases were."""
    found = asked(old("dirty_edge", thumb_relay="creeps_up"), thumb_relay="creeps_up")
    found.answer("relief_cut", "gapes")

    assert found.step().between == ""


def test_old_cases_that_cannot_be_read_stop_nothing() -> None:
    """A damaged entry is told by 'cases check'; a callback goes on."""

    def broken(symptom: str) -> list[PastComplaint]:
        raise StoreError("damaged")

    found = Dialogue(reasoner(), LooseJournal("now", clock()), past=broken)
    found.name_symptom("edge_lifting")
    found.say_panel("roof")
    found.could_not_tell("film_finish")

    assert found.step().check is not None


def test_in_lines_both_sides_stand_before_the_question_and_l_tells_the_cases() -> None:
    """What is alike, how it ended, what it cost."""
    out = io.StringIO()
    past = old("dirty_edge", thumb_relay="creeps_up")
    with pytest.raises(Leave):
        Plain(asked(past, thumb_relay="creeps_up"), io.StringIO("l\n"), out).run()
    told = " ".join(out.getvalue().split())

    assert BETWEEN in told
    assert "case old0: edge not cleaned, lay a new piece, it held, cost 90.00." in told
    assert "Alike: Press it down (it creeps up again)." in told


async def test_on_screens_too(tmp_path: Path) -> None:
    """The shop's closed cases come from its records; l tells of them."""
    path = tmp_path / "records.sqlite3"
    now = clock()
    with Store.open(path) as store:
        for _ in range(2):
            case = store.begin(now())
            store.append(case, now(), EventKind.COMPLAINED, key="edge_lifting", text="roof")
            given = {"key": "thumb_relay", "answer": "creeps_up", "complaint": 1}
            store.append(case, now(), EventKind.ANSWERED, **given)
            data = {"cause": "dirty_edge", "confirmed_by": "taken off"}
            store.append(case, now(), EventKind.CLOSED, complaint=1, data=data)
    app = workshop(path, resume=False)
    async with app.run_test(size=WIDE) as pilot:
        await settle(pilot)
        app.act(lambda dialogue: dialogue.name_symptom("edge_lifting"))
        await settle(pilot)
        app.act(lambda dialogue: dialogue.say_panel("roof"))
        await settle(pilot)
        await keys(pilot, "u")
        app.act(lambda dialogue: dialogue.answer("age_months", exact(6)))
        await settle(pilot)
        app.act(lambda dialogue: dialogue.answer("thumb_relay", "creeps_up"))
        await settle(pilot)
        left = (line.partition("│")[0] for line in shown(app).splitlines())
        words = " ".join(" ".join(left).split())
        assert "Which cut gapes?" in words
        assert "ended as edge not cleaned" in words
        await keys(pilot, "l")
        assert "case 2026-03-04-0001: edge not cleaned" in " ".join(shown(app).split())


def test_where_nothing_is_alike_it_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before the first answer there is nothing in common with anybody."""
    records = tmp_path / "records.sqlite3"
    monkeypatch.setattr("sys.stdin", io.StringIO("edge lifting\nroof\nl\nq\n"))
    main(["callback", "--plain", "--no-learning", "--records", str(records)])

    assert "No closed case has anything in common" in capsys.readouterr().out
