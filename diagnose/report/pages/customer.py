"""The page for whoever owns the car: what was found, why, what now, what it costs, who pays."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.correction.verdict import Verdict
from diagnose.reasoning.explanation.said import Said
from diagnose.report.content.data import ComplaintReport, Report
from diagnose.report.content.plan_data import ComplaintPlanReport, PlannedStep, PlanReport
from diagnose.report.formats.blocks import Block, Heading, Item, Items, Pairs, Row, Text
from diagnose.report.pages import figures, sums
from diagnose.report.pages.wording import day, in_hundred, money, sentence


def page(report: Report, drawings: bool, titled: bool = False) -> Iterator[Block]:
    """All of the page; `drawings` False leaves the pictures out; `titled`: it has its own title."""
    if report.plan and report.plan.letterhead:
        yield Text(sentence(", ".join((report.plan.shop, *report.plan.letterhead))), "lead")
    head = tuple(_head(report))
    if head:
        yield Text(" ".join(head), "small")
    if drawings:
        yield from _pictures(report)
    told: dict[str, int] = {}
    for complaint in report.complaints:
        if not titled or len(report.complaints) > 1:
            yield Heading(2, f"{complaint.number}. {complaint.symptom}: {complaint.panel}")
        yield from _complaint(complaint, report.plan, told, drawings)
    if report.plan:
        yield from sums.average(report.plan)
    if report.plan and report.plan.example:
        yield Text(
            "Costs and dates are reckoned with example figures, not with those of your shop. They"
            " are no offer: ask the shop for its own.",
            "mind",
        )
    yield Heading(2, "Please mind")
    yield Items(tuple(_mind(report)), kind="small")
    yield Text(f"Read and talked over. Date: {_LINE} For the shop: {_LINE} Customer: {_LINE}")


_LINE = "_" * 16
_DAYS = {
    "laid on": "Film laid on {}.",
    "handed on": "Handed over on {}.",
    "seen on": "Looked at on {}.",
}


def _head(report: Report) -> Iterator[str]:
    """Of which car it is, and the days that matter."""
    facts = dict(report.facts)
    if facts.get("vehicle"):
        yield f"Your vehicle: {sentence(facts['vehicle'])}"
    yield from (said.format(day(facts[name])) for name, said in _DAYS.items() if facts.get(name))


def title(report: Report) -> str:
    """What the page is about, in words."""
    found = report.complaints[0] if len(report.complaints) == 1 else None
    return f"{found.symptom}: {_lower(found.panel)}" if found else "What we found on your wrap"


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
    c: ComplaintReport, plan: PlanReport | None, told: dict[str, int], drawings: bool
) -> Iterator[Block]:
    """A complaint in plain words; what a complaint before says too is not said again."""
    several = plan is not None and len(plan.complaints) > 1
    drawn = told.setdefault(f"drawing of {c.symptom_id}", c.number)
    picture = figures.symptom(c, 0.5) if drawings and several and drawn == c.number else None
    if picture:
        yield picture
    its = plan.of(c.number) if plan else None
    pairs = [
        ("What was found", _found(c)),
        ("Why", _why(c, told)),
        ("What will be done", _done(c, its, plan)),
    ]
    if c.cause_id == UNLISTED:
        pairs.append(("Cost and date", "Not reckoned before the cause is known."))
    elif plan and its:
        pairs += _cost(its, plan)
    else:
        pairs.append(("Cost and date", "Not reckoned yet: the shop names them."))
    pairs.append(("Who carries the cost", _carries(c, its)))
    yield Pairs(f"Complaint {c.number}", tuple(_once(pairs, c, told)))


def _found(c: ComplaintReport) -> str:
    """What was recorded at this place, as the record has it."""
    if not c.answers:
        return "Nothing beyond the complaint itself is on record."
    return " ".join(sentence(_not_twice(said)) for said in c.answers)


def _not_twice(said: Said) -> str:
    """What was looked at with its answer; the answer alone where it says both."""
    answer = said.words.casefold().split()
    name = said.name.casefold().split()
    twice = all(any(word.startswith(part[:4]) for word in answer) for part in name)
    return said.words if twice else str(said)


def _once(
    pairs: Sequence[tuple[str, str]], c: ComplaintReport, told: dict[str, int]
) -> list[tuple[str, str]]:
    """The pairs; what a complaint before says in the same words points back to it, in one line."""
    said: list[tuple[str, str]] = []
    again: dict[int, int] = {}
    for name, words in pairs:
        first = told.setdefault(words, c.number)
        if first == c.number or " complaint " in words or len(words) <= _SHORT:
            said.append((name, words))
        elif first in again:
            before, pointing = said[again[first]]
            said[again[first]] = f"{before}, {_lower(name)}", pointing
        else:
            again[first] = len(said)
            said.append((name, f"As for complaint {first}."))
    return said


_SHORT = 48
"""So many letters are said again rather than pointed back to."""


def _why(c: ComplaintReport, told: dict[str, int]) -> str:
    """The cause in plain words and how sure it is; a cause told before is pointed back to."""
    if c.cause_id == UNLISTED:
        return c.plainly
    sure = f"How sure this is: {c.how_sure}, {in_hundred(c.probability)} such cases."
    words, first = f"{c.plainly} {sure}", told.setdefault(c.plainly, c.number)
    return words if first == c.number or words in told else f"As for complaint {first}. {sure}"


_NOTHING_YET = "Nothing yet: first the cause is looked for."


def _done(c: ComplaintReport, plan: ComplaintPlanReport | None, of_all: PlanReport | None) -> str:
    if c.cause_id == UNLISTED:
        return _NOTHING_YET
    names = [s.name for s in plan.steps] if plan else [s.name for s in c.correction[:3]]
    if not names:
        return plan.ending if plan else _NOTHING_YET
    first = f"First: {_lower(names[0])}."
    if plan and of_all:
        first += _why_first(plan.steps, of_all.currency)
    if len(names) == 1:
        return first
    later = ", then ".join(map(_lower, names[1:]))
    chance = f" ({in_hundred(plan.steps[1].reached)} such cases)" if plan else ""
    return f"{first} Only if that does not hold{chance}: {later}."


def _why_first(steps: Sequence[PlannedStep], currency: str) -> str:
    """Why a step is tried first that fails more often than not; '' where it mostly holds."""
    if steps[0].holds >= _EVEN:
        return ""
    dearer = [s for s in steps[1:] if s.money.likely > steps[0].money.likely]
    against = f" and the next {dearer[0].money.likely:.0f} {currency}" if dearer else ""
    return (
        f" It holds in {in_hundred(steps[0].holds)} such cases only, and is tried first since it"
        f" costs {steps[0].money.likely:.0f} {currency}{against}: on average that is cheapest."
    )


_EVEN = 0.5


def _cost(plan: ComplaintPlanReport, of_all: PlanReport) -> list[tuple[str, str]]:
    if not plan.steps:
        return []
    step = plan.steps[0]
    if step.shared_with and step.shared_with[0] != plan.number:
        return [("Cost and date", f"Done and paid together with complaint {step.shared_with[0]}.")]
    whose = ", of the shop's own time" if plan.carries.no_cost else ""
    cost = f"First step: {money(step.money, of_all.currency)}{whose}."
    if step.shared_with:
        others = step.shared_with[1:]
        named = f"complaint{'s' if len(others) > 1 else ''} {' and '.join(map(str, others))}"
        cost += f" It mends {named} too, at no further cost."
    return [("What it costs", cost), ("When", _when(step))]


def _when(step: PlannedStep) -> str:
    begun, ready = day(step.time.begun), day(step.time.ready)
    same, _, clock = ready.partition(", ")
    until = clock if begun.startswith(same) and clock else ready
    return f"{begun} to {until}. Looked at again on {day(step.time.check_again[:10])}."


def _carries(c: ComplaintReport, plan: ComplaintPlanReport | None) -> str:
    """Who carries the cost as far as settled; the words of a plan where there is one."""
    verdict = plan.carries.verdict if plan else ""
    together = plan.steps[0].shared_with if plan and plan.steps else ()
    if together and together[0] != c.number:
        return f"Whoever carries complaint {together[0]}, with which it is mended."
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
