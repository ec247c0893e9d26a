"""Coming in: by the code that the computer shows, by one that another phone shows."""

from __future__ import annotations

from aiohttp import web

from diagnose.serve.handlers.arriving import fields
from diagnose.serve.handlers.house import House
from diagnose.serve.handlers.replies import see
from diagnose.serve.views.kept import hand

SCAN = "Scan the code that the computer in the shop shows now; each lets in one phone."
JOIN = "Let the other phone show a new one: More, Another phone on this case."


class Entrance:
    """Lets phones in, each by a code that is used once."""

    def __init__(self, house: House) -> None:
        self._house = house

    def routes(self) -> list[web.RouteDef]:
        """The addresses of codes."""
        return [
            web.get("/enter/{secret}", self._door),
            web.post("/enter/{secret}", self._enter),
            web.get("/join/{code}", self._join_door),
            web.post("/join/{code}", self._join),
            web.post("/case/{case}/hand", self._hand),
        ]

    async def _door(self, request: web.Request) -> web.Response:
        """A button, so that a program that only previews the address does not use it up."""
        if not self._house.gate.fits(request.match_info["secret"]):
            return self._house.say(request, 403, "This code was used or is wrong", SCAN)
        words = "This phone will be let in once, and known again for 30 days."
        return self._house.say(request, 200, "Wrap callback", words, "enter")

    async def _enter(self, request: web.Request) -> web.StreamResponse:
        if not self._house.gate.fits(request.match_info["secret"]):
            return self._house.say(request, 403, "This code was used or is wrong", SCAN)
        response = see("/")
        self._house.gate.admit(self._house.visitor(request), response)
        self._house.gate.use_up()
        return response

    async def _join_door(self, request: web.Request) -> web.StreamResponse:
        """A button, so that a program that only previews the address does not use it up."""
        if self._house.handing.case(request.match_info["code"]) is None:
            return self._house.say(request, 403, "This code was used or is too old", JOIN)
        words = "This phone will work on the case of the other one, and see its answers."
        return self._house.say(request, 200, "Wrap callback", words, "enter")

    async def _join(self, request: web.Request) -> web.StreamResponse:
        code = request.match_info["code"]
        case_id = self._house.handing.case(code)
        if case_id is None:
            return self._house.say(request, 403, "This code was used or is too old", JOIN)
        visitor = self._house.visitor(request)
        self._house.handing.use_up(code)
        await self._house.desk.do(lambda: self._house.desk.shelf(visitor).take(case_id))
        response = see(f"/case/{case_id}/")
        self._house.gate.admit(visitor, response)
        return response

    async def _hand(self, request: web.Request) -> web.StreamResponse:
        """Show a code that lets another phone in on this case."""
        sent = self._house.sent(request, await fields(request))
        if sent is None:
            return self._house.forged(request)
        work = await self._house.desk.do(lambda: self._house.open(request))
        if not work.case_id:
            return see(f"{work.path}/")
        url = f"{request.url.origin()}/join/{self._house.handing.code(work.case_id)}"
        look = await self._house.desk.do(lambda: self._house.look(request))
        return self._house.shown(request, hand(look, url))
