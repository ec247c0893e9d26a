"""Records as a whole: given out, taken in, checked, backed up, rescued; customers forgotten."""

from __future__ import annotations

import os
from dataclasses import asdict
from pathlib import Path

from diagnose.commands import DONE, PROBLEM, CommandResult, Misuse
from diagnose.records.actions.job import Arguments, CaseAction, as_json_text, one_path
from diagnose.records.case import photos
from diagnose.records.store import backup, forgetting
from diagnose.records.store.database import Damaged
from diagnose.records.store.exchange import export_cases, import_cases
from diagnose.records.store.paths import photo_folder
from diagnose.records.store.rescue import rescue
from diagnose.records.tables import count_of
from diagnose.typed import on_one_line


def export(job: CaseAction) -> CommandResult:
    """Write cases as files."""
    folder = one_path(job.args.paths, "a folder to write to")
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


def take_in(job: CaseAction) -> CommandResult:
    """Take cases in from files."""
    if not job.args.paths:
        raise Misuse("name the files or folders to take in")
    found = import_cases(job.store, job.args.paths, job.base, job.at)
    lines = [f"{len(found.new)} new, {len(found.known)} here already"]
    lines += [str(problem) for problem in found.problems]
    broken = any(problem.severity == "error" for problem in found.problems)
    return (PROBLEM if broken else DONE), "\n".join(lines)


def customer(job: CaseAction) -> CommandResult:
    """Whose vehicle it is: said, shown or forgotten."""
    args = job.args
    if args.erase:
        return _forget(job)
    if args.name.strip() or args.plate.strip():
        job.store.set_customer(job.case_id, args.name, args.plate)
        return DONE, f"kept beside case {job.case_id}; exports leave it out unless asked for it"
    customer = job.store.customer(job.case_id)
    if args.as_json:
        return DONE, as_json_text(asdict(customer) if customer else {})
    return DONE, on_one_line(f"{customer.name} {customer.plate}" if customer else "not known")


def _forget(job: CaseAction) -> CommandResult:
    """Forget a customer; without --yes it is only shown what would go."""
    args = job.args
    case_id = job.case_id if args.cases else ""
    if not (args.name.strip() or args.plate.strip() or case_id):
        raise Misuse("say whom to forget: --name NAME, --plate PLATE, or a case")
    found = forgetting.traces(job.store, args.name, args.plate, case_id)
    if not found.cases:
        nobody = "nobody of that name or plate stands in these records"
        raise Misuse("\n".join((nobody, *forgetting.lines(found))))
    if not args.yes:
        told = "\n".join(forgetting.lines(found))
        raise Misuse(f"this goes for good, and the cases stay: --yes does it\n{told}")
    forgetting.forget(job.store, found)
    count, texts = len(found.cases), len(found.stands)
    return DONE, (
        f"forgotten in {count} case{'s' * (count != 1)}, {texts} text{'s' * (texts != 1)} among"
        " them; what was exported or backed up before still holds it"
    )


def check(job: CaseAction) -> CommandResult:
    """Whether records and photos are sound."""
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
    count = f"{job.store.path}: {count_of(len(job.store.ids()), 'case')}"
    if gone:
        are = "is" if len(gone) == 1 else "are"
        lines = (
            f"{count}, all sound; of {count_of(len(wanted), 'photo')} {len(gone)} {are} not:",
            *gone,
        )
        return PROBLEM, "\n".join((*lines, *notes))
    return DONE, "\n".join((f"{count} and {count_of(len(wanted), 'photo')}, all sound", *notes))


def _readable_by_others(path: Path) -> list[str]:
    """A sentence where others on this computer can read the records."""
    if os.name == "posix" and path.stat().st_mode & 0o077:
        return [f"others on this computer can read it: chmod 600 {path} keeps them out"]
    return []


def back_up(job: CaseAction) -> CommandResult:
    """All records and photos in one file."""
    target = one_path(job.args.paths, "a new file to write to")
    found = backup.back_up(job.store, target)
    lines = [f"{_both(found.cases, found.photos)} are now in {target}"]
    lines += [f"case {its}: a photo was gone already" for its in found.gone]
    return (PROBLEM if found.gone else DONE), "\n".join(lines)


def restore_from(args: Arguments, path: Path) -> CommandResult:
    """Records made anew from a backup, or the backup looked through."""
    source = one_path(args.paths, "the backup to restore")
    if args.only_check:
        found, faults = backup.check(source)
        if faults:
            return PROBLEM, "\n".join((f"{source} is damaged:", *faults))
        told = f"{source}: {_both(found.cases, found.photos)}, all sound"
    else:
        found = backup.restore(source, path)
        told = f"{_both(found.cases, found.photos)} are now in {path}"
    lost = (f"case {its}: a photo was gone when the backup was made" for its in found.gone)
    return DONE, "\n".join((told, *lost))


def _both(cases: int, pictures: int) -> str:
    return f"{count_of(cases, 'case')} and {count_of(pictures, 'photo')}"


def rescue_from(args: Arguments, path: Path) -> CommandResult:
    """What can still be read of damaged records, in a new file."""
    target = one_path(args.paths, "a new file to write to")
    if not path.exists():
        raise Misuse(f"there is no file {path}")
    found = rescue(path, target)
    lines = [f"{found.events} entries of {_both(found.cases, found.photos)} are now in {target}"]
    lines += [f"lost: {sentence}" for sentence in found.lost]
    return (PROBLEM if found.lost else DONE), "\n".join(lines)
