"""Who comes in at the door of the served screens, and what is told to whom."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path

import pytest

pytest.importorskip("textual_serve")
pytest.importorskip("segno")

from aiohttp import WSServerHandshakeError
from aiohttp.test_utils import TestClient, TestServer

from diagnose.serve.command import code
from diagnose.serve.server import Serving
from diagnose.serve.settings import ANY, LOOPBACK, Settings

SECRETS: list[str] = []


def serving(tmp_path: Path, **wanted: object) -> Serving:
    """A server on records of its own; its secrets go to a list."""
    SECRETS.clear()
    settings = Settings(tmp_path / "records.sqlite3", **wanted)  # type: ignore[arg-type]
    return Serving(settings, SECRETS.append)


@asynccontextmanager
async def visiting(server: Serving) -> AsyncIterator[TestClient]:
    """Somebody with a browser on the same machine."""
    async with TestClient(TestServer(server.application(), host="127.0.0.1")) as client:
        yield client


def test_loopback_unless_asked() -> None:
    """Nobody else on the network reaches it unless --network says so."""
    assert Settings(Path("r")).host == LOOPBACK
    assert Settings(Path("r"), network=True).host == ANY


async def test_on_this_machine_anybody_comes_in_and_is_known_again(tmp_path: Path) -> None:
    """The page sets a cookie that no script reads and no other site sends."""
    async with visiting(serving(tmp_path)) as client:
        first = await client.get("/")
        cookie = first.cookies["visitor"]
        second = await client.get("/")

        assert first.status == 200
        assert cookie["httponly"]
        assert cookie["samesite"] == "Strict"
        assert "visitor" not in second.cookies


async def test_on_the_network_nobody_comes_in_without_the_secret(tmp_path: Path) -> None:
    """Neither page, socket, script nor file is there for one who was not let in."""
    async with visiting(serving(tmp_path, network=True)) as client:
        for path in ("/", "/ws", "/page.js", "/static/js/textual.js", "/download/x"):
            answer = await client.get(path)
            assert answer.status == 403, path
            assert "Scan the code" in await answer.text()
        with pytest.raises(WSServerHandshakeError):
            await client.ws_connect("/ws")


async def test_a_secret_lets_in_one_phone(tmp_path: Path) -> None:
    """Looking at the address does not use it up, coming in does; then another one stands."""
    async with visiting(serving(tmp_path, network=True)) as client:
        secret = SECRETS[-1]
        looked = await client.get(f"/enter/{secret}")
        entered = await client.post(f"/enter/{secret}", allow_redirects=False)
        page = await client.get("/")

        assert looked.status == 200
        assert entered.status == 303
        assert page.status == 200
        assert len(SECRETS) == 2
        assert SECRETS[-1] != secret


async def test_a_used_or_wrong_secret(tmp_path: Path) -> None:
    """It is refused in plain words, and gives no cookie."""
    server = serving(tmp_path, network=True)
    async with visiting(server) as client:
        secret = SECRETS[-1]
        await client.post(f"/enter/{secret}", allow_redirects=False)
        client.session.cookie_jar.clear()
        for wrong in (secret, "x" * 32, "%00", "ä"):
            for answer in (
                await client.get(f"/enter/{wrong}"),
                await client.post(f"/enter/{wrong}"),
            ):
                assert answer.status == 403
                assert "used or is wrong" in await answer.text()
                assert not answer.cookies
        assert (await client.get("/")).status == 403


async def test_a_cookie_of_ones_own_making_is_none(tmp_path: Path) -> None:
    """On the network a cookie counts only if it was given here."""
    async with visiting(serving(tmp_path, network=True)) as client:
        client.session.cookie_jar.update_cookies({"visitor": "a" * 43})
        assert (await client.get("/page.js")).status == 403


@pytest.mark.parametrize(
    "headers",
    [{"Origin": "http://elsewhere.example"}, {"Host": "elsewhere.example"}],
    ids=["origin", "host"],
)
async def test_other_sites_get_nothing(tmp_path: Path, headers: dict[str, str]) -> None:
    """A page of another site, or another name pointed at this machine, is turned away."""
    async with visiting(serving(tmp_path)) as client:
        assert (await client.get("/", headers=headers)).status == 403


@pytest.mark.parametrize(
    "path", ["/nothing", "/static/", "/static/../server.py", "/download/none", "/ws"]
)
async def test_errors_tell_nothing(tmp_path: Path, path: str) -> None:
    """No path, address, version or traceback stands in an error."""
    async with visiting(serving(tmp_path)) as client:
        await client.get("/")
        answer = await client.get(path)
        words = await answer.text()

        assert answer.status >= 400
        for leak in ("/work", "site-packages", "Traceback", "aiohttp", "Python", str(tmp_path)):
            assert leak not in words
            assert leak not in str(answer.headers)


async def test_a_fault_inside_is_told_plainly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What fails inside comes out as a plain page; what failed stays in the log."""
    server = serving(tmp_path)
    async with visiting(server) as client:
        monkeypatch.setattr(server.gate, "visitor", lambda request: 1 / 0)
        answer = await client.get("/")
        words = await answer.text()

        assert answer.status == 500
        assert "That went wrong" in words
        assert "ZeroDivisionError" not in words


async def test_only_so_many_visitors(tmp_path: Path) -> None:
    """Who comes when all places are taken is told so, and no process is started."""
    async with visiting(serving(tmp_path, visitors=0)) as client:
        await client.get("/")
        answer = await client.get("/ws")
        assert answer.status == 503
        assert "All places are taken" in await answer.text()


async def test_an_idle_visitor_is_let_go(tmp_path: Path) -> None:
    """After long without a touch the socket is closed and the process gone."""
    server = serving(tmp_path, idle_minutes=60.0)
    async with visiting(server) as client:
        await client.get("/")
        async with client.ws_connect("/ws") as socket:
            await socket.receive()
            assert len(server.sessions) == 1
            server.settings = replace(server.settings, idle_minutes=0.0)
            await server.close_idle()
            while not socket.closed:
                await socket.receive()
        assert not server.sessions


@pytest.mark.parametrize("begun", [False, True])
async def test_nobody_is_left_running_when_the_server_stops(tmp_path: Path, begun: bool) -> None:
    """A visitor's process is gone with the server, even if what waited for its end was cut off."""
    server = serving(tmp_path)
    async with visiting(server) as client:
        await client.get("/")
        await client.ws_connect("/ws")
        while not server.sessions:
            await asyncio.sleep(0)
        session = next(iter(server.sessions.values()))
        if begun:
            while session._process is None:
                await asyncio.sleep(0.01)
        waiting = asyncio.create_task(session.stop())
        await asyncio.sleep(0)
        waiting.cancel()
    process = session._process
    assert process is None or process.returncode is not None


def test_the_code_to_scan_has_its_address_beside_it() -> None:
    """The address stands in words too, for who cannot scan."""
    shown = code("http://192.0.2.7:8000/enter/abc")
    assert "http://192.0.2.7:8000/enter/abc" in shown
    assert "▄" in shown
