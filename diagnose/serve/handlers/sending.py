"""What is sent: the forms of a case, and photos."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import quote

from aiohttp import web

from diagnose.records.case.photos import BadPhoto, Photo
from diagnose.serve import pictures
from diagnose.serve.acts import ACTS, Refused, Sent
from diagnose.serve.handlers.arriving import fields, parts
from diagnose.serve.handlers.house import House
from diagnose.serve.handlers.replies import leads

PHOTOS_AT_ONCE = 2
"""Photos that are taken in at the same time; the others wait, so that memory stays bounded."""


class Sending:
    """Takes what phones send."""

    def __init__(self, house: House) -> None:
        self._house = house
        self._shrinking = ThreadPoolExecutor(1, "photos")
        self._arriving = asyncio.Semaphore(PHOTOS_AT_ONCE)

    def close(self) -> None:
        """Let go of what photos are shrunk with."""
        self._shrinking.shutdown()

    def routes(self) -> list[web.RouteDef]:
        """The addresses of forms."""
        return [
            web.post("/case/{case}/photos", self._add_photo),
            web.post("/case/{case}/{page}", self._act),
            web.post("/case/{case}/{page}/{rest}", self._act),
        ]

    async def _act(self, request: web.Request) -> web.StreamResponse:
        act = ACTS.get(request.match_info["page"])
        if act is None:
            raise web.HTTPNotFound
        sent = self._house.sent(request, await fields(request))
        if sent is None:
            return self._house.forged(request)
        try:
            path = await self._house.desk.do(lambda: act(sent))
        except Refused as refused:
            return leads(request, refused.path, refused.wrong)
        return leads(request, path)

    async def _add_photo(self, request: web.Request) -> web.StreamResponse:
        path, desk = request.rel_url.raw_path, self._house.desk
        try:
            sent, photo = await self._arrived(request)
            if sent is None:
                return self._house.forged(request)
            if photo is None:
                await desk.do(lambda: pictures.remove(sent))
                return leads(request, path)
            await self._house.desk.do(
                lambda: pictures.add(sent, photo, self._house.settings.photos)
            )
        except BadPhoto as error:
            return leads(request, f"{path}?wrong={quote(str(error))}", str(error))
        check = sent.one("check")
        back = f"/case/{sent.case_id}/ask/{check}" if check in desk.base.checks else path
        return leads(request, f"{back}?note=kept")

    async def _arrived(self, request: web.Request) -> tuple[Sent | None, Photo | None]:
        """A form with its photo made ready; no photo where one is to be taken away.

        As it arrives a photo is large: few are here at once, till each is shrunk.
        """
        settings = self._house.settings
        async with self._arriving:
            words, content = await parts(request, settings.photo_bytes, settings.form_bytes)
            sent = self._house.sent(request, words)
            if sent is None or sent.one("remove"):
                return sent, None
            photo = await asyncio.get_running_loop().run_in_executor(
                self._shrinking, pictures.ready, content, settings.photo_bytes
            )
            return sent, photo
