"""Technical pages of a complaint: the evidence, what was ruled out, what was reckoned."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.reasoning.explanation.explain import Reason, weighty
from diagnose.reasoning.explanation.reckoned import Measured
from diagnose.reasoning.explanation.said import Said, told
from diagnose.records.experience.nearness import LikeThis
from diagnose.report.content.data import ComplaintReport, Payment, Report, WhyNot
from diagnose.report.formats.blocks import (
    Bars,
    Block,
    Heading,
    Item,
    Items,
    Pairs,
    Table,
    Text,
    percent,
    whole_percent,
)
from diagnose.report.pages.setting import Setting
from diagnose.report.pages.wording import decibans, says, sentence, sources, weight


def car(report: Report) -> Iterator[Block]:
    """The car and its wrap, and what closed cases have to say of it."""
    if report.facts:
        facts = tuple((name.capitalize(), words) for name, words in report.facts)
        yield Pairs("Facts of the case", facts, typed=True)
    if report.circumstances:
        yield Heading(3, "Answers that hold for the whole car")
        yield Pairs("Answers for the whole car", report.circumstances)
    if report.vehicle_wide:
        yield Heading(3, "At more than one place")
        for name, share in report.vehicle_wide:
            yield Text(
                f"{name}: {whole_percent(share)}. It would explain several complaints at once."
            )
    if report.learned:
        yield Heading(3, "What this shop's own closed cases changed")
        yield Items(tuple(Item(words=words) for words in report.learned))
    if report.like:
        yield Heading(3, "Closed cases like this one")
        for its in report.like:
            yield from _like(its)


def _like(its: LikeThis) -> Iterator[Block]:
    """Closed complaints most like one, each with how it ended, what is alike and what differs."""
    yield Heading(4, its.heading)
    yield Items(
        tuple(
            Item(f"{case.name}:", case.ended, tuple(filter(None, (case.alike, case.differing))))
            for case in its.cases
        )
    )
    if its.doubt:
        yield Text(its.doubt, "mind")


def complaint(c: ComplaintReport, setting: Setting) -> Iterator[Block]:
    """What was found and why."""
    yield Text(c.look)
    if c.answers:
        yield Heading(3, "What was looked at")
        yield Pairs(f"Answers for complaint {c.number}", c.answers)
    yield from doubts(c)
    yield from cause(c, setting)
    yield from measured(c.measured, setting)
    yield from others(c)


def doubts(c: ComplaintReport) -> Iterator[Block]:
    """Answers that do not fit together, and what the fault may be instead."""
    if c.contradictions:
        yield Heading(3, "Answers that do not fit together")
        yield Items(
            tuple(Item(f"{told(answers)}.", because) for because, answers in c.contradictions),
            kind="mind",
        )
    if c.rather:
        yield Heading(3, "This may rather be another kind of failure")
        yield Items(tuple(Item(f"{name}.", tells) for name, tells in c.rather), kind="mind")


def _misfit(c: ComplaintReport) -> Iterator[Block]:
    if c.misfit:
        yield Text(c.misfit.says, "mind")
        if c.misfit.strays:
            yield Heading(4, "What fits least with the rest")
            yield Items(tuple(Item(f"{s.name}: {s.words}.", s.mistake) for s in c.misfit.strays))
        yield Heading(4, "What to do now")
        yield Items(tuple(Item(way, "") for way in c.misfit.ways))


def cause(c: ComplaintReport, setting: Setting) -> Iterator[Block]:
    """The cause with its probability, the others beside it, and the evidence."""
    yield Heading(3, f"Cause: {c.cause}")
    yield Text(f"{percent(c.probability)}, {c.how_sure}. Origin: {c.origin}.", "lead")
    yield Text(c.plainly)
    if c.mechanism:
        yield Text(c.mechanism)
    yield from _misfit(c)
    if c.inseparable:
        yield Text(c.inseparable, "mind")
    rows = tuple((r.name, r.probability, decibans(r.decibans)) for r in c.ranked)
    yield Bars(
        "Causes with their probability; behind it, what the evidence weighs against the share"
        " that each had before any of it.",
        "Cause",
        (*rows, ("Something not listed here", c.unlisted, "")),
    )
    yield from _evidence("Evidence for it", c.reasons_for, setting)
    yield from _evidence("Evidence against it", c.reasons_against, setting)


def _evidence(title: str, reasons: Sequence[Reason], setting: Setting) -> Iterator[Block]:
    counted, little = weighty(reasons)
    if counted or little:
        yield Heading(4, title)
    if counted:
        yield Table(
            "Weight in decibans (dB): 3 dB make the odds twice, 10 dB ten times as high.",
            ("What was seen", "What it says", "Weight", "Source"),
            tuple(_reason(r, setting) for r in counted),
            numbers=(2,),
        )
    if little:
        yield Text(little, "small")
    rest = [f"{says(r)[:-1]} ({told(r.seen)})" for r in reasons if not r.counted]
    if rest:
        listed = " ".join(map(sentence, rest))
        yield Text(f"Not counted, since something stronger sees the same: {listed}", "small")


def _reason(reason: Reason, setting: Setting) -> tuple[str, ...]:
    return (
        told(reason.seen),
        says(reason),
        weight(reason),
        sources(reason.source, setting.citations),
    )


def measured(found: Sequence[Measured], setting: Setting) -> Iterator[Block]:
    """What was reckoned from readings, and from which."""
    if not found:
        return
    yield Heading(4, "What was reckoned")
    yield Table(
        "Measures with what they were reckoned from",
        ("Measure", "Result", "Reckoned from", "Source"),
        tuple(
            (m.name, m.says, told(m.inputs), sources(m.source, setting.citations)) for m in found
        ),
    )


def others(c: ComplaintReport) -> Iterator[Block]:
    """Why not another cause, what was ruled out, and what is open."""
    against = tuple(item for other in c.why_not for item in _why_not(other))
    if against:
        yield Heading(4, "Why not another cause")
        yield Items(against)
    if c.ruled_out:
        yield Heading(4, "Ruled out")
        yield Items(tuple(_ruled_out(c)))
    yield Heading(4, "What would change this")
    yield Text(c.would_change)
    if c.not_checked:
        yield Heading(4, "Not checked")
        yield Table(
            "What each of them takes, and tells at best",
            ("Check", "Minutes", "Would tell (bits)"),
            tuple((u.name, f"{u.minutes:g}", f"{u.bits:.2f}") for u in c.not_checked),
            numbers=(1, 2),
        )
    if c.later:
        yield Heading(4, "To find out more")
        yield Items(tuple(Item(words=line) for line in c.later))


def _why_not(other: WhyNot) -> Iterator[Item]:
    said = [f"{says(r)} [{told(r.seen)}; {weight(r)}]" for r in other.against[:2]]
    said += [
        f"Looked for: {f.wanted}. Seen: {f.seen}." for f in other.failed[: max(0, 2 - len(said))]
    ]
    words = " ".join(said) or "Nothing speaks against it; it only has less for it."
    yield Item(f"{other.name}, {percent(other.probability)}.", words)


def _ruled_out(c: ComplaintReport) -> Iterator[Item]:
    """The impossible causes, those that the same answer rules out together."""
    groups: dict[tuple[str, Said], list[str]] = {}
    for out in c.ruled_out:
        groups.setdefault((out.because, out.by), []).append(out.name)
    for (because, by), names in groups.items():
        yield Item(f"{because} ({by}).", f"So not: {'; '.join(names).lower()}.")


def payments(found: Sequence[Payment]) -> Iterator[Block]:
    """Who carries the cost under each likely cause, with what is on file and what is missing."""
    for p in found[:2]:
        rule = ", as a rule" if p.as_a_rule else ""
        yield Text(f"{p.name}{rule}, if it is: {p.cause.lower()}. {p.because}")
        said = (
            ("On file.", p.on_file),
            ("Missing.", p.missing),
            ("To be judged by you.", p.to_judge),
            ("Speaks against.", p.against),
        )
        items = tuple(Item(lead, words) for lead, listed in said for words in listed)
        if items:
            yield Items(items)
