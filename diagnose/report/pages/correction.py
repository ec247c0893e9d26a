"""Technical pages of the correction: the steps, their plan, who carries it, laying again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import starmap

from diagnose.report.content.data import ComplaintReport, RemedyReport, Report
from diagnose.report.content.plan_data import (
    CarriesReport,
    ComplaintPlanReport,
    PlannedStep,
    PlanReport,
)
from diagnose.report.formats.blocks import (
    Bars,
    Block,
    Heading,
    Item,
    Items,
    Table,
    Text,
    whole_percent,
)
from diagnose.report.pages.setting import Setting
from diagnose.report.pages.technical import payments
from diagnose.report.pages.wording import day, money, sentence

SHOWN_STEPS = 4


def correction(c: ComplaintReport, report: Report, setting: Setting) -> Iterator[Block]:
    """What to do about a complaint, and what never."""
    yield Heading(3, "Correction")
    plan = report.plan.of(c.number) if report.plan else None
    if report.plan and plan:
        yield from _plan(plan, report.plan, setting)
    elif not c.correction:
        yield Text("No remedy is proposed: find the cause first.")
    planned = {s.id: s for s in plan.steps} if plan else {}
    for step in c.correction[:SHOWN_STEPS]:
        its = planned.get(step.id)
        if its and its.shared_with and its.shared_with[0] != c.number:
            yield Heading(4, step.name)
            yield Text(
                f"As for complaint {its.shared_with[0]}, with which it is done and paid. "
                f"{_holds(step)}"
            )
        else:
            yield from _step(step, its)
    yield from _never(c)
    if c.beside:
        yield Text(f"Besides: {', '.join(c.beside).lower()}.")
    if plan and report.plan:
        yield from _after(plan, report.plan.opens_first(c.number))


def _plan(plan: ComplaintPlanReport, car: PlanReport, setting: Setting) -> Iterator[Block]:
    yield from plan_table(plan, car, setting)
    yield Text(" ".join(w for w in (plan.ending, plan.stop_repairing, plan.not_the_cheapest) if w))
    if plan.starts and plan.arithmetic:
        yield from _sum(plan, car.currency)


def plan_table(plan: ComplaintPlanReport, car: PlanReport, setting: Setting) -> Iterator[Block]:
    """The steps of a plan in a table, with money and days for whom these are."""
    if plan.steps:
        rows = [_row(n, s, car.currency, setting) for n, s in enumerate(plan.steps, 1)]
        head = ("Step", "Needed in", "Ends it in", "Over after it")
        more = ("Cost", "Ready", "Look again") if setting.prices else ()
        yield Table(
            "The plan: the order of steps with the least cost on average",
            (*head, *more),
            tuple(rows),
            numbers=(1, 2, 3, 4) if setting.prices else (1, 2, 3),
        )


def _row(number: int, step: PlannedStep, currency: str, setting: Setting) -> tuple[str, ...]:
    chances = (_reached(step), whole_percent(step.holds), whole_percent(step.ended))
    shared = (
        f" (complaints {', '.join(map(str, step.shared_with))} together)"
        if step.shared_with
        else ""
    )
    more = (
        (money(step.money, currency), day(step.time.ready), day(step.time.check_again[:10]))
        if setting.prices
        else ()
    )
    return (f"{number}. {step.name}{shared}", *chances, *more)


def _reached(step: PlannedStep) -> str:
    """How often a step is needed: the first one always."""
    return "always" if step.reached == 1 else whole_percent(step.reached)


def _sum(plan: ComplaintPlanReport, currency: str) -> Iterator[Block]:
    terms = tuple(
        (name, f"{p:.2f}", f"{cost:.0f}", f"{p * cost:.0f}") for name, p, cost in plan.arithmetic
    )
    yield Table(
        f"{plan.average}: {plan.part:.0f} {currency}",
        ("Part", "Chance", f"Cost ({currency})", "Chance × cost"),
        terms,
        numbers=(1, 2, 3),
    )
    others = tuple(
        Item(f"Beginning with {name.lower()}:", f"{expected:.0f} {currency} on average.")
        for name, _, _, expected in plan.other_starts
    )
    if others:
        yield Items(others)
    yield from _thresholds(plan)


def _thresholds(plan: ComplaintPlanReport) -> Iterator[Block]:
    items = tuple(
        Item(
            words=f"{name} pays before a new piece if it holds in {whole_percent(needed)} or more;"
            f" here {whole_percent(chance)}."
            if needed < 1
            else f"{name} never pays before a new piece."
        )
        for name, needed, chance in plan.thresholds
    )
    if items:
        yield Items(items)


def _holds(step: RemedyReport) -> str:
    return f"Ends the matter in {whole_percent(step.holds)} of such cases."


def _step(step: RemedyReport, planned: PlannedStep | None) -> Iterator[Block]:
    yield Heading(4, step.name)
    yield Text(f"{step.hours}. {_holds(step)} Look again: {step.look_again} When: {step.applies}")
    yield Items(tuple(Item(words=words) for words in step.steps), numbered=True)
    if step.warning:
        yield Text(step.warning, "mind")
    notes = tuple(_notes(step, planned))
    if notes:
        yield Items(notes)


def _notes(step: RemedyReport, planned: PlannedStep | None) -> Iterator[Item]:
    if step.tools:
        yield Item("With:", sentence(", ".join(step.tools)))
    if step.reprint == "yes":
        yield Item("Print:", "the piece must be printed anew.")
    if planned is None:
        return
    if planned.money.parts:
        parts = "; ".join(f"{name}: {value:.0f}" for name, value in planned.money.parts)
        yield Item("Made up of:", sentence(parts))
    for words in (*planned.money.film, *planned.money.assumed):
        yield Item("Film:" if words in planned.money.film else "Assumed:", sentence(words))
    if planned.if_it_fails:
        then = ", ".join(f"{name.lower()} {whole_percent(p)}" for name, p in planned.if_it_fails)
        yield Item("If it does not hold:", f"then most likely {then}.")
    for name, factor in planned.dearer:
        yield Item("Dearer", f"by {factor - 1:.0%} where {name.lower()} failed before.")
    for name, p, because in planned.risks:
        yield Item("Risk:", f"should it be {name.lower()} ({whole_percent(p)}): {because}")


def _never(c: ComplaintReport) -> Iterator[Block]:
    """What not to do, each remedy once."""
    items = [Item(f"{name}.", because) for name, because in c.never]
    items += [
        Item(f"Should it be {cause.lower()}, then not: {name.lower()}.", because)
        for cause, name, because in c.should_it_be
    ]
    if items:
        yield Heading(4, "Do not")
        yield Items(tuple(items), kind="mind")


def _after(plan: ComplaintPlanReport, opens_first: bool) -> Iterator[Block]:
    if plan.match_reaches:
        yield Heading(4, "Will the new piece match")
        yield Text(plan.match_words)
        unknown = ", ".join(plan.match_unknown[:5]).lower()
        said = [*(says for says, _ in plan.match), *filter(None, [plan.nothing_shows])]
        items = [Item(words=says) for says in said]
        items += [Item("Not known yet:", sentence(unknown))] if unknown else []
        if items:
            yield Items(tuple(items))
    if plan.under_film and opens_first:
        yield Heading(4, "When the film comes off, look for")
        yield Items(tuple(_under(says, payer) for says, payer in plan.under_film))
    if plan.impact:
        yield Heading(4, "After a blow")
        yield Items(tuple(_under(says, payer) for says, payer in plan.impact))


def _under(says: str, payer: str) -> Item:
    return Item(words=says + (f" As a rule: {payer.lower()}." if payer else ""))


def responsibility(c: ComplaintReport, plan: PlanReport | None) -> Iterator[Block]:
    """Who carries the cost as far as the evidence goes, and the papers; nothing if not said."""
    its = plan.of(c.number) if plan else None
    blocks = [*(_carries(its.carries) if its else ()), *payments(c.payments)]
    if blocks:
        yield Heading(3, "Who carries the cost")
        yield from blocks


def _carries(its: CarriesReport) -> Iterator[Block]:
    if its.says:
        yield Text(its.says, "lead")
    if len(its.sides) > 1:
        rows = tuple((s.name, s.probability, "") for s in its.sides)
        yield Bars("Who may carry it, with the probability.", "Who", rows)
    if its.would_turn:
        yield Items(tuple(Item("Would turn it:", sentence(w)) for w in its.would_turn))
    if its.papers:
        yield Table("Papers asked for", ("Paper", "Where it is"), its.papers)


def whole_car(plan: PlanReport) -> Iterator[Block]:
    """Cost and date of the car, what is shared, and suppositions."""
    if plan.example:
        yield Text(
            f"Reckoned with example figures ({plan.shop}), which are nobody's own: name your file"
            " with --shop.",
            "mind",
        )
    yield Text(
        f"On average {plan.expected:.0f} {plan.currency} for a {plan.vehicle}. First steps begun"
        f" {day(plan.begun)}, ready {day(plan.ready)}."
    )
    shared = tuple(
        Item(
            f"{name}",
            f"serves complaints {', '.join(map(str, numbers))} and is paid once:"
            f" {cost:.0f} {plan.currency}, needed in {reached:.0%}.",
        )
        for name, numbers, cost, reached in plan.shared
    )
    if shared:
        yield Items(shared)
    if plan.what_if:
        yield Heading(3, "What if")
        yield Items(tuple(_what_if(plan)))


def _what_if(plan: PlanReport) -> Iterator[Item]:
    for its in plan.what_if:
        below = [
            f"Complaint {n}: {', then '.join(names).lower() or 'stop and look further'}."
            for n, names in its.steps
        ]
        below += [
            f"Complaint {n}, likeliest then: {c} {whole_percent(p)}." for n, c, p in its.causes
        ]
        rest = " still to come" if "failed=" in its.words else ""
        words = f"{its.expected:.0f} {plan.currency}{rest} ({its.difference:+.0f} against the plan)"
        words += f", ready {its.ready}." if its.ready else "."
        yield Item(f"{its.words}:", words, tuple(below))


def laying_sheet(plan: PlanReport) -> Iterator[Block]:
    """The steps of laying it again: what matters here first, by their numbers in the work."""
    matters, rest = plan.sheet_by_weight
    if matters:
        yield Heading(3, "What matters most here")
        yield Items(tuple(starmap(_matters, matters)))
    yield Heading(3, "All other steps, in the order of the work" if matters else "Step by step")
    yield Items(
        tuple(Item(f"{n}.", f"{says} {because}", mark=f"{n}.") for n, says, because, _ in rest),
        kind="small",
    )


def _matters(number: int, says: str, because: str, prevents: Sequence[str]) -> Item:
    return Item(f"{number}. {says}", f"{because} It keeps away: {', '.join(prevents).lower()}.")
