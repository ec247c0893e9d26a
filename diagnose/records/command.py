"""What `diagnose cases …` does: a body for each action, from arguments to an exit code and a text.

Exit codes: 0 done, 1 a problem was found, 2 what was asked for cannot be done as asked. The caller
prints the text of the codes above 0 to the standard error.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date, datetime
from math import inf
from pathlib import Path
from typing import Any

from diagnose.commands import DONE, MISUSE, PROBLEM, CommandResult, Misuse
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.experience import Experience
from diagnose.records import closing, tables
from diagnose.records.case import photos
from diagnose.records.case.casefile import CaseFile
from diagnose.records.case.casewrite import case_data
from diagnose.records.case.journal import Complaint, EventKind, Outcome, outcome_data
from diagnose.records.experience import drift, learning, shared
from diagnose.records.experience.counting import counts
from diagnose.records.experience.no_home import lacking
from diagnose.records.experience.sign_worth import sign_records
from diagnose.records.experience.statistics import Statistics, statistics
from diagnose.records.journal_text import journal_lines
from diagnose.records.naming import guess, outcome_of, wanted_of
from diagnose.records.store import backup, forgetting
from diagnose.records.store.database import Damaged, StoreError
from diagnose.records.store.exchange import export_cases, import_cases
from diagnose.records.store.rescue import rescue
from diagnose.records.store.store import Store, default_path, photo_folder
from diagnose.records.store.summary import Filter
from diagnose.typed import on_one_line

__all__ = ["DONE", "MISUSE", "PROBLEM", "Arguments", "run"]

WEIGHT = 0.5
"""What a case of another shop counts for until something else is said; a judgement."""

PLOT_WIDTH = 80
"""Columns of a plot on a page of any width."""

Pages = Callable[[Statistics], str]
"""Writes statistics as pages; returns what to say of it, raises Misuse."""


@dataclass(frozen=True, slots=True)
class Arguments:
    """What the command line says; each action uses those that it needs.

    `paths`: files to import or photos to add, the folder to export to, the new file of a rescue;
    `width`: columns of the page, 0 for any.
    """

    action: str
    records: Path | None = None
    cases: tuple[str, ...] = ()
    paths: tuple[Path, ...] = ()
    wanted: Filter = field(default_factory=Filter)
    complaint: int | None = None
    outcome: Outcome = field(default_factory=lambda: Outcome("", ""))
    caption: str = ""
    marks: Sequence[str] = ()
    journal: bool = False
    name: str = ""
    plate: str = ""
    erase: bool = False
    with_customers: bool = False
    overwrite: bool = False
    yes: bool = False
    as_json: bool = False
    plots: bool = False
    seed: int = 1
    strength: float | None = None
    width: int = 0
    days: int = 14
    only_check: bool = False
    export_to: Path | None = None
    import_from: tuple[Path, ...] = ()
    weight: float | None = None


def run(args: Arguments, base: Base, at: datetime, pages: Pages | None = None) -> CommandResult:
    """Do what the arguments say, at a time given by the caller; never raises for bad input.

    `pages`: hands over statistics in place of their text; given by the caller, for reports lie
    above records.
    """
    path = args.records or default_path()
    try:
        if args.action in _WITHOUT_STORE:
            return _WITHOUT_STORE[args.action](args, path)
        if args.records and not path.exists() and args.action != "import":
            raise Misuse(f"there are no records at {path}: look at the name; nothing was made")
        with Store.open(path) as store:
            code, text = _ACTIONS[args.action](_Job(args, base, at, store, pages))
            return code, _with_notice(store, text, args.as_json)
    except Damaged as error:
        return PROBLEM, str(error)
    except (StoreError, Misuse) as error:
        return MISUSE, str(error)
    except OSError as error:
        return MISUSE, f"{error.filename}: {error.strerror}" if error.filename else str(error)


@dataclass(frozen=True, slots=True)
class _Job:
    args: Arguments
    base: Base
    at: datetime
    store: Store
    pages: Pages | None

    @property
    def wanted(self) -> Filter:
        """Which cases are meant, by ids."""
        return wanted_of(self.args.wanted, self.base, self.at)

    @property
    def case_id(self) -> str:
        """The one case that is meant."""
        if len(self.args.cases) != 1:
            raise Misuse("name one case; 'diagnose cases list' shows them")
        return self.args.cases[0]


def _with_notice(store: Store, text: str, as_json: bool) -> str:
    if not store.torn or as_json:
        return text
    return (
        f"{text}\nThe last session was cut off while it was saving: look whether its last entry is"
        " there."
    )


def _list(job: _Job) -> CommandResult:
    found = job.store.list(job.wanted)
    if job.args.as_json:
        return DONE, _json([asdict(case) for case in found])
    lines = [tables.case_list(found, job.base, job.args.width)]
    return DONE, "\n".join(lines if found else [*lines, *_nowhere(job)])


def _nowhere(job: _Job) -> Iterator[str]:
    """A sentence for each film, lot or installer that no case has."""
    for fact in ("film", "lot", "installer"):
        word, known = getattr(job.args.wanted, fact), job.store.values_of(fact)
        if word and word.casefold() not in map(str.casefold, known):
            yield f"no case has the {fact} '{on_one_line(word)}'{guess(word, known)}"


def _show(job: _Job) -> CommandResult:
    case = job.store.case(job.case_id)
    if job.args.as_json:
        return DONE, _json(case_data(CaseFile(case, job.store.events(case.id))))
    customer = job.store.customer(case.id)
    whose = f"\ncustomer: {on_one_line(f'{customer.name} {customer.plate}')}" if customer else ""
    events = job.store.events(case.id) if job.args.journal else ()
    lines = [tables.case_page(case, job.base) + whose, *journal_lines(events, job.base)]
    return DONE, "\n".join(lines)


def _close(job: _Job) -> CommandResult:
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


def _held(job: _Job) -> CommandResult:
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


def _due(job: _Job) -> CommandResult:
    """Closed complaints of which nobody has said whether the repair held."""
    day = job.at.date()
    found = [(o, (day - date.fromisoformat(o.closed)).days) for o in job.store.outcomes(job.wanted)
             if o.held is None]  # fmt: skip
    due = [(outcome, days) for outcome, days in found if days >= job.args.days]
    if job.args.as_json:
        return DONE, _json([{**asdict(outcome), "days": days} for outcome, days in due])
    return DONE, tables.due_page(due, job.base, job.args.width)


def _reopen(job: _Job) -> CommandResult:
    complaint = _complaint(job, is_open=False)
    job.store.append(job.case_id, job.at, EventKind.REOPENED, complaint=complaint.number)
    return DONE, f"complaint {complaint.number} of case {job.case_id} is open again"


def _complaint(job: _Job, is_open: bool) -> Complaint:
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


def _export(job: _Job) -> CommandResult:
    folder = _one_path(job.args.paths, "a folder to write to")
    ids = job.args.cases or tuple(case.id for case in job.store.list(job.wanted))
    found = export_cases(
        job.store,
        ids,
        folder,
        with_customers=job.args.with_customers,
        overwrite=job.args.overwrite,
    )
    lines = [f"{len(found.written)} written to {folder}"]
    lines += [
        f"{path}: holds something else and was left alone; --overwrite replaces it"
        for path in found.in_the_way
    ]
    return (PROBLEM if found.in_the_way else DONE), "\n".join(lines)


def _import(job: _Job) -> CommandResult:
    if not job.args.paths:
        raise Misuse("name the files or folders to take in")
    found = import_cases(job.store, job.args.paths, job.base, job.at)
    lines = [f"{len(found.new)} new, {len(found.known)} here already"]
    lines += [str(problem) for problem in found.problems]
    broken = any(problem.severity == "error" for problem in found.problems)
    return (PROBLEM if broken else DONE), "\n".join(lines)


def _delete(job: _Job) -> CommandResult:
    case = job.store.case(job.case_id)
    if not job.args.yes:
        count = len(job.store.events(case.id))
        raise Misuse(
            f"this deletes case {case.id} for good, its {count} entries, customer and photos:"
            " --yes does it"
        )
    photos.remove(photo_folder(job.store.path), job.store.delete(case.id))
    return DONE, f"case {case.id} is deleted"


def _statistics(job: _Job) -> CommandResult:
    wanted = job.wanted
    outcomes = job.store.outcomes(wanted)
    complaints = job.store.known_complaints(wanted)
    signs = sign_records(job.base, complaints)
    found = statistics(outcomes, job.args.seed, signs)
    shares: tuple[learning.Share, ...] = ()
    symptom = wanted.symptom
    if symptom and (job.args.strength is None or job.args.strength > 0):
        base = job.base.learned(Experience((counts(job.base, complaints),)))
        shares = learning.shares(base, symptom, job.args.strength)
    if job.pages:
        return DONE, job.pages(found)
    if job.args.as_json:
        return DONE, _json({**asdict(found), "shares": [asdict(share) for share in shares]})
    parts = [tables.statistics_page(found, job.base, job.args.width)]
    if shares:
        parts.append(f"shares of causes\n{tables.shares_page(shares, job.base, job.args.width)}")
    return DONE, "\n\n".join([*parts, *_plots(job, found)])


def _words(job: _Job) -> CommandResult:
    cases = [job.store.case(found.id) for found in job.store.list(job.wanted)]
    found = lacking(job.base, cases)
    if job.args.as_json:
        return DONE, _json([asdict(word) for word in found])
    return DONE, tables.lacking_page(found, job.args.width)


def _plots(job: _Job, found: Statistics) -> list[str]:
    if not job.args.plots or not found.complaints:
        return []
    from diagnose.records.experience import plots

    width = job.args.width or PLOT_WIDTH
    drawn = [plots.causes_plot(found.months, lambda c: tables.cause_name(job.base, c), width, 16)]
    if found.calibration:
        drawn.append(plots.calibration_plot(found.calibration, width, 20))
    return drawn


def _photo(job: _Job) -> CommandResult:
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


def _keep_photo(job: _Job, photo: photos.Photo) -> None:
    folder = photo_folder(job.store.path)
    try:
        photos.keep(folder, photo)
    except OSError as error:
        raise StoreError(f"photos cannot be written to {folder}: {error.strerror}") from error


def _customer(job: _Job) -> CommandResult:
    args = job.args
    if args.erase:
        return _forget(job)
    if args.name.strip() or args.plate.strip():
        job.store.set_customer(job.case_id, args.name, args.plate)
        return DONE, f"kept beside case {job.case_id}; exports leave it out unless asked for it"
    customer = job.store.customer(job.case_id)
    if args.as_json:
        return DONE, _json(asdict(customer) if customer else {})
    return DONE, on_one_line(f"{customer.name} {customer.plate}" if customer else "not known")


def _forget(job: _Job) -> CommandResult:
    """Forget a customer; without --yes it is only shown what would go."""
    args = job.args
    case_id = job.case_id if args.cases else ""
    if not (args.name.strip() or args.plate.strip() or case_id):
        raise Misuse("say whom to forget: --name NAME, --plate PLATE, or a case")
    found = forgetting.traces(job.store, args.name, args.plate, case_id)
    if not found.cases:
        raise Misuse("nobody of that name or plate stands in these records")
    if not args.yes:
        told = "\n".join(forgetting.lines(found))
        raise Misuse(f"this goes for good, and the cases stay: --yes does it\n{told}")
    forgetting.forget(job.store, found)
    count, texts = len(found.cases), len(found.stands)
    return DONE, (
        f"forgotten in {count} case{'s' * (count != 1)}, {texts} text{'s' * (texts != 1)} among"
        " them; what was exported or backed up before still holds it"
    )


def _check(job: _Job) -> CommandResult:
    faults = job.store.faults()
    if faults:
        return PROBLEM, str(Damaged(job.store.path, faults))
    folder, wanted = photo_folder(job.store.path), job.store.photos()
    gone = [
        f"case {', '.join(cases)}: its photo {photos.place(folder, key)} is gone or damaged"
        for key, cases in wanted.items()
        if not photos.sound(folder, key)
    ]
    notes = _readable_by_others(job.store.path)
    count = f"{job.store.path}: {len(job.store.ids())} cases"
    if gone:
        lines = (f"{count}, all sound; of {len(wanted)} photos {len(gone)} are not:", *gone)
        return PROBLEM, "\n".join((*lines, *notes))
    return DONE, "\n".join((f"{count} and {len(wanted)} photos, all sound", *notes))


def _readable_by_others(path: Path) -> list[str]:
    """A sentence where others on this computer can read the records."""
    if os.name == "posix" and path.stat().st_mode & 0o077:
        return [f"others on this computer can read it: chmod 600 {path} keeps them out"]
    return []


def _experience(job: _Job) -> CommandResult:
    """Counts from shop to shop: given out, taken in, weighed; without any, what is here."""
    args, store = job.args, job.store
    if args.export_to is not None:
        if not args.name.strip():
            raise Misuse("say under which name the counts go out: --name NAME")
        own = counts(job.base, store.known_complaints(Filter()))
        if args.export_to.exists() and not args.overwrite:
            raise Misuse(f"{args.export_to} exists already: --overwrite replaces it")
        text = shared.exported(job.base, own, args.name.strip())
        args.export_to.write_text(text, encoding="utf-8")
    for path in args.import_from:
        text = path.read_text(encoding="utf-8")
        shared.take_in(store, text, WEIGHT, path.name)
    if args.weight is not None:
        shared.set_weight(store, args.name.strip(), args.weight)
    here = [
        f"{its.shop}: {its.cases:,} cases, each for {its.weight:g}" for its in shared.sources(store)
    ]
    return DONE, "\n".join(here) or "no counts of other shops are here"


def _drift(job: _Job) -> CommandResult:
    found = drift.rises(job.store.outcomes(job.wanted))
    if job.args.as_json:
        return DONE, _json([asdict(rise) for rise in found])
    lines = [drift.rise_words(r, tables.cause_name(job.base, r.cause)) for r in found]
    return DONE, "\n".join(lines) or "no cause has become more frequent than chance allows"


def _backup(job: _Job) -> CommandResult:
    target = _one_path(job.args.paths, "a new file to write to")
    found = backup.back_up(job.store, target)
    lines = [f"{found.cases} cases and {found.photos} photos are now in {target}"]
    lines += [f"the photo {key} was gone already" for key in found.gone]
    return (PROBLEM if found.gone else DONE), "\n".join(lines)


def _restore(args: Arguments, path: Path) -> CommandResult:
    source = _one_path(args.paths, "the backup to restore")
    if args.only_check:
        found, faults = backup.check(source)
        if faults:
            return PROBLEM, "\n".join((f"{source} is damaged:", *faults))
        return DONE, f"{source}: {found.cases} cases and {found.photos} photos, all sound"
    found = backup.restore(source, path)
    return DONE, f"{found.cases} cases and {found.photos} photos are now in {path}"


def _rescue(args: Arguments, path: Path) -> CommandResult:
    target = _one_path(args.paths, "a new file to write to")
    if not path.exists():
        raise Misuse(f"there is no file {path}")
    found = rescue(path, target)
    lines = [
        f"{found.events} entries of {found.cases} cases and {found.photos} photos are now in"
        f" {target}"
    ]
    lines += [f"lost: {sentence}" for sentence in found.lost]
    return (PROBLEM if found.lost else DONE), "\n".join(lines)


def _one_path(paths: Sequence[Path], what: str) -> Path:
    if len(paths) != 1:
        raise Misuse(f"name {what}")
    return paths[0]


def _json(value: Any) -> str:
    return json.dumps(value, indent=2, ensure_ascii=False)


_WITHOUT_STORE: Mapping[str, Callable[[Arguments, Path], CommandResult]] = {
    "rescue": _rescue,
    "restore": _restore,
}
"""What is done with a file that is damaged, or not there yet."""

_ACTIONS: Mapping[str, Callable[[_Job], CommandResult]] = {
    "list": _list,
    "show": _show,
    "close": _close,
    "held": _held,
    "due": _due,
    "backup": _backup,
    "experience": _experience,
    "drift": _drift,
    "reopen": _reopen,
    "export": _export,
    "import": _import,
    "delete": _delete,
    "statistics": _statistics,
    "words": _words,
    "photo": _photo,
    "customer": _customer,
    "check": _check,
}
