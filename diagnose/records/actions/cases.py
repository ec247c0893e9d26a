"""One case and its complaints: shown, closed, looked at again, deleted, with their photos."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from datetime import date
from math import inf

from diagnose.commands import DONE, CommandResult, Misuse
from diagnose.records import closing, tables
from diagnose.records.actions.job import CaseAction, as_json_text
from diagnose.records.case import photos
from diagnose.records.case.casefile import CaseFile
from diagnose.records.case.casewrite import case_data
from diagnose.records.case.journal import Complaint, EventKind, outcome_data
from diagnose.records.journal_text import journal_lines
from diagnose.records.naming import guess, outcome_of
from diagnose.records.store.database import StoreError
from diagnose.records.store.paths import photo_folder
from diagnose.typed import on_one_line


def list_cases(job: CaseAction) -> CommandResult:
    """The cases that are wanted, a line for each."""
    found = job.store.list(job.wanted)
    if job.args.as_json:
        return DONE, as_json_text([asdict(case) for case in found])
    lines = [tables.case_list(found, job.base, job.args.width)]
    return DONE, "\n".join(lines if found else [*lines, *_nowhere(job)])


def _nowhere(job: CaseAction) -> Iterator[str]:
    """A sentence for each film, lot or installer that no case has."""
    for fact in ("film", "lot", "installer"):
        word, known = getattr(job.args.wanted, fact), job.store.values_of(fact)
        if word and word.casefold() not in map(str.casefold, known):
            yield f"no case has the {fact} '{on_one_line(word)}'{guess(word, known)}"


def show(job: CaseAction) -> CommandResult:
    """One case, its customer and, if wanted, its journal."""
    case = job.store.case(job.case_id)
    if job.args.as_json:
        return DONE, as_json_text(case_data(CaseFile(case, job.store.events(case.id))))
    customer = job.store.customer(case.id)
    whose = f"\ncustomer: {on_one_line(f'{customer.name} {customer.plate}')}" if customer else ""
    events = job.store.events(case.id) if job.args.journal else ()
    lines = [tables.case_page(case, job.base) + whose, *journal_lines(events, job.base)]
    return DONE, "\n".join(lines)


def close(job: CaseAction) -> CommandResult:
    """Close a complaint with what it turned out to be; doubts are put first."""
    outcome = outcome_of(job.args.outcome, job.base)
    if not outcome.cause or not outcome.confirmed_by.strip():
        raise Misuse("say the confirmed cause and what proved it: --cause ID --confirmed-by TEXT")
    if outcome.cost is not None and not 0 <= outcome.cost < inf:
        raise Misuse(f"{outcome.cost:g} is no cost: give what it cost the shop, 0 or more")
    complaint = _complaint(job, is_open=True)
    doubts = tuple(closing.doubts(job.base, job.store.case(job.case_id), complaint, outcome.cause))
    if doubts and not job.args.yes:
        raise Misuse("\n".join((*doubts, "If that is what it was, close it with --yes.")))
    job.store.append(
        job.case_id,
        job.at,
        EventKind.CLOSED,
        complaint=complaint.number,
        data=outcome_data(outcome),
    )
    lines = [f"complaint {complaint.number} of case {job.case_id} is closed", *doubts]
    if outcome.held is None:
        lines.append(
            f"once it is known whether the repair held: diagnose cases held {job.case_id} --held"
        )
    return DONE, "\n".join(lines)


def held(job: CaseAction) -> CommandResult:
    """Whether a repair held, said when it is known; the case stays closed."""
    if job.args.outcome.held is None:
        raise Misuse("say whether it held: --held or --not-held")
    complaint = _complaint(job, is_open=False)
    word = "held" if job.args.outcome.held else "not_held"
    job.store.append(
        job.case_id,
        job.at,
        EventKind.CHECKED_AGAIN,
        key=word,
        text=job.args.outcome.note,
        complaint=complaint.number,
    )
    said = "held" if job.args.outcome.held else "did not hold"
    return DONE, f"complaint {complaint.number} of case {job.case_id}: the repair {said}"


def due(job: CaseAction) -> CommandResult:
    """Closed complaints of which nobody has said whether the repair held."""
    day = job.at.date()
    found = [(o, (day - date.fromisoformat(o.closed)).days) for o in job.store.outcomes(job.wanted)
             if o.held is None]  # fmt: skip
    due = [(outcome, days) for outcome, days in found if days >= job.args.days]
    if job.args.as_json:
        return DONE, as_json_text([{**asdict(outcome), "days": days} for outcome, days in due])
    return DONE, tables.due_page(due, job.base, job.args.width)


def reopen(job: CaseAction) -> CommandResult:
    """Open a closed complaint again."""
    complaint = _complaint(job, is_open=False)
    job.store.append(job.case_id, job.at, EventKind.REOPENED, complaint=complaint.number)
    return DONE, f"complaint {complaint.number} of case {job.case_id} is open again"


def _complaint(job: CaseAction, is_open: bool) -> Complaint:
    """The complaint that is meant: the one named, or the only one that is open (or closed)."""
    word = "open" if is_open else "closed"
    fitting = [
        complaint
        for complaint in job.store.case(job.case_id).complaints
        if (complaint.outcome is None) == is_open
    ]
    named = [c for c in fitting if job.args.complaint in (None, c.number)]
    if len(named) == 1:
        return named[0]
    if not fitting:
        how = ": 'diagnose cases reopen' opens a closed one again" if is_open else ""
        raise Misuse(f"case {job.case_id} has no {word} complaint{how}")
    numbers = ", ".join(str(c.number) for c in fitting)
    raise Misuse(f"case {job.case_id}, {word}: complaint {numbers}; say which: --complaint N")


def delete(job: CaseAction) -> CommandResult:
    """Delete a case for good, with its customer and photos."""
    case = job.store.case(job.case_id)
    if not job.args.yes:
        count = len(job.store.events(case.id))
        raise Misuse(
            f"this deletes case {case.id} for good, its {count} entries, customer and photos:"
            " --yes does it"
        )
    photos.remove(photo_folder(job.store.path), job.store.delete(case.id))
    return DONE, f"case {case.id} is deleted"


def add_photos(job: CaseAction) -> CommandResult:
    """Add photos to a case or one of its complaints; all are read before any is kept."""
    if not job.args.paths:
        raise Misuse("name the pictures to add")
    case = job.store.case(job.case_id)
    if job.args.complaint is not None:
        try:
            case.complaint(job.args.complaint)
        except KeyError:
            raise Misuse(f"case {case.id} has no complaint {job.args.complaint}") from None
    spots = [photos.spot(text) for text in job.args.marks]
    if spots and len(job.args.paths) > 1:
        raise Misuse("a mark belongs to one photo: add the marked photo by itself")
    read = [photos.read_photo(path) for path in job.args.paths]
    for photo in read:
        _keep_photo(job, photo)
        job.store.append(
            case.id,
            job.at,
            EventKind.PHOTO_ADDED,
            key=photo.hash,
            text=job.args.caption,
            complaint=job.args.complaint,
            data={"spots": spots} if spots else {},
        )
    return DONE, f"{len(read)} added to case {case.id}"


def _keep_photo(job: CaseAction, photo: photos.Photo) -> None:
    folder = photo_folder(job.store.path)
    try:
        photos.keep(folder, photo)
    except OSError as error:
        raise StoreError(f"photos cannot be written to {folder}: {error.strerror}") from error
