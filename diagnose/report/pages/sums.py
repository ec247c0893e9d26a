"""What the car costs on average, as a sum that whoever pays can add up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from diagnose.report.content.plan_data import (
    FURTHER,
    VISIT,
    ComplaintPlanReport,
    PlanReport,
)
from diagnose.report.formats.blocks import Block, Table
from diagnose.report.pages.wording import day, sentence
from diagnose.rounding import in_whole


class _Line(NamedTuple):
    """What is paid for, the chance that it is needed, and what it costs then."""

    name: str
    chance: float
    cost: float


def average(plan: PlanReport) -> Iterator[Block]:
    """What the car costs on average, to the whole unit of money; nothing for a single cost."""
    several = len(plan.complaints) > 1
    lines = list(_of_all(plan) if several else _of_one(plan))
    if len(lines) < 2:
        return
    parts = _whole_parts(lines)
    rows = [
        (line.name, _how_often(line, part), f"{line.cost:.0f}", f"{part}")
        for line, part in zip(lines, parts, strict=True)
    ]
    ready = f" First steps ready on {day(plan.ready)}." if several else ""
    yield Table(
        f"What it comes to on average, in {plan.currency}: each cost, counted as often as it is"
        f" needed.{ready}",
        ("What", "Needed in", "Cost", "Counts for"),
        (*rows, ("All together, on average", "", "", f"{sum(parts)}")),
        numbers=(1, 2, 3),
    )


def _of_one(plan: PlanReport) -> Iterator[_Line]:
    """The lines of a single complaint, each visit with what is done at it."""
    visit: _Line | None = None
    for line in (_Line(*term) for c in plan.complaints for term in c.arithmetic):
        if line.name == VISIT:
            visit = line
        elif visit and visit.chance == line.chance:
            yield _Line(f"{_named(line)}, with {VISIT}", line.chance, line.cost + visit.cost)
            visit = None
        else:
            yield line._replace(name=_named(line))
    if visit:
        yield visit._replace(name=_named(visit))


def _of_all(plan: PlanReport) -> Iterator[_Line]:
    """The lines of several: the steps of each, then the visit that serves all, then the rest."""
    visits, further = [], []
    for c in plan.complaints:
        for line in (_Line(*term) for term in c.arithmetic):
            if line.name == VISIT:
                visits.append(line)
            elif line.name == FURTHER:
                further.append(line)
            else:
                yield line._replace(name=f"{_serves(c, line)}. {_named(line)}")
    together = len(plan.complaints)
    for name, parts, by in (
        (f"{VISIT}, which serves all complaints", visits, together),
        (f"at one of the complaints: {FURTHER}", further, 1),
    ):
        chance = sum(part.chance for part in parts) / by
        if chance > 0:
            cost = sum(part.chance * part.cost for part in parts) / chance
            yield _Line(sentence(name)[:-1], chance, cost)


def _serves(plan: ComplaintPlanReport, line: _Line) -> str:
    """The complaints that a step mends at once, by number."""
    step = next((s for s in plan.steps if s.name == line.name), None)
    *others, last = (step and step.shared_with) or (plan.number,)
    return f"{', '.join(map(str, others))} and {last}" if others else f"{last}"


def _named(line: _Line) -> str:
    return sentence(line.name)[:-1]


def _whole_parts(lines: Sequence[_Line]) -> list[int]:
    """What each line counts for, in whole money that adds up.

    What is needed in every case counts for just what it costs; the others take up the rounding.
    """
    sure = [line.chance >= _NEARLY_ALL for line in lines]
    whole = sum(round(line.cost) for line, its in zip(lines, sure, strict=True) if its)
    left = round(sum(line.chance * line.cost for line in lines)) - whole
    parts = [line.chance * line.cost for line, its in zip(lines, sure, strict=True) if not its]
    others = iter(in_whole(parts, left))
    return [
        round(line.cost) if its else next(others) for line, its in zip(lines, sure, strict=True)
    ]


def _how_often(line: _Line, part: int) -> str:
    """How often it is needed, in as round a number as still gives what it counts for."""
    if line.chance >= _NEARLY_ALL:
        return "every case"
    for digits in (0, 1):
        count = round(100 * line.chance, digits)
        if count and abs(count / 100 * line.cost - part) < 1:
            return f"{count:g} of 100"
    return f"{round(100 * line.chance, 2):g} of 100"


_NEARLY_ALL = 0.995
