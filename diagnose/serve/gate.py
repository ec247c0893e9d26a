"""Who may come in: one-time secrets, visitors by signed cookie, nothing told without need."""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable

from aiohttp import web

from diagnose.serve.signing import KEPT_SECONDS, Signing

COOKIE = "visitor"
_LOOPBACK_NAMES = ("localhost", "127.0.0.1", "[::1]")

POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data: blob:;"
    " connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
_HEADERS = {
    "Content-Security-Policy": POLICY,
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}


HANDED_SECONDS = 600
"""How long a code for a second phone stands."""


class Handing:
    """One-time codes by which a phone lets another one in on a case of its own."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._codes: dict[str, tuple[str, float]] = {}

    def code(self, case_id: str) -> str:
        """A new code; of one case only the last stands."""
        now = self._clock()
        standing = {c: (its, end) for c, (its, end) in self._codes.items() if end > now}
        self._codes = {c: its for c, its in standing.items() if its[0] != case_id}
        made = secrets.token_urlsafe(24)
        self._codes[made] = (case_id, now + HANDED_SECONDS)
        return made

    def case(self, code: str) -> str | None:
        """The case that a code stands for, while it does."""
        case_id, end = self._codes.get(code, ("", 0.0))
        return case_id if end > self._clock() else None

    def use_up(self, code: str) -> None:
        """It was used."""
        self._codes.pop(code, None)


class Gate:
    """Lets visitors in and knows them again.

    `network`: only with a secret, which lets in one visitor and is then replaced; `renewed` is told
    each new one. Without, anybody on this machine is let in.
    """

    def __init__(self, network: bool, signing: Signing, renewed: Callable[[str], object]) -> None:
        self._network = network
        self._signing = signing
        self._renewed = renewed
        self._secret = ""

    def open(self) -> None:
        """Make the first secret."""
        if self._network:
            self._renew()

    def _renew(self) -> None:
        self._secret = secrets.token_urlsafe(24)
        self._renewed(self._secret)

    def fits(self, secret: str) -> bool:
        """Whether this is the secret that stands."""
        return bool(self._secret) and secrets.compare_digest(secret.encode(), self._secret.encode())

    def use_up(self) -> None:
        """The secret was used: the next visitor needs the next one."""
        self._renew()

    def visitor(self, request: web.Request) -> str | None:
        """The visitor's id; None for one who was not let in."""
        return self._signing.visitor(request.cookies.get(COOKIE, ""))

    def admit(self, visitor: str, response: web.StreamResponse) -> None:
        """Let a visitor in, or let one stay who was."""
        response.set_cookie(
            COOKIE,
            self._signing.cookie(visitor),
            max_age=KEPT_SECONDS,
            httponly=True,
            samesite="Strict",
            path="/",
        )

    def own_page(self, request: web.Request) -> bool:
        """Whether a request comes from a page of this server, and for it by a name of its own.

        Without the check of the name another site could point its own name at this machine.
        """
        host = request.headers.get("Host", "")
        if not self._network and host.rsplit(":", 1)[0] not in _LOOPBACK_NAMES:
            return False
        if request.headers.get("Sec-Fetch-Site") == "cross-site" and request.method != "GET":
            return False
        origin = request.headers.get("Origin")
        return origin is None or origin.partition("://")[2] == host


async def cover(request: web.Request, response: web.StreamResponse) -> None:
    """Headers that keep strangers out of the page, and none that tells what serves it."""
    for name, value in _HEADERS.items():
        response.headers.setdefault(name, value)
    response.headers["Server"] = "callback"
