"""What was entered: answers, the last step, vehicle and film, photos; a second phone."""

from __future__ import annotations

from markupsafe import Markup

from diagnose.dialogue.elsewhere import entered
from diagnose.dialogue.facts import FIELDS
from diagnose.dialogue.words import complaint_words
from diagnose.knowledge.logic.answers import says
from diagnose.records.case.journal import EventKind, last_undoable, live
from diagnose.serve.page import Go, Page
from diagnose.serve.views.look import LONGEST_WRONG, Look, page, step_path


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

    code = Markup(segno.make(url, error="m").svg_inline(border=4, omitsize=True))  # noqa: S704
    return page(look, "hand.html", code=code, url=url)
