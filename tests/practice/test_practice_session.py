"""A session keeps what was looked at and believed, and is scored without luck."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN
from diagnose.practice.items.bank import Bank
from diagnose.practice.progress.progress import Progress, attempt_data, attempt_from, finished
from diagnose.practice.session.belief import Belief, named_first, points, spread
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.score import HARM, MINUTE, Score, score
from diagnose.practice.session.session import (
    Decision,
    NotNow,
    Session,
    offered,
    remedies_offered,
    session_data,
    session_from,
)

from .players import MOST, START, look_at_all

DOOR = "door_return_after_wash.1"
RIGHT, REMEDY, PAYER = "edges_and_gaps_not_cleaned", "clean_and_relay_edge", "installer"


@pytest.fixture
def door(bank: Bank) -> Session:
    """The door that lifts after a wash, as it came in."""
    return Session(bank.items[DOOR])


def decided(judge: Judge, session: Session, belief: Belief, *what: str) -> Score:
    """The score of a session with a belief and a decision."""
    cause, remedy, payer = what or (RIGHT, REMEDY, PAYER)
    return score(judge, session.think(belief).commit(Decision(cause, remedy, payer)))


def sure(judge: Judge, session: Session, cause: str = RIGHT) -> Belief:
    return spread({cause: 100}, judge.usual(session.item.symptom))


def test_record_answers_and_says_when_it_does_not_know(door: Session, judge: Judge) -> None:
    """A check in the record gives its answer; another one gives 'unknown'. Both cost minutes."""
    base = judge.base
    other = next(check for check in offered(judge, door) if check not in door.item.record)
    session = door.look(base, "adhesive_side").look(base, other)
    assert [look.answer for look in session.looks] == ["dust_or_sand", UNKNOWN]
    minutes = base.checks["adhesive_side"].minutes + base.checks[other].minutes
    assert session.minutes(base) == minutes
    assert session.seen["adhesive_side"] == "dust_or_sand"


def test_nothing_is_asked_twice(door: Session, base: Base) -> None:
    """What is known at the start or was looked at cannot be asked again."""
    with pytest.raises(NotNow, match="known already"):
        door.look(base, "film_finish")
    with pytest.raises(NotNow, match="known already"):
        door.look(base, "zone").look(base, "zone")
    with pytest.raises(NotNow, match="there is no check 'magic'"):
        door.look(base, "magic")


def test_offered_checks_speak_or_stand_in_the_record(door: Session, judge: Judge) -> None:
    """What the record can answer is offered, with what else says something of the symptom."""
    listed = offered(judge, door)
    assert {"adhesive_side", "thumb_relay", "relief_cut"} <= set(listed)
    assert not set(door.seen) & set(listed)
    assert REMEDY in remedies_offered(judge.base, door.item)


def test_commit_needs_a_belief(door: Session) -> None:
    """Who has not said what they believe cannot commit."""
    with pytest.raises(NotNow, match="say first what you believe"):
        door.commit(Decision(RIGHT, REMEDY, PAYER))


def test_session_is_read_back_as_it_was_kept(door: Session, judge: Judge) -> None:
    """A session kept as JSON comes back with its looks, answers and beliefs."""
    session = door.look(judge.base, "adhesive_side").think(sure(judge, door))
    kept = json.loads(json.dumps(session_data(session)))
    assert session_from(kept, door.item) == session


def test_luck_earns_nothing(door: Session, judge: Judge) -> None:
    """A guess without looking is reckoned as such a guess fares on average; a hit earns nothing."""
    hit = decided(judge, door, sure(judge, door))
    ought = judge.warranted(door.item, door.seen)
    assert hit.reckoned == pytest.approx(100 * (2 * ought[RIGHT] - sum([1.0])))
    assert hit.reckoned + hit.luck == pytest.approx(100)
    assert hit.reckoned < 0 < hit.luck
    assert hit.belief == 0


def test_a_right_answer_never_scores_under_a_wrong_one(bank: Bank, judge: Judge) -> None:
    """In any case, with any of the causes named with the same certainty, the right one is on top."""
    tried = 0
    for item in list(bank.items.values())[::25]:
        session = Session(item)
        usual = judge.usual(item.symptom)
        ought = judge.warranted(item, session.seen)
        misled = max((c for c in ought if c not in item.right), key=lambda c: ought[c])
        totals = {}
        for cause in (item.right[0], misled):
            belief = spread({cause: 90}, usual)
            what = (cause, item.outcome.remedy, item.outcome.payer)
            totals[cause] = decided(judge, session, belief, *what)
        right, wrong = totals[item.right[0]], totals[misled]
        assert right.belief >= 0 >= wrong.belief
        assert right.total >= wrong.total
        tried += wrong.reckoned > right.reckoned
    assert tried, "none of these cases misleads at first sight"


@given(st.lists(st.floats(0, 1), min_size=60, max_size=60).filter(lambda x: sum(x) > 0.1))
def test_nobody_gains_by_saying_other_than_they_believe(
    judge: Judge, bank: Bank, raw: list[float]
) -> None:
    """Bounded by right and wrong, what a report can expect is still most for the true belief."""
    session = Session(bank.items[DOOR]).look(judge.base, "adhesive_side")
    ought = judge.warranted(session.item, session.seen)
    weights = dict(zip(ought, raw, strict=False))
    other = {c: w / sum(weights.values()) for c, w in weights.items()}

    def expected(belief: Belief) -> float:
        named, reckoned = named_first(belief), points(belief, ought)
        return ought[named] * max(reckoned, 0) + (1 - ought[named]) * min(reckoned, 0)

    assert expected(ought) >= expected(other)


def test_looking_first_earns_the_same_certainty(door: Session, judge: Judge) -> None:
    """The same certain answer after the checks that support it earns most of the points."""
    seen = look_at_all(judge, door, MOST)
    earned = decided(judge, seen, sure(judge, seen))
    assert earned.belief > 50
    assert earned.belief <= earned.possible
    assert earned.remedy > 15
    assert earned.payer == pytest.approx(10, abs=2)
    guessed = decided(judge, door, sure(judge, door))
    assert earned.reckoned > guessed.reckoned + 100
    assert earned.total > guessed.total + 40


def test_minutes_and_harm_are_taken_off(door: Session, judge: Judge) -> None:
    """Every working minute costs, and a check that harms film or paint costs more."""
    base = judge.base
    cut = door.look(base, "relief_cut")
    found = decided(judge, cut, sure(judge, cut), RIGHT, "", PAYER)
    assert base.checks["relief_cut"].harm == "destructive"
    assert found.minutes == pytest.approx(MINUTE * base.checks["relief_cut"].minutes)
    assert found.harm == HARM["destructive"]
    assert decided(judge, door, sure(judge, door)).minutes == 0


def test_a_remedy_that_makes_it_worse_costs(door: Session, judge: Judge) -> None:
    """A remedy that the cause forbids is harm, in the measure in which it may be that cause."""
    never = judge.base.causes[RIGHT].never[0].remedy
    seen = door.look(judge.base, "adhesive_side").look(judge.base, "relay_after_clean")
    bad = decided(judge, seen, sure(judge, seen), RIGHT, never, PAYER)
    good = decided(judge, seen, sure(judge, seen))
    assert bad.harm > good.harm
    assert bad.remedy < good.remedy


def test_undecided_remedy_and_payer_earn_nothing(door: Session, judge: Judge) -> None:
    """Leaving remedy and payer open neither earns nor costs."""
    found = decided(judge, door, sure(judge, door), RIGHT, "", "")
    assert (found.remedy, found.payer, found.harm) == (0, 0, 0)


@given(st.lists(st.floats(0, 1), min_size=60, max_size=60).filter(lambda x: sum(x) > 0.1))
def test_score_of_a_session_is_proper(judge: Judge, bank: Bank, raw: list[float]) -> None:
    """After the same looks and words a belief loses by its distance from what these support."""
    session = Session(bank.items[DOOR]).look(judge.base, "adhesive_side")
    ought = judge.warranted(session.item, session.seen)
    weights = dict(zip(ought, raw, strict=False))
    other = {c: w / sum(weights.values()) for c, w in weights.items()}
    lost = decided(judge, session, ought).reckoned - decided(judge, session, other).reckoned
    distance = sum((share - other.get(cause, 0.0)) ** 2 for cause, share in ought.items())
    assert lost == pytest.approx(100 * distance, abs=1e-9)


def test_several_causes_are_all_right(bank: Bank, judge: Judge) -> None:
    """Where two causes were at work, naming either one is right."""
    item = next(i for i in bank.items.values() if len(i.right) > 1 and judge.sound(i))
    session = Session(item)
    for cause in item.right:
        belief = spread({cause: 100}, judge.usual(item.symptom))
        done = session.think(belief).commit(Decision(cause, "", ""))
        attempt, _ = finished(judge, done, Progress(), START)
        assert attempt.hit
        assert attempt.on_right == pytest.approx(1)


def test_engine_is_no_judge_of_what_it_gets_wrong(bank: Bank, judge: Judge) -> None:
    """Where the record leads astray, what was confirmed is the measure of a belief."""
    door = bank.items[DOOR]
    item = replace(door, id="astray.1", outcome=replace(door.outcome, cause="unlisted"))
    assert not judge.sound(item)
    belief = spread({"unlisted": 100}, judge.usual(item.symptom))
    found = score(judge, Session(item).think(belief).commit(Decision("unlisted", "", "")))
    assert found.luck == pytest.approx(0)
    assert found.belief == pytest.approx(100)


def test_attempt_rates_its_cards(door: Session, judge: Judge) -> None:
    """Wrong: cause and pair again. Right by a guess: hard. Right with good ground: easy."""
    wrong = door.think(sure(judge, door, "pulled_to_edge"))
    missed, _ = finished(judge, wrong.commit(Decision("pulled_to_edge", "", "")), Progress(), START)
    pair = f"pair:{RIGHT}|pulled_to_edge"
    assert missed.reviews == {f"cause:{RIGHT}": 1, pair: 1}
    guessed = door.think(sure(judge, door)).commit(Decision(RIGHT, REMEDY, PAYER))
    lucky, _ = finished(judge, guessed, Progress(), START)
    assert lucky.reviews == {f"cause:{RIGHT}": 2}
    seen = look_at_all(judge, door, MOST)
    known = seen.think(sure(judge, seen)).commit(Decision(RIGHT, REMEDY, PAYER))
    easy, _ = finished(judge, known, Progress((missed,)), START)
    assert easy.reviews == {f"cause:{RIGHT}": 4, pair: 4}


def test_attempt_is_read_back(door: Session, judge: Judge) -> None:
    """An attempt kept as JSON comes back as it was; what a later program adds is passed over."""
    done = door.think(sure(judge, door)).commit(Decision(RIGHT, REMEDY, PAYER))
    attempt, _ = finished(judge, done, Progress(), START)
    kept = json.loads(json.dumps({**attempt_data(attempt), "from_later": 1}))
    assert attempt_from(kept) == attempt
