"""Files of people: read as text, written whole and never over another unasked, safely named."""

from __future__ import annotations

import re
import sys
import unicodedata
from contextlib import suppress
from pathlib import Path
from uuid import uuid4

from diagnose.commands import Misuse
from diagnose.folders import yaml_files

LONGEST_NAME = 80
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?$", re.IGNORECASE)


class CannotWrite(Misuse):
    """A file that was not written; the message says why and what to do."""


class CannotPrint(CannotWrite):
    """A document that this format cannot be made of, or not on this machine."""


def text_of(file: Path) -> tuple[str, str]:
    """Name and text of a file, or of the standard input for `-`; Misuse if it cannot be read."""
    is_stdin = str(file) == "-"
    try:
        if is_stdin:
            return "(stdin)", sys.stdin.read()
        return file.name, file.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise Misuse(f"{file} cannot be read: {error.strerror}") from None
    except UnicodeDecodeError:
        name = "the standard input" if is_stdin else file
        raise Misuse(f"{name} cannot be read: it is not UTF-8 text, save it as UTF-8") from None


def cases_folder(folder: Path, *, below: bool = True) -> Path:
    """A folder that holds case files; Misuse where it is not there or holds none."""
    if not folder.is_dir():
        raise Misuse(f"there is no folder {folder}: look at the name of the folder of cases")
    if not yaml_files(folder, below=below):
        raise Misuse(f"{folder} holds no case file (*.yaml, *.yml): name a folder that does")
    return folder


def new(path: Path) -> Path:
    """A path at which there is nothing yet; CannotWrite otherwise."""
    if path.exists():
        raise CannotWrite(f"{path} exists already: give another name")
    return path


def hand_over(words: str, output: Path | None) -> None:
    """Print a text, or write it to a new file where one is named; raises CannotWrite."""
    if output is None:
        print(words, end="")
        return
    write(output, words.encode())
    print(f"Written to {output}.")


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


def write(path: Path, content: bytes, overwrite: bool | None = None) -> None:
    """Write a file, complete or not at all; raises CannotWrite.

    A file of that name is kept unless it may be overwritten; None where that cannot be asked for.
    """
    draft = path.with_name(f".{path.name[:LONGEST_NAME]}.{uuid4().hex}")
    try:
        if not overwrite:
            _create(path, content)
            return
        draft.write_bytes(content)
        draft.replace(path)
    except FileExistsError:
        other = "" if overwrite is None else ", or say --overwrite"
        raise CannotWrite(f"{path} exists already: give another name{other}") from None
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
