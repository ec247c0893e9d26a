"""Files that pages are written to: safe names, and nothing overwritten unasked."""

from __future__ import annotations

import re
import unicodedata
from contextlib import suppress
from pathlib import Path
from uuid import uuid4

LONGEST_NAME = 80
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?$", re.IGNORECASE)


class CannotWrite(OSError):
    """A file that was not written; the message says why and what to do."""


class CannotPrint(CannotWrite):
    """A document that this format cannot be made of, or not on this machine."""


def safe_name(words: str, ending: str = "") -> str:
    """A file name made of what a person typed: it names one file, in any folder, on any system.

    Letters and digits of any script stay; everything else becomes a hyphen. Never empty, never
    hidden, never a device's name, at most `LONGEST_NAME` characters and the ending.
    """
    folded = unicodedata.normalize("NFC", words)
    name = re.sub(r"[^\w.]+|_+", "-", folded)
    name = re.sub(r"[-.]*\.[-.]*", ".", name).strip("-.")[:LONGEST_NAME].strip("-.")
    while len(name.encode()) > 2 * LONGEST_NAME:
        name = name[:-1]
    if not name or _DEVICES.match(name):
        name = f"case-{name}".rstrip("-")
    return f"{name}{ending}"


def write(path: Path, content: bytes, overwrite: bool = False) -> None:
    """Write a file, complete or not at all; raises CannotWrite.

    A file of that name is kept unless it may be overwritten.
    """
    draft = path.with_name(f".{path.name[:LONGEST_NAME]}.{uuid4().hex}")
    try:
        if not overwrite:
            _create(path, content)
            return
        draft.write_bytes(content)
        draft.replace(path)
    except FileExistsError:
        raise CannotWrite(f"{path} exists already: give another name, or say --overwrite") from None
    except OSError as error:
        raise CannotWrite(f"{path} cannot be written: {error.strerror}") from None
    finally:
        with suppress(OSError):
            draft.unlink()


def _create(path: Path, content: bytes) -> None:
    """A new file; one that could not be finished is taken away again."""
    with path.open("xb") as file:
        try:
            file.write(content)
            file.flush()
        except OSError:
            path.unlink(missing_ok=True)
            raise
