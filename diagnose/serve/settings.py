"""How the pages are served."""

from __future__ import annotations

import socket
from dataclasses import dataclass
from pathlib import Path

LOOPBACK, ANY = "127.0.0.1", "0.0.0.0"  # noqa: S104 (bound only where it was asked for)


@dataclass(frozen=True, slots=True)
class Settings:
    """What is served, to whom, and within which limits.

    `network`: on all addresses of this machine, behind a one-time secret; else loopback only.
    `shared`: every visitor sees every case. `visitors`: how many at work at once, who counts as at
    work for `idle_minutes` after the last request. `per_second` requests of one visitor, `at_once`
    of them in a row. Sizes in bytes, of a form and of a photo as it arrives; `photos` of a case.
    `ahead`: every symptom is made ready while nobody asks anything yet.
    """

    records: Path
    rules: Path | None = None
    port: int = 8000
    network: bool = False
    shared: bool = False
    visitors: int = 30
    idle_minutes: float = 30.0
    per_second: float = 8.0
    at_once: int = 60
    form_bytes: int = 64 * 1024
    photo_bytes: int = 20_000_000
    photos: int = 24
    ahead: bool = False

    @property
    def host(self) -> str:
        """The address to listen on."""
        return ANY if self.network else LOOPBACK


def own_address() -> str:
    """The address of this machine on its network; loopback where it has none. Sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            return str(probe.getsockname()[0])
        except OSError:
            return LOOPBACK
