"""The page for whoever owns the car: what was found, why, what now, what it costs, who pays."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.reasoning.correction.verdict import Verdict
from diagnose.reasoning.evidence.weigh import UNLISTED
from diagnose.report.content.data import ComplaintReport, Report
from diagnose.report.content.plan_data import ComplaintPlanReport, PlannedStep, PlanReport
from diagnose.report.formats.blocks import Block, Heading, Item, Items, Pairs, Row, Text
from diagnose.report.pages import figures
from diagnose.report.pages.wording import day, in_hundred, money, sentence


def page(report: Report, drawings: bool) -> Iterator[Block]:
    """All of the page; `drawings` False leaves the pictures out."""
    if drawings:
        yield from _pictures(report)
    told: dict[str, int] = {}
    for complaint in report.complaints:
        yield from _complaint(complaint, report.plan, told)
    if report.plan and len(report.complaints) > 1:
        yield Text(
            f"All together: {report.plan.expected:.0f} {report.plan.currency} on average. First"
            f" steps ready on {day(report.plan.ready)}.",
            "lead",
        )
    if report.plan and report.plan.example:
        yield Text(
            "Costs and dates are reckoned with example figures, not with those of your shop. They"
            " are no offer: ask the shop for its own.",
            "mind",
        )
    yield Heading(2, "Please mind")
    yield Items(tuple(_mind(report)))


def _pictures(report: Report) -> Iterator[Block]:
    """The car, and for a single complaint what such a failure looks like."""
    single = len(report.complaints) == 1
    symptom = figures.symptom(report.complaints[0]) if single else None
    car = figures.car(report, wide=not symptom)
    if car and symptom:
        yield Row((car, symptom))
    elif car:
        yield car
    elif symptom:
        yield symptom


def _complaint(
    c: ComplaintReport, plan: PlanReport | None, told: dict[str, int]
) -> Iterator[Block]:
    """A complaint in plain words; what a complaint before says too is not said again."""
    yield Heading(2, f"{c.number}. {c.symptom}: {c.panel}")
    its = plan.of(c.number) if plan else None
    pairs = [
        ("What was found", c.look),
        ("Why", _why(c, told)),
        ("What will be done", _done(c, its)),
    ]
    if c.cause_id == UNLISTED:
        pairs.append(("Cost and date", "Not reckoned before the cause is known."))
    elif plan and its:
        pairs += _cost(its, plan)
    else:
        pairs.append(("Cost and date", "Not reckoned yet: the shop names them."))
    pairs.append(("Who carries the cost", _carries(c, its)))
    yield Pairs(f"Complaint {c.number}", tuple(_once(pairs, c, told)))


def _once(
    pairs: Sequence[tuple[str, str]], c: ComplaintReport, told: dict[str, int]
) -> Iterator[tuple[str, str]]:
    """The pairs; what a complaint before says in the same words is named in one line for it."""
    again: dict[int, list[str]] = {}
    for name, words in pairs:
        first = told.setdefault(words, c.number)
        if first == c.number or " complaint " in words:
            yield name, words
        else:
            again.setdefault(first, []).append(_lower(name))
    for first, names in again.items():
        yield f"As for complaint {first}", sentence(", ".join(names))


def _why(c: ComplaintReport, told: dict[str, int]) -> str:
    """The cause in plain words and how sure it is; a cause told before is pointed back to."""
    if c.cause_id == UNLISTED:
        return c.plainly
    sure = f"How sure this is: {c.how_sure}, {in_hundred(c.probability)} such cases."
    words, first = f"{c.plainly} {sure}", told.setdefault(c.plainly, c.number)
    return words if first == c.number or words in told else f"As for complaint {first}. {sure}"


_NOTHING_YET = "Nothing yet: first the cause is looked for."


def _done(c: ComplaintReport, plan: ComplaintPlanReport | None) -> str:
    if c.cause_id == UNLISTED:
        return _NOTHING_YET
    names = [s.name for s in plan.steps] if plan else [s.name for s in c.correction[:3]]
    if not names:
        return plan.ending if plan else _NOTHING_YET
    first = f"First: {names[0].lower()}."
    if len(names) == 1:
        return first
    later = ", then ".join(n.lower() for n in names[1:])
    chance = f" ({in_hundred(plan.steps[1].reached)} such cases)" if plan else ""
    return f"{first} Only if that does not hold{chance}: {later}."


def _cost(plan: ComplaintPlanReport, of_all: PlanReport) -> list[tuple[str, str]]:
    if not plan.steps:
        return []
    step = plan.steps[0]
    if step.shared_with and step.shared_with[0] != plan.number:
        return [("Cost and date", f"Done and paid together with complaint {step.shared_with[0]}.")]
    cost = f"First step: {money(step.money, of_all.currency)}."
    if len(plan.steps) > 1:
        cost += (
            f" With what may have to follow, such a case comes to"
            f" {plan.part:.0f} {of_all.currency} on average."
        )
    return [("What it costs", cost), ("When", _when(step))]


def _when(step: PlannedStep) -> str:
    return (
        f"Begun on {day(step.time.begun)}, ready {day(step.time.ready)}."
        f" Looked at again on {day(step.time.check_again[:10])}."
    )


def _carries(c: ComplaintReport, plan: ComplaintPlanReport | None) -> str:
    """Who carries the cost as far as settled; the words of a plan where there is one."""
    verdict = plan.carries.verdict if plan else ""
    if verdict == Verdict.SHARED and plan:
        return plan.carries.says
    if verdict == Verdict.UNDETERMINED or not c.payments:
        return "Not settled yet: what is known so far does not tell."
    first = c.payments[0]
    if verdict == Verdict.NAMED:
        return f"On what is known so far: {_lower(first.name)}. {first.because}"
    return f"Not settled yet. As a rule: {_lower(first.name)}. {first.because}"


def _lower(words: str) -> str:
    return words[:1].lower() + words[1:]


def _mind(report: Report) -> Iterator[Item]:
    """Cautions that concern the owner, each once; how it is looked after; rules that come first."""
    told = dict(pair for c in report.complaints for pair in c.for_owner)
    for name, words in told.items():
        yield Item(f"{name}.", words)
    if not report.plan:
        looks = dict.fromkeys(s.look_again for c in report.complaints for s in c.correction[:1])
        for words in looks:
            yield Item("Let it be looked at again.", words)
    if report.defer:
        yield Item("Rules that come first.", report.defer)
