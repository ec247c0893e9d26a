"""The pages of a report in reading order: which parts a reader gets, and in which units."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, replace

from diagnose.records.case.photos import BadPhoto
from diagnose.report.content.data import ComplaintReport, Report
from diagnose.report.content.plan_data import PlanReport
from diagnose.report.formats.blocks import (
    Block,
    Document,
    Heading,
    Item,
    Items,
    Pairs,
    Text,
    changed,
)
from diagnose.report.lines import case
from diagnose.report.pages import correction, customer, maker, technical
from diagnose.report.pages.audience import Audience, for_audience
from diagnose.report.pages.photos import Lost, Shown, figure
from diagnose.report.pages.setting import Setting
from diagnose.report.pages.units import Units, with_us


def document(report: Report, setting: Setting, pages: bool = True) -> Document:
    """All of a report for one reader; what is not the reader's is not in it.

    As data it names whom it was cut for, since what is left out is empty in it. Without `pages`
    whoever keeps the file gets short lines; any other reader reads the same as on pages.
    """
    report = for_audience(report, setting.audience, setting.maker)
    short = not pages and setting.audience is Audience.FILE
    found = case.document(report) if short else _pages(report, setting)
    if setting.units is Units.US:
        found = replace(found, blocks=tuple(changed(block, with_us) for block in found.blocks))
    return replace(found, data={"for": setting.audience.value, **asdict(report)})


def _pages(report: Report, setting: Setting) -> Document:
    versions = ", ".join(f"{name} {version}" for name, version in report.versions)
    return Document(
        title=_title(report, setting),
        subject=setting.audience.words,
        made=report.made,
        foot=f"Case {report.case}. Made {report.made} with {versions}",
        blocks=tuple(_parts(report, setting)),
    )


def _title(report: Report, setting: Setting) -> str:
    """A customer reads words; who keeps many of them finds one by its name."""
    if setting.audience is Audience.CUSTOMER:
        return customer.title(report)
    return f"Wrap diagnosis, case {report.case}"


def _parts(report: Report, setting: Setting) -> Iterator[Block]:
    if setting.customer and setting.audience is not Audience.MAKER:
        yield Pairs("Whose car", setting.customer, typed=True)
    if setting.page_one:
        own = setting.audience is Audience.CUSTOMER
        yield from customer.page(for_audience(report, Audience.CUSTOMER), setting.drawings, own)
    match setting.audience:
        case Audience.MAKER:
            yield from maker.pages(report, setting, tuple(_photos(setting)))
            yield from _sources(setting)
        case Audience.FILE:
            yield from _technical(report, setting)


def _technical(report: Report, setting: Setting) -> Iterator[Block]:
    """Everything behind the page in plain words, which has drawn car and faults already."""
    yield Heading(2, "The car and its wrap")
    yield from technical.car(report)
    paying: dict[int, tuple[Block, ...]] = {}
    for c in report.complaints:
        yield Heading(2, f"Complaint {c.number}. {c.symptom}: {c.panel}")
        yield from technical.complaint(c, setting)
        yield from correction.correction(c, report, setting)
        yield from _paying(c, report.plan, paying)
        if c.prevention:
            yield Heading(3, "So that it does not happen again")
            yield Text(c.prevention)
    yield from _photos(setting)
    if report.plan:
        yield Heading(2, "The car as a whole")
        yield from correction.whole_car(report.plan)
    yield from _before_any_work(report)
    yield from _sources(setting)
    if report.plan and report.plan.sheet:
        yield Heading(2, "Laying it again", page=True)
        yield from correction.laying_sheet(report.plan)


def _paying(
    c: ComplaintReport, plan: PlanReport | None, told: dict[int, tuple[Block, ...]]
) -> Iterator[Block]:
    """Who carries the cost, with the papers; pointed back to where it was told word for word."""
    blocks = tuple(correction.responsibility(c, plan))
    before = next((number for number, said in told.items() if said == blocks), None)
    told.setdefault(c.number, blocks)
    if before and len(blocks) > 1:
        yield from (blocks[0], Text(f"As for complaint {before}."))
    else:
        yield from blocks


def _before_any_work(report: Report) -> Iterator[Block]:
    """The cautions of all complaints, each once, and the rules that come first."""
    cautions = dict(pair for c in report.complaints for pair in c.cautions)
    if report.defer or cautions:
        yield Heading(2, "Before any work")
    if report.defer:
        yield Text(report.defer, "mind")
    if cautions:
        yield Items(tuple(Item(f"{name}.", say) for name, say in cautions.items()))


def _photos(setting: Setting) -> Iterator[Block]:
    if not setting.photos:
        return
    yield Heading(2, "Photos")
    for number, photo in enumerate(setting.photos, 1):
        yield _photo(photo, number, setting.audience is not Audience.MAKER)


def _photo(photo: Shown | Lost, number: int, captioned: bool) -> Block:
    """A photo, or the words that it is not there; captions are typed, so the maker gets none."""
    if isinstance(photo, Lost):
        caption = f" ({photo.caption})" if photo.caption and captioned else ""
        return Text(f"Photo {number}{caption} is on record, but its file is gone or damaged.")
    shown = photo if captioned else Shown(photo.content, "", photo.complaint, photo.spots)
    try:
        return figure(shown, number)
    except BadPhoto as error:
        return Text(f"Photo {number} is not shown: {error}.")


def _sources(setting: Setting) -> Iterator[Block]:
    if setting.citations:
        yield Heading(2, "Sources")
        yield Items(tuple(Item(f"[{n}]", t) for n, t in enumerate(setting.citations.values(), 1)))
