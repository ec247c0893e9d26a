"""What signs make of a check: stated strengths hold exactly, and silence speaks."""

from __future__ import annotations

from math import isclose

from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.knowledge.logic.likelihood import NoTable, row
from diagnose.knowledge.model import Answer, Observable, Scales, Sign
from diagnose.knowledge.model.conditions import parse
from tests.small import small

SCALES: Scales = small().scales
WORDS = ("a", "b", "c", "d")


def check(shares: list[float]) -> Observable:
    """A check of four answers with these shares."""
    total = sum(shares)
    answers = {w: Answer(says=w, usual=s / total * 100) for w, s in zip(WORDS, shares, strict=True)}
    return Observable(id="k", name="k", answers=answers)


def sign(answer: str, speaks: str, strength: str) -> Sign:
    """A sign on one answer."""
    return Sign(
        when=parse({"k": answer}),
        speaks=speaks,
        strength=strength,
        because="x",
        source=("common-practice",),
    )


shares = st.lists(st.floats(1, 50), min_size=4, max_size=4)
signs = st.builds(
    sign,
    st.sampled_from(WORDS),
    st.sampled_from(["for", "against"]),
    st.sampled_from(["barely", "substantial", "strong", "decisive"]),
)


@given(shares, st.lists(signs, min_size=1, max_size=3, unique_by=lambda s: str(s.when)))
def test_a_row_is_a_distribution_in_which_the_stated_strengths_hold(
    usual: list[float], its: list[Sign]
) -> None:
    """P(answer | cause) sums to one, and each named answer has exactly its stated decibans."""
    observable = check(usual)
    try:
        cells = row(observable, its, SCALES)
    except NoTable:
        assume(False)

    likely = [b * 10 ** (d / 10) for b, d in zip(observable.shares, cells.decibans, strict=True)]
    assert isclose(sum(likely), 1, abs_tol=1e-9)
    for one in its:
        code = WORDS.index(one.when.tests[0].words[0])  # type: ignore[union-attr]
        stated = SCALES.strengths[one.strength]  # type: ignore[index]
        assert isclose(cells.decibans[code], stated if one.speaks == "for" else -stated)


@given(shares)
def test_silence_speaks_against_what_usually_shows(usual: list[float]) -> None:
    """Where a sign for a cause is looked for and not found, the other answers speak against it."""
    observable = check(usual)
    try:
        cells = row(observable, [sign("a", "for", "substantial")], SCALES)
    except NoTable:
        assume(False)

    assert cells.decibans[0] > 0
    assert len(set(cells.decibans[1:])) == 1
    assert cells.decibans[1] < 0


def test_an_answer_that_rules_out_leaves_its_share_to_the_others() -> None:
    """If 70 of 100 callbacks are of a kind that excludes a cause, the other 30 speak for it."""
    observable = check([70, 10, 10, 10])

    cells = row(observable, [], SCALES, [parse({"k": "a"})])

    assert isclose(cells.decibans[1], 5.2288, abs_tol=1e-4)
