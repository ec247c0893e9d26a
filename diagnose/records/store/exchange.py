"""Cases as files in a folder, one a case, out and in; photos lie in a folder beside them."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from uuid import uuid4

from diagnose.folders import yaml_files
from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Problem, Spot
from diagnose.records.case import photos
from diagnose.records.case.casefile import CaseFile, as_events, read_case
from diagnose.records.case.casewrite import write_case
from diagnose.records.case.journal import Case
from diagnose.records.store.database import NoCase, StoreError
from diagnose.records.store.paths import photo_folder
from diagnose.records.store.store import Store

PHOTOS = "photos"


@dataclass(frozen=True, slots=True)
class Exported:
    """Files written, and files left alone because they hold something else."""

    written: tuple[Path, ...] = ()
    in_the_way: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Imported:
    """Ids taken in, ids that were there already, and what stood in the way of the others."""

    new: tuple[str, ...] = ()
    known: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()


def export_cases(
    store: Store,
    ids: Iterable[str],
    folder: Path,
    *,
    with_customers: bool = False,
    overwrite: bool = False,
) -> Exported:
    """Write cases into a folder; raises StoreError. Customers are left out unless asked for."""
    written, in_the_way = [], []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for case_id in ids:
            target = folder / f"{case_id}.yaml"
            content = case_text(store, case_id, with_customers=with_customers).encode()
            if not overwrite and target.exists() and target.read_bytes() != content:
                in_the_way.append(target)
                continue
            _write(target, content)
            _copy_photos(store.case(case_id), photo_folder(store.path), folder / PHOTOS)
            written.append(target)
    except OSError as error:
        raise StoreError(f"{folder} cannot be written: {error.strerror}") from error
    return Exported(tuple(written), tuple(in_the_way))


def case_text(store: Store, case_id: str, *, with_customers: bool = False) -> str:
    """A stored case as a file's text, with its journal."""
    customer = store.customer(case_id) if with_customers else None
    return write_case(CaseFile(store.case(case_id), store.events(case_id), customer))


def import_cases(store: Store, paths: Sequence[Path], base: Base, at: datetime) -> Imported:
    """Take in files, and every *.yaml of folders among them.

    A file with any error is left out and the others are taken in; a file without a journal becomes
    events at the given time.
    """
    new: list[str] = []
    known: list[str] = []
    problems: list[Problem] = []
    for path in _files(paths):
        case_file, found = _read(path, base)
        problems += found
        if case_file is None:
            continue
        try:
            added = take_in(store, case_file, at)
        except (StoreError, ValueError) as error:
            problems.append(Problem(Spot(str(path), 1, 1), str(error), "case"))
            continue
        (new if added else known).append(case_file.case.id)
        _copy_photos(case_file.case, path.parent / PHOTOS, photo_folder(store.path))
    return Imported(tuple(new), tuple(known), tuple(problems))


def take_in(store: Store, case_file: CaseFile, at: datetime) -> bool:
    """Add one file's case; False where the store has it already."""
    case = case_file.case
    same = not case_file.events and _stored(store, case.id) == case
    added = not same and store.add(case.id, as_events(case_file, at))
    if case_file.customer:
        store.set_customer(case.id, case_file.customer.name, case_file.customer.plate)
    return added


def _stored(store: Store, case_id: str) -> Case | None:
    try:
        return store.case(case_id)
    except NoCase:
        return None


def _files(paths: Sequence[Path]) -> list[Path]:
    found: list[Path] = []
    for path in paths:
        found += yaml_files(path, below=False) if path.is_dir() else [path]
    return found


def _read(path: Path, base: Base) -> tuple[CaseFile | None, list[Problem]]:
    spot = Spot(str(path), 1, 1)
    try:
        return read_case(str(path), path.read_bytes().decode("utf-8-sig"), base)
    except UnicodeDecodeError as error:
        return None, [Problem(spot, f"not UTF-8 text (byte {error.start}): save it as UTF-8")]
    except OSError as error:
        return None, [Problem(spot, f"cannot be read: {error.strerror}")]


def _copy_photos(case: Case, source: Path, target: Path) -> None:
    """Copy the photos that are there and are what their names say."""
    shown = [case.photos, *(complaint.photos for complaint in case.complaints)]
    for of_content in {photo for some in shown for photo, _ in some}:
        if photos.sound(source, of_content) and not photos.sound(target, of_content):
            target.mkdir(parents=True, exist_ok=True)
            _write(photos.place(target, of_content), photos.place(source, of_content).read_bytes())


def _write(target: Path, content: bytes) -> None:
    """Complete before it gets its name, so that a full disk never leaves half a file."""
    draft = target.with_name(f".{target.name}.{uuid4().hex}")
    try:
        with draft.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(target)
    finally:
        draft.unlink(missing_ok=True)
