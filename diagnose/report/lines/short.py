"""A report in short: complaint, cause, what to do now, what not, who pays, what to beware of.

As much as fits on one screen, for whoever reads no further. Everything else stands in the report.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.model.words import UNLISTED
from diagnose.report.content.data import ComplaintReport, Report
from diagnose.report.content.plan_data import ComplaintPlanReport, PlanReport
from diagnose.report.formats.blocks import Block, Document, Text, whole_percent
from diagnose.report.lines.items import item, listed

SHOWN = 3
"""Things not to do, and cautions, that are told in short."""


def short(report: Report, further: str) -> Document:
    """The report in short as a document; `further` says how everything else is read."""
    return Document(
        title=f"Wrap diagnosis, case {report.case}",
        subject=f"Made {report.made}",
        made=report.made,
        foot=further,
        blocks=tuple(in_short(report)),
        tight=True,
    )


def in_short(report: Report) -> Iterator[Block]:
    """What joins the complaints, the conclusion of each, and what to beware of."""
    yield from one_cause(report)
    said: set[str] = set()
    for complaint in report.complaints:
        yield from _complaint(complaint, report.plan, said)
    yield listed(_cautions(report), "!")


def one_cause(report: Report) -> Iterator[Block]:
    """That several complaints have one cause, where the same one leads in them."""
    led: dict[str, list[int]] = {}
    for c in report.complaints:
        if c.settled:
            led.setdefault(c.cause, []).append(c.number)
    for cause, numbers in led.items():
        if len(numbers) > 1:
            said = "both" if len(numbers) == len(report.complaints) == 2 else _numbers(numbers)
            yield Text(f"One cause for {said}: {cause}.")


def _numbers(numbers: list[int]) -> str:
    return f"complaints {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"


def _complaint(c: ComplaintReport, car: PlanReport | None, said: set[str]) -> Iterator[Block]:
    """A complaint's conclusion, the plan's where there is one; nothing that was `said` already."""
    plan = car.of(c.number) if car else None
    yield Text(f"{c.symptom}, {c.panel}: {c.cause} ({c.how_sure}, {whole_percent(c.probability)}).")
    yield from (Text(words) for words in _new(c.plainly, said))
    if c.inseparable:
        yield from (Text(words) for words in _new(_sentences(c.inseparable, 1), said))
    named = plan and c.cause_id != UNLISTED
    cost = f"Cost: {plan.carries.says}" if plan and named else _payer(c)
    yield listed([f"Now: {_now(c, plan)}"])
    never = list(dict.fromkeys(name.lower() for name, _ in c.never))
    if never:
        more = f"; {len(never) - SHOWN} more" if len(never) > SHOWN else ""
        yield item(f"Do not: {'; '.join(never[:SHOWN])}{more}.", "!")
    yield listed(_new(cost, said))


def _new(words: str, said: set[str]) -> Iterator[str]:
    """Words that another complaint has not said already."""
    if words not in said:
        said.add(words)
        yield words


def _now(c: ComplaintReport, plan: ComplaintPlanReport | None) -> str:
    """The first steps of the repair; before a cause can be named, the next check."""
    if c.misfit:
        again = " and ".join(s.name for s in c.misfit.strays[:2]) or "what it is"
        return f"look again at {again}; repair nothing yet."
    if not c.settled and c.not_checked:
        check = c.not_checked[0]
        return f"the next check, {check.name} ({check.minutes:g} min), before any repair."
    return _steps(c, plan)


def _steps(c: ComplaintReport, plan: ComplaintPlanReport | None) -> str:
    """The first step, its time, how often it holds and when that shows; and the one after it."""
    known = {step.name: step for step in c.correction}
    names = [step.name for step in (plan.steps if plan else c.correction)]
    if not names:
        return "find the cause first."
    first = known.get(names[0])
    told = f" ({first.hours}; holds in {whole_percent(first.holds)})" if first else ""
    again = f" Look again: {_lower(first.look_again)}" if first else ""
    then = f" If that fails: {names[1].lower()}." if plan and len(names) > 1 else ""
    return f"{names[0]}{told}.{again}{then}"


def _lower(words: str) -> str:
    return words[:1].lower() + words[1:]


def _payer(c: ComplaintReport) -> str:
    if not c.payments or not c.settled:
        return "Cost: undetermined, no cause stands out."
    first = c.payments[0]
    return f"Cost: {first.name}{' as a rule' if first.as_a_rule else ''}."


def _cautions(report: Report) -> Iterator[str]:
    """The cautions that matter most, in a sentence each, the first in two.

    First what is dangerous as it stands, then what the first step of each complaint calls for, in
    the order in which its remedy names them.
    """
    say = {name: words for c in report.complaints for name, words in c.cautions}
    now = [name for c in report.complaints for name in c.as_it_is]
    work = [n for c in report.complaints for step in _first(c, report) for n in step]
    ranked = dict.fromkeys([*now[:1], *work, *now[1:]])
    for name in [name for name in ranked if name in say][:SHOWN]:
        yield f"{name}: {_sentences(say[name], 2 if name in now[:1] else 1)}"


def _first(c: ComplaintReport, report: Report) -> Iterator[tuple[str, ...]]:
    """The cautions of a complaint's first step; none while nothing is to be repaired."""
    plan = report.plan.of(c.number) if report.plan else None
    order = plan.order if plan else tuple(step.id for step in c.correction)
    if order and not c.misfit:
        yield from (step.cautions for step in c.correction if step.id == order[0])


def _sentences(words: str, count: int) -> str:
    """The first sentences of a text."""
    first = words.split(". ")[:count]
    return f"{'. '.join(first).rstrip('.')}."
