"""Reverse drills: from the cause to its signs, from two causes to the check, from a drawing."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.practice.drills.apart import AS_GOOD, apart_drill, confused, powers_between
from diagnose.practice.drills.drawing import drawing_drill
from diagnose.practice.drills.drill import Drill, NoDrill, Option, mark
from diagnose.practice.drills.first import first_drill
from diagnose.practice.drills.signs import shown_by, signs_drill
from diagnose.practice.drills.to_do import to_do_drill
from diagnose.practice.progress.due_drills import due_apart, due_signs, reviews
from diagnose.practice.progress.schedule import cause_card, pair_card
from diagnose.practice.session.judge import Judge
from diagnose.report.drawings import SYMPTOM_SCENES


def holds(base: Base, cause: str, option: str) -> bool:
    """Whether an answer is named by a sign that speaks for the cause."""
    name, _, code = option.partition("=")
    row = base.rows(base.causes[cause]).get(name)
    sign = row.signs[int(code)] if row else None
    return sign is not None and sign.speaks == "for"


def test_right_options_are_signs_of_the_cause_and_the_others_are_not(base: Base) -> None:
    """Of any cause drawn its defining sign is there, with others or alone; no reason twice."""
    sizes = set()
    for seed in range(40):
        drill = signs_drill(base, Random(seed))
        (cause,) = drill.about
        ids = {option.id for option in drill.options}
        assert drill.right < ids
        assert {option for option in ids if holds(base, cause, option)} == drill.right
        assert set(drill.because) == ids
        assert len({drill.because[option] for option in drill.right}) == len(drill.right)
        mine = shown_by(base, base.causes[cause])
        assert max(mine, key=lambda option: mine[option].decibans) in drill.right
        for option in ids - drill.right:
            assert drill.because[option].startswith("It speaks for '")
            assert base.causes[cause].name not in drill.because[option].split(":")[0]
        sizes.add(len(drill.right))
    assert sizes == {1, 2, 3, 4}


def test_a_number_can_be_the_sign_that_is_asked_for(base: Base) -> None:
    """Film laid too cold is known by the temperature of the panel, a number and no word."""
    drill = signs_drill(base, Random(1), "too_cold_at_laying")
    says = {option.id: option.says for option in drill.options}
    assert any("°C" in says[option] for option in drill.right)


def test_two_causes_to_tell_apart_pass_for_one_another(judge: Judge) -> None:
    """The first looks leave them alike, and no word of a cause stands in the right check's name."""
    base = judge.base
    symptoms = {s.name: s for s in base.symptoms.values()}
    for seed in range(12):
        drill = apart_drill(judge, Random(seed))
        symptom = symptoms[drill.ask.partition(". These two")[0]]
        assert confused(judge, symptom.id, *drill.about)
        assert all(base.makes_sense(base.checks[o.id], symptom.id) for o in drill.options)
        words = {w for c in drill.about for w in base.causes[c].name.casefold().split()}
        told = {w for c in drill.right for w in base.checks[c].name.casefold().split()}
        assert not [word for word in words & told if len(word) > 4]


def test_what_would_you_do_asks_remedy_never_and_payer(base: Base) -> None:
    """One of each is right: the first remedy here, a remedy that harms, who pays as a rule."""
    for seed in range(25):
        drill = to_do_drill(base, Random(seed))
        cause, symptom = drill.about
        found = base.causes[cause]
        first, never, pays = sorted(drill.right)
        assert first == f"first:{next(iter(base.mending(found, symptom)))}"
        assert never.removeprefix("never:") in {n.remedy for n in found.never}
        assert pays == f"pays:{found.responsibility.payer}"
        assert len(drill.options) == 9
        for option in drill.options:
            head, _, name = option.id.partition(":")
            assert drill.because[option.id]
            if option.id not in drill.right and head == "first":
                assert name not in found.remedies
            if option.id not in drill.right and head == "never":
                assert name not in {n.remedy for n in found.never}
        assert mark(drill, drill.right).share == 1
        assert reviews(drill, mark(drill, drill.right)) == {}


def test_a_cause_that_nothing_harms_has_no_such_drill(base: Base) -> None:
    """Where no remedy makes it worse there is nothing to ask, and that is told."""
    harmless = next(cause.id for cause in base.causes.values() if not cause.never)
    with pytest.raises(NoDrill, match="does not say enough"):
        to_do_drill(base, Random(1), harmless)


def test_best_check_between_two_causes_has_the_power(judge: Judge) -> None:
    """What counts as right tells nearly as much as the best check; the others less than half."""
    for seed in range(8):
        drill = apart_drill(judge, Random(seed))
        one, other = drill.about
        powers = powers_between(judge, one, other)
        best = max(powers.values())
        assert max(drill.right, key=lambda c: powers[c]) in powers
        for option in drill.options:
            right = option.id in drill.right
            assert powers[option.id] >= AS_GOOD * best if right else powers[option.id] < best / 2


def test_every_option_says_what_it_would_show(judge: Judge) -> None:
    """The right check by what each of the two causes leaves, a weak one that it looks the same."""
    reasons = 0
    for seed in range(8):
        drill = apart_drill(judge, Random(seed))
        signs = {s.because for c in drill.about for s in judge.base.signs(judge.base.causes[c])}
        for option in drill.right:
            why = drill.because[option]
            assert "of 100, with the other in" in why
            assert any(judge.base.causes[c].name in why for c in drill.about)
            reasons += any(reason in why for reason in signs)
    assert reasons > 4


def test_harmful_checks_are_not_the_answer(judge: Judge) -> None:
    """A check that harms film or paint is not asked for where a harmless one is to be found."""
    drill = apart_drill(judge, Random(3))
    assert all(judge.base.checks[option.id].harm == "none" for option in drill.options)


def test_causes_that_share_no_symptom_have_no_such_drill(judge: Judge) -> None:
    """Two causes that never stand side by side need not be told apart."""
    base = judge.base
    one = next(iter(base.causes.values()))
    other = next(c for c in base.causes.values() if not set(c.behind) & set(one.behind))
    with pytest.raises(KeyError, match="behind no symptom together"):
        powers_between(judge, one.id, other.id)


def test_drawing_stands_among_those_taken_for_it(base: Base) -> None:
    """The drawn symptom is one option; those confused with it are offered too."""
    for seed in range(10):
        drill = drawing_drill(base, SYMPTOM_SCENES, Random(seed))
        (symptom,) = drill.about
        ids = [option.id for option in drill.options]
        assert drill.right == {symptom}
        assert symptom in ids
        assert len(set(ids)) == len(ids) == 6
        taken_for = [o.symptom for o in base.symptoms[symptom].confused_with][:5]
        assert set(taken_for) <= set(ids)
        tells = {o.symptom: o.tells for o in base.symptoms[symptom].confused_with}
        assert all(drill.because[name] == tells[name] for name in taken_for)


def test_too_few_drawings(base: Base) -> None:
    """Without drawings there is no such drill, and that is told."""
    with pytest.raises(NoDrill, match="too few drawings"):
        drawing_drill(base, (), Random(1))


SIX = Drill(
    "signs",
    ("pulled",),
    "?",
    tuple(Option(name, name) for name in "abcdef"),
    frozenset("abc"),
    dict.fromkeys("abcdef", "why"),
)


@pytest.mark.parametrize(
    ("chosen", "share", "rating"),
    [("abc", 1.0, 3), ("ab", 2 / 3, 2), ("", 0.0, 1), ("abcdef", 0.0, 1), ("abd", 1 / 3, 1)],
)
def test_marking(chosen: str, share: float, rating: int) -> None:
    """All right is whole; what is wrong takes back what is right."""
    marking = mark(SIX, chosen)
    assert marking.share == pytest.approx(share)
    assert reviews(SIX, marking) == {"cause:pulled": rating}


@given(st.sets(st.sampled_from("abcdef")))
def test_marking_counts_every_option_once(chosen: set[str]) -> None:
    """Every option that was chosen or right is named once; the share lies between 0 and 1."""
    marking = mark(SIX, chosen)
    assert {*marking.found, *marking.missed, *marking.wrong} == chosen | SIX.right
    assert 0 <= marking.share <= 1


def test_what_is_due_is_drilled_first(judge: Judge) -> None:
    """A due cause and a due pair come before a random one; a drawing has no card."""
    signs = signs_drill(judge.base, Random(1)).about[0]
    pair = apart_drill(judge, Random(1)).about
    due = (cause_card("no_longer_there"), pair_card(*pair), cause_card(signs))
    assert due_signs(judge, due, Random(9)).about == (signs,)
    found = due_apart(judge, due, Random(9))
    assert set(found.about) == set(pair)
    assert reviews(found, mark(found, found.right)) == {pair_card(*pair): 3}
    drawing = drawing_drill(judge.base, SYMPTOM_SCENES, Random(1))
    assert reviews(drawing, mark(drawing, drawing.right)) == {}


def test_first_looks_are_those_of_the_symptom(base: Base) -> None:
    """Of six checks two to four are looked at first here; each says its place and how it is done."""
    sizes = set()
    for seed in range(40):
        drill = first_drill(base, Random(seed))
        first = base.symptoms[drill.about[0]].look_first
        assert {o.id for o in drill.options} & set(first) == drill.right
        assert all(base.checks[o.id].how in drill.because[o.id] for o in drill.options)
        assert mark(drill, drill.right).share == 1
        assert mark(drill, [o.id for o in drill.options]).share == 0
        sizes.add(len(drill.right))

    assert sizes == {2, 3, 4}
