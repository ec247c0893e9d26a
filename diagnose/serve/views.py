"""What each page shows, as data: the dialogue's own words, and where its forms lead."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.elsewhere import entered
from diagnose.dialogue.facts import FIELDS
from diagnose.dialogue.own_words import Line
from diagnose.dialogue.search import by_group, symptom_item
from diagnose.dialogue.step import Stage, Step
from diagnose.dialogue.words import (
    HARM,
    NOT_LISTED,
    Doubt,
    case_words,
    changeable,
    complaint_words,
    doubts,
    enough_words,
    how_done,
    later_words,
    place_words,
    shares,
    sure_words,
    what_changes,
    why_asked,
    why_one,
)
from diagnose.knowledge.logic.answers import Answer, Unknown, says
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.knowledge.panels import PANELS
from diagnose.records.case.journal import EventKind, last_undoable, live
from diagnose.records.store.summary import CaseSummary
from diagnose.report.drawings.vehicles import VEHICLES, vehicle_class
from diagnose.serve.car import car
from diagnose.serve.desk import Desk, Work
from diagnose.serve.drawn import alternative
from diagnose.serve.page import Go, Page

CASES_AT_START = 5
LONGEST_WRONG = 400
"""Characters of what is said to be wrong with a form."""


@dataclass(frozen=True, slots=True)
class Look:
    """Who looks at what: the case at hand, and what the address says beside it."""

    desk: Desk
    visitor: str
    work: Work
    query: Mapping[str, str]
    rest: str = ""
    photos_left: int = 0

    @property
    def dialogue(self) -> Dialogue:
        """The dialogue of the case."""
        return self.work.dialogue


View = Callable[[Look], Page | Go]


def step_path(work: Work, step: Step | None = None) -> str:
    """The page of what the dialogue waits for now."""
    step = step or work.dialogue.step()
    names = {
        Stage.WORDS: "words",
        Stage.CONFIRM: "confirm",
        Stage.SYMPTOM: "symptom",
        Stage.PANEL: "place",
        Stage.CHECK: f"ask/{step.check.id if step.check else ''}",
        Stage.ENOUGH: "enough",
        Stage.CONCLUDED: "done",
    }
    return f"{work.path}/{names[step.stage]}"


def page(look: Look, template: str, **values: object) -> Page:
    """A page of a case, with what every one of them shows."""
    dialogue = look.dialogue
    complaint = dialogue.complaint
    about = complaint_words(dialogue.base, complaint) if complaint else "New complaint"
    begun = bool(look.work.case_id)
    common = {
        "path": look.work.path,
        "about": about,
        "case": look.work.case_id,
        "begun": begun,
        "asking": complaint is not None,
        "events": len(look.work.journal.events()) if begun else 0,
        "note": NOTES.get(look.query.get("note", ""), ""),
    }
    return Page(template, {**common, **values})


NOTES = {
    "twice": "This page had been sent before; it counts once. What you chose now was not taken:"
    " change the answer here if it should be.",
    "meanwhile": "Another phone answered this meanwhile. Look which answer holds.",
    "stale": "This page was out of date: here is where it stands now.",
    "kept": "Kept.",
}


# Start


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


# The beginning of a complaint


def words(look: Look) -> Page | Go:
    """One field to say it in."""
    return page(look, "words.html", another=bool(look.dialogue.case.complaints))


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


def _by_subject(lines: Sequence[tuple[int, Line]]) -> Iterator[list[tuple[int, Line]]]:
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
        groups = [(g, list(its)) for g, its in groupby(by_group(base), lambda s: s.group)]
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
    return page(
        look,
        "place.html",
        symptom=base.symptoms[dialogue.symptom or ""],
        views=car(body, panel, f"{look.work.path}/place?body={body}&panel="),
        body=body,
        bodies=list(VEHICLES),
        panel=panel,
        here=PANELS.get(panel, ""),
        places=list(PANELS.items()),
    )


# Questions


@dataclass(frozen=True, slots=True)
class Given:
    """An answer on record: in words, and the parts of it that a form shows as chosen."""

    words: str
    parts: tuple[str, ...]


def ask(look: Look) -> Page | Go:
    """One question: the one that comes next, or one that was answered and may be changed."""
    dialogue, base = look.dialogue, look.dialogue.base
    check = base.checks.get(look.rest)
    complaint = dialogue.complaint
    if check is None or complaint is None:
        return Go(step_path(look.work))
    step = dialogue.step()
    given = {c.id: a for c, a in dialogue.answered()}.get(check.id)
    aside = check.id in complaint.set_aside and given is None
    now = step.check is not None and step.check.id == check.id
    if not (now or given is not None or aside):
        return Go(step_path(look.work, step))
    fresh, before = _cautions(look, check)
    question = step.question if now else None
    diagnosis = dialogue.diagnosis()
    assert diagnosis is not None
    return page(
        look,
        "ask.html",
        check=check,
        kind=_kind(check),
        several="several" in look.query or isinstance(check.kind, SeveralKind),
        answers=[(label, answer.says) for label, answer in check.answers.items()],
        number_words=_number_words(check),
        given=given is not None and Given(says(check, given), _parts(given)),
        chosen=look.query.get("chosen", ""),
        wrong=look.query.get("wrong", "")[:LONGEST_WRONG],
        typed=look.query.get("typed", ""),
        aside=aside,
        now=now,
        harm=HARM.get(check.harm, ""),
        cautions=fresh,
        cautions_before=before,
        how=how_done(check),
        drawing=alternative(check.id),
        why=why_asked(base, check, question) if now else (),
        between=step.between if now else "",
        doubts=doubts(base, diagnosis),
        leads=shares(diagnosis.differential, 1)[0],
        seen=len(look.work.journal.events()),
    )


def _kind(check: Check) -> str:
    match check.kind:
        case ChoiceKind():
            return "choice"
        case SeveralKind():
            return "several"
        case NumberKind():
            return "number"


def _number_words(check: Check) -> list[tuple[str, str]]:
    kind = check.kind
    return (
        [(w, kind.says(its)) for w, its in kind.words.items()]
        if isinstance(kind, NumberKind)
        else []
    )


def _parts(given: Answer) -> tuple[str, ...]:
    if isinstance(given, Unknown):
        return ("unknown",)
    return tuple(getattr(given, "words", (str(given),)))


def _cautions(look: Look, check: Check) -> tuple[list[str], list[str]]:
    """The cautions of a check: those not told yet in this case, and those told before."""
    base = look.dialogue.base
    asked = {
        e.key
        for e in look.work.journal.events()
        if e.kind in (EventKind.ANSWERED, EventKind.SET_ASIDE)
    }
    told = {
        c for name in asked - {check.id} if name in base.checks for c in base.checks[name].cautions
    }
    says_ = [(c, base.cautions[c].say) for c in check.cautions]
    return [w for c, w in says_ if c not in told], [w for c, w in says_ if c in told]


def enough(look: Look) -> Page | Go:
    """Why no further check is needed, how sure it is, and the ways on."""
    dialogue = look.dialogue
    step, diagnosis = dialogue.step(), dialogue.diagnosis()
    if step.stage is not Stage.ENOUGH or diagnosis is None or step.stop is None:
        return Go(step_path(look.work, step))
    why, *more = enough_words(dialogue.base, diagnosis, step.stop)
    return page(
        look,
        "enough.html",
        why=why,
        lines=more or [sure_words(dialogue.base, diagnosis)],
        later=later_words(dialogue.base, diagnosis),
        more=step.more,
        doubts=doubts(dialogue.base, diagnosis),
        shares=shares(diagnosis.differential, 3),
    )


def stands(look: Look) -> Page | Go:
    """Every cause with its share and why it stands there; what would change it."""
    dialogue, diagnosis = look.dialogue, look.dialogue.diagnosis()
    if diagnosis is None:
        return Go(step_path(look.work))
    base, differential = dialogue.base, diagnosis.differential
    listed = [
        (s.cause.name, s.probability, why_one(base, s, diagnosis.trace.values))
        for s in differential.standings
        if not s.ruled_out
    ]
    out = [
        (s.cause.name, why_one(base, s, diagnosis.trace.values))
        for s in differential.standings
        if s.ruled_out
    ]
    return page(
        look,
        "stands.html",
        causes=listed,
        ruled_out=out,
        unlisted=(NOT_LISTED, differential.unlisted),
        changes=what_changes(base, diagnosis),
        doubts=doubts(base, diagnosis),
    )


def like(look: Look) -> Page | Go:
    """Closed cases that are most like this one."""
    found = look.dialogue.like()
    return page(look, "like.html", lines=found) if found else Go(step_path(look.work))


def doubt(look: Look) -> Page | Go:
    """What does not fit, with the answers that it rests on and a way to change each."""
    dialogue, diagnosis = look.dialogue, look.dialogue.diagnosis()
    held = doubts(dialogue.base, diagnosis) if diagnosis else ()
    found = next((d for d in held if d.id == look.rest), None)
    if found is None:
        return Go(step_path(look.work))
    return page(
        look,
        "doubt.html",
        doubt=found,
        ways=list(_ways(dialogue, found)),
        symptom=dialogue.base.symptoms[found.symptom].name.lower() if found.symptom else "",
    )


def _ways(dialogue: Dialogue, found: Doubt) -> Iterator[tuple[str, str]]:
    base = dialogue.base
    for subject, name, said in found.answers:
        for check in changeable(base, subject, dialogue):
            of = "" if check == subject else f" ({base.checks[check].name})"
            yield check, f"{name}: {said}{of}"


def answers(look: Look) -> Page | Go:
    """What was answered or set aside, the latest first, each to be changed; the complaints."""
    dialogue = look.dialogue
    complaint = dialogue.complaint
    given = [(c.id, c.name, says(c, a)) for c, a in reversed(dialogue.answered())]
    named = {name for name, _, _ in given}
    for name in complaint.set_aside if complaint else ():
        if name in dialogue.base.checks and name not in named:
            given.append((name, dialogue.base.checks[name].name, "not possible here"))
    complaints = [(c.number, complaint_words(dialogue.base, c)) for c in dialogue.case.complaints]
    return page(
        look,
        "answers.html",
        answers=given,
        complaints=complaints,
        at=complaint.number if complaint else 0,
    )


def back(look: Look) -> Page | Go:
    """What was entered last, and whether it shall be taken back: nothing is until it is said."""
    event = last_undoable(look.work.journal.events())
    if event is None or not look.work.case_id:
        return Go("/")
    check = event.key if event.kind in (EventKind.ANSWERED, EventKind.SET_ASIDE) else ""
    return page(look, "back.html", last=entered(look.dialogue.base, event), check=check)


# The end


def facts(look: Look) -> Page | Go:
    """Vehicle and film, as far as known."""
    if not look.work.case_id:
        return Go(step_path(look.work))
    known = look.dialogue.case.facts
    typed = {key: look.query.get(f"typed_{key}", known.get(key, "")) for key, _, _ in FIELDS}
    fields = [(key, name, hint, typed[key]) for key, name, hint in FIELDS]
    return page(
        look, "facts.html", fields=fields, wrong=look.query.get("wrong", "")[:LONGEST_WRONG]
    )


def photos(look: Look) -> Page | Go:
    """The photos of the case, and a form for one more."""
    if not look.work.case_id:
        return Go(step_path(look.work))
    taken = [e for e in live(look.work.journal.events()) if e.kind is EventKind.PHOTO_ADDED]
    check = look.dialogue.base.checks.get(look.query.get("check", ""))
    shown = [(e.number, e.key, e.text, e.complaint) for e in taken]
    return page(
        look,
        "photos.html",
        photos=shown,
        left=look.photos_left - len(shown),
        most=look.photos_left,
        check=check,
        caption=check.name if check else "",
        wrong=look.query.get("wrong", "")[:LONGEST_WRONG],
        complaint=look.dialogue.complaint.number if look.dialogue.complaint else None,
    )


def hand(look: Look, url: str) -> Page:
    """A code to scan with another phone, and its address in words."""
    import segno

    code = Markup(segno.make(url, error="m").svg_inline(scale=6, border=4))  # noqa: S704
    return page(look, "hand.html", code=code, url=url)


VIEWS: Mapping[str, View] = {
    "words": words,
    "confirm": confirm,
    "symptom": symptom,
    "place": place,
    "ask": ask,
    "enough": enough,
    "stands": stands,
    "like": like,
    "doubt": doubt,
    "answers": answers,
    "back": back,
    "facts": facts,
    "photos": photos,
}
"""The pages of a case by the word in their address; `done` and reports are made elsewhere."""
