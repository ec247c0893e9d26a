"""What signs were worth, seen from the end: by arrays the same as case by case."""

from collections import Counter
from datetime import datetime
from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import known
from diagnose.knowledge.logic.lessons import shares
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case.casefile import read_case
from diagnose.records.case.journal import EventKind
from diagnose.records.experience.sign_worth import sign_records
from diagnose.records.store.store import Store
from diagnose.records.store.summary import Filter, KnownComplaint
from tests.shipped import shipped_base

pytestmark = pytest.mark.xdist_group("hindsight")

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def shipped() -> Base:
    """The rule base as shipped."""
    return shipped_base()


@pytest.fixture(scope="module")
def worked(shipped: Base) -> list[KnownComplaint]:
    """Every sixth of the worked cases."""
    found = []
    for path in sorted((ROOT / "cases").glob("*.yaml"))[::6]:
        file, _ = read_case(path.name, path.read_text(encoding="utf-8"), shipped)
        assert file is not None
        for one in file.case.complaints:
            assert one.outcome is not None
            values = known(file.case.answers(one))
            found.append(
                KnownComplaint(path.stem, one.number, one.symptom, one.outcome.cause, values)
            )
    return found


def one_by_one(base: Base, complaints: list[KnownComplaint]) -> dict[tuple[str, str], tuple]:
    """The same sums from the differential of each complaint by itself."""
    reasoner, carried, misled, decibans = Reasoner(base), Counter(), Counter(), Counter()
    for one in complaints:
        found = reasoner.differential(AnsweredComplaint(one.symptom, one.values or {}))
        for standing in found.standings:
            for weight in standing.weights:
                if weight.sign is None or not weight.counts:
                    continue
                key = (str(weight.sign.when), standing.cause.id)
                toward = weight.decibans * (1 if standing.cause.id == one.cause else -1)
                (carried if toward > 0 else misled)[key] += 1
                decibans[key] += toward
    return {key: (carried[key], misled[key], round(its, 6)) for key, its in decibans.items()}


def test_by_arrays_as_case_by_case(shipped: Base, worked: list[KnownComplaint]) -> None:
    """Every sign of every cause: how often it carried, how often it misled, and by how much."""
    found = {
        (r.sign, r.cause): (r.carried, r.misled, round(r.decibans, 6))
        for r in sign_records(shipped, worked)
    }

    assert found == one_by_one(shipped, worked)
    assert any(misled for _, misled, _ in found.values())


def test_signs_that_carried_and_misled(base: Base) -> None:
    """For the true cause carries; for another one misleads."""
    seen = {"zone": "gap"}
    causes = ("gap_not_cleaned", "laid_cold", "laid_cold", "unlisted")
    said = [KnownComplaint(f"c{n}", 1, "edge_lifting", c, seen) for n, c in enumerate(causes)]
    (record,) = sign_records(base, said)

    assert (record.sign, record.says) == ("zone is gap", "Zone: in the gap")
    assert (record.cause, record.carried, record.misled) == ("gap_not_cleaned", 1, 3)
    assert record.decibans < 0


def test_a_sign_is_expected_to_carry_as_bayes_rule_has_it(base: Base) -> None:
    """Worth d decibans, it carries in so many as the share of the cause comes to by it."""
    ends = Counter(gap_not_cleaned=3, laid_cold=197)
    said = [
        KnownComplaint(f"c{n}", 1, "edge_lifting", c, {"zone": "gap"})
        for n, c in enumerate(ends.elements())
    ]
    (record,) = sign_records(base, said)
    causes = [cause.id for cause in base.behind("edge_lifting")]
    counted = (*(float(ends.get(cause, 0)) for cause in causes), 0.0)
    frequent = shares(base.priors("edge_lifting"), counted, base.scales.worth_cases)
    worth = 10 ** (-record.decibans / 194 / 10)

    assert record.expected == pytest.approx(200 * frequent[causes.index("gap_not_cleaned")] * worth)
    assert 3 < record.expected < 197


def test_answers_that_the_rule_base_no_longer_has_are_passed_over(base: Base) -> None:
    """Old records outlive the rule base that they were made with."""
    odd = {"zone": "crevice", "colour": "red", "film_class": Quantity(1, 2), "age_months": "old"}
    said = [
        KnownComplaint(
            "c1", 1, "edge_lifting", "laid_cold", {**odd, "panel_temp_c": Quantity(5, 5)}
        ),
        KnownComplaint("c2", 1, "a_symptom_of_old", "laid_cold", {"zone": "gap"}),
    ]

    assert sign_records(base, said) == ()


def _closed(store: Store, at: datetime) -> str:
    case_id = store.begin(at)
    store.append(case_id, at, EventKind.COMPLAINED, key="edge_lifting", text="bonnet")
    store.append(case_id, at, EventKind.ANSWERED, key="film_class", answer="cast_pvc")
    store.append(case_id, at, EventKind.ANSWERED, key="zone", answer="gap", complaint=1)
    store.append(case_id, at, EventKind.ANSWERED, key="age_months", answer=Quantity(3, 4.5))
    data = {"cause": "laid_cold", "confirmed_by": "log"}
    store.append(case_id, at, EventKind.CLOSED, complaint=1, data=data)
    return case_id


def test_what_was_answered_stands_beside_the_journal(store: Store, at: datetime) -> None:
    """It follows the journal: undone answers go, a reopened complaint is not known."""
    case_id = _closed(store, at)
    (one,) = store.known_complaints(Filter())
    assert one.values == known(store.case(case_id).answers(store.case(case_id).complaint(1)))
    assert one.values == {"film_class": "cast_pvc", "zone": "gap", "age_months": Quantity(3, 4.5)}
    store.append(case_id, at, EventKind.UNDONE, undoes=4)
    (one,) = store.known_complaints(Filter())
    assert "zone" not in (one.values or {})
    store.append(case_id, at, EventKind.REOPENED, complaint=1)
    assert store.known_complaints(Filter()) == ()


def test_records_of_an_earlier_version_tell_it_from_their_journal(
    store: Store, at: datetime
) -> None:
    """Where nothing stands beside the journal, the journal is read."""
    _closed(store, at)
    before = store.known_complaints(Filter())
    store._connection.execute("DELETE FROM known")

    assert store.known_complaints(Filter()) == before
