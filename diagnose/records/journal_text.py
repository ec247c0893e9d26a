"""The journal of a case as lines: what was entered when, with what was taken back since."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import says
from diagnose.knowledge.panels import PANELS
from diagnose.records.case.journal import Event, EventKind
from diagnose.records.tables import cause_name
from diagnose.typed import on_one_line


def journal_lines(events: Iterable[Event], base: Base) -> Iterator[str]:
    """A line for each event in its order; none without events."""
    listed = list(events)
    if not listed:
        return
    undone = {event.undoes for event in listed if event.kind is EventKind.UNDONE}
    yield ""
    yield "journal"
    for event in listed:
        whose = f", complaint {event.complaint}" if event.complaint else ""
        gone = " (taken back since)" if event.number in undone else ""
        words = _words(event, base)
        said = f": {words}" if words else ""
        kind = event.kind.value.replace("_", " ")
        when = event.at.strftime("%Y-%m-%d %H:%M:%S %z").strip()
        yield on_one_line(f"  {event.number:>3}  {when}  {kind}{whose}{said}{gone}")


def _words(event: Event, base: Base) -> str:
    """What an event says besides its kind."""
    match event.kind:
        case EventKind.ANSWERED:
            return f"{_check(event, base)}: {_answer(event, base)}"
        case EventKind.TAKEN_BACK | EventKind.SET_ASIDE:
            return _check(event, base)
        case EventKind.COMPLAINED:
            symptom = base.symptoms.get(event.key)
            return f"{symptom.name if symptom else event.key}, {PANELS.get(event.text, event.text)}"
        case EventKind.PHOTO_ADDED:
            return _photo(event)
        case EventKind.UNDONE:
            return f"entry {event.undoes}"
        case EventKind.CONCLUDED | EventKind.CLOSED:
            return cause_name(base, str(event.data.get("cause", "")))
        case EventKind.REMEDY_DONE if event.key in base.remedies:
            return f"{base.remedies[event.key].name} {event.text}".strip()
    return ": ".join(part for part in (event.key.replace("_", " "), event.text) if part)


def _check(event: Event, base: Base) -> str:
    check = base.checks.get(event.key)
    return check.name if check else event.key


def _answer(event: Event, base: Base) -> str:
    check = base.checks.get(event.key)
    try:
        return (
            says(check, event.answer) if check and event.answer is not None else str(event.answer)
        )
    except KeyError:
        return str(event.answer)


def _photo(event: Event) -> str:
    """A photo by the first of its hash, its caption, and how many places are marked on it."""
    marks = len(event.data.get("spots", ()))
    places = f", {marks} marked place{'' if marks == 1 else 's'}" if marks else ""
    return f"{event.key[:12]} {event.text}".strip() + places
