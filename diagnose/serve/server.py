"""The web server: the page, its socket, and the limits."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

from aiohttp import WSMessage, WSMsgType, web
from textual_serve.download_manager import DownloadManager

from diagnose.serve.gate import Gate, Handler, cover, page, plainly, say
from diagnose.serve.session import Session
from diagnose.serve.settings import Settings

WATCH_SECONDS = 5.0
"""How often idle visitors are looked for."""

MOST_CELLS = 500
"""Columns or rows that a browser may ask for."""


class Serving:
    """The callback for browsers; `renewed` is told each new one-time secret."""

    def __init__(self, settings: Settings, renewed: Callable[[str], object] = print) -> None:
        self.settings = settings
        self.gate = Gate(settings.network, renewed)
        self.sessions: dict[str, Session] = {}
        self._sockets: dict[str, web.WebSocketResponse] = {}
        self._living: set[Session] = set()
        self._downloads = DownloadManager()
        self._watching: asyncio.Task[None] | None = None

    def application(self) -> web.Application:
        """The application, to be run by aiohttp."""
        application = web.Application(middlewares=[plainly, self._known])
        application.on_response_prepare.append(cover)
        application.on_startup.append(self._begin)
        application.on_shutdown.append(self._end)
        application.on_cleanup.append(self._outlive)
        static = Path(str(files("textual_serve") / "static"))
        application.add_routes(
            [
                web.get("/", self._page),
                web.get("/enter/{secret}", self._door),
                web.post("/enter/{secret}", self._enter),
                web.get("/ws", self._socket),
                web.get("/download/{key}", self._download),
                web.get("/page.js", _script),
                web.static("/static", static, show_index=False, follow_symlinks=False),
            ]
        )
        return application

    async def _begin(self, application: web.Application) -> None:
        self.gate.open()
        self._watching = asyncio.create_task(self._watch())

    async def _end(self, application: web.Application) -> None:
        if self._watching:
            self._watching.cancel()
        for socket in list(self._sockets.values()):
            await socket.close()

    async def _outlive(self, application: web.Application) -> None:
        """Wait for every visitor's process, that of a page which was cut off as well."""
        await asyncio.gather(*(session.stop() for session in self._living))

    async def _watch(self) -> None:
        while True:
            await asyncio.sleep(WATCH_SECONDS)
            await self.close_idle()

    async def close_idle(self) -> None:
        """Close the screens of visitors who have done nothing for long."""
        for visitor, session in list(self.sessions.items()):
            if session.idle_minutes > self.settings.idle_minutes:
                await self._sockets[visitor].close(message=b"idle")

    # Who comes in

    @web.middleware
    async def _known(
        self,
        request: web.Request,
        handler: Handler,
    ) -> web.StreamResponse:
        if not self.gate.own_page(request):
            return say(403, "Not from here", "Open this page by the address that was shown.")
        open_to_all = request.path == "/" or request.path.startswith("/enter/")
        if not open_to_all and self.gate.visitor(request) is None:
            return say(403, "Not let in", _SCAN)
        return await handler(request)

    async def _door(self, request: web.Request) -> web.Response:
        """A button, so that a program that only previews the address does not use it up."""
        if not self.gate.fits(request.match_info["secret"]):
            return say(403, "This code was used or is wrong", _SCAN)
        act = '<form method="post"><button>Come in</button></form>'
        return say(200, "Wrap callback", "This phone will be let in once, and known again.", act)

    async def _enter(self, request: web.Request) -> web.StreamResponse:
        if not self.gate.fits(request.match_info["secret"]):
            return say(403, "This code was used or is wrong", _SCAN)
        response = web.Response(status=303, headers={"Location": "/"})
        self.gate.admit(request, response)
        self.gate.use_up()
        return response

    # The page

    async def _page(self, request: web.Request) -> web.StreamResponse:
        if self.gate.visitor(request) is None and self.settings.network:
            return say(403, "Not let in", _SCAN)
        response = web.Response(text=page("screen.html"), content_type="text/html")
        if self.gate.visitor(request) is None:
            self.gate.admit(request, response)
        return response

    async def _download(self, request: web.Request) -> web.StreamResponse:
        key = request.match_info["key"]
        try:
            download = await self._downloads.get_download_metadata(key)
        except KeyError:
            raise web.HTTPNotFound from None
        if getattr(download.app_service, "visitor", "") != self.gate.visitor(request):
            raise web.HTTPNotFound
        response = web.StreamResponse()
        response.content_type = "application/octet-stream"
        response.headers["Content-Disposition"] = f'attachment; filename="{download.file_name}"'
        await response.prepare(request)
        async for chunk in self._downloads.download(key):
            await response.write(chunk)
        await response.write_eof()
        return response

    # The socket

    async def _socket(self, request: web.Request) -> web.StreamResponse:
        visitor = self.gate.visitor(request)
        assert visitor is not None
        await self._leave(visitor)
        if len(self.sessions) >= self.settings.visitors:
            return say(503, "All places are taken", "Try again when somebody has left.")
        socket = web.WebSocketResponse(heartbeat=15, max_msg_size=64 * 1024)
        await socket.prepare(request)

        async def close() -> None:
            await socket.close()

        session = Session(
            "",
            write_bytes=socket.send_bytes,
            write_str=socket.send_str,
            close=close,
            download_manager=self._downloads,
        ).for_visitor(visitor, self.settings)
        self.sessions[visitor], self._sockets[visitor] = session, socket
        self._living.add(session)
        try:
            await session.start(_cells(request, "width", 80), _cells(request, "height", 24))
            async for message in socket:
                await _pass_on(message, socket, session)
        finally:
            if self.sessions.get(visitor) is session:
                del self.sessions[visitor], self._sockets[visitor]
            await session.stop()
            self._living.discard(session)
        return socket

    async def _leave(self, visitor: str) -> None:
        """A visitor who comes again leaves first: one process each."""
        session = self.sessions.get(visitor)
        if session is not None:
            await self._sockets[visitor].close()
            await session.stop()
            if self.sessions.get(visitor) is session:
                del self.sessions[visitor], self._sockets[visitor]


_SCAN = "Scan the code that the computer in the shop shows now; each lets in one phone."


async def _script(request: web.Request) -> web.Response:
    return web.Response(text=page("page.js"), content_type="text/javascript")


def _cells(request: web.Request, name: str, otherwise: int) -> int:
    text = request.query.get(name, "")
    return max(1, min(int(text), MOST_CELLS)) if text.isascii() and text.isdigit() else otherwise


async def _pass_on(message: WSMessage, socket: web.WebSocketResponse, session: Session) -> None:
    """Hand what the browser sent to the screens; what makes no sense is passed over."""
    if message.type is not WSMsgType.TEXT:
        return
    match _read(message.data):
        case ["stdin", str(typed)]:
            session.touch()
            await session.send_bytes(typed.encode())
        case ["resize", {"width": int(width), "height": int(height)}]:
            await session.set_terminal_size(
                max(1, min(width, MOST_CELLS)), max(1, min(height, MOST_CELLS))
            )
        case ["ping", str() | int() | float() as stamp]:
            await socket.send_json(["pong", stamp])
        case ["focus", *_]:
            await session.focus()
        case ["blur", *_]:
            await session.blur()


def _read(text: str) -> object:
    try:
        return json.loads(text)
    except ValueError:
        return None
