"""How the screens are served."""

from __future__ import annotations

import socket
from dataclasses import dataclass
from pathlib import Path

LOOPBACK, ANY = "127.0.0.1", "0.0.0.0"  # noqa: S104 (bound only where it was asked for)


@dataclass(frozen=True, slots=True)
class Settings:
    """What is served, to whom, and within which limits.

    `network`: on all addresses of this machine, behind a one-time secret; else loopback only.
    `shared`: every visitor sees every case. `visitors`: how many at once. `idle_minutes`: after so
    long without a touch or a key a visitor's screens are closed; nothing is lost.
    """

    records: Path
    rules: Path | None = None
    port: int = 8000
    network: bool = False
    shared: bool = False
    visitors: int = 4
    idle_minutes: float = 30.0

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
