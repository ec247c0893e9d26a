"""Published complaints: what each source tells, how it was read, and which causes say the same.

A half is a folder: entries.md, encoded/ (a blind reader's case files), mapped.yaml, and what a
specialist made of the text and of the answers (specialist_text.yaml, specialist_answers.yaml).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from typing import Any

import yaml

HERE = Path(__file__).resolve().parent
HALVES = ("study", "judging")

_HELD = re.compile(r"#\s*held:\s*(\d+) in full, (\d+) in part, (\d+) not")
_OR = re.compile(r"#\s*or:\s*(\w+)")


@dataclass(frozen=True, slots=True)
class Entry:
    """One published complaint as it was put down: its number, address, kind and text."""

    id: str
    address: str
    kind: str
    film: str
    text: str

    @property
    def page(self) -> str:
        """Host and path in small letters, by which pages are told apart."""
        bare = re.sub(r"^[a-z]+://", "", self.address.lower()).split("#")[0].split("?")[0]
        return re.sub(r"^www\.", "", bare).rstrip("/.")

    @property
    def half(self) -> str:
        """The half to which the last bit of a hash of its page sends a new entry."""
        return HALVES[1 - int(sha256(self.page.encode()).hexdigest()[-1], 16) % 2]


@dataclass(frozen=True, slots=True)
class Held:
    """How many observations a reading holds in full, in part, not at all."""

    full: int
    part: int
    none: int


@dataclass(frozen=True, slots=True)
class Mapped:
    """Which causes say what the source says; `missing`: none does; `abstain`: it cannot be told."""

    accept: tuple[str, ...]
    also: tuple[str, ...]
    abstain: bool
    missing: bool


Guess = Mapping[str, float]
"""A specialist's percent by cause; 'none' for what is not listed."""


@dataclass(frozen=True)
class Half:
    """All entries of one half, with their readings."""

    name: str

    @property
    def folder(self) -> Path:
        """Where it lies."""
        return HERE / self.name

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """The entries in the order of the file."""
        return tuple(read_entries((self.folder / "entries.md").read_text(encoding="utf-8")))

    @cached_property
    def mapped(self) -> Mapping[str, Mapped]:
        """The mapping of each entry."""
        return {
            name: Mapped(tuple(m["accept"]), tuple(m["also"]), m["abstain"], m["missing"])
            for name, m in self._yaml("mapped.yaml").items()
        }

    def specialist(self, source: str) -> Mapping[str, Guess]:
        """What the specialist on the `text` or on the `answers` made of each entry."""
        return self._yaml(f"specialist_{source}.yaml")

    def case_text(self, entry: Entry) -> str:
        """The reader's case file."""
        return (self.folder / "encoded" / f"{entry.id.lower()}.yaml").read_text(encoding="utf-8")

    def held(self, entry: Entry) -> Held | None:
        """What the reading holds, where the reader counted it."""
        found = _HELD.search(self.case_text(entry))
        return Held(*map(int, found.groups())) if found else None

    def noted(self, entry: Entry) -> tuple[str, ...]:
        """Other symptoms that the reader noted beside the one chosen."""
        return tuple(_OR.findall(self.case_text(entry)))

    def _yaml(self, name: str) -> dict[str, Any]:
        path = self.folder / name
        return yaml.safe_load(path.read_text(encoding="utf-8")) or {} if path.exists() else {}


def read_entries(text: str) -> Iterator[Entry]:
    """The entries of a file, each from its heading to the next."""
    for part in re.split(r"(?m)^(?=### )", text)[1:]:
        name, address = re.match(r"### (\w+)", part), re.search(r"- Source: *<?([^\s|>]+)", part)
        kind, film = re.search(r"- Kind: *\W*([AB])", part), re.search(r"- Film class: *(.+)", part)
        if not (name and address and kind):
            raise ValueError(f"an entry without its number, source or kind: {part[:80]}")
        yield Entry(name[1], address[1], kind[1], film[1].strip() if film else "", part)
