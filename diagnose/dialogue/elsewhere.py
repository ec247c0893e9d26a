"""What was entered on a case, in words: what is to be taken back, and what others entered."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.dialogue.words import place_words
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import says
from diagnose.records.case.journal import Event, EventKind

_PLAINLY = {
    EventKind.UNDONE: "The last entry was taken back",
    EventKind.CONCLUDED: "Concluded",
    EventKind.CLOSED: "Closed with its cause",
    EventKind.REOPENED: "Opened again",
    EventKind.PHOTO_ADDED: "A photo",
    EventKind.REMEDY_DONE: "A remedy was done",
    EventKind.CHECKED_AGAIN: "Looked at again",
}


def entered(base: Base, event: Event) -> str:
    """One entry in a few words: 'Zone: in the gap'."""
    check = base.checks.get(event.key)
    match event.kind:
        case EventKind.ANSWERED if check is not None and event.answer is not None:
            return f"{check.name}: {says(check, event.answer)}"
        case EventKind.SET_ASIDE if check is not None:
            return f"{check.name}: not possible here"
        case EventKind.TAKEN_BACK if check is not None:
            return f"{check.name}: taken back"
        case EventKind.COMPLAINED:
            return f"The complaint: {place_words(base, event.key, event.text)}"
    return _PLAINLY.get(event.kind) or f"Written down: {event.text or event.key}"


def entered_elsewhere(base: Base, events: Iterable[Event]) -> str:
    """What another program entered, in one line; '' where it entered nothing."""
    told = "; ".join(entered(base, event) for event in events)
    return f"Entered by another program meanwhile: {told}." if told else ""
