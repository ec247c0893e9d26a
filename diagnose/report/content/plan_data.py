"""The parts of a plan as a report says them: plain data in words and numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from diagnose.knowledge.model.shop import Shop
    from diagnose.reasoning.correction.roll import Size

VISIT = "another visit"
"""The words for what a further visit costs, as a term of a sum."""
FURTHER = "looking further, then what suits the cause that is found"
"""The words for what comes after all planned steps failed, as a term of a sum."""


@dataclass(frozen=True, slots=True)
class PlanTerms:
    """What a plan is reckoned with; `start` the moment from which it may begin."""

    shop: Shop
    start: datetime
    closed: frozenset[date] = frozenset()
    sizes: Mapping[int, Size] = field(default_factory=dict)
    vehicle: str = ""
    suppose: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StepMoney:
    """The likely cost of a step with its ends, and what it is made of."""

    likely: float
    low: float
    high: float
    parts: tuple[tuple[str, float], ...]
    film: tuple[str, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StepTime:
    """When a step is done; moments as ISO text to the minute."""

    slots: tuple[tuple[str, str, str], ...]
    ready: str
    working_days: int
    check_again: str

    @property
    def begun(self) -> str:
        """When it is begun; a step without working time is begun when it is ready."""
        return self.slots[0][1] if self.slots else self.ready


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """One step of the plan; chances as shares of one.

    `holds`: that it ends the matter, done now and by itself, as wherever else it is named.
    """

    id: str
    name: str
    money: StepMoney
    time: StepTime
    reached: float
    holds: float
    ended: float
    look_again: str
    if_it_fails: tuple[tuple[str, float], ...]
    dearer: tuple[tuple[str, float], ...]
    risks: tuple[tuple[str, float, str], ...]
    shared_with: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SideReport:
    """A possible payer with the evidence for and against it."""

    payer: str
    name: str
    probability: float
    on_file: tuple[str, ...]
    missing: tuple[str, ...]
    against: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CarriesReport:
    """Who carries the cost, in words; `no_cost`: nothing is at fault, so that nobody does."""

    verdict: str
    says: str
    sides: tuple[SideReport, ...]
    would_turn: tuple[str, ...]
    papers: tuple[tuple[str, str], ...]
    no_cost: bool = False


_REACHES = {
    "piece": "The piece alone is enough.",
    "neighbours": "Replace up to the next body lines, with the neighbours.",
    "side": "Replace the whole side.",
    "vehicle": "Replace all of it.",
}


@dataclass(frozen=True, slots=True)
class ComplaintPlanReport:
    """The plan of one complaint.

    `part`: its part of what the car costs on average, a shared remedy with the first complaint that
    it serves; `arithmetic`: the sum behind it, each as (what, chance, money); `expected`: the same
    if the complaint stood alone; `starts`: every possible first step with what it costs by itself
    and on average to the end; `nothing_shows`: what it costs that the new film does not show, where
    the plan lays less.
    """

    number: int
    steps: tuple[PlannedStep, ...]
    ended: float
    ending: str
    stop_repairing: str
    expected: float
    part: float
    arithmetic: tuple[tuple[str, float, float], ...]
    starts: tuple[tuple[str, float, float, float], ...]
    not_the_cheapest: str
    thresholds: tuple[tuple[str, float, float], ...]
    match: tuple[tuple[str, str], ...]
    match_reaches: str
    match_unknown: tuple[str, ...]
    nothing_shows: str
    under_film: tuple[tuple[str, str], ...]
    impact: tuple[tuple[str, str], ...]
    carries: CarriesReport

    @property
    def match_words(self) -> str:
        """How far a replacement must reach, in words; '' where the plan lays no film."""
        return _REACHES[self.match_reaches] if self.match_reaches else ""

    @property
    def other_starts(self) -> tuple[tuple[str, float, float, float], ...]:
        """The three best ways to begin that the plan does not take."""
        first = self.steps[0].name if self.steps else ""
        return tuple(start for start in self.starts if start[0] != first)[:3]

    @property
    def average(self) -> str:
        """What the sum of the arithmetic is: the complaint's own, or its part where one shares."""
        shared = next((step.shared_with for step in self.steps if step.shared_with), ())
        if not shared:
            return "On average"
        if shared[0] != self.number:
            return f"On average, beside what is paid with complaint {shared[0]}"
        return f"On average, with what is paid for complaints {', '.join(map(str, shared))}"

    @property
    def order(self) -> tuple[str, ...]:
        """The remedies by id, in the order of the plan."""
        return tuple(step.id for step in self.steps)


@dataclass(frozen=True, slots=True)
class WhatIfReport:
    """A supposition: what it costs then, the steps by complaint, and when the first are done."""

    words: str
    expected: float
    difference: float
    steps: tuple[tuple[int, tuple[str, ...]], ...]
    causes: tuple[tuple[int, str, float], ...]
    ready: str


Laying: TypeAlias = tuple[int, str, str, tuple[str, ...]]
"""A step of laying again: its number in the order of the work, what, why, what it keeps away."""


@dataclass(frozen=True, slots=True)
class PlanReport:
    """The plan of the car.

    `letterhead`: address and contact of the shop, none of an example.
    """

    shop: str
    example: bool
    note: str
    currency: str
    vehicle: str
    start: str
    complaints: tuple[ComplaintPlanReport, ...]
    shared: tuple[tuple[str, tuple[int, ...], float, float], ...]
    expected: float
    apart: float
    ready: str
    working_days: int
    sheet: tuple[tuple[str, str, tuple[str, ...]], ...]
    what_if: tuple[WhatIfReport, ...]
    letterhead: tuple[str, ...] = ()

    @property
    def sheet_by_weight(self) -> tuple[tuple[Laying, ...], tuple[Laying, ...]]:
        """The steps of laying again that the causes here make matter, then all others."""
        steps = [(n, *step) for n, step in enumerate(self.sheet, 1)]
        return tuple(s for s in steps if s[3]), tuple(s for s in steps if not s[3])

    @property
    def begun(self) -> str:
        """When the first step of any complaint is begun; the start where there is none."""
        firsts = [c.steps[0].time.begun for c in self.complaints if c.steps]
        return min(firsts, default=self.start)

    def opens_first(self, number: int) -> bool:
        """Whether this is the first complaint whose plan takes film off."""
        return number == next((c.number for c in self.complaints if c.under_film), None)

    def of(self, number: int) -> ComplaintPlanReport | None:
        """The plan of a complaint by its number; None for one that nothing listed fits."""
        return next((c for c in self.complaints if c.number == number), None)
