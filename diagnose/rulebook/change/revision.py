"""A folder as it stood at a git revision, taken out into a place of its own."""

from __future__ import annotations

import io
import shutil
import subprocess
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from diagnose.commands import Misuse


class NoRevisionError(Misuse):
    """Neither a folder nor a revision that knows the folder; the message says what to do."""


@contextmanager
def taken_out(revision: str, folder: Path) -> Iterator[Path]:
    """A copy of `folder` as committed at `revision`, gone afterwards; raises NoRevisionError.

    Git is asked only to read; nothing in the working tree changes.
    """
    git = shutil.which("git")
    if git is None:
        raise NoRevisionError(f"{revision} is no folder, and git is not here to look it up")
    if revision.startswith("-"):
        raise NoRevisionError(f"'{revision}' is neither a folder nor a git revision")
    made = subprocess.run(  # noqa: S603 (git itself, given a revision and never a shell line)
        [git, "-C", str(folder), "archive", "--format=tar", revision, "."],
        capture_output=True,
        check=False,
    )
    if made.returncode != 0:
        said = made.stderr.decode(errors="replace").strip().splitlines()
        raise NoRevisionError(
            f"'{revision}' is neither a folder nor a git revision that holds {folder}"
            f" ({said[-1] if said else 'git says nothing'})"
        )
    with TemporaryDirectory(prefix="rules-") as place:
        with tarfile.open(fileobj=io.BytesIO(made.stdout)) as packed:
            packed.extractall(place, filter="data")
        yield Path(place)
