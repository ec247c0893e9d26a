"""The plan as lines of text or Markdown."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.report.content.plan_data import (
    CarriesReport,
    ComplaintPlanReport,
    PlannedStep,
    PlanReport,
    StepMoney,
)
from diagnose.report.style import Style

REACHES = {
    "piece": "The piece alone is enough.",
    "neighbours": "Replace up to the next body lines, with the neighbours.",
    "side": "Replace the whole side.",
    "vehicle": "Replace all of it.",
}


def complaint_lines(plan: ComplaintPlanReport, currency: str, style: Style) -> Iterator[str]:
    """The plan of one complaint: what first, what it costs, when to stop."""
    yield from style.heading(3, "Plan")
    for number, step in enumerate(plan.steps, 1):
        if step.shared_with and step.shared_with[0] != plan.number:
            yield from _as_above(number, step, style)
        else:
            yield from _step(number, step, currency, style)
    yield from style.line(plan.ending)
    if plan.stop_repairing:
        yield from style.line(plan.stop_repairing)
    if plan.not_the_cheapest:
        yield from style.line(plan.not_the_cheapest)
    if plan.starts:
        yield from _sum(plan, currency, style)
    for name, from_chance, chance in plan.thresholds:
        if from_chance < 1:
            yield from style.item(
                f"{name} pays before a new piece if it holds in {from_chance:.0%} or more;"
                f" here {chance:.0%}"
            )
        else:
            yield from style.item(f"{name} never pays before a new piece")


def _as_above(number: int, step: PlannedStep, style: Style) -> Iterator[str]:
    yield from style.item(
        f"{step.name}, paid with complaint {step.shared_with[0]} (see there); here needed in"
        f" {step.reached:.0%}, ends the matter in {step.holds:.0%} of those",
        f"{number}.",
    )
    yield from _if_it_fails(step, style)


def _step(number: int, step: PlannedStep, currency: str, style: Style) -> Iterator[str]:
    money, shared = step.money, ""
    if step.shared_with:
        shared = f" for complaints {', '.join(map(str, step.shared_with))} together"
    yield from style.item(
        f"{step.name}{shared}: {money.likely:.0f} {currency}{_ends(money)}, needed in"
        f" {step.reached:.0%}, ends the matter in {step.holds:.0%} of those; over after it:"
        f" {step.ended:.0%}",
        f"{number}.",
    )
    parts = ", ".join(f"{name} {value:.0f}" for name, value in money.parts)
    yield from style.line(f"Made up of: {parts}.", indent=3)
    for words in (*money.film, *money.assumed):
        yield from style.line(f"{words[0].upper()}{words[1:]}.", indent=3)
    yield from style.line(
        f"Ready {step.time.ready}, {_days(step.time.working_days)}; check again"
        f" {step.time.check_again}. {step.look_again}",
        indent=3,
    )
    yield from _if_it_fails(step, style)


def _ends(money: StepMoney) -> str:
    """The low and the high end where they differ."""
    low, high = f"{money.low:.0f}", f"{money.high:.0f}"
    return f" ({low} to {high})" if low != high else ""


def _days(count: int) -> str:
    """Working days from the start in words."""
    if count == 0:
        return "on the day of the start"
    return f"{count} working {'day' if count == 1 else 'days'} from the start"


def _if_it_fails(step: PlannedStep, style: Style) -> Iterator[str]:
    causes = ", ".join(f"{name.lower()} {p:.0%}" for name, p in step.if_it_fails)
    yield from style.line(f"If it does not hold, then most likely: {causes}.", indent=3)
    for name, factor in step.dearer:
        yield from style.line(
            f"Dearer by {factor - 1:.0%} where {name.lower()} failed before.", indent=3
        )
    for name, p, because in step.risks:
        yield from style.line(f"Risk, should it be {name.lower()} ({p:.0%}): {because}", indent=3)


def _sum(plan: ComplaintPlanReport, currency: str, style: Style) -> Iterator[str]:
    terms = " + ".join(
        f"{p:.2f} × {money:.0f} ({name.lower()})" for name, p, money in plan.arithmetic
    )
    yield from style.line(f"{plan.average}: {plan.part:.0f} {currency} = {terms}.")
    if any(step.shared_with for step in plan.steps):
        yield from style.line(f"If it stood alone: {plan.expected:.0f} {currency} on average.")
    for name, cost, holds, expected in plan.other_starts:
        yield from style.item(
            f"beginning with {name.lower()} ({cost:.0f}, holds in {holds:.0%}):"
            f" {expected:.0f} {currency} on average"
        )


def after_lines(plan: ComplaintPlanReport, style: Style, under_film: bool) -> Iterator[str]:
    """Matching, what to look for under the film, what a film takes of a blow.

    `under_film`: False where another complaint of the report has said it already.
    """
    if plan.match_reaches:
        yield from style.heading(3, "Will the new piece match")
        yield from style.line(REACHES[plan.match_reaches])
        for says, _ in plan.match:
            yield from style.item(says)
        if plan.nothing_shows:
            yield from style.item(plan.nothing_shows)
        if plan.match_unknown:
            yield from style.item(f"not known yet: {', '.join(plan.match_unknown[:5]).lower()}")
    if plan.under_film and under_film:
        yield from style.heading(3, "When the film comes off, look for")
        for says, payer in plan.under_film:
            yield from style.item(says + (f" As a rule: {payer.lower()}." if payer else ""))
    if plan.impact:
        yield from style.heading(3, "After a blow")
        for says, _ in plan.impact:
            yield from style.item(says)


def carries_lines(its: CarriesReport, style: Style) -> Iterator[str]:
    """Who carries the cost, what would turn it, and the papers."""
    yield from style.line(its.says)
    for side in its.sides:
        yield from style.item(f"{side.name}: {side.probability:.0%}")
    for words in its.would_turn:
        yield from style.item(f"would turn it: {words}")
    if its.papers:
        yield from style.heading(4, "Papers asked for")
        marks = {"at hand": "[x]", "to get": "[ ]", "not there": "[-]"}
        for says, hand in its.papers:
            yield from style.item(f"{says} ({hand})", marks[hand])


def plan_lines(plan: PlanReport, style: Style) -> Iterator[str]:
    """The car as a whole: cost, date, what is shared, what if, and the sheet for laying again."""
    yield from style.heading(2, "The car as a whole")
    if plan.example:
        yield from style.line(
            f"Reckoned with example figures ({plan.shop}), which are nobody's own: name your file"
            " with --shop."
        )
    yield from style.line(
        f"On average {plan.expected:.0f} {plan.currency} for a {plan.vehicle}. First steps begun"
        f" {plan.start}, ready {plan.ready} ({_days(plan.working_days)})."
    )
    for name, numbers, cost, reached in plan.shared:
        together = ", ".join(map(str, numbers))
        yield from style.item(
            f"{name} serves complaints {together} and is paid once: {cost:.0f} {plan.currency},"
            f" needed in {reached:.0%}; each by itself would come to {plan.apart:.0f} in all"
        )
    yield from _suppositions(plan, style)
    if plan.sheet:
        yield from style.heading(2, "Laying it again, in the order of the work")
    for number, (says, because, prevents) in enumerate(plan.sheet, 1):
        mark = f" Matters here: {', '.join(prevents).lower()}." if prevents else ""
        yield from style.item(f"{says} {because}{mark}", f"{number}.")


def _suppositions(plan: PlanReport, style: Style) -> Iterator[str]:
    if plan.what_if:
        yield from style.heading(3, "What if")
    for its in plan.what_if:
        rest = "still to come " if "failed=" in its.words else ""
        ready = f", ready {its.ready}" if its.ready else ""
        yield from style.item(
            f"{its.words}: {its.expected:.0f} {plan.currency} {rest}on average"
            f" ({its.difference:+.0f} against the plan){ready}"
        )
        for number, names in its.steps:
            steps = ", then ".join(name.lower() for name in names) or "stop and look further"
            yield from style.line(f"complaint {number}: {steps}", indent=3)
        for number, cause, p in its.causes:
            yield from style.line(f"complaint {number}, likeliest then: {cause} {p:.0%}", indent=3)
