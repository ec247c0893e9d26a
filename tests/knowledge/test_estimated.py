"""What a panel estimated of rows joins what stands with a cause."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.estimated import Estimated
from diagnose.knowledge.logic.likelihood import portions
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.knowledge.reading.load import read_texts
from tests.small import REST, SCALES

PORTIONS = st.lists(st.floats(0.01, 1), min_size=3, max_size=3).map(
    lambda ns: tuple(n / sum(ns) for n in ns)
)


@given(PORTIONS, PORTIONS, st.floats(0, 0.99))
def test_a_joined_row_is_a_row(
    judged: tuple[float, ...], parts: tuple[float, ...], share: float
) -> None:
    """It adds up to one, and each of its numbers moves from the judged toward the estimated."""
    now = Estimated(parts).joined(judged, share, together=False)

    assert sum(now) == pytest.approx(1)
    assert Estimated(judged).joined(judged, share, together=False) == pytest.approx(judged)
    assert Estimated(parts).joined(judged, 0, together=False) == pytest.approx(judged)


@given(PORTIONS, st.floats(0, 0.99))
def test_what_rules_out_and_what_was_not_before_the_panel_stays(
    judged: tuple[float, ...], share: float
) -> None:
    """A 0 stays a 0; an answer that was not on the sheet keeps its part."""
    left, right, _ = judged
    both = (left / (left + right), right / (left + right), 0.0)

    assert Estimated((0.2, 0.3, 0.5)).joined(both, share, together=False)[2] == 0
    assert Estimated((0.2, 0.8, None)).joined(judged, share, together=False)[2] == judged[2]


def test_of_answers_that_can_be_right_together_each_is_pooled_by_itself() -> None:
    """What all hold for as likely as not stays so, whatever the others come to."""
    now = Estimated((0.5, 0.9, 0.1)).joined((0.5, 0.9, 0.4), 0.5, together=True)

    assert now[:2] == pytest.approx((0.5, 0.9))
    assert 0.1 < now[2] < 0.4


def test_rows_and_usual_shares_of_the_shipped_base_still_add_up(base: Base) -> None:
    """Each row that was estimated is one, and so is what is met at its symptom."""
    looked = 0
    for symptom, its in base.estimates.items():
        for table in its.rows:
            usual = base.usual(table.check, symptom)
            if isinstance(base.observables[table.check].kind, SeveralKind):
                continue
            assert sum(usual) == pytest.approx(1, abs=1e-6)
            for cause in table.of_100:
                row = base.rows(base.causes[cause], symptom).get(table.check)
                if row is not None:
                    looked += 1
                    assert sum(portions(row, usual)) == pytest.approx(1, abs=1e-6)
    assert looked > 10_000


WRONG = """
estimates:
  - id: {symptom}
    source: memory
    rows:
      - check: {check}
        answers: [{answers}]
        of_100:
          {cause}: {numbers}
"""


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"symptom": "liftin"}, "no symptom is called 'liftin' (did you mean lifting?)"),
        ({"check": "adhesiv"}, "no check is called 'adhesiv' (did you mean adhesive?)"),
        ({"answers": "clen, wet"}, "adhesive has no answer 'clen' (did you mean clean?)"),
        ({"cause": "puled"}, "no cause is called 'puled' (did you mean pulled?)"),
        ({"numbers": "20 70"}, "the numbers add up to 90: make it 100"),
        ({"numbers": "20 30 50"}, "3 numbers for 2 answers"),
        ({"numbers": "twenty 80"}, "'twenty 80' are no numbers with spaces between"),
    ],
)
def test_what_is_wrong_with_estimates_is_told(changed: dict[str, str], says: str) -> None:
    """Names that nothing has, numbers that cannot be."""
    right = {"symptom": "lifting", "check": "adhesive", "answers": "clean, wet",
             "cause": "pulled", "numbers": "20 80"}  # fmt: skip
    sound = read_texts({"small.yaml": SCALES + REST, "estimates.yaml": WRONG.format(**right)})
    wrong = read_texts(
        {"small.yaml": SCALES + REST, "estimates.yaml": WRONG.format(**(right | changed))}
    )

    assert sound.base is not None, sound.problems
    assert any(says in p.sentence for p in wrong.problems), wrong.problems
