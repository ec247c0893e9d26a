"""How much one visitor may ask for, and how many may be at work."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable

MOST_KNOWN = 4096
"""Names of which the pace is kept; of more the one seen longest ago is forgotten."""


class Pace:
    """So many requests a second of each name, and some in a row (a bucket that fills again)."""

    def __init__(
        self, per_second: float, at_once: int, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._per_second, self._at_once, self._clock = per_second, at_once, clock
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def allows(self, name: str) -> bool:
        """Whether one more request is within the pace; it counts if so."""
        now = self._clock()
        left, then = self._left.pop(name, (float(self._at_once), now))
        left = min(float(self._at_once), left + (now - then) * self._per_second)
        allowed = left >= 1
        self._left[name] = (left - allowed, now)
        while len(self._left) > MOST_KNOWN:
            self._left.popitem(last=False)
        return allowed


class Places:
    """So many visitors at work at once."""

    def __init__(
        self, places: int, idle_seconds: float, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._places, self._idle, self._clock = places, idle_seconds, clock
        self._seen: dict[str, float] = {}

    def take(self, visitor: str) -> bool:
        """Whether there is a place for a visitor, who has it from now on."""
        now = self._clock()
        self._seen = {v: at for v, at in self._seen.items() if now - at <= self._idle}
        if visitor not in self._seen and len(self._seen) >= self._places:
            return False
        self._seen[visitor] = now
        return True
