"""What the handlers of all requests share: who asks, for which case, with which form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from aiohttp import web

from diagnose.serve.acts import Sent
from diagnose.serve.desk import Desk, Work
from diagnose.serve.gate import Gate, Handing
from diagnose.serve.handlers.replies import as_response, see, wants_data
from diagnose.serve.page import Go, Page
from diagnose.serve.settings import Settings
from diagnose.serve.signing import Signing
from diagnose.serve.views.look import Look


@dataclass(frozen=True, slots=True)
class House:
    """The desk with its cases, and who is let in to it."""

    settings: Settings
    signing: Signing
    gate: Gate
    handing: Handing
    desk: Desk

    def visitor(self, request: web.Request) -> str:
        """Who asks, or somebody new at the door."""
        return self.gate.visitor(request) or self.signing.new_visitor()

    def open(self, request: web.Request) -> Work:
        """The case that an address names; NoCase where it is not of this visitor."""
        return self.desk.open(self.visitor(request), request.match_info["case"])

    def look(self, request: web.Request) -> Look:
        """Who looks at what."""
        return Look(
            self.desk,
            self.visitor(request),
            self.open(request),
            request.query,
            request.match_info.get("rest", ""),
            self.settings.photos,
        )

    def say(
        self, request: web.Request, status: int, title: str, words: str, act: str = ""
    ) -> web.Response:
        """A page of a few plain words."""
        if wants_data(request):
            return web.json_response({"wrong": words}, status=status)
        shown = Page("word.html", {"title": title, "words": words, "act": act}, status)
        return as_response(shown)

    def shown(self, request: web.Request, found: Page | Go) -> web.Response:
        """A page with the mark of a form for this visitor, or the way to another."""
        if isinstance(found, Go):
            return see(found.path)
        return as_response(found, form=self.signing.form(self.visitor(request)))

    def sent(self, request: web.Request, fields: Mapping[str, list[str]]) -> Sent | None:
        """The form, if it was given to this visitor."""
        visitor = self.visitor(request)
        mark = self.signing.mark(visitor, (fields.get("form") or [""])[-1])
        if mark is None:
            return None
        case, rest = request.match_info["case"], request.match_info.get("rest", "")
        return Sent(self.desk, visitor, case, mark, fields, rest)

    def forged(self, request: web.Request) -> web.Response:
        """A form that was not given to this visitor is not taken."""
        words = "This form is not one of yours. Go back, load the page again and send it then."
        return self.say(request, 403, "Not taken", words)
