"""The whole report as blocks for lines: in short first, then each complaint, then the car."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.explanation.explain import Reason, weighty
from diagnose.reasoning.explanation.misfit import Misfit
from diagnose.reasoning.explanation.said import told
from diagnose.report.content.data import ComplaintReport, Payment, RemedyReport, Report
from diagnose.report.content.plan_data import PlanReport
from diagnose.report.formats.blocks import (
    Block,
    Document,
    Heading,
    Items,
    Pairs,
    Text,
    percent,
    whole_percent,
)
from diagnose.report.lines.items import alike, item, listed
from diagnose.report.lines.plan import after, carries, complaint_plan, whole_car
from diagnose.report.lines.short import in_short

SHOWN_STEPS = 4
"""Remedies shown with their steps."""


def document(report: Report) -> Document:
    """The report as a document whose lines stand close together."""
    versions = ", ".join(f"{name} {version}" for name, version in report.versions)
    return Document(
        title=f"Wrap diagnosis, case {report.case}",
        subject=f"Made {report.made}",
        made=report.made,
        foot=f"Made with {versions}",
        blocks=tuple(_parts(report)),
        tight=True,
    )


def _parts(report: Report) -> Iterator[Block]:
    yield Heading(2, "In short")
    yield from in_short(report)
    yield from everything(report)


def everything(report: Report) -> Iterator[Block]:
    """What stands behind the report in short."""
    if report.facts or report.circumstances:
        yield Heading(2, "Vehicle, film and job")
        yield Pairs("Facts of the case", report.facts, typed=True)
        yield listed(map(str, report.circumstances))
    if report.vehicle_wide:
        yield Heading(2, "At more than one place")
        yield listed(
            f"{name}: {whole_percent(p)}. It would explain several complaints at once."
            for name, p in report.vehicle_wide
        )
    for complaint in report.complaints:
        yield from _complaint(complaint, report.plan)
    if report.plan:
        yield from whole_car(report.plan)
    if report.defer:
        yield Heading(2, "Before any work")
        yield Text(report.defer)
    if report.learned:
        yield Heading(2, "Learned from closed cases")
        yield listed(report.learned)
    if report.like:
        yield Heading(2, "Closed cases like this one")
        for its in report.like:
            yield from alike(its)


def _complaint(c: ComplaintReport, car: PlanReport | None) -> Iterator[Block]:
    yield Heading(2, f"{c.number}. Complaint: {c.symptom}, {c.panel}")
    yield from _found(c)
    yield from _cause(c)
    plan = car.of(c.number) if car else None
    if car and plan:
        yield from complaint_plan(plan, car.currency)
    yield from _correction(c)
    if plan:
        yield from after(plan, under_film=car is None or car.opens_first(c.number))
    yield Heading(3, "Who carries the cost")
    if plan:
        yield from carries(plan.carries)
    for payment in c.payments[:2]:
        yield from _payment(payment)
    if not c.payments:
        yield Text("Undetermined: no cause stands out.")
    if c.prevention:
        yield Heading(3, "So that it does not happen again")
        yield Text(c.prevention)
    yield Heading(3, "What would change this")
    yield Text(c.would_change)
    if c.not_checked:
        yield Heading(3, "Not checked")
        yield listed(f"{u.name} ({u.minutes:g} min, {u.bits:.2f} bits)" for u in c.not_checked)
    if c.later:
        yield Heading(3, "To find out more")
        yield listed(c.later)


def _found(c: ComplaintReport) -> Iterator[Block]:
    """What was looked at, what was reckoned, and what of it does not fit."""
    yield Text(c.look)
    yield listed(map(str, c.answers))
    for m in c.measured:
        yield item(f"{m.name}: {m.says} (reckoned from {told(m.inputs)})", "=")
    for because, answers in c.contradictions:
        yield item(f"Two answers do not fit together ({told(answers)}). {because}", "!")
    for name, tells in c.rather:
        yield item(f"This may rather be {name.lower()}: {tells}", "!")


def _cause(c: ComplaintReport) -> Iterator[Block]:
    yield Heading(3, "Cause")
    yield Text(f"{c.cause} ({c.how_sure}, {whole_percent(c.probability)}; {c.origin})")
    yield Text(c.plainly)
    if c.mechanism:
        yield Text(c.mechanism)
    if c.misfit:
        yield from _misfit(c.misfit)
    if c.inseparable:
        yield Text(c.inseparable)
    yield from _reasons("For it", c.reasons_for)
    yield from _reasons("Against it", c.reasons_against)
    yield Heading(3, "What else it could be")
    yield listed(_others(c))


def _others(c: ComplaintReport) -> Iterator[str]:
    """The causes that do not lead, with their chances, and why not."""
    ranked = c.ranked if c.cause_id == UNLISTED else c.ranked[1:]
    yield from (f"{r.name}: {percent(r.probability)}" for r in ranked)
    yield f"something not listed here: {percent(c.unlisted)}"
    for other in c.why_not:
        name = other.name.lower()
        yield from (f"not {name}: {_reason(reason)}" for reason in other.against[:2])
        for failed in other.failed[: max(0, 2 - len(other.against))]:
            yield f"not {name}: wanted {failed.wanted}, seen {failed.seen}"
    for out in c.ruled_out:
        yield f"ruled out, {out.name.lower()}: {out.because} ({out.by})"


def _misfit(found: Misfit) -> Iterator[Block]:
    yield Text(found.says)
    if found.strays:
        yield Heading(4, "What fits least with the rest")
        yield listed(f"{stray.name}: {stray.words}" for stray in found.strays)
    yield Heading(4, "What to do now")
    yield listed(found.ways)


def _reasons(title: str, reasons: Sequence[Reason]) -> Iterator[Block]:
    counted, little = weighty(reasons)
    found = [*map(_reason, counted), *filter(None, (little,))]
    if found:
        yield Heading(4, title)
        yield listed(found)


def _reason(reason: Reason) -> str:
    source = ", ".join(s.replace("_", " ") for s in reason.source)
    return f"{reason.because} [{told(reason.seen)}; {reason.weighs}; {source}]"


def _correction(c: ComplaintReport) -> Iterator[Block]:
    yield Heading(3, "Correction")
    if not c.correction:
        yield Text("No remedy is proposed: find the cause first.")
    for number, step in enumerate(c.correction[:SHOWN_STEPS], 1):
        yield from _step(number, step)
    for name, because in c.never:
        yield item(f"Do not: {name.lower()}. {because}", "!")
    for cause, name, because in c.should_it_be:
        yield item(f"Should it be {cause.lower()}, then not: {name.lower()}. {because}", "!")
    yield listed(f"besides: {name.lower()}" for name in c.beside)
    if c.cautions:
        yield Heading(3, "Cautions")
        yield listed(map(str, c.cautions), "!")


def _step(number: int, step: RemedyReport) -> Iterator[Block]:
    yield item(
        f"{step.name}: {step.hours}; ends the matter in {whole_percent(step.holds)} of such"
        f" cases; look again: {step.look_again}",
        f"{number}.",
        step.steps,
    )
    if step.tools:
        yield Text(f"With: {', '.join(step.tools)}.", "note")
    if step.warning:
        yield Text(f"Mind: {step.warning}", "note")
    if step.reprint == "yes":
        yield Text("The piece must be printed anew.", "note")


def _payment(payment: Payment) -> Iterator[Items | Text]:
    rule = " as a rule" if payment.as_a_rule else ""
    yield Text(f"{payment.name}{rule}, if it is {payment.cause.lower()}: {payment.because}")
    yield listed((f"shown: {words}" for words in payment.on_file), "+")
    yield listed((f"missing: {words}" for words in payment.missing), "?")
    yield listed((f"to be judged by you: {words}" for words in payment.to_judge), "?")
    yield listed((f"speaks against: {words}" for words in payment.against), "!")
