"""The file for whoever made the film, in the order in which a laboratory asks.

What is it, and of which lot; where on the car; what was read, by which method; the pictures; what
is concluded from it, and how sure that is; what is done; what is asked of the maker.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.knowledge.logic.answers import UNTOLD
from diagnose.report.content.data import ComplaintReport, Looked, Report
from diagnose.report.formats.blocks import (
    Block,
    Figure,
    Heading,
    Item,
    Items,
    Pairs,
    Row,
    Table,
    Text,
)
from diagnose.report.pages import correction, figures, technical
from diagnose.report.pages.setting import Setting
from diagnose.report.pages.wording import day, sentence

WHOLE_CAR = 0
"""The number that stands for all complaints of a car."""


def pages(report: Report, setting: Setting, photos: Sequence[Block]) -> Iterator[Block]:
    """All of the file; `photos` as they were taken, without words that somebody typed."""
    yield from _film(report)
    yield from _complaints(report, setting)
    yield from _readings(report)
    yield from photos
    yield Heading(2, "What is concluded, and how sure it is")
    yield Text(_how_judged(report), "small")
    for c in report.complaints:
        yield from _concluded(c, report, setting)
    yield from _repair(report, setting)
    yield from _asked(report)


_FIRST = ("film", "lot", "laid on", "seen on", "installer", "vehicle")
_DAYS = ("laid on", "handed on", "seen on")


def _film(report: Report) -> Iterator[Block]:
    """Film and lot first, then what papers say of it and of the work."""
    yield Heading(2, "Film and lot")
    facts = dict(report.facts)
    named = [(n, facts.get(n, "not noted")) for n in _FIRST]
    shown = tuple((n.capitalize(), day(words) if n in _DAYS else words) for n, words in named)
    yield Pairs("Film and lot", shown, typed=True)
    papers = tuple((its.name, its.words) for its in report.looked if _on_paper(its))
    if papers:
        yield Heading(3, "From papers and from whoever was asked")
        yield Pairs("From papers and from whoever was asked", papers)


def _on_paper(its: Looked) -> bool:
    return its.source == "papers" and its.complaint == WHOLE_CAR


def _complaints(report: Report, setting: Setting) -> Iterator[Block]:
    yield Heading(2, "What is complained of")
    yield Items(
        tuple(
            Item(f"{c.number}. {c.symptom}: {c.panel}.", c.look, mark=f"{c.number}.")
            for c in report.complaints
        )
    )
    if setting.drawings:
        yield from _drawn(report)


def _drawn(report: Report) -> Iterator[Block]:
    """The car, and each kind of failure once; two beside each other take no more than a half."""
    car = figures.car(report, wide=True)
    if car:
        yield car
    kinds = {c.symptom_id: c for c in report.complaints}
    drawn = [f for c in kinds.values() if (f := figures.symptom(c, 0.5))]
    for n in range(0, len(drawn), 2):
        yield _beside(drawn[n : n + 2])


def _beside(drawn: Sequence[Figure]) -> Block:
    return Row(tuple(drawn)) if len(drawn) > 1 else drawn[0]


_GROUPS = {
    "laboratory": "From a laboratory",
    "reading": "Read in numbers",
    "look": "Looked at and felt",
    "papers": "From papers, for this place",
}


def _readings(report: Report) -> Iterator[Block]:
    """Every answer with its tool, its method and what falsifies it, numbers before looks."""
    yield Heading(2, "Readings, with their method")
    told: dict[str, int] = {}
    for number in (WHOLE_CAR, *(c.number for c in report.complaints)):
        its = [x for x in report.looked if x.complaint == number and not _on_paper(x)]
        if its:
            yield Heading(3, f"Complaint {number}" if number else "On the whole car")
        for source, caption in _GROUPS.items():
            rows = tuple(_row(x, told) for x in its if x.source == source)
            if rows:
                yield Table(caption, ("What", "Found", "Read with", "How, and what misleads"), rows)


def _row(its: Looked, told: dict[str, int]) -> tuple[str, ...]:
    """A reading; a method that was told with a complaint before is pointed back to."""
    first = told.setdefault(its.name, its.complaint)
    if first != its.complaint:
        return (its.name, its.words, its.tool, f"As for complaint {first}.")
    misleads = f" Misleads: {its.mistake}" if its.mistake else ""
    return (its.name, its.words, its.tool, f"{its.how}{misleads}")


def _how_judged(report: Report) -> str:
    """What the numbers rest on, and what nobody has measured."""
    lab = any(x.source == "laboratory" and x.words != UNTOLD for x in report.looked)
    measured = "" if lab else " No laboratory has measured a sample of this film for it."
    open_ones = sum(x.words == UNTOLD for x in report.looked)
    untold = f" {open_ones} of {len(report.looked)} answers could not be told." if open_ones else ""
    return (
        "A probability says how often the cause is met behind such answers, by shares and weights"
        " that are judged and not measured, and corrected by closed cases where there are any."
        f"{measured}{untold} What is not listed keeps a share of its own, and what would"
        " change the conclusion stands below it."
    )


def _concluded(c: ComplaintReport, report: Report, setting: Setting) -> Iterator[Block]:
    if len(report.complaints) > 1:
        yield Heading(3, f"Complaint {c.number}. {c.symptom}: {c.panel}")
    yield from technical.doubts(c)
    yield from technical.cause(c, setting)
    yield from technical.measured(c.measured, setting)
    yield from technical.others(c)


def _repair(report: Report, setting: Setting) -> Iterator[Block]:
    """What is done at the car, in a line a step; how it is done is for whoever does it."""
    yield Heading(2, "What is done at the car")
    planned: dict[int, list[Block]] = {}
    for c in report.complaints:
        plan = report.plan.of(c.number) if report.plan else None
        names = [step.name for step in c.correction[: correction.SHOWN_STEPS]]
        if len(report.complaints) > 1:
            yield Heading(3, f"Complaint {c.number}")
        if report.plan and plan and plan.steps:
            table = [*correction.plan_table(plan, report.plan, setting)]
            before = next((n for n, said in planned.items() if said == table), None)
            yield from [Text(f"As for complaint {before}.")] if before else table
            planned.setdefault(c.number, table)
        elif names:
            yield Items(tuple(Item(words=sentence(name)) for name in names))
        else:
            yield Text("Nothing before the cause is known.")
    beside = dict.fromkeys(name for c in report.complaints for name in c.beside)
    if beside:
        yield Text(f"Besides: {', '.join(beside).lower()}.")


def _asked(report: Report) -> Iterator[Block]:
    """What the maker is asked to carry, with what is on file; each paper once."""
    blocks: list[Block] = []
    asked: dict[int, list[Block]] = {}
    for c in report.complaints:
        plan = report.plan.of(c.number) if report.plan else None
        told = [*technical.payments(c.payments)]
        if plan and plan.carries.says:
            told.insert(0, Text(plan.carries.says, "lead"))
        if told and len(report.complaints) > 1:
            blocks.append(Heading(3, f"Complaint {c.number}"))
        before = next((n for n, said in asked.items() if told and said == told), None)
        blocks += [Text(f"As for complaint {before}.")] if before else told
        asked[c.number] = told
    papers = _papers(report)
    if papers:
        if len(report.complaints) > 1:
            blocks.append(Heading(3, "Papers, for all complaints"))
        blocks.append(Table("Papers asked for", ("Paper", "Where it is"), papers))
    if blocks:
        yield Heading(2, "What is asked of the maker")
        yield from blocks


def _papers(report: Report) -> tuple[tuple[str, str], ...]:
    plans = report.plan.complaints if report.plan else ()
    return tuple(dict(paper for plan in plans for paper in plan.carries.papers).items())
