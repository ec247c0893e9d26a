"""Forms and photos as they arrive: nothing beyond the stated sizes is read, and none waited for."""

from __future__ import annotations

import asyncio

from aiohttp import BodyPartReader, web

PATIENCE = 60.0
"""Seconds that a form or a photo may take to arrive."""


async def fields(request: web.Request) -> dict[str, list[str]]:
    """The fields of a form; HTTPBadRequest for what is none."""
    try:
        async with asyncio.timeout(PATIENCE):
            found = await request.post()
            return {k: [v for v in found.getall(k) if isinstance(v, str)] for k in found}
    except (ValueError, LookupError, AssertionError) as error:
        raise web.HTTPBadRequest from error


async def parts(
    request: web.Request, photo_bytes: int, form_bytes: int
) -> tuple[dict[str, list[str]], bytes]:
    """The fields and the photo of a form with a file; nothing beyond these sizes is read."""
    if request.content_type != "multipart/form-data":
        return await fields(request), b""
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
