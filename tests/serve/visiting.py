"""Somebody with a phone, without a browser: asks for pages and sends their forms."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("aiohttp")
pytest.importorskip("segno")

from aiohttp import CookieJar, FormData
from aiohttp.test_utils import TestClient, TestServer

from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.journal import Case, Event
from diagnose.records.store.store import Store
from diagnose.serve.server import Serving
from diagnose.serve.settings import Settings
from tests.terminal.workshop import clock
from tests.terminal.workshop import reasoner as small_reasoner


class Phone:
    """One visitor: the page that is shown, and what can be touched on it."""

    def __init__(self, client: TestClient) -> None:
        self.client = client
        self.text = ""
        self.path = ""
        self.status = 0

    async def open(self, path: str) -> Phone:
        """Go to an address."""
        return await self._see(await self.client.get(path))

    async def _see(self, answer: Any) -> Phone:
        self.text, self.path, self.status = await answer.text(), answer.url.path, answer.status
        return self

    @property
    def words(self) -> str:
        """What can be read on the page, in one line."""
        body = re.sub(r"<(script|style|head).*?</\1>", " ", self.text, flags=re.S)
        return " ".join(unescape(re.sub(r"<[^>]+>", " ", body)).split())

    @property
    def token(self) -> str:
        """The mark of the forms on the page."""
        return re.search(r'name="form" value="([^"]+)"', self.text)[1]  # type: ignore[index]

    @property
    def case(self) -> str:
        """The address of the case at hand."""
        return re.match(r"/case/[^/]+", self.path)[0]  # type: ignore[index]

    @property
    def at(self) -> str:
        """Which page of the case is shown: 'ask/film_finish'."""
        return self.path.removeprefix(self.case).strip("/")

    def sheet(self, page: str, **fields: str | list[str]) -> tuple[str, list[tuple[str, str]]]:
        """A form of this page filled in, to be sent once or more often."""
        given = {"form": self.token, **self._hidden(), **fields}
        pairs = [(k, v) for k, vs in given.items() for v in ([vs] if isinstance(vs, str) else vs)]
        return f"{self.case}/{page}", pairs

    def _hidden(self) -> dict[str, str]:
        found = re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', self.text)
        return {k: unescape(v) for k, v in found if k in ("seen", "symptom", "text")}

    async def hand_in(self, sheet: tuple[str, list[tuple[str, str]]]) -> Phone:
        """Send a form that was filled in."""
        path, pairs = sheet
        return await self._see(await self.client.post(path, data=FormData(pairs)))

    async def send(self, page: str, **fields: str | list[str]) -> Phone:
        """Fill in a form and send it."""
        return await self.hand_in(self.sheet(page, **fields))

    async def begin(self, symptom: str = "edge_lifting", panel: str = "roof") -> Phone:
        """A new callback up to the first question."""
        await self.open("/case/new/")
        await self.send("skip")
        await self.send("symptom", symptom=symptom)
        return await self.send("place", panel=panel)


def serving(tmp_path: Path, reasoner: Reasoner | None = None, **wanted: Any) -> Serving:
    """A server on records of its own in a folder; `secrets` are what it shows to be scanned."""
    settings = replace(Settings(tmp_path / "records.sqlite3", at_once=100_000), **wanted)
    secrets: list[str] = []
    found = Serving(settings, reasoner or small_reasoner(), secrets.append, clock())
    found.secrets = secrets  # type: ignore[attr-defined]
    return found


@asynccontextmanager
async def served(server: Serving) -> AsyncIterator[TestServer]:
    """The server at work."""
    async with TestServer(server.application(), host="127.0.0.1") as running:
        yield running


@asynccontextmanager
async def visitor(running: TestServer) -> AsyncIterator[Phone]:
    """Somebody who opened the start."""
    client = TestClient(running, cookie_jar=CookieJar(unsafe=True))
    try:
        yield await Phone(client).open("/")
    finally:
        await client.session.close()


def only_case(tmp_path: Path) -> Case:
    """The only case in the records."""
    with Store.open(tmp_path / "records.sqlite3") as store:
        (case_id,) = store.ids()
        return store.case(case_id)


def journal(tmp_path: Path) -> tuple[Event, ...]:
    """The journal of the only case."""
    with Store.open(tmp_path / "records.sqlite3") as store:
        (case_id,) = store.ids()
        return store.events(case_id)
