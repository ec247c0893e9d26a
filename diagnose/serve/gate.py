"""Who may come in: one-time secrets, visitors by cookie, and nothing told that need not be."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Awaitable, Callable
from importlib.resources import files

from aiohttp import web

COOKIE = "visitor"
KEPT_SECONDS = 30 * 24 * 3600
_LOOPBACK_NAMES = ("localhost", "127.0.0.1", "[::1]")
_HEADERS = {
    "Content-Security-Policy": "default-src 'self'; style-src 'self' 'unsafe-inline';"
    " img-src 'self' data:; frame-ancestors 'none'; base-uri 'none'; form-action 'self'",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
}
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class Gate:
    """Lets visitors in and knows them again.

    `network`: only with a secret, which lets in one visitor and is then replaced; `renewed` is told
    each new one. Without, anybody on this machine is let in.
    """

    def __init__(self, network: bool, renewed: Callable[[str], object]) -> None:
        self._network = network
        self._renewed = renewed
        self._inside: set[str] = set()
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

    def admit(self, request: web.Request, response: web.StreamResponse) -> None:
        """Let a visitor in; one known by the cookie stays who they were."""
        token = request.cookies.get(COOKIE, "")
        if not _is_token(token):
            token = secrets.token_urlsafe(32)
        self._inside.add(_digest(token))
        response.set_cookie(COOKIE, token, max_age=KEPT_SECONDS, httponly=True, samesite="Strict")

    def use_up(self) -> None:
        """The secret was used: the next visitor needs the next one."""
        self._renew()

    def visitor(self, request: web.Request) -> str | None:
        """The visitor's id (not the cookie itself); None for one who was not let in."""
        token = request.cookies.get(COOKIE, "")
        if not _is_token(token):
            return None
        return _digest(token) if not self._network or _digest(token) in self._inside else None

    def own_page(self, request: web.Request) -> bool:
        """Whether a request comes from a page of this server, and for it by a name of its own.

        Without the check of the name another site could point its own name at this machine.
        """
        host = request.headers.get("Host", "")
        if not self._network and host.rsplit(":", 1)[0] not in _LOOPBACK_NAMES:
            return False
        origin = request.headers.get("Origin")
        return origin is None or origin.partition("://")[2] == host


def _is_token(token: str) -> bool:
    return len(token) == 43 and token.replace("-", "a").replace("_", "a").isalnum()


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()[:32]


def page(name: str) -> str:
    """A page as it stands in the package."""
    return (files("diagnose.serve") / "pages" / name).read_text(encoding="utf-8")


def say(status: int, title: str, words: str, act: str = "") -> web.Response:
    """A page of a few plain words, with what to do."""
    text = page("word.html").replace("{title}", title).replace("{words}", words)
    return web.Response(status=status, text=text.replace("{act}", act), content_type="text/html")


@web.middleware
async def plainly(request: web.Request, handler: Handler) -> web.StreamResponse:
    """Errors in plain words, without a path, an address or a version of anything."""
    try:
        return await handler(request)
    except web.HTTPException as error:
        if error.status < 400:
            raise
        return say(error.status, "Not here", "There is nothing at this address.")
    except ConnectionError:
        raise
    except Exception:
        request.app.logger.exception("a request failed")
        return say(500, "That went wrong", "Go back and try again. Every answer is kept.")


async def cover(request: web.Request, response: web.StreamResponse) -> None:
    """Headers that keep strangers out of the page, and none that tells what serves it."""
    for name, value in _HEADERS.items():
        response.headers.setdefault(name, value)
    response.headers["Server"] = "callback"
