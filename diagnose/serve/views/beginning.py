"""The beginning: what is under way, own words, the symptom and its place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from diagnose.dialogue.own_words import SaidLine
from diagnose.dialogue.search import SAID, by_group, places_in_order, symptom_item
from diagnose.dialogue.step import Stage
from diagnose.dialogue.words import (
    case_words,
    place_words,
)
from diagnose.knowledge.panels import PANELS
from diagnose.records.store.summary import CaseSummary
from diagnose.report.drawings.panels import SIZES, panels_of
from diagnose.report.drawings.vehicles import VEHICLES, vehicle_class
from diagnose.serve.car import car
from diagnose.serve.desk import Desk
from diagnose.serve.drawn import alternative
from diagnose.serve.page import Go, Page
from diagnose.serve.views.look import Look, page, step_path

CASES_AT_START = 5

NOT_DRAWN = ("whole_vehicle", "other")
"""Places that every body has and no drawing."""


def start(desk: Desk, visitor: str) -> Page:
    """What can be begun, and what is under way."""
    shelf = desk.shelf(visitor)
    unfinished = shelf.unfinished()
    opened = shelf.open_cases()
    lines = [c for c in _case_lines(desk, opened) if not unfinished or c[0] != unfinished.id]
    return Page(
        "start.html",
        {
            "unfinished": unfinished and (unfinished.id, case_words(desk.base, unfinished)),
            "cases": lines[:CASES_AT_START],
            "more": len(lines) > CASES_AT_START,
        },
    )


def cases(desk: Desk, visitor: str) -> Page:
    """All open cases of a visitor."""
    return Page("cases.html", {"cases": list(_case_lines(desk, desk.shelf(visitor).open_cases()))})


def _case_lines(desk: Desk, found: Sequence[CaseSummary]) -> Iterator[tuple[str, str, str]]:
    """Id, what it is about, and how it stands."""
    for case in found:
        named = "; ".join(place_words(desk.base, *pair) for pair in case.complaints)
        about = " · ".join(w for w in (case.title, case.vehicle, named) if w)
        yield case.id, about or "no complaint yet", case.standing


def words(look: Look) -> Page | Go:
    """One field to say it in."""
    before = look.dialogue.case.complaints
    return page(look, "words.html", before=before[-1].number if before else None)


def confirm(look: Look) -> Page | Go:
    """What was read, by what it is about; of lines about the same thing one can be taken."""
    if look.dialogue.step().stage is not Stage.CONFIRM:
        return Go(step_path(look.work))
    found = look.dialogue.opening.proposed()
    numbered = list(enumerate(found.lines))
    grouped = [(lines[0][1].name, lines) for lines in _by_subject(numbered)]
    return page(
        look,
        "confirm.html",
        text=found.text,
        groups=grouped,
        kept=found.kept,
        mark=len(found.lines),
    )


def _by_subject(lines: Sequence[tuple[int, SaidLine]]) -> Iterator[list[tuple[int, SaidLine]]]:
    for subject in dict.fromkeys(line.subject for _, line in lines):
        yield [(n, line) for n, line in lines if line.subject == subject]


def symptom(look: Look) -> Page | Go:
    """All symptoms by group, or those that a text finds; or one of them with its drawing."""
    base = look.dialogue.base
    if look.rest:
        found = base.symptoms.get(look.rest)
        if found is None:
            return Go(f"{look.work.path}/symptom")
        return page(look, "one_symptom.html", symptom=found, drawing=alternative(found.id))
    text = look.query.get("find", "").strip()
    if text:
        items = [symptom_item(s) for s in by_group(base)]
        chosen = [base.symptoms[item.id] for item in look.desk.search(items, text)]
        groups = [("Found", chosen)] if chosen else []
    else:
        said = [base.symptoms[name] for name in look.dialogue.opening.symptoms()]
        others = [s for s in by_group(base) if s not in said]
        groups = [(SAID, said)] if said else []
        groups += [(g, list(its)) for g, its in groupby(others, lambda s: s.group)]
    return page(look, "symptoms.html", groups=groups, text=text)


def place(look: Look) -> Page | Go:
    """The car to be touched, and every place by name."""
    dialogue = look.dialogue
    if dialogue.step().stage is not Stage.PANEL:
        return Go(step_path(look.work))
    base = dialogue.base
    body = look.query.get("body", "")
    body = body if body in VEHICLES else vehicle_class(dialogue.opening.vehicle)
    panel = look.query.get("panel", "")
    panel = panel if panel in PANELS else ""
    here, elsewhere = _named(dialogue.opening.places(), body)
    return page(
        look,
        "place.html",
        symptom=base.symptoms[dialogue.symptom or ""],
        views=car(body, panel, f"{look.work.path}/place?body={body}&panel="),
        body=body,
        bodies=list(VEHICLES),
        panel=panel,
        here=PANELS.get(panel, ""),
        here_named=here,
        elsewhere_named=elsewhere,
    )


def _named(said: Sequence[str], body: str) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """Every place with its name: what was said and what this body has, then what it has not."""
    has = {panel.id for view in SIZES for panel in panels_of(body, view)}
    its = {*said, *NOT_DRAWN, *has}
    ordered = places_in_order(said)
    return [p for p in ordered if p[0] in its], [p for p in ordered if p[0] not in its]
