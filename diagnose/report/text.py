"""A report as plain text or Markdown: the same lines, with or without marks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict
from typing import Any

from diagnose.reasoning.evidence.weigh import UNLISTED
from diagnose.reasoning.explanation.misfit import Misfit
from diagnose.report.content.data import ComplaintReport, Payment, Report, Step
from diagnose.report.content.plan_data import ComplaintPlanReport, PlanReport
from diagnose.report.plan_text import after_lines, carries_lines, complaint_lines, plan_lines
from diagnose.report.style import WIDTH, Style, clean

__all__ = ["Style", "clean", "data", "markdown", "text"]


def text(
    report: Report, width: int = WIDTH, change: Callable[[str], str] = str, titled: bool = True
) -> str:
    """The report for a terminal or a plain file; `change` puts it into a reader's units."""
    style = Style(False, width, change)
    lines = [*(_title(report, style) if titled else ()), *_lines(report, style)]
    return "\n".join(lines).strip() + "\n"


def markdown(report: Report, change: Callable[[str], str] = str) -> str:
    """The report as Markdown."""
    style = Style(True, 0, change)
    return "\n".join([*_title(report, style), *_lines(report, style)]).strip() + "\n"


def data(report: Report) -> dict[str, Any]:
    """The report as JSON says it."""
    return asdict(report)


def _title(report: Report, style: Style) -> Iterator[str]:
    yield from style.heading(1, f"Wrap diagnosis, case {report.case}")
    yield from style.line(f"Made {report.made}.")


def _lines(report: Report, style: Style) -> Iterator[str]:
    yield from style.heading(2, "In short")
    for complaint in report.complaints:
        yield from _short(complaint, style, report.plan)
    if report.facts or report.circumstances:
        yield from style.heading(2, "Vehicle, film and job")
    for name, words in report.facts:
        yield from style.typed(f"{name}: {words}")
    for name, words in report.circumstances:
        yield from style.item(f"{name}: {words}")
    if report.vehicle_wide:
        yield from style.heading(2, "On the whole vehicle")
        for name, p in report.vehicle_wide:
            yield from style.item(f"{name}: {p:.0%}. It would explain several complaints at once.")
    for complaint in report.complaints:
        yield from _complaint(complaint, style, report.plan)
    if report.plan:
        yield from plan_lines(report.plan, style)
    yield from style.heading(2, "Before any work")
    yield from style.line(report.defer)
    if report.learned:
        yield from style.heading(2, "Learned from closed cases")
        for line in report.learned:
            yield from style.item(line)
    versions = ", ".join(f"{name} {version}" for name, version in report.versions)
    yield from ["", *style.line(f"Made with {versions}.")]


def _short(c: ComplaintReport, style: Style, car: PlanReport | None) -> Iterator[str]:
    """A complaint's conclusion for somebody who reads no further; the plan's where there is one."""
    plan = car.of(c.number) if car else None
    yield from style.line(f"{c.symptom}, {c.panel}: {c.cause} ({c.how_sure}, {c.probability:.0%}).")
    yield from style.line(c.plainly)
    yield from style.item(f"To do: {_to_do(c, plan)}")
    named = plan and c.cause_id != UNLISTED
    yield from style.item(f"Cost: {plan.carries.says}" if plan and named else _payer(c))
    never = list(dict.fromkeys(name.lower() for name, _ in c.never))
    if never:
        yield from style.item(f"Do not: {'; '.join(never)}.", "!")


def _to_do(c: ComplaintReport, plan: ComplaintPlanReport | None) -> str:
    """The first step of the repair; before a cause can be named, the next check."""
    if c.misfit:
        again = " and ".join(s.name for s in c.misfit.strays[:2]) or "what it is"
        return f"look again at {again}; repair nothing yet."
    if not c.settled and c.not_checked:
        check = c.not_checked[0]
        return f"the next check, {check.name} ({check.minutes:g} min), before any repair."
    return f"{_first_step(c, plan)}."


def _first_step(c: ComplaintReport, plan: ComplaintPlanReport | None) -> str:
    hours = {step.name: f" ({step.hours})" for step in c.correction}
    names = [step.name for step in (plan.steps if plan else c.correction)]
    return f"{names[0]}{hours.get(names[0], '')}" if names else "find the cause first"


def _payer(c: ComplaintReport) -> str:
    if not c.payments or not c.settled:
        return "Cost: undetermined, no cause stands out."
    first = c.payments[0]
    return f"Cost: {first.name}{' as a rule' if first.as_a_rule else ''}."


def _complaint(c: ComplaintReport, style: Style, plan: PlanReport | None) -> Iterator[str]:
    yield from style.heading(2, f"{c.number}. Complaint: {c.symptom}, {c.panel}")
    yield from style.line(c.look)
    for name, words in c.answers:
        yield from style.item(f"{name}: {words}")
    for m in c.measured:
        taken = "; ".join(f"{name}: {words}" for name, words in m.inputs)
        yield from style.item(f"{m.name}: {m.says} (reckoned from {taken})", "=")
    yield from _warnings(c, style)
    yield from _cause(c, style)
    its = plan.of(c.number) if plan else None
    if plan and its:
        yield from complaint_lines(its, plan.currency, style)
    yield from _corrections(c, style)
    if its:
        yield from after_lines(its, style, under_film=plan is None or plan.opens_first(c.number))
    yield from style.heading(3, "Who carries the cost")
    if its:
        yield from carries_lines(its.carries, style)
    for payment in c.payments[:2] or ():
        yield from _payment(payment, style)
    if not c.payments:
        yield from style.line("Undetermined: no cause stands out.")
    if c.prevention:
        yield from style.heading(3, "So that it does not happen again")
        yield from style.line(c.prevention)
    yield from style.heading(3, "What would change this")
    yield from style.line(c.would_change)
    if c.not_checked:
        yield from style.heading(3, "Not checked")
        for u in c.not_checked:
            yield from style.item(f"{u.name} ({u.minutes:g} min, {u.bits:.2f} bits)")


def _warnings(c: ComplaintReport, style: Style) -> Iterator[str]:
    for because, answers in c.contradictions:
        seen = "; ".join(f"{name}: {words}" for name, words in answers)
        yield from style.item(f"Two answers do not fit together ({seen}). {because}", "!")
    for name, tells in c.rather:
        yield from style.item(f"This may rather be {name.lower()}: {tells}", "!")


def _cause(c: ComplaintReport, style: Style) -> Iterator[str]:
    yield from style.heading(3, "Cause")
    yield from style.line(f"{c.cause} ({c.how_sure}, {c.probability:.0%}; {c.origin})")
    yield from style.line(c.plainly)
    if c.mechanism:
        yield from style.line(c.mechanism)
    if c.misfit:
        yield from _misfit(c.misfit, style)
    yield from _reasons("For it", c.reasons_for, style)
    yield from _reasons("Against it", c.reasons_against, style)
    yield from style.heading(3, "What else it could be")
    for r in c.ranked[c.cause_id != UNLISTED :]:
        yield from style.item(f"{r.name}: {r.probability:.1%}")
    yield from style.item(f"something not listed here: {c.unlisted:.1%}")
    for other in c.why_not:
        for reason in other.against[:2]:
            yield from style.item(f"not {other.name.lower()}: {_reason(reason)}")
        for failed in other.failed[: max(0, 2 - len(other.against))]:
            name, words = failed.seen
            yield from style.item(
                f"not {other.name.lower()}: wanted {failed.wanted}, seen {name}: {words}"
            )
    for out in c.ruled_out:
        yield from style.item(
            f"ruled out, {out.name.lower()}: {out.because} ({out.by[0]}: {out.by[1]})"
        )


def _misfit(found: Misfit, style: Style) -> Iterator[str]:
    yield from style.line(found.says)
    if found.strays:
        yield from style.heading(4, "What fits least with the rest")
    for stray in found.strays:
        yield from style.item(f"{stray.name}: {stray.words}")
    yield from style.heading(4, "What to do now")
    for way in found.ways:
        yield from style.item(way)


def _reasons(title: str, reasons: Iterable[Any], style: Style) -> Iterator[str]:
    found = [r for r in reasons if r.counted]
    if found:
        yield from style.heading(4, title)
    for reason in found:
        yield from style.item(_reason(reason))


def _reason(reason: Any) -> str:
    seen = "; ".join(f"{name}: {words}" for name, words in reason.seen)
    source = ", ".join(s.replace("_", " ") for s in reason.source)
    return f"{reason.because} [{seen}; {reason.strength} {reason.decibans:+.1f} dB; {source}]"


def _corrections(c: ComplaintReport, style: Style) -> Iterator[str]:
    yield from style.heading(3, "Correction")
    if not c.correction:
        yield from style.line("No remedy is proposed: find the cause first.")
    for number, step in enumerate(c.correction[:4], 1):
        yield from _step(number, step, style)
    for name, because in c.never:
        yield from style.item(f"Do not: {name.lower()}. {because}", "!")
    for cause, name, because in c.should_it_be:
        yield from style.item(
            f"Should it be {cause.lower()}, then not: {name.lower()}. {because}", "!"
        )
    for name in c.beside:
        yield from style.item(f"besides: {name.lower()}")
    if c.cautions:
        yield from style.heading(3, "Cautions")
    for name, say in c.cautions:
        yield from style.item(f"{name}: {say}", "!")


def _step(number: int, step: Step, style: Style) -> Iterator[str]:
    yield from style.item(
        f"{step.name}: {step.hours}; ends the matter in {step.success_percent:.0f} of 100 such"
        f" cases; look again: {step.look_again}",
        f"{number}.",
    )
    for words in step.steps:
        yield from (
            style.line(words, indent=3) if not style.markdown else [f"   - {style.safe(words)}"]
        )
    if step.tools:
        yield from style.line(f"With: {', '.join(step.tools)}.", indent=3)
    if step.warning:
        yield from style.line(f"Mind: {step.warning}", indent=3)
    if step.reprint == "yes":
        yield from style.line("The piece must be printed anew.", indent=3)


def _payment(payment: Payment, style: Style) -> Iterator[str]:
    rule = " as a rule" if payment.as_a_rule else ""
    yield from style.line(
        f"{payment.name}{rule}, if it is {payment.cause.lower()}: {payment.because}"
    )
    for words in payment.on_file:
        yield from style.item(f"on file: {words}", "+")
    for words in payment.missing:
        yield from style.item(f"missing: {words}", "?")
    for words in payment.to_judge:
        yield from style.item(f"to be judged by you: {words}", "?")
    for words in payment.against:
        yield from style.item(f"speaks against: {words}", "!")
