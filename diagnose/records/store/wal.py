"""Looking into SQLite's write-ahead log before SQLite does.

SQLite takes the log up to the first frame whose checksum is wrong and drops the rest in silence:
right after a power cut, wrong after damage. The frames behind the bad one tell the two apart: a
transaction is synced before the next is begun, so what another follows had been acknowledged.
Format: 'The Write-Ahead Log' in SQLite's file format document, section 4.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

_HEADER = struct.Struct(">8I")
_FRAME = struct.Struct(">6I")
_MAGIC = (0x377F0682, 0x377F0683)
_WORD = 0xFFFFFFFF

Sums = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Log:
    """What is wrong with a log: `faults` lose acknowledged entries, `torn` perhaps the last one."""

    faults: tuple[str, ...] = ()
    torn: bool = False


@dataclass(frozen=True, slots=True)
class _Frame:
    ours: bool
    sound: bool
    commits: bool


def log_of(path: Path) -> Path:
    """The write-ahead log of a database file."""
    return path.with_name(f"{path.name}-wal")


def inspect(path: Path) -> Log:
    """Look at the log of a database file; no log is a sound one."""
    try:
        content = log_of(path).read_bytes()
    except FileNotFoundError:
        return Log()
    if len(content) < _HEADER.size + _FRAME.size:
        return Log()
    magic, _, page, _, *salts, one, two = _HEADER.unpack_from(content)
    order = "<" if magic == _MAGIC[0] else ">"
    sums = _sums(order, content[: _HEADER.size - 8], (0, 0))
    if magic not in _MAGIC or sums != (one, two):
        return Log(("the head of its write-ahead log is damaged, so that nothing in it counts",))
    return _judge(list(_frames(content, order, page, tuple(salts), sums)))


def _frames(
    content: bytes, order: str, page: int, salts: tuple[int, ...], sums: Sums
) -> Iterator[_Frame]:
    """Each whole frame; after the first that is not sound no checksum is reckoned any more."""
    length = _FRAME.size + page
    sound = True
    for start in range(_HEADER.size, len(content) - length + 1, length):
        _, size, *found, one, two = _FRAME.unpack_from(content, start)
        ours = tuple(found) == salts
        if sound and ours:
            sums = _sums(order, content[start : start + 8], sums)
            sums = _sums(order, content[start + _FRAME.size : start + length], sums)
        sound = sound and ours and sums == (one, two)
        yield _Frame(ours, sound, size > 0)


def _sums(order: str, content: bytes, sums: Sums) -> Sums:
    one, two = sums
    words = struct.unpack(f"{order}{len(content) // 4}I", content)
    for even, odd in zip(words[::2], words[1::2], strict=True):
        one = (one + even + two) & _WORD
        two = (two + odd + one) & _WORD
    return one, two


def _judge(frames: list[_Frame]) -> Log:
    bad = next((number for number, frame in enumerate(frames) if not frame.sound), len(frames))
    behind = [frame for frame in frames[bad:] if frame.ours]
    commits = [number for number, frame in enumerate(behind) if frame.commits]
    if commits and commits[0] < len(behind) - 1:
        return Log(
            (
                f"its write-ahead log is damaged at frame {bad + 1}: the {len(commits)} last"
                " entries in it cannot be read",
            )
        )
    return Log(torn=bool(commits))
