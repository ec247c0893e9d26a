"""The plan as blocks for lines: the steps, the money, who carries it, the car as a whole."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.report.content.plan_data import (
    CarriesReport,
    ComplaintPlanReport,
    PlannedStep,
    PlanReport,
    StepMoney,
)
from diagnose.report.formats.blocks import Block, Heading, Text, whole_percent
from diagnose.report.lines.items import item, listed


def complaint_plan(plan: ComplaintPlanReport, currency: str) -> Iterator[Block]:
    """The plan of one complaint: what first, what it costs, when to stop."""
    yield Heading(3, "Plan")
    for number, step in enumerate(plan.steps, 1):
        if step.shared_with and step.shared_with[0] != plan.number:
            yield from _as_above(number, step)
        else:
            yield from _step(number, step, currency)
    yield Text(plan.ending)
    if plan.stop_repairing:
        yield Text(plan.stop_repairing)
    if plan.not_the_cheapest:
        yield Text(plan.not_the_cheapest)
    if plan.starts:
        yield from _sum(plan, currency)
    for name, from_chance, chance in plan.thresholds:
        if from_chance < 1:
            yield item(
                f"{name} pays before a new piece if it holds in {whole_percent(from_chance)}"
                f" or more; here {whole_percent(chance)}"
            )
        else:
            yield item(f"{name} never pays before a new piece")


def _as_above(number: int, step: PlannedStep) -> Iterator[Block]:
    yield item(
        f"{step.name}, paid with complaint {step.shared_with[0]} (see there); {_chances(step)}",
        f"{number}.",
    )
    yield from _if_it_fails(step)


def _step(number: int, step: PlannedStep, currency: str) -> Iterator[Block]:
    money, shared = step.money, ""
    if step.shared_with:
        shared = f" for complaints {', '.join(map(str, step.shared_with))} together"
    yield item(
        f"{step.name}{shared}: {money.likely:.0f} {currency}{_ends(money)}; {_chances(step)}",
        f"{number}.",
    )
    parts = ", ".join(f"{name} {value:.0f}" for name, value in money.parts)
    yield Text(f"Made up of: {parts}.", "note")
    for words in (*money.film, *money.assumed):
        yield Text(f"{words[0].upper()}{words[1:]}.", "note")
    yield Text(
        f"Ready {step.time.ready}, {_days(step.time.working_days)}; check again"
        f" {step.time.check_again}. {step.look_again}",
        "note",
    )
    yield from _if_it_fails(step)


def _chances(step: PlannedStep) -> str:
    """How often a step ends the matter; of a later one, how often it is needed, and the sum."""
    ends = f"ends the matter in {whole_percent(step.holds)}"
    if step.reached == 1:
        return ends
    needed, over = whole_percent(step.reached), whole_percent(step.ended)
    return f"needed in {needed}, {ends}; over after it: {over}"


def _ends(money: StepMoney) -> str:
    """The low and the high end where they differ."""
    low, high = f"{money.low:.0f}", f"{money.high:.0f}"
    return f" ({low} to {high})" if low != high else ""


def _days(count: int) -> str:
    """Working days from the start in words."""
    if count == 0:
        return "on the day of the start"
    return f"{count} working {'day' if count == 1 else 'days'} from the start"


def _if_it_fails(step: PlannedStep) -> Iterator[Block]:
    causes = ", ".join(f"{name.lower()} {whole_percent(p)}" for name, p in step.if_it_fails)
    yield Text(f"If it does not hold, then most likely: {causes}.", "note")
    for name, factor in step.dearer:
        yield Text(f"Dearer by {factor - 1:.0%} where {name.lower()} failed before.", "note")
    for name, p, because in step.risks:
        yield Text(f"Risk, should it be {name.lower()} ({whole_percent(p)}): {because}", "note")


def _sum(plan: ComplaintPlanReport, currency: str) -> Iterator[Block]:
    terms = " + ".join(
        f"{p:.2f} × {money:.0f} ({name.lower()})" for name, p, money in plan.arithmetic
    )
    yield Text(f"{plan.average}: {plan.part:.0f} {currency} = {terms}.")
    if any(step.shared_with for step in plan.steps):
        yield Text(f"If it stood alone: {plan.expected:.0f} {currency} on average.")
    for name, cost, holds, expected in plan.other_starts:
        yield item(
            f"beginning with {name.lower()} ({cost:.0f}, holds in {whole_percent(holds)}):"
            f" {expected:.0f} {currency} on average"
        )


def after(plan: ComplaintPlanReport, under_film: bool) -> Iterator[Block]:
    """Matching, what to look for under the film, what a film takes of a blow.

    `under_film`: False where another complaint of the report has said it already.
    """
    if plan.match_reaches:
        yield Heading(3, "Will the new piece match")
        yield Text(plan.match_words)
        yield listed(says for says, _ in plan.match)
        if plan.nothing_shows:
            yield item(plan.nothing_shows)
        if plan.match_unknown:
            yield item(f"not known yet: {', '.join(plan.match_unknown[:5]).lower()}")
    if plan.under_film and under_film:
        yield Heading(3, "When the film comes off, look for")
        yield listed(
            says + (f" As a rule: {payer.lower()}." if payer else "")
            for says, payer in plan.under_film
        )
    if plan.impact:
        yield Heading(3, "After a blow")
        yield listed(says for says, _ in plan.impact)


def carries(its: CarriesReport) -> Iterator[Block]:
    """Who carries the cost, what would turn it, and the papers."""
    yield Text(its.says)
    yield listed(f"{side.name}: {whole_percent(side.probability)}" for side in its.sides)
    yield listed(f"would turn it: {words}" for words in its.would_turn)
    if its.papers:
        yield Heading(4, "Papers asked for")
        marks = {"at hand": "[x]", "to get": "[ ]", "not there": "[-]"}
        for says, hand in its.papers:
            yield item(f"{says} ({hand})", marks[hand])


def whole_car(plan: PlanReport) -> Iterator[Block]:
    """The car as a whole: cost, date, what is shared, what if, and the sheet for laying again."""
    yield Heading(2, "The car as a whole")
    if plan.example:
        yield Text(
            f"Reckoned with example figures ({plan.shop}), which are nobody's own: name your file"
            " with --shop."
        )
    yield Text(
        f"On average {plan.expected:.0f} {plan.currency} for a {plan.vehicle}. First steps begun"
        f" {plan.start}, ready {plan.ready} ({_days(plan.working_days)})."
    )
    for name, numbers, cost, reached in plan.shared:
        together = ", ".join(map(str, numbers))
        yield item(
            f"{name} serves complaints {together} and is paid once: {cost:.0f} {plan.currency}"
            f"{_needed(reached)}; each by itself would come to {plan.apart:.0f} in all"
        )
    yield from _suppositions(plan)
    yield from _laying(plan)


def _laying(plan: PlanReport) -> Iterator[Block]:
    """The sheet for laying again: what matters here, then the rest, by numbers of the work."""
    matters, rest = plan.sheet_by_weight
    if plan.sheet:
        yield Heading(2, "Laying it again")
    if matters:
        yield Heading(3, "What matters most here")
    for number, says, because, prevents in matters:
        keeps = f" It keeps away: {', '.join(prevents).lower()}."
        yield item(f"{says} {because}{keeps}", f"{number}.")
    if rest:
        yield Heading(3, "All other steps, in the order of the work")
    for number, says, because, _ in rest:
        yield item(f"{says} {because}", f"{number}.")


def _needed(reached: float) -> str:
    return "" if round(reached, 9) == 1 else f", needed in {whole_percent(reached)}"


def _suppositions(plan: PlanReport) -> Iterator[Block]:
    if plan.what_if:
        yield Heading(3, "What if")
    for its in plan.what_if:
        rest = "still to come " if "failed=" in its.words else ""
        ready = f", ready {its.ready}" if its.ready else ""
        yield item(
            f"{its.words}: {its.expected:.0f} {plan.currency} {rest}on average"
            f" ({its.difference:+.0f} against the plan){ready}"
        )
        for number, names in its.steps:
            steps = ", then ".join(name.lower() for name in names) or "stop and look further"
            yield Text(f"complaint {number}: {steps}", "note")
        for number, cause, p in its.causes:
            yield Text(f"complaint {number}, likeliest then: {cause} {whole_percent(p)}", "note")
