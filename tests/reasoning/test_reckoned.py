"""What was reckoned in a case: said with its inputs, and honest where a reading is too coarse."""

from __future__ import annotations

import pytest

from diagnose.knowledge.base import Base
from diagnose.measures.quantity import Quantity, exact
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint, Diagnosis
from diagnose.reasoning.explanation.reckoned import limits, measured

STEEP, ALLOWED = exact(60), exact(30)


def recess(
    reasoner: Reasoner, depth: Quantity, wall: Quantity = STEEP, may: Quantity = ALLOWED
) -> Diagnosis:
    """A groove 60 mm wide from which a gloss film rises; film that may stretch by 30 %."""
    answers = {
        "film_finish": "gloss",
        "film_class": "cast_pvc",
        "stretch_limit_percent": may,
        "zone": "concave_recess",
        "recess_width_mm": exact(60),
        "recess_depth_mm": depth,
        "recess_wall_deg": wall,
        "adhesive_side": "bright_and_clean",
        "first_seen": "within_72h",
        "post_heat_record": "logged_at_or_above",
    }
    return reasoner.diagnose(AnsweredComplaint("recess_pop_out", answers))


def leading(diagnosis: Diagnosis) -> str:
    """The cause in front."""
    first = diagnosis.differential.leading
    return first.cause.id if first else ""


def test_a_measure_changes_the_diagnosis(reasoner: Reasoner) -> None:
    """The same groove, shallow and deep: only the number that is reckoned differs."""
    assert leading(recess(reasoner, exact(5))) == "bridged_then_pushed"
    assert leading(recess(reasoner, exact(20))) == "recess_beyond_limit"


COARSE = [
    (Quantity(14, 18), exact(60), exact(30), "Depth of the recess"),
    (exact(16), Quantity(40, 80), exact(30), "Slope of the wall"),
    (exact(16), exact(60), Quantity(24, 40), "Stated stretch limit"),
    (Quantity(15.5, 16.5), Quantity(40, 80), exact(30), "Slope of the wall"),
]


@pytest.mark.parametrize(("depth", "wall", "may", "coarse"), COARSE)
def test_a_range_over_a_limit_names_the_reading_to_take_again(
    base: Base, reasoner: Reasoner, depth: Quantity, wall: Quantity, may: Quantity, coarse: str
) -> None:
    """The demand may be under or over what the film allows: it tells less, and which input it is."""
    diagnosis = recess(reasoner, depth, wall, may)

    (found,) = measured(base, diagnosis.trace)

    assert f"on both sides of 1 and tells less than it could: read '{coarse}'" in found.unsettled
    reasons = [w for s in diagnosis.differential.standings for w in s.weights]
    assert not any("demand_vs_limit" in w.subjects for w in reasons)


@pytest.mark.parametrize("depth", [Quantity(8, 12), Quantity(19, 22), exact(16)])
def test_a_range_on_one_side_is_settled(base: Base, reasoner: Reasoner, depth: Quantity) -> None:
    """A tolerance that changes nothing is not complained of."""
    (found,) = measured(base, recess(reasoner, depth).trace)

    assert found.unsettled == ""
    assert found.says.startswith(f"{found.words}; ")


def test_a_number_comes_with_what_it_means_for_the_film(base: Base, reasoner: Reasoner) -> None:
    """What `diagnose measure` says of a result stands beside it in the report too."""
    (deep,) = measured(base, recess(reasoner, exact(20)).trace)

    assert deep.means.startswith("At or beyond the film's limit")
    assert deep.means.rstrip(".") in deep.says


def test_limits_are_the_ends_of_bins_and_of_conditions(base: Base) -> None:
    """Bins of the stretch against its limit; bars on laying in dew, which has no bins."""
    assert limits(base, "demand_vs_limit") == (1,)
    assert 3 in limits(base, "dew_margin_now_c")
