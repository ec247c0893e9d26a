"""Causes that nobody at the car can tell apart: said where both lead, and only there."""

from __future__ import annotations

import pytest

from diagnose.knowledge.base import Base
from diagnose.reasoning.diagnose import AnsweredComplaint, Reasoner
from diagnose.reasoning.explanation.inseparable import inseparable
from diagnose.rulebook.pages.entries import page
from diagnose.rulebook.pages.render import text
from diagnose.rulebook.pages.wording import Library
from tests.rulebook.frame import framed

PAIR = """
inseparable:
  - {causes: [pulled, dirty_edge], at: [lifting], because: Both stand up alike.,
     would_tell: A week.}
"""


@pytest.fixture(scope="module")
def base() -> Base:
    """A small base with such a pair."""
    return framed(PAIR)


def _said(base: Base, symptom: str, **answers: str) -> str:
    return inseparable(base, Reasoner(base).diagnose(AnsweredComplaint(symptom, answers)))


def test_where_both_lead_it_is_said_with_what_would_tell(base: Base) -> None:
    """Both names, why, what would tell, and that it makes no difference here."""
    said = _said(base, "lifting")

    assert said == (
        "At the car nobody can tell “Dirt left at the edge” and “Pulled to the edge” apart. Both"
        " stand up alike. What would tell: A week. What is done first and who pays as a rule are"
        " the same for both."
    )


def test_what_differs_is_said() -> None:
    """Another first remedy, another payer, or both."""
    payer = "{payer: owner, because: he did it}"
    other_payer = f"\ncauses: [{{id: dirty_edge, responsibility: {payer}}}]\n"
    other_remedy = "\ncauses: [{id: dirty_edge, remedies: {relay: null}}]\n"
    both = f"\ncauses: [{{id: dirty_edge, remedies: {{relay: null}}, responsibility: {payer}}}]\n"

    assert _said(framed(PAIR + other_payer), "lifting").endswith(
        "What is done first is the same for both; who pays is not."
    )
    assert _said(framed(PAIR + other_remedy), "lifting").endswith(
        "Who pays as a rule is the same for both; what is done first is not."
    )
    assert _said(framed(PAIR + both), "lifting").endswith(
        "What is done first and who pays are not the same."
    )


def test_elsewhere_and_of_others_nothing_is_said(base: Base) -> None:
    """At another symptom, and where nothing is declared."""
    assert _said(base, "bumps") == ""
    assert _said(framed(), "lifting") == ""


def test_the_pages_of_cause_and_symptom_tell_it(base: Base) -> None:
    """With the other cause, the symptom and the reason."""
    library = Library(base)

    cause = text(page(library, "pulled"))
    assert "Not told apart at the car" in cause
    assert "Dirt left at the edge [dirty_edge] at Lifting [lifting]: Both stand up" in cause
    assert "Pulled to the edge [pulled] and Dirt left at the edge" in text(page(library, "lifting"))
    assert "Not told apart" not in text(page(library, "bumps"))


def test_a_cause_that_is_not_there_is_named_with_its_place() -> None:
    """An id that nothing has is told as everywhere, with what was meant."""
    with pytest.raises(AssertionError, match="no cause is called 'dirt_edge'"):
        framed(PAIR.replace("dirty_edge", "dirt_edge"))


def test_a_pair_is_found_in_the_file_in_which_it_stands() -> None:
    """Pairs of several files are counted through, and a fault is told at its own."""
    from diagnose.knowledge.reading.load import read_texts
    from tests.rulebook.frame import FRAME
    from tests.small import SCALES

    more = "\ninseparable:\n  - {causes: [pulled, dirt_edge], because: x}\n"
    texts = {"a.yaml": FRAME + PAIR, "b.yaml": more, "scales.yaml": SCALES}

    assert [str(p).split(": ")[0] for p in read_texts(texts).problems] == ["b.yaml:3:5"]
