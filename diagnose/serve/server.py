"""The web server: addresses, who may ask, and how much; the cases are the desk's."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from functools import partial
from typing import Any
from urllib.parse import quote

from aiohttp import BodyPartReader, hdrs, web
from yarl import URL

from diagnose.files import CannotWrite
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.photos import BadPhoto, Photo
from diagnose.records.store.database import StoreError
from diagnose.records.store.store import NoCase
from diagnose.serve import ending, pictures, views
from diagnose.serve.acts import ACTS, Refused, Sent
from diagnose.serve.desk import Desk, Work
from diagnose.serve.drawn import drawing
from diagnose.serve.gate import Gate, Handing, cover
from diagnose.serve.limits import Pace, Places
from diagnose.serve.page import KINDS, Go, Page, html, static
from diagnose.serve.settings import Settings
from diagnose.serve.signing import Signing, secret_of
from diagnose.serve.views import VIEWS, Look

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]

PATIENCE = 60.0
"""Seconds that a form or a photo may take to arrive."""

PHOTOS_AT_ONCE = 2
"""Photos that are taken in at the same time; the others wait, so that memory stays bounded."""

BREATH = 0.05
"""Seconds between two symptoms that are made ready ahead of anybody."""

KEEP = "public, max-age=31536000, immutable"
_OPEN = ("/enter/", "/join/", "/static/")
_SCAN = "Scan the code that the computer in the shop shows now; each lets in one phone."
_JOIN = "Let the other phone show a new one: More, Another phone on this case."
_FORBIDDEN = "Open this page by the address that was shown."


class Serving:
    """The callback as pages; `renewed` is told each new one-time secret.

    Raises OSError where the secret of the pages cannot be kept.
    """

    def __init__(
        self,
        settings: Settings,
        reasoner: Reasoner,
        renewed: Callable[[str], object] = print,
        clock: Callable[[], datetime] = lambda: datetime.now().astimezone(),
    ) -> None:
        self.settings = settings
        self.signing = Signing(secret_of(settings.records))
        self.gate = Gate(settings.network, self.signing, renewed)
        self.handing = Handing()
        self.desk = Desk(reasoner, settings.records, clock, settings.shared)
        self._pace = Pace(settings.per_second, settings.at_once)
        self._places = Places(settings.visitors, settings.idle_minutes * 60)
        self._reporting = ThreadPoolExecutor(1, "reports")
        self._shrinking = ThreadPoolExecutor(1, "photos")
        self._arriving = asyncio.Semaphore(PHOTOS_AT_ONCE)
        self._tasks: set[asyncio.Future[Any]] = set()

    def application(self) -> web.Application:
        """The application, to be run by aiohttp."""
        application = web.Application(
            middlewares=[self._plainly, self._known], client_max_size=self.settings.form_bytes
        )
        application.on_response_prepare.append(cover)
        application.on_startup.append(self._begin)
        application.on_cleanup.append(self._end)
        application.add_routes(
            [
                web.get("/", self._start),
                web.get("/cases", self._cases),
                web.get("/enter/{secret}", self._door),
                web.post("/enter/{secret}", self._enter),
                web.get("/join/{code}", self._join_door),
                web.post("/join/{code}", self._join),
                web.get("/static/{name}", _static),
                web.get("/drawing/{name}.svg", self._drawing),
                web.get("/case/{case}", self._next),
                web.get("/case/{case}/", self._next),
                web.get("/case/{case}/news", self._news),
                web.post("/case/{case}/hand", self._hand),
                web.get("/case/{case}/done", self._done),
                web.get("/case/{case}/report/{rest}", self._paper),
                web.get("/case/{case}/file/{rest}", self._file),
                web.get("/case/{case}/photo/{rest}", self._photo),
                web.post("/case/{case}/photos", self._add_photo),
                web.get("/case/{case}/{page}", self._view),
                web.get("/case/{case}/{page}/{rest}", self._view),
                web.post("/case/{case}/{page}", self._act),
                web.post("/case/{case}/{page}/{rest}", self._act),
            ]
        )
        return application

    async def _begin(self, application: web.Application) -> None:
        await self.desk.do(lambda: self.desk.store)
        self.gate.open()
        self._later(self.desk.do(lambda: self.desk.understanding.read("")))
        if self.settings.ahead:
            self._later(self._ahead())

    async def made_ready(self) -> None:
        """Wait until what nobody waits for is done."""
        await asyncio.gather(*self._tasks)

    async def _ahead(self) -> None:
        """Make every symptom ready, one at a time, so that whoever comes meanwhile is served."""
        for symptom in self.desk.base.symptoms:
            await self.desk.do(partial(self.desk.warm, symptom))
            await asyncio.sleep(BREATH)

    async def _end(self, application: web.Application) -> None:
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        self._reporting.shutdown()
        self._shrinking.shutdown()
        await asyncio.to_thread(self.desk.close)

    def _later(self, what: Awaitable[Any]) -> None:
        """Have something done that nobody waits for."""
        task = asyncio.ensure_future(what)
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    # Who comes in

    @web.middleware
    async def _plainly(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Errors in plain words, without a path, an address or a version of anything."""
        try:
            return await handler(request)
        except web.HTTPRequestEntityTooLarge:
            return self._say(request, 413, "Too large", "That is more than fits here.")
        except web.HTTPException as error:
            if error.status < 400:
                raise
            return self._say(request, error.status, "Not here", "There is nothing at this address.")
        except NoCase:
            words = "There is no such case among yours."
            return self._say(request, 404, "Not here", words)
        except StoreError as error:
            logging.getLogger("diagnose.serve").warning("%s", error)
            words = (
                "Nothing of it was kept, for the computer could not write it down. Go back and"
                " send it again; if it stays so, tell whoever looks after the computer."
            )
            return self._say(request, 503, "This could not be kept", words)
        except ConnectionError:
            raise
        except TimeoutError:
            return self._say(request, 408, "Too slow", "It did not arrive in time. Send it again.")
        except Exception:
            logging.getLogger("diagnose.serve").exception("a request failed")
            words = "Go back and try again. Every answer is kept."
            return self._say(request, 500, "That went wrong", words)

    def _say(
        self, request: web.Request, status: int, title: str, words: str, act: str = ""
    ) -> web.Response:
        """A page of a few plain words."""
        if _wants_data(request):
            return web.json_response({"wrong": words}, status=status)
        shown = Page("word.html", {"title": title, "words": words, "act": act}, status)
        return _response(shown)

    @web.middleware
    async def _known(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        if not self.gate.own_page(request):
            return self._say(request, 403, "Not from here", _FORBIDDEN)
        visitor = self.gate.visitor(request)
        if not self._pace.allows(visitor or f"from {request.remote}"):
            words = "That was a lot at once. Wait a moment, then send it again."
            return self._say(request, 429, "Too fast", words)
        if request.path.startswith(_OPEN):
            return await handler(request)
        if visitor is None:
            return await self._stranger(request)
        if not self._places.take(visitor):
            return self._full(request)
        return await handler(request)

    def _full(self, request: web.Request) -> web.Response:
        words = "Try again when somebody has left. What you entered before is kept."
        return self._say(request, 503, "All places are taken", words)

    def _visitor(self, request: web.Request) -> str:
        """Who asks, or somebody new at the door."""
        return self.gate.visitor(request) or self.signing.new_visitor()

    async def _stranger(self, request: web.Request) -> web.StreamResponse:
        """Somebody who was not let in; on this machine anybody is, at the start."""
        if self.settings.network:
            return self._say(request, 403, "Not let in", _SCAN)
        if _wants_data(request):
            return self._say(request, 403, "Not known", "Open the start page first.")
        if request.path != "/":
            return _see("/")
        visitor = self.signing.new_visitor()
        return (
            await self._start_of(request, visitor)
            if self._places.take(visitor)
            else self._full(request)
        )

    async def _door(self, request: web.Request) -> web.Response:
        """A button, so that a program that only previews the address does not use it up."""
        if not self.gate.fits(request.match_info["secret"]):
            return self._say(request, 403, "This code was used or is wrong", _SCAN)
        words = "This phone will be let in once, and known again for 30 days."
        return self._say(request, 200, "Wrap callback", words, "enter")

    async def _enter(self, request: web.Request) -> web.StreamResponse:
        if not self.gate.fits(request.match_info["secret"]):
            return self._say(request, 403, "This code was used or is wrong", _SCAN)
        response = _see("/")
        self.gate.admit(self._visitor(request), response)
        self.gate.use_up()
        return response

    async def _hand(self, request: web.Request) -> web.StreamResponse:
        """Show a code that lets another phone in on this case."""
        sent = self._sent(request, await _fields(request))
        if sent is None:
            return self._forged(request)
        work = await self.desk.do(lambda: self._open(request))
        if not work.case_id:
            return _see(f"{work.path}/")
        url = f"{request.url.origin()}/join/{self.handing.code(work.case_id)}"
        look = await self.desk.do(lambda: self._look(request))
        return self._shown(request, views.hand(look, url))

    async def _join_door(self, request: web.Request) -> web.StreamResponse:
        """A button, so that a program that only previews the address does not use it up."""
        if self.handing.case(request.match_info["code"]) is None:
            return self._say(request, 403, "This code was used or is too old", _JOIN)
        words = "This phone will work on the case of the other one, and see its answers."
        return self._say(request, 200, "Wrap callback", words, "enter")

    async def _join(self, request: web.Request) -> web.StreamResponse:
        code = request.match_info["code"]
        case_id = self.handing.case(code)
        if case_id is None:
            return self._say(request, 403, "This code was used or is too old", _JOIN)
        visitor = self._visitor(request)
        self.handing.use_up(code)
        await self.desk.do(lambda: self.desk.shelf(visitor).take(case_id))
        response = _see(f"/case/{case_id}/")
        self.gate.admit(visitor, response)
        return response

    # Pages

    async def _start(self, request: web.Request) -> web.StreamResponse:
        return await self._start_of(request, self._visitor(request))

    async def _start_of(self, request: web.Request, visitor: str) -> web.StreamResponse:
        found = await self.desk.do(lambda: views.start(self.desk, visitor))
        response = _response(found)
        self.gate.admit(visitor, response)
        return response

    async def _cases(self, request: web.Request) -> web.StreamResponse:
        found = await self.desk.do(lambda: views.cases(self.desk, self._visitor(request)))
        return self._shown(request, found)

    async def _next(self, request: web.Request) -> web.StreamResponse:
        """To whatever the dialogue waits for, with the note that came along."""
        path = await self.desk.do(lambda: views.step_path(self._open(request)))
        note = request.query.get("note", "")
        return _see(f"{path}?note={quote(note)}" if note in views.NOTES else path)

    async def _view(self, request: web.Request) -> web.StreamResponse:
        view = VIEWS.get(request.match_info["page"])
        if view is None:
            raise web.HTTPNotFound
        found = await self.desk.do(lambda: view(self._look(request)))
        if request.match_info["page"] == "place":
            self._warm(request.match_info["case"], self._visitor(request))
        return self._shown(request, found)

    def _warm(self, case_id: str, visitor: str) -> None:
        """Make ready what the chosen symptom needs, while its place is picked."""

        def warm() -> None:
            symptom = self.desk.open(visitor, case_id).dialogue.symptom
            if symptom:
                self.desk.warm(symptom)

        self._later(self.desk.do(warm))

    async def _news(self, request: web.Request) -> web.StreamResponse:
        """How many events the case has, for a phone that waits for another."""
        work = await self.desk.do(lambda: self._open(request))
        return web.json_response({"events": len(work.journal.events())})

    async def _done(self, request: web.Request) -> web.StreamResponse:
        look = await self.desk.do(lambda: self._look(request))
        path = await self.desk.do(lambda: views.step_path(look.work))
        if not path.endswith("/done"):
            return _see(path)
        return await self._ending(request, ending.done)

    async def _paper(self, request: web.Request) -> web.StreamResponse:
        return await self._ending(request, ending.paper)

    async def _ending(
        self, request: web.Request, make: Callable[..., Page | Go]
    ) -> web.StreamResponse:
        look, its = await self._concluded(request)
        if its is None:
            return _see(f"{look.work.path}/")
        reasoner = self.desk.reasoner
        found = await self._beside(lambda: make(look, its, ending.report(reasoner, its)))
        return self._shown(request, found)

    async def _file(self, request: web.Request) -> web.StreamResponse:
        look, its = await self._concluded(request)
        if its is None:
            return _see(f"{look.work.path}/")
        reasoner = self.desk.reasoner
        try:
            made = await self._beside(lambda: ending.file(look, its, ending.report(reasoner, its)))
        except (CannotWrite, ModuleNotFoundError):
            words = "This computer cannot make that kind of file. Take the page or the text."
            return self._say(request, 501, "Not possible here", words)
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
            look = self._look(request)
            return look, ending.concluded(look)

        return await self.desk.do(see)

    async def _beside(self, what: Callable[[], Any]) -> Any:
        """Make a report, which needs no records, beside the desk."""
        return await asyncio.get_running_loop().run_in_executor(self._reporting, what)

    async def _drawing(self, request: web.Request) -> web.StreamResponse:
        found = await self.desk.do(lambda: drawing(request.match_info["name"]))
        if found is None:
            raise web.HTTPNotFound
        headers = {"Cache-Control": "private, max-age=86400"}
        return web.Response(body=found, content_type="image/svg+xml", headers=headers)

    # Forms

    async def _act(self, request: web.Request) -> web.StreamResponse:
        act = ACTS.get(request.match_info["page"])
        if act is None:
            raise web.HTTPNotFound
        sent = self._sent(request, await _fields(request))
        if sent is None:
            return self._forged(request)
        try:
            path = await self.desk.do(lambda: act(sent))
        except Refused as refused:
            return _leads(request, refused.path, refused.wrong)
        return _leads(request, path)

    def _sent(self, request: web.Request, fields: Mapping[str, list[str]]) -> Sent | None:
        """The form, if it was given to this visitor."""
        visitor = self._visitor(request)
        mark = self.signing.mark(visitor, (fields.get("form") or [""])[-1])
        if mark is None:
            return None
        case, rest = request.match_info["case"], request.match_info.get("rest", "")
        return Sent(self.desk, visitor, case, mark, fields, rest)

    def _forged(self, request: web.Request) -> web.Response:
        words = "This form is not one of yours. Go back, load the page again and send it then."
        return self._say(request, 403, "Not taken", words)

    async def _add_photo(self, request: web.Request) -> web.StreamResponse:
        path = request.rel_url.raw_path
        try:
            sent, photo = await self._arrived(request)
            if sent is None:
                return self._forged(request)
            if photo is None:
                await self.desk.do(lambda: pictures.remove(sent))
                return _leads(request, path)
            await self.desk.do(lambda: pictures.add(sent, photo, self.settings.photos))
        except BadPhoto as error:
            return _leads(request, f"{path}?wrong={quote(str(error))}", str(error))
        check = sent.one("check")
        back = f"/case/{sent.case_id}/ask/{check}" if check in self.desk.base.checks else path
        return _leads(request, f"{back}?note=kept")

    async def _arrived(self, request: web.Request) -> tuple[Sent | None, Photo | None]:
        """A form with its photo made ready; no photo where one is to be taken away.

        As it arrives a photo is large: few are here at once, till each is shrunk.
        """
        settings = self.settings
        async with self._arriving:
            words, content = await _parts(request, settings.photo_bytes, settings.form_bytes)
            sent = self._sent(request, words)
            if sent is None or sent.one("remove"):
                return sent, None
            photo = await asyncio.get_running_loop().run_in_executor(
                self._shrinking, pictures.ready, content, settings.photo_bytes
            )
            return sent, photo

    async def _photo(self, request: web.Request) -> web.StreamResponse:
        """A photo of the visitor's own case."""
        name = request.match_info["rest"].removesuffix(".jpg")
        found = await self.desk.do(lambda: pictures.content(self._open(request), name, self.desk))
        if found is None:
            raise web.HTTPNotFound
        headers = {"Cache-Control": "private, max-age=86400"}
        return web.Response(body=found, content_type="image/jpeg", headers=headers)

    # Within

    def _open(self, request: web.Request) -> Work:
        return self.desk.open(self._visitor(request), request.match_info["case"])

    def _look(self, request: web.Request) -> Look:
        return Look(
            self.desk,
            self._visitor(request),
            self._open(request),
            request.query,
            request.match_info.get("rest", ""),
            self.settings.photos,
        )

    def _shown(self, request: web.Request, found: Page | Go) -> web.Response:
        if isinstance(found, Go):
            return _see(found.path)
        return _response(found, form=self.signing.form(self._visitor(request)))


async def _fields(request: web.Request) -> dict[str, list[str]]:
    try:
        async with asyncio.timeout(PATIENCE):
            found = await request.post()
            return {k: [v for v in found.getall(k) if isinstance(v, str)] for k in found}
    except (ValueError, LookupError, AssertionError) as error:
        raise web.HTTPBadRequest from error


async def _parts(
    request: web.Request, photo_bytes: int, form_bytes: int
) -> tuple[dict[str, list[str]], bytes]:
    """The fields and the photo of a form with a file; nothing beyond these sizes is read."""
    if request.content_type != "multipart/form-data":
        return await _fields(request), b""
    words: dict[str, list[str]] = {}
    photo, room = b"", form_bytes
    try:
        async with asyncio.timeout(PATIENCE):
            async for part in await request.multipart():
                if not isinstance(part, BodyPartReader) or not part.name:
                    raise web.HTTPBadRequest
                if part.name == "photo":
                    photo = await _bytes(part, photo_bytes)
                else:
                    content = await _bytes(part, room)
                    room -= len(content)
                    words.setdefault(part.name, []).append(content.decode("utf-8", "replace"))
    except (ValueError, LookupError, AssertionError) as error:
        raise web.HTTPBadRequest from error
    return words, photo


async def _bytes(part: BodyPartReader, most: int) -> bytes:
    found = bytearray()
    while piece := await part.read_chunk():
        found += piece
        if len(found) > most:
            raise web.HTTPRequestEntityTooLarge(most, len(found))
    return bytes(found)


def _wants_data(request: web.Request) -> bool:
    return request.headers.get(hdrs.ACCEPT, "") == "application/json"


def _leads(request: web.Request, path: str, wrong: str = "") -> web.Response:
    """Where a form leads; the script of a page is told so, a browser without it is sent."""
    if not _wants_data(request):
        return _see(path)
    if wrong:
        return web.json_response({"wrong": wrong, "to": path}, status=422)
    return web.json_response({"to": path})


def _see(path: str) -> web.Response:
    """See another page of this server; what could part a header is quoted."""
    return web.Response(status=303, headers={"Location": str(URL(path))})


def _response(page: Page, form: str = "") -> web.Response:
    return web.Response(text=html(page, form=form), status=page.status, content_type="text/html")


async def _static(request: web.Request) -> web.Response:
    name = request.match_info["name"]
    try:
        content = static(name)
    except FileNotFoundError:
        raise web.HTTPNotFound from None
    kind = KINDS[name[name.rindex(".") :]]
    headers = {"Cache-Control": KEEP}
    return web.Response(body=content, content_type=kind, charset="utf-8", headers=headers)
