"""After a case: both paths, what was wasted, the sign that was missed, and the words for it."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN
from diagnose.practice.items.bank import Bank, PracticeItem
from diagnose.practice.items.trial import play
from diagnose.practice.session.belief import spread
from diagnose.practice.session.feedback import (
    PathStep,
    contrast,
    engine_path,
    feedback,
    missed,
    moves,
    path,
    told_apart,
)
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Decision, Session, offered
from diagnose.practice.wording import SCORING, feedback_lines, missed_lines, path_lines
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case import journal as records
from diagnose.records.case.journal import Case

from .players import MOST, look_at_all

DOOR = "door_return_after_wash.1"
RIGHT, OTHER = "edges_and_gaps_not_cleaned", "pulled_to_edge"


def sure_of(judge: Judge, session: Session, cause: str) -> Session:
    """The session committed to a cause, with all belief on it."""
    belief = spread({cause: 100}, judge.usual(session.item.symptom))
    return session.think(belief).commit(Decision(cause, "", ""))


def test_engine_path_is_that_of_the_callback(bank: Bank, judge: Judge) -> None:
    """The path shown beside is the tool's own, what the record cannot tell passed over."""
    item = bank.items[DOOR]
    steps = engine_path(judge, item, most=4)
    known = dict(item.given)
    for step in steps:
        choice = judge.reasoner.choose(AnsweredComplaint(item.symptom, known))
        told = [q for q in choice.questions if all(c in item.record for c in q.asks)]
        assert step.check == told[0].asks[0]
        assert step.expected == told[0].bits
        known[step.check] = item.record[step.check]
    assert steps
    assert all(step.better is None and step.answer is not UNKNOWN for step in steps)


def test_the_path_beside_asks_less_and_ends_as_well(bank: Bank, judge: Judge) -> None:
    """No question into the void: fewer checks than the callback, at least as many causes found."""
    cases = [bank.items[name] for name in list(bank.items)[::12]]
    ours, tools, ours_right, tools_right = 0, 0, 0, 0
    can_be_named = judge.base.scales.possible_percent / 100
    for item in cases:
        complaint = records.Complaint(
            1, item.symptom, item.panel, item.record, outcome=item.outcome
        )
        (trial,) = play(judge.reasoner, Case(item.case, complaints=(complaint,)))
        steps = engine_path(judge, item)
        last = steps[-1] if steps else None
        chance = last.chance if last else trial.leading_probability
        leads = last.leading if last else trial.leading
        ours, tools = ours + len(steps), tools + trial.checks
        ours_right, tools_right = (
            ours_right + (leads in item.right and chance >= can_be_named),
            tools_right + (trial.place == 1 and trial.leading_probability >= can_be_named),
        )

    assert ours < 0.8 * tools
    assert ours_right >= tools_right > len(cases) // 2


def test_what_would_have_told_more_can_be_known_here(bank: Bank, judge: Judge) -> None:
    """A better check is only named where the record of this case has its answer."""
    for name in list(bank.items)[::25]:
        item = bank.items[name]
        waiting = [c for c in item.record if c not in item.given][-2:]
        for step in path(judge, item, waiting):
            assert step.better is None or step.better[0] in item.record


def test_words_for_a_check_that_promised_little(judge: Judge, bank: Bank) -> None:
    """Wasted is only what promised nothing and told nothing; luck with a check is said as such."""
    step = PathStep("relief_cut", "neither_gapes", 5, "destructive", 0.0, 0.0, None, RIGHT, 0.5)
    (wasted, _) = path_lines(judge.base, [step])
    assert "Wasted: hardly anything was to be expected" in wasted
    (lucky, _) = path_lines(judge.base, [replace(step, told=0.4)])
    assert "Wasted" not in lucky
    assert "it told something all the same" in lucky
    (plain, _) = path_lines(judge.base, [replace(step, told=0.4, expected=0.2)])
    assert "expected" not in plain


def test_a_check_that_says_nothing_here_is_wasted(bank: Bank, judge: Judge) -> None:
    """What no cause leaves a sign on was not worth its minutes, and what was better is named."""
    item = bank.items[DOOR]
    silent = next(c for c in judge.base.checks if c not in offered(judge, Session(item)))
    while silent in item.given:
        silent = next(c for c in judge.base.checks if c not in {*item.given, silent})
    (step,) = path(judge, item, [silent])
    assert step.answer is UNKNOWN
    assert step.wasted
    assert step.told == pytest.approx(0)
    assert step.better is not None
    assert step.better[1] > 0


def test_what_a_check_told_adds_up(bank: Bank, judge: Judge) -> None:
    """Each step tells the leading cause after it, as the engine has it then."""
    item = bank.items[DOOR]
    first, second = path(judge, item, ["adhesive_side", "relay_after_clean"])
    known = {**item.given, "adhesive_side": item.record["adhesive_side"]}
    after = judge.supported(item.symptom, known)
    assert first.told > 0
    assert first.chance == pytest.approx(after[first.leading])
    both = {**known, "relay_after_clean": item.record["relay_after_clean"]}
    assert second.chance == pytest.approx(judge.supported(item.symptom, both)[second.leading])
    assert second.leading == RIGHT


def test_the_missed_sign_speaks_for_the_right_cause(bank: Bank, judge: Judge) -> None:
    """Who names another cause is told the weightiest sign for the right one not looked at."""
    session = sure_of(judge, Session(bank.items[DOOR]), OTHER)
    found = missed(judge, session)
    assert found is not None
    assert not found.seen
    assert found.unseen
    assert not set(found.unseen) & set(session.seen)
    reasons = {s.because for s in judge.base.signs(judge.base.causes[RIGHT])}
    assert found.because in reasons or "of 100 with the other" in found.because
    assert found.decibans > 0


def test_a_sign_that_was_seen_and_not_believed(bank: Bank, judge: Judge) -> None:
    """Who saw everything and names another cause is told what they did not believe."""
    seen = look_at_all(judge, Session(bank.items[DOOR]), 2 * MOST)
    found = missed(judge, sure_of(judge, seen, OTHER))
    assert found is not None
    assert found.seen


def test_nothing_missed(bank: Bank, judge: Judge) -> None:
    """Who looked at everything and named the cause missed nothing."""
    seen = look_at_all(judge, Session(bank.items[DOOR]), 2 * MOST)
    assert missed(judge, sure_of(judge, seen, RIGHT)) is None


def test_belief_beside_what_it_ought_to_be(bank: Bank, judge: Judge) -> None:
    """Each stated belief stands beside what the looks until then support."""
    session = Session(bank.items[DOOR])
    usual = judge.usual(session.item.symptom)
    session = session.think(spread({RIGHT: 20}, usual)).look(judge.base, "adhesive_side")
    session = session.think(spread({RIGHT: 90}, usual))  # said, and thought better of
    session = session.think(spread({RIGHT: 60}, usual)).commit(Decision(RIGHT, "", ""))
    first, second = moves(judge, session)
    assert (first.after, second.after) == (0, 1)
    assert (first.stated, second.stated) == (pytest.approx(0.2), pytest.approx(0.6))
    assert second.ought > first.ought


def test_feedback_says_everything(bank: Bank, judge: Judge) -> None:
    """The words name verdict, score, both paths, the missed sign and the lesson."""
    session = Session(bank.items[DOOR]).look(judge.base, "relief_cut")
    found = feedback(judge, sure_of(judge, session, OTHER))
    lines = feedback_lines(judge.base, found)
    text = "\n".join(lines)
    base, item = judge.base, session.item
    assert f"you named {base.causes[OTHER].name}; it was {base.causes[RIGHT].name}" in text
    assert item.outcome.confirmed_by in text
    assert item.lesson in text
    assert item.title in text
    assert re.search(r"\d points: belief -?\d+, remedy \d+ of 20, payer \d+ of 10; taken off", text)
    assert "dB" not in text
    assert base.checks["relief_cut"].name in text
    assert base.checks[found.engine[0].check].name in text
    assert found.missed is not None
    assert found.missed.because in text
    assert base.causes[RIGHT].mechanism in text
    assert found.apart is not None
    assert found.apart.other == OTHER
    assert found.apart.because in text
    assert base.checks[found.apart.check].how in text


def test_who_is_right_is_told_it_from_the_likeliest_other(bank: Bank, judge: Judge) -> None:
    """The one sign that tells apart is taught after a right answer too."""
    seen = look_at_all(judge, Session(bank.items[DOOR]), 2 * MOST)
    found = feedback(judge, sure_of(judge, seen, RIGHT)).apart

    assert found is not None
    assert found.other not in (RIGHT, "unlisted")
    assert found.check in seen.item.record


def test_only_what_nobody_looked_at_is_said_to_be_unseen(bank: Bank, judge: Judge) -> None:
    """Of a sign with several checks those are named that were left out; what was told counts."""
    told = 0
    for item in list(bank.items.values())[::5]:
        session = sure_of(judge, look_at_all(judge, Session(item), 6), OTHER)
        found = missed(judge, session) if item.right[0] in judge.base.causes else None
        if found is None:
            continue
        had = {**judge.heard(item), **session.seen}
        assert found.unseen == tuple(c for c in found.checks if c not in had)
        assert found.seen == (not found.unseen)
        line = missed_lines(judge.base, found)[0]
        assert all(judge.base.checks[c].name in line for c in found.unseen)
        told += 1

    assert told > 10


def test_a_measurement_that_speaks_for_the_cause_is_not_wasted(bank: Bank, judge: Judge) -> None:
    """Nothing left of the edge to hold it is the very cause, however little it moved just then."""
    item = bank.items["wing_edge_saved_on_film.1"]
    (step,) = path(judge, item, ["wrap_round_mm"])

    assert step.speaks
    assert not step.wasted
    assert "Wasted" not in path_lines(judge.base, [step])[0]


def test_what_the_customer_said_is_evidence(bank: Bank, judge: Judge) -> None:
    """Who hears of a black plastic bit may believe in bare plastic before looking."""
    item = bank.items["grained_mirror_foot.1"]
    heard = judge.heard(item)

    assert heard == {"substrate": "unpainted_textured_plastic"}
    cause = item.right[0]
    before = judge.supported(item.symptom, item.given)[cause]
    assert judge.warranted(item, item.given)[cause] > 3 * before


def test_words_that_the_record_does_not_bear_out_are_no_evidence(bank: Bank, judge: Judge) -> None:
    """A customer may be wrong; then nobody is asked to believe it."""
    heard = {item.id: judge.heard(item) for item in list(bank.items.values())[::5]}

    assert any(heard.values())
    for name, answers in heard.items():
        assert all(bank.items[name].record[check] == a for check, a in answers.items())


def test_a_reason_fits_the_answer_beside_it(base: Base) -> None:
    """Missed fields that lie together are not explained by strips between strokes, nor the reverse."""
    row = base.rows(base.causes["light_squeegee"])["pattern"]
    words = {"clustered": "lie together", "in_line": "strips"}
    codes = {word: list(base.checks["pattern"].answers).index(word) for word in words}
    for word, reason in words.items():
        sign = row.signs[codes[word]]
        assert sign is not None
        assert reason in sign.because
        assert not any(other in sign.because for w, other in words.items() if w != word)


def pair_of_cases(bank: Bank, judge: Judge) -> tuple[PracticeItem, PracticeItem]:
    """Two cases of one symptom with different causes, told apart by a check that both record."""
    items = list(bank.items.values())
    return next(
        (one, other)
        for one, other in combinations(items, 2)
        if (found := contrast(judge, one, other)) is not None and found.check
    )


def test_two_cases_in_a_row_say_what_tells_them_apart(bank: Bank, judge: Judge) -> None:
    """After a case that looked the same the other's cause is named, and the check between them."""
    one, before = pair_of_cases(bank, judge)
    session = sure_of(judge, Session(one), one.right[0])
    found = feedback(judge, session, before)
    assert found.contrast is not None
    check = judge.base.checks[found.contrast.check]
    assert one.record[check.id] != before.record[check.id]
    said = "\n".join(feedback_lines(judge.base, found))
    assert f"it was '{judge.base.causes[before.right[0]].name}'" in said
    assert f"What tells the two apart: {check.name}, here " in said
    assert feedback(judge, session).contrast is None


def test_the_same_cause_twice_teaches_nothing_against_itself(bank: Bank, judge: Judge) -> None:
    """A case of the same cause, or of another complaint, needs no telling apart."""
    item = bank.items[DOOR]
    elsewhere = next(i for i in bank.items.values() if i.symptom != item.symptom)
    assert contrast(judge, item, item) is None
    assert contrast(judge, item, elsewhere) is None


def test_the_drawing_of_the_telling_check_goes_with_the_lesson(bank: Bank, judge: Judge) -> None:
    """What told the cause from another is drawn first, then what was missed, none twice."""
    session = sure_of(judge, Session(bank.items[DOOR]), OTHER)
    found = feedback(judge, session)
    assert found.apart is not None
    assert found.missed is not None
    assert found.drawn[0] == found.apart.check
    assert set(found.drawn) == {found.apart.check, *found.missed.checks}
    assert len(set(found.drawn)) == len(found.drawn)


def test_a_record_that_does_not_lead_there_is_said(bank: Bank, judge: Judge) -> None:
    """Where even the whole record speaks for something else, no belief is said to be owed."""
    item = next(i for i in bank.items.values() if not judge.sound(i))
    other = next(c for c in judge.causes(item.symptom) if c not in item.right)
    found = feedback(judge, sure_of(judge, Session(item), other))
    said = "\n".join(feedback_lines(judge.base, found))
    assert not found.settled
    assert "All that was recorded does not lead to it" in said
    assert ", by what you had seen " not in said.partition("Your belief in the right cause")[2]
    sound = feedback(judge, sure_of(judge, Session(bank.items[DOOR]), OTHER))
    assert "does not lead to it" not in "\n".join(feedback_lines(judge.base, sound))


def test_a_sign_that_was_seen_and_not_believed_comes_before_a_slighter_one(
    bank: Bank, judge: Judge
) -> None:
    """Who saw the fan of the jet and named a seam is told of the jet, not of a paper not asked for."""
    item = bank.items["lance_on_arch_edge.1"]
    session = Session(item).look(judge.base, "jet_marks")
    found = missed(judge, sure_of(judge, session, "seam_badly_placed"))
    right = missed(judge, sure_of(judge, session, item.right[0]))

    assert found is not None
    assert found.checks == ("jet_marks",)
    assert found.seen
    assert right is None or (right.decibans >= 3 and "jet_marks" not in right.checks)


def test_no_word_of_the_reckoning_needs_a_dictionary(bank: Bank, judge: Judge) -> None:
    """Bits, decibans and names of formulas stay behind; each check says how much it told."""
    item = bank.items[DOOR]
    session = look_at_all(judge, Session(item), MOST)
    text = " ".join(
        [SCORING, *feedback_lines(judge.base, feedback(judge, sure_of(judge, session, OTHER)))]
    )

    assert re.findall(r"\b(?:bits?|Brier|decibans?|dB|log|entropy|barely sign)\b", text) == []
    assert re.search(r"; told (?:very much|much|something|a little|nothing new),", text)
    assert "points: belief" in text


def test_what_nobody_gave_a_reason_for_is_held_against_the_other_cause(
    bank: Bank, judge: Judge
) -> None:
    """A number without a reason teaches only beside the number of what it is mistaken for."""
    item = bank.items["cold_barn_ute.1"]
    found = told_apart(judge, sure_of(judge, Session(item), "pulled_to_edge"))

    assert found is not None
    assert found.because
    counts = re.fullmatch(
        r"(?:About|Fewer|More).* of 100 cars with this cause show it, and .+ of 100 with the other\.",
        found.because,
    )
    assert counts
