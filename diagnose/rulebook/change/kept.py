"""What cases came to, kept from one run to the next: a side that was run is not run again.

A file for each symptom and all that it rests on (`rests.digest`), so nothing that is kept can be
out of date. What cannot be read or written is done without.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from diagnose import caches
from diagnose.reasoning.questions.question import Stop
from diagnose.rulebook.change.replay import Chances, Play, Told

MOST_FILES = 600
"""Files that are kept; the oldest go first."""


class KeptResults:
    """Results by what a symptom rests on and the digest of a record; in memory without a folder."""

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder
        self._told: dict[tuple[str, str], Told] = {}
        self._plays: dict[tuple[str, str], Play] = {}
        self._read: set[str] = set()

    def told(self, rests: str, record: str) -> Told | None:
        """What a record came to, if it was run."""
        self._open(rests)
        return self._told.get((rests, record))

    def play(self, rests: str, record: str, most: int) -> Play | None:
        """How its asking went, if it was asked as many questions."""
        self._open(rests)
        play = self._plays.get((rests, record))
        if play is None or not (play.whole or len(play.checks) >= most):
            return None
        return play

    def keep(self, rests: str, told: Mapping[str, Told], plays: Mapping[str, Play]) -> None:
        """Keep what records of a symptom came to."""
        self._open(rests)
        self._told.update({(rests, record): its for record, its in told.items()})
        self._plays.update({(rests, record): its for record, its in plays.items()})
        if self._folder is not None:
            self._write(rests, self._folder)

    def _open(self, rests: str) -> None:
        if self._folder is None or rests in self._read:
            return
        self._read.add(rests)
        with suppress(OSError, ValueError, KeyError, TypeError):
            data = json.loads((self._folder / f"{rests}.json").read_bytes())
            told = {(rests, r): Told(_chances(d["chances"]), d["payer"])
                    for r, d in data["told"].items()}  # fmt: skip
            plays = {(rests, r): _play(d) for r, d in data["plays"].items()}
            self._told.update(told)
            self._plays.update(plays)

    def _write(self, rests: str, folder: Path) -> None:
        told = {r: {"chances": t.chances, "payer": t.payer} for r, t in _of(rests, self._told)}
        plays = {r: _play_data(play) for r, play in _of(rests, self._plays)}
        text = json.dumps({"told": told, "plays": plays})
        caches.keep(folder / f"{rests}.json", text, MOST_FILES)


def _of(rests: str, results: Mapping[tuple[str, str], Any]) -> Iterator[tuple[str, Any]]:
    return ((record, its) for (at, record), its in results.items() if at == rests)


def _chances(data: Any) -> Chances:
    return tuple((str(name), float(chance)) for name, chance in data)


def _play_data(play: Play) -> dict[str, Any]:
    return {
        "checks": play.checks,
        "unknown": play.unknown,
        "stop": play.stop,
        "whole": play.whole,
        "chances": play.chances,
    }


def _play(data: Any) -> Play:
    stop = Stop(data["stop"]) if data["stop"] else None
    chances = _chances(data["chances"])
    return Play(tuple(data["checks"]), data["unknown"], stop, data["whole"], chances)
