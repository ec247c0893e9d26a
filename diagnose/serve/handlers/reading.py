"""What is looked at: pages of a case, reports, drawings, photos."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any
from urllib.parse import quote

from aiohttp import web

from diagnose.files import CannotWrite
from diagnose.serve import ending, pictures
from diagnose.serve.drawn import drawing
from diagnose.serve.handlers.house import House
from diagnose.serve.handlers.replies import as_response, see
from diagnose.serve.page import KINDS, Go, Page, static
from diagnose.serve.views import beginning
from diagnose.serve.views.look import NOTES, Look, step_path
from diagnose.serve.views.table import VIEWS

KEEP = "public, max-age=31536000, immutable"


class Reading:
    """Shows pages; `later` has something done that nobody waits for."""

    def __init__(self, house: House, later: Callable[[Awaitable[Any]], None]) -> None:
        self._house, self._later = house, later
        self._reporting = ThreadPoolExecutor(1, "reports")

    def close(self) -> None:
        """Let go of what reports are made with."""
        self._reporting.shutdown()

    def routes(self) -> list[web.RouteDef]:
        """The addresses of what is looked at."""
        return [
            web.get("/", self._start),
            web.get("/cases", self._cases),
            web.get("/static/{name}", _static),
            web.get("/drawing/{name}.svg", self._drawing),
            web.get("/case/{case}", self._next),
            web.get("/case/{case}/", self._next),
            web.get("/case/{case}/news", self._news),
            web.get("/case/{case}/done", self._done),
            web.get("/case/{case}/report/{rest}", self._paper),
            web.get("/case/{case}/file/{rest}", self._file),
            web.get("/case/{case}/photo/{rest}", self._photo),
            web.get("/case/{case}/{page}", self._view),
            web.get("/case/{case}/{page}/{rest}", self._view),
        ]

    async def _start(self, request: web.Request) -> web.StreamResponse:
        return await self.start_of(request, self._house.visitor(request))

    async def start_of(self, request: web.Request, visitor: str) -> web.StreamResponse:
        """The first page, which lets a visitor stay."""
        found = await self._house.desk.do(lambda: beginning.start(self._house.desk, visitor))
        response = as_response(found)
        self._house.gate.admit(visitor, response)
        return response

    async def _cases(self, request: web.Request) -> web.StreamResponse:
        found = await self._house.desk.do(
            lambda: beginning.cases(self._house.desk, self._house.visitor(request))
        )
        return self._house.shown(request, found)

    async def _next(self, request: web.Request) -> web.StreamResponse:
        """To whatever the dialogue waits for, with the note that came along."""
        path = await self._house.desk.do(lambda: step_path(self._house.open(request)))
        note = request.query.get("note", "")
        return see(f"{path}?note={quote(note)}" if note in NOTES else path)

    async def _view(self, request: web.Request) -> web.StreamResponse:
        view = VIEWS.get(request.match_info["page"])
        if view is None:
            raise web.HTTPNotFound
        found = await self._house.desk.do(lambda: view(self._house.look(request)))
        if request.match_info["page"] == "place":
            self._warm(request.match_info["case"], self._house.visitor(request))
        return self._house.shown(request, found)

    def _warm(self, case_id: str, visitor: str) -> None:
        """Make ready what the chosen symptom needs, while its place is picked."""

        def warm() -> None:
            symptom = self._house.desk.open(visitor, case_id).dialogue.symptom
            if symptom:
                self._house.desk.warm(symptom)

        self._later(self._house.desk.do(warm))

    async def _news(self, request: web.Request) -> web.StreamResponse:
        """How many events the case has, for a phone that waits for another."""
        work = await self._house.desk.do(lambda: self._house.open(request))
        return web.json_response({"events": len(work.journal.events())})

    async def _done(self, request: web.Request) -> web.StreamResponse:
        look = await self._house.desk.do(lambda: self._house.look(request))
        path = await self._house.desk.do(lambda: step_path(look.work))
        if not path.endswith("/done"):
            return see(path)
        return await self._ending(request, ending.done)

    async def _paper(self, request: web.Request) -> web.StreamResponse:
        return await self._ending(request, ending.paper)

    async def _ending(
        self, request: web.Request, make: Callable[..., Page | Go]
    ) -> web.StreamResponse:
        look, its = await self._concluded(request)
        if its is None:
            return see(f"{look.work.path}/")
        reasoner = self._house.desk.reasoner
        found = await self._beside(lambda: make(look, its, ending.report(reasoner, its)))
        return self._house.shown(request, found)

    async def _file(self, request: web.Request) -> web.StreamResponse:
        look, its = await self._concluded(request)
        if its is None:
            return see(f"{look.work.path}/")
        reasoner = self._house.desk.reasoner
        try:
            made = await self._beside(lambda: ending.file(look, its, ending.report(reasoner, its)))
        except (CannotWrite, ModuleNotFoundError):
            words = "This computer cannot make that kind of file. Take the page or the text."
            return self._house.say(request, 501, "Not possible here", words)
        if made is None:
            raise web.HTTPNotFound
        name, content = made
        return web.Response(
            body=content,
            content_type="application/octet-stream",
            headers={"Content-Disposition": f'attachment; filename="{name}"'},
        )

    async def _concluded(self, request: web.Request) -> tuple[Look, ending.Concluded | None]:
        def see() -> tuple[Look, ending.Concluded | None]:
            look = self._house.look(request)
            return look, ending.concluded(look)

        return await self._house.desk.do(see)

    async def _beside(self, what: Callable[[], Any]) -> Any:
        """Make a report, which needs no records, beside the desk."""
        return await asyncio.get_running_loop().run_in_executor(self._reporting, what)

    async def _drawing(self, request: web.Request) -> web.StreamResponse:
        found = await self._house.desk.do(lambda: drawing(request.match_info["name"]))
        if found is None:
            raise web.HTTPNotFound
        headers = {"Cache-Control": "private, max-age=86400"}
        return web.Response(body=found, content_type="image/svg+xml", headers=headers)

    async def _photo(self, request: web.Request) -> web.StreamResponse:
        """A photo of the visitor's own case."""
        name = request.match_info["rest"].removesuffix(".jpg")
        found = await self._house.desk.do(
            lambda: pictures.content(self._house.open(request), name, self._house.desk)
        )
        if found is None:
            raise web.HTTPNotFound
        headers = {"Cache-Control": "private, max-age=86400"}
        return web.Response(body=found, content_type="image/jpeg", headers=headers)


async def _static(request: web.Request) -> web.Response:
    name = request.match_info["name"]
    try:
        content = static(name)
    except FileNotFoundError:
        raise web.HTTPNotFound from None
    kind = KINDS[name[name.rindex(".") :]]
    headers = {"Cache-Control": KEEP}
    return web.Response(body=content, content_type=kind, charset="utf-8", headers=headers)
