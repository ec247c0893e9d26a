"""How often the right cause is among the three most like cases, beside a count of equal fields.

Run: python -m tests.benchmarks.likeness
Leaving one out over the worked cases; a case counts where its cause is met at its symptom again.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.load import load
from diagnose.records.experience.nearness import (
    MOST,
    Near,
    PastComplaint,
    equal_fields,
    nearest,
)
from diagnose.records.experience.past import worked

ROOT = Path(__file__).resolve().parents[2]


Ranked = Callable[[PastComplaint, list[PastComplaint]], list[str]]


def by_weight(base: Base) -> Ranked:
    """Causes of the nearest by what answers weigh."""

    def ranked(one: PastComplaint, others: list[PastComplaint]) -> list[str]:
        near: tuple[Near, ...] = nearest(base, one.symptom, one.values, others)
        return [its.past.cause for its in near]

    return ranked


def by_count(one: PastComplaint, others: list[PastComplaint]) -> list[str]:
    """Causes of those with the most equal answers."""
    same = [other for other in others if other.symptom == one.symptom]
    same.sort(key=lambda other: (-equal_fields(one.values, other), other.case_id, other.number))
    return [other.cause for other in same[:MOST]]


def left_out(past: list[PastComplaint], ranked: Ranked) -> tuple[int, int, int]:
    """Right first, right among the three, of how many."""
    first = three = count = 0
    for one in past:
        others = [other for other in past if other.case_id != one.case_id]
        if any((o.symptom, o.cause) == (one.symptom, one.cause) for o in others):
            count += 1
            causes = ranked(one, others)
            first += causes[:1] == [one.cause]
            three += one.cause in causes
    return first, three, count


def main() -> None:
    """The table."""
    base = load(ROOT / "rules")
    past = list(worked(base, ROOT / "cases", base.symptoms))
    print("| nearness | right first | among three | of |\n| --- | ---: | ---: | ---: |")
    for name, ranked in (("by what answers weigh", by_weight(base)), ("equal fields", by_count)):
        first, three, count = left_out(past, ranked)
        print(
            f"| {name} | {first} ({first / count:.0%}) | {three} ({three / count:.0%}) | {count} |"
        )


if __name__ == "__main__":
    main()
