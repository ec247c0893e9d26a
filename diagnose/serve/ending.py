"""The conclusion and the reports: made beside the questions, so that nobody waits for them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from markupsafe import Markup

from diagnose.files import safe_name
from diagnose.folders import program
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import CarDiagnosis
from diagnose.records.case.journal import Case
from diagnose.records.experience.nearness import PastComplaint
from diagnose.records.store.paths import photo_folder
from diagnose.report.content.data import Report
from diagnose.report.formats import html
from diagnose.report.formats.blocks import Document
from diagnose.report.lines.case import document as lines
from diagnose.report.lines.case import everything
from diagnose.report.lines.short import in_short
from diagnose.report.pages.audience import Audience
from diagnose.report.pages.compose import document
from diagnose.report.pages.photos import Lost, Shown, photos_of
from diagnose.report.saving import Kind, kinds
from diagnose.serve.page import Go, Page
from diagnose.serve.views.look import Look, page

READERS = {
    "customer": "For the customer",
    "file": "For the file, with everything",
    "maker": "For the film maker",
}


@dataclass(frozen=True, slots=True)
class Concluded:
    """All that a report is made of, taken from the desk in one look."""

    case: Case
    car: CarDiagnosis
    photos: tuple[Shown | Lost, ...]
    at: datetime
    past: tuple[PastComplaint, ...] = ()


def concluded(look: Look) -> Concluded | None:
    """What stands in the case now; None where there is no complaint."""
    dialogue = look.dialogue
    if not dialogue.case.complaints:
        return None
    car = dialogue.car()
    for diagnosis in car.diagnoses:
        _ = diagnosis.choice  # Reckoned here: the tables behind it belong to the desk's thread.
    photos = photos_of(look.work.journal.events(), photo_folder(look.desk.records))
    past = look.desk.shelf(look.visitor).past(dialogue.base, dialogue.case)
    return Concluded(look.work.journal.case, car, photos, look.desk.clock(), past)


def report(reasoner: Reasoner, its: Concluded) -> Report:
    """The report of a case."""
    from diagnose.report.content.whole import whole
    from diagnose.report.plan_command import example_terms

    terms = example_terms(reasoner.base, its.at.replace(tzinfo=None))
    return whole(reasoner, its.case, its.at, program(), terms, its.car, its.past)


def done(look: Look, its: Concluded, found: Report) -> Page:
    """The conclusion in short, then everything behind it, and what may follow."""
    whole = lines(found)
    return page(
        look,
        "done.html",
        short=_markup(replace(whole, blocks=tuple(in_short(found)))),
        report=_markup(replace(whole, blocks=tuple(everything(found)))),
        readers=READERS,
        kinds=kinds(),
        photos=len(its.photos),
    )


def paper(look: Look, its: Concluded, found: Report) -> Page | Go:
    """The report as one reader gets it, to be read, printed or saved."""
    if look.rest not in READERS:
        return Go(f"{look.work.path}/done")
    kind = Kind("", ".html", "html", Audience(look.rest))
    made = document(found, kind.setting(found, look.desk.base, its.photos))
    return page(
        look,
        "paper.html",
        title=made.title,
        subject=made.subject,
        foot=made.foot,
        report=_markup(made),
        reader=look.rest,
        readers=READERS,
        kinds=[k for k in kinds() if k.format == "pdf" and k.audience == look.rest],
    )


def file(look: Look, its: Concluded, found: Report) -> tuple[str, bytes] | None:
    """Name and content of the report in the way of saving that the address names."""
    kind = next((k for k in kinds() if k.ending == f".{look.rest}"), None)
    if kind is None:
        return None
    content = kind.make(found, look.desk.base, its.photos)
    return safe_name(f"report-{its.case.id}", kind.ending), content


def _markup(made: Document) -> Markup:
    return Markup(html.fragment(made))  # noqa: S704 (escaped block by block where it is made)
