"""A copy of all records and photos in one file, that can be checked and restored.

A ZIP file: records.sqlite3, photos/HASH.jpg, and contents.json with the SHA-256 of each.
"""

from __future__ import annotations

import json
import os
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory
from uuid import uuid4
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile

from diagnose.records.case import photos
from diagnose.records.store.database import StoreError
from diagnose.records.store.paths import photo_folder
from diagnose.records.store.store import Store

RECORDS, PHOTOS, CONTENTS = "records.sqlite3", "photos", "contents.json"


@dataclass(frozen=True, slots=True)
class BackedUp:
    """What a backup holds, and the cases of each photo that was gone when it was made."""

    cases: int
    photos: int
    gone: tuple[str, ...] = ()


def back_up(store: Store, target: Path) -> BackedUp:
    """Write a backup; raises StoreError. The file is complete before it gets its name."""
    if target.exists():
        raise StoreError(f"{target} exists already: give the name of a new file")
    wanted = store.photos()
    folder = photo_folder(store.path)
    there = [key for key in wanted if photos.sound(folder, key)]
    draft = target.with_name(f".{target.name}.{uuid4().hex}")
    try:
        with TemporaryDirectory() as place:
            copy = Path(place) / RECORDS
            store.copy_to(copy)
            files = {RECORDS: copy} | {
                f"{PHOTOS}/{key}.jpg": photos.place(folder, key) for key in there
            }
            _write(draft, files)
        draft.replace(target)
    except OSError as error:
        raise StoreError(f"{target} cannot be written: {error.strerror}") from error
    finally:
        draft.unlink(missing_ok=True)
    return BackedUp(len(store.ids()), len(there), _gone(store, there))


def _gone(store: Store, there: Collection[str]) -> tuple[str, ...]:
    return tuple(", ".join(ids) for key, ids in store.photos().items() if key not in there)


def _write(draft: Path, files: Mapping[str, Path]) -> None:
    hashes = {name: sha256(path.read_bytes()).hexdigest() for name, path in files.items()}
    with os.fdopen(os.open(draft, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600), "w+b") as file:
        with ZipFile(file, "w", ZIP_DEFLATED) as packed:
            packed.writestr(CONTENTS, json.dumps(hashes, indent=1))
            for name, path in files.items():
                packed.write(path, name)
        file.flush()
        os.fsync(file.fileno())


def check(path: Path) -> tuple[BackedUp, tuple[str, ...]]:
    """What a backup holds, and what is wrong with it, one sentence each; raises StoreError."""
    with TemporaryDirectory() as place:
        return _unpacked(path, Path(place))


def restore(path: Path, target: Path) -> BackedUp:
    """Make the records and photos of a backup anew in a place that has none; raises StoreError."""
    folder = photo_folder(target)
    for there in (target, folder):
        if there.exists():
            raise StoreError(f"{there} exists already: restore to another place, or move it away")
    with TemporaryDirectory() as place:
        found, faults = _unpacked(path, Path(place))
        if faults:
            raise StoreError(f"{path} is damaged and was not restored: {'; '.join(faults)}")
        for file in sorted((Path(place) / PHOTOS).glob("*.jpg")):
            photos.put(folder, file.stem, file.read_bytes())
        with Store.open(Path(place) / RECORDS) as store:
            store.copy_to(target)
    return found


def _unpacked(path: Path, place: Path) -> tuple[BackedUp, tuple[str, ...]]:
    try:
        with ZipFile(path) as packed:
            names = [n for n in packed.namelist() if n == RECORDS or _is_photo(n)]
            hashes = json.loads(packed.read(CONTENTS))
            faults = [f"{name} is missing" for name in hashes if name not in names]
            for name in names:
                content = packed.read(name)
                if sha256(content).hexdigest() != hashes.get(name):
                    faults.append(f"{name} is not as it was written")
                (place / name).parent.mkdir(parents=True, exist_ok=True)
                (place / name).write_bytes(content)
    except (OSError, BadZipFile, KeyError, ValueError) as error:
        raise StoreError(f"{path} is no backup that can be read: {error}") from error
    if faults or RECORDS not in names:
        return BackedUp(0, 0), tuple(faults or [f"{RECORDS} is missing"])
    with Store.open(place / RECORDS) as store:
        there = {PurePosixPath(name).stem for name in names}
        held = BackedUp(len(store.ids()), len(names) - 1, _gone(store, there))
        return held, store.faults()


def _is_photo(name: str) -> bool:
    parts = PurePosixPath(name)
    return parts.parent.as_posix() == PHOTOS and parts.stem.isalnum() and parts.suffix == ".jpg"
