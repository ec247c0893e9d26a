"""Remarks and complaints as shops write them: terse, with slips; what is read and what must not be.

The tables stand in `tests/data`. A remark gives answers that must be read (`check=answer`, or the
check alone where any answer will do), answers that must not, and whether it names something beside
how the film was made and laid.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.claims.mapping.remarks import Remarks, RemarkSays
from diagnose.knowledge.base import Base

DATA = Path(__file__).resolve().parents[1] / "data"


@pytest.fixture(scope="module")
def remarks(base: Base) -> Remarks:
    """The phrases of the shipped base."""
    return Remarks(base)


def rows(name: str) -> list[dict[str, str]]:
    """A table of remarks."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def listed(cell: str) -> Iterator[tuple[str, str]]:
    """Each check of a cell with its answer, '' where any will do."""
    for part in filter(None, (its.strip() for its in cell.split(";"))):
        check, _, answer = part.partition("=")
        yield check, answer


def reads(said: RemarkSays, check: str, answer: str) -> bool:
    """Whether an answer was read, or any answer of a check."""
    return (
        said.answers.get(check) == answer if answer else check in {**said.answers, **said.numbers}
    )


def test_remarks_of_shops_are_read(remarks: Remarks) -> None:
    """Nine in ten of what a remark says are read, and nothing of what it does not say."""
    table = rows("shop_remarks.csv")
    missed, wrong = [], []
    wanted = 0
    for row in table:
        said = remarks.read(row["remark"])
        wanted += len(list(listed(row["reads"])))
        missed += [(row["remark"], c) for c, a in listed(row["reads"]) if not reads(said, c, a)]
        wrong += [(row["remark"], c) for c, a in listed(row["not"]) if reads(said, c, a)]

    assert len(table) >= 150
    assert wrong == []
    assert len(missed) <= 0.06 * wanted, missed


def test_what_a_remark_names_from_outside_is_noticed(remarks: Remarks) -> None:
    """A lance, a knock, the hands of others: named or answered. Where nobody did, nothing is."""
    unnoticed, cried = [], []
    for row in rows("shop_remarks.csv"):
        said = remarks.read(row["remark"])
        named = bool(said.outside or said.later_owner)
        if row["outside"] and not named and not said.answers:
            unnoticed.append(row["remark"])
        if not row["outside"] and any(not its.checks and not its.symptoms for its in said.outside):
            cried.append(row["remark"])

    assert unnoticed == []
    assert cried == []


def test_complaints_of_shops_name_their_symptom(remarks: Remarks) -> None:
    """'edge up n/s door', 'gone chalky': the first symptom that is read is the one meant."""
    table = rows("shop_complaints.csv")
    missed = [
        (row["complaint"], said)
        for row in table
        if (said := remarks.read(row["complaint"]).symptoms[:1]) != (row["symptom"],)
    ]

    assert len(missed) <= 0.06 * len(table), missed


@pytest.mark.parametrize(
    ("remark", "named"),
    [
        ("forklift caught the door", True),
        ("no forklift in that yard", False),
        ("not sure if a forklift did it", True),
        ("lifting round fuel flap", False),
        ("picked up on friday by the customer", False),
        ("fitter laid it with clean glue", False),
    ],
)
def test_what_is_denied_and_what_names_a_place_is_nothing_from_outside(
    remarks: Remarks, remark: str, named: bool
) -> None:
    """A 'no' before it takes it back, a doubt does not; a fuel flap is no fuel."""
    assert bool(remarks.read(remark).outside) == named


def test_amounts_in_a_remark_are_read(remarks: Remarks) -> None:
    """Three days to the first wash, and no age: that is told by the days of the claim."""
    said = remarks.read("first wash after 3 days, film 5 months old")

    assert said.numbers["days_to_first_wash"].low == 3
    assert "age_months" not in said.numbers
