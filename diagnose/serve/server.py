"""The web server: who may ask, and how much, and what is said where something goes wrong."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable
from datetime import datetime
from functools import partial
from typing import Any

from aiohttp import web

from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.store.database import NoCase, StoreError
from diagnose.serve.desk import Desk
from diagnose.serve.gate import Gate, Handing, cover
from diagnose.serve.handlers.entrance import SCAN, Entrance
from diagnose.serve.handlers.house import House
from diagnose.serve.handlers.reading import Reading
from diagnose.serve.handlers.replies import see, wants_data
from diagnose.serve.handlers.sending import Sending
from diagnose.serve.limits import Pace, Places
from diagnose.serve.settings import Settings
from diagnose.serve.signing import Signing, secret_of

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]

BREATH = 0.05
"""Seconds between two symptoms that are made ready ahead of anybody."""

_OPEN = ("/enter/", "/join/", "/static/")
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
        signing = Signing(secret_of(settings.records))
        gate = Gate(settings.network, signing, renewed)
        self.desk = Desk(reasoner, settings.records, clock, settings.shared)
        self._house = House(settings, signing, gate, Handing(), self.desk)
        self._reading = Reading(self._house, self._later)
        self._sending = Sending(self._house)
        self._pace = Pace(settings.per_second, settings.at_once)
        self._places = Places(settings.visitors, settings.idle_minutes * 60)
        self._tasks: set[asyncio.Future[Any]] = set()

    def application(self) -> web.Application:
        """The application, to be run by aiohttp."""
        application = web.Application(
            middlewares=[self._plainly, self._known],
            client_max_size=self._house.settings.form_bytes,
        )
        application.on_response_prepare.append(cover)
        application.on_startup.append(self._begin)
        application.on_cleanup.append(self._end)
        for part in (Entrance(self._house), self._reading, self._sending):
            application.add_routes(part.routes())
        return application

    async def _begin(self, application: web.Application) -> None:
        await self.desk.do(lambda: self.desk.store)
        self._house.gate.open()
        self._later(self.desk.do(lambda: self.desk.understanding.read("")))
        if self._house.settings.ahead:
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
        self._reading.close()
        self._sending.close()
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
            return self._house.say(request, 413, "Too large", "That is more than fits here.")
        except web.HTTPException as error:
            if error.status < 400:
                raise
            return self._house.say(
                request, error.status, "Not here", "There is nothing at this address."
            )
        except NoCase:
            words = "There is no such case among yours."
            return self._house.say(request, 404, "Not here", words)
        except StoreError as error:
            logging.getLogger("diagnose.serve").warning("%s", error)
            words = (
                "Nothing of it was kept, for the computer could not write it down. Go back and"
                " send it again; if it stays so, tell whoever looks after the computer."
            )
            return self._house.say(request, 503, "This could not be kept", words)
        except ConnectionError:
            raise
        except TimeoutError:
            return self._house.say(
                request, 408, "Too slow", "It did not arrive in time. Send it again."
            )
        except Exception:
            logging.getLogger("diagnose.serve").exception("a request failed")
            words = "Go back and try again. Every answer is kept."
            return self._house.say(request, 500, "That went wrong", words)

    @web.middleware
    async def _known(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        if not self._house.gate.own_page(request):
            return self._house.say(request, 403, "Not from here", _FORBIDDEN)
        visitor = self._house.gate.visitor(request)
        if not self._pace.allows(visitor or f"from {request.remote}"):
            words = "That was a lot at once. Wait a moment, then send it again."
            return self._house.say(request, 429, "Too fast", words)
        if request.path.startswith(_OPEN):
            return await handler(request)
        if visitor is None:
            return await self._stranger(request)
        if not self._places.take(visitor):
            return self._full(request)
        return await handler(request)

    def _full(self, request: web.Request) -> web.Response:
        words = "Try again when somebody has left. What you entered before is kept."
        return self._house.say(request, 503, "All places are taken", words)

    async def _stranger(self, request: web.Request) -> web.StreamResponse:
        """Somebody who was not let in; on this machine anybody is, at the start."""
        if self._house.settings.network:
            return self._house.say(request, 403, "Not let in", SCAN)
        if wants_data(request):
            return self._house.say(request, 403, "Not known", "Open the start page first.")
        if request.path != "/":
            return see("/")
        visitor = self._house.signing.new_visitor()
        return (
            await self._reading.start_of(request, visitor)
            if self._places.take(visitor)
            else self._full(request)
        )
