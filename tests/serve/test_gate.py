"""Who comes in at the door of the pages, and what is told to whom."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from tests.serve.visiting import Phone, served, serving, visitor

pytest.importorskip("aiohttp")

from aiohttp import CookieJar
from aiohttp.test_utils import TestClient, TestServer

from diagnose.serve.command import HERE, NETWORK, code
from diagnose.serve.gate import HANDED_SECONDS, Handing
from diagnose.serve.settings import ANY, LOOPBACK, Settings
from diagnose.serve.signing import BadSecret, secret_file, secret_of


def test_loopback_unless_asked() -> None:
    """Nobody else on the network reaches it unless --network says so."""
    assert Settings(Path("r")).host == LOOPBACK
    assert Settings(Path("r"), network=True).host == ANY


async def test_on_this_machine_anybody_comes_in_and_is_known_again(tmp_path: Path) -> None:
    """The start sets a cookie that no script reads and no other site sends."""
    async with served(serving(tmp_path)) as running:
        client = TestClient(running)
        first = await client.get("/", allow_redirects=False)
        await client.session.close()
    cookie = first.cookies["visitor"]

    assert cookie["httponly"]
    assert cookie["samesite"] == "Strict"


async def test_a_stranger_at_another_page_is_led_to_the_start(tmp_path: Path) -> None:
    """An old bookmark in a new browser shows the start, and no case."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        path = phone.case
        async with visitor(running) as other:
            other.client.session.cookie_jar.clear()
            await other.open(f"{path}/ask/film_finish")
            assert other.path == "/"


async def test_on_the_network_nobody_comes_in_without_the_secret(tmp_path: Path) -> None:
    """Neither start, case, drawing nor photo is there for one who was not let in."""
    async with served(serving(tmp_path, network=True)) as running, visitor(running) as phone:
        for path in ("/", "/cases", "/case/new/", "/case/x/photo/y.jpg", "/drawing/x.svg"):
            await phone.open(path)
            assert phone.status == 403, path
            assert "Scan the code" in phone.words


async def test_a_secret_lets_in_one_phone(tmp_path: Path) -> None:
    """Looking at the address does not use it up, coming in does; then another one stands."""
    server = serving(tmp_path, network=True)
    async with served(server) as running, visitor(running) as phone:
        secret = server.secrets[-1]
        looked = (await phone.open(f"/enter/{secret}")).words
        entered = await phone.client.post(f"/enter/{secret}", allow_redirects=False)
        await phone.open("/")
        inside = phone.status
        async with visitor(running) as other:
            again = await other.client.post(f"/enter/{secret}", allow_redirects=False)

    assert "let in once" in looked
    assert entered.status == 303
    assert inside == 200
    assert again.status == 403
    assert "visitor" not in again.cookies
    assert len(server.secrets) == 2
    assert server.secrets[-1] != secret


async def test_who_was_let_in_is_known_after_a_restart(tmp_path: Path) -> None:
    """Phone and server are started again: no new code is needed, and the case is there."""
    first = serving(tmp_path, network=True)
    jar = CookieJar(unsafe=True)
    async with served(first) as running:
        client = TestClient(running, cookie_jar=jar)
        await client.post(f"/enter/{first.secrets[-1]}")
        phone = await Phone(client).begin()
        await phone.send("ask/film_finish", answer="gloss")
        path, kept = phone.case, list(jar)
        await client.session.close()
    async with served(serving(tmp_path, network=True)) as running:
        client = TestClient(running, cookies={c.key: c.value for c in kept})
        phone = await Phone(client).open("/")
        start = phone.words
        await phone.open(f"{path}/")
        await client.session.close()

    assert "Go on" in start
    assert phone.at == "ask/age_months"


def test_the_secret_is_the_owners_alone(tmp_path: Path) -> None:
    """It lies beside the records, is made once, and is refused where others could have read it."""
    records = tmp_path / "shop" / "records.sqlite3"
    secret = secret_of(records)
    path = secret_file(records)

    assert path.parent == records.parent
    assert path.stat().st_mode & 0o777 == 0o600
    assert secret_of(records) == secret
    path.chmod(0o644)
    with pytest.raises(BadSecret, match="can be read by others"):
        secret_of(records)
    path.chmod(0o600)
    path.write_bytes(b"short")
    with pytest.raises(BadSecret, match="damaged"):
        secret_of(records)


@pytest.mark.parametrize(
    "cookie", ["", "x", "a" * 43, "ab.cd.ef", "é", "../../etc", "0" * 32 + ".aaaaaa.bbbb"]
)
async def test_a_made_up_cookie_opens_nothing(tmp_path: Path, cookie: str) -> None:
    """Only what was signed here is known."""
    async with served(serving(tmp_path, network=True)) as running:
        client = TestClient(running)
        answer = await client.get("/", headers={"Cookie": f"visitor={cookie}"})
        await client.session.close()

    assert answer.status == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "evil.example"},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Host": "evil.example:8000", "Origin": "http://evil.example:8000"},
    ],
)
async def test_other_sites_are_kept_out(tmp_path: Path, headers: dict[str, str]) -> None:
    """Another site's page, or another name pointed at this machine, gets nothing."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        answer = await phone.client.get("/cases", headers=headers)
        posted = await phone.client.post("/case/new/skip", headers=headers)

    assert answer.status == 403
    assert posted.status == 403


async def test_every_page_is_closed_to_scripts_and_frames_of_others(tmp_path: Path) -> None:
    """Only this server's own style and script; nothing inline, nothing from outside."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        for path in ("/", f"{phone.case}/ask/film_finish", "/nowhere", "/static/page.js"):
            answer = await phone.client.get(path)
            policy = answer.headers["Content-Security-Policy"]
            text = await answer.text()
            assert "default-src 'none'" in policy
            assert "unsafe" not in policy
            assert "frame-ancestors 'none'" in policy
            assert answer.headers["X-Content-Type-Options"] == "nosniff"
            assert answer.headers["Server"] == "callback"
            if "html" in answer.headers["Content-Type"]:
                assert " style=" not in text
                assert "<script>" not in text
                assert (
                    " on"
                    not in text.partition("<body")[2].replace(" on ", " ").partition("onclick")[1]
                )
                assert "http:" not in text.replace("http://www.w3.org", "")


@pytest.mark.parametrize(
    "path",
    [
        "/nowhere",
        "/static/nothing.js",
        "/static/..%2fserver.py",
        "/case/none/ask/x",
        "/drawing/x.svg",
    ],
)
async def test_errors_tell_nothing(tmp_path: Path, path: str) -> None:
    """No path, address, version or traceback stands in an error."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        answer = await phone.client.get(path)
        words = await answer.text()

    assert answer.status == 404
    for leak in ("/work", "site-packages", "Traceback", "aiohttp", "Python", str(tmp_path)):
        assert leak not in words
        assert leak not in str(answer.headers)


async def test_a_fault_inside_is_told_plainly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What fails inside comes out as a plain page; what failed stays in the log."""
    server = serving(tmp_path)
    async with served(server) as running, visitor(running) as phone:
        monkeypatch.setattr(server.desk, "open", lambda *given: 1 / 0)
        await phone.open("/case/new/")

    assert phone.status == 500
    assert "That went wrong" in phone.words
    assert "ZeroDivisionError" not in phone.text


async def test_only_so_many_visitors(tmp_path: Path) -> None:
    """Who comes when all places are taken is told so; whoever is in goes on."""
    async with served(serving(tmp_path, visitors=1)) as running, visitor(running) as first:
        async with visitor(running) as second:
            assert second.status == 503
            assert "All places are taken" in second.words
        assert (await first.open("/")).status == 200


async def test_a_place_is_free_again_after_a_while(tmp_path: Path) -> None:
    """A phone that was put away keeps nobody out, and its case stays its own."""
    async with (
        served(serving(tmp_path, visitors=1, idle_minutes=0.0)) as running,
        visitor(running) as first,
        visitor(running) as second,
    ):
        await first.begin()
        assert (await second.open("/")).status == 200
        assert (await first.open("/")).status == 200
        assert "Go on" in first.words


async def test_whoever_asks_too_fast_waits(tmp_path: Path) -> None:
    """A pace, counted for each visitor by itself."""
    async with (
        served(serving(tmp_path, at_once=5, per_second=0.001)) as running,
        visitor(running) as first,
        visitor(running) as second,
    ):
        seen = [(await first.open("/")).status for _ in range(8)]
        assert 429 in seen
        assert "Wait a moment" in first.words
        assert second.status == 200


@pytest.mark.skipif(os.name != "posix", reason="modes of files are the system's")
async def test_no_file_beside_the_records_is_open_to_others(tmp_path: Path) -> None:
    """The secret is readable by its owner whatever the mask of the process is."""
    before = os.umask(0)
    try:
        secret_of(tmp_path / "records.sqlite3")
    finally:
        os.umask(before)
    assert secret_file(tmp_path / "records.sqlite3").stat().st_mode & 0o777 == 0o600


def test_the_code_to_scan_has_its_address_beside_it() -> None:
    """The address stands in words too, for who cannot scan; and how to stop."""
    shown = code("http://192.0.2.7:8000/enter/abc")
    assert "http://192.0.2.7:8000/enter/abc" in shown
    assert "▄" in shown
    assert "Ctrl-C" in shown


def test_what_a_network_means_is_said() -> None:
    """Who can come in, who can read along, and how it ends; here only how phones come in."""
    assert "not encrypted" in NETWORK
    assert "Ctrl-C" in NETWORK
    assert "--network" in HERE
    assert "Ctrl-C" in HERE


async def test_the_server_stops_with_all_its_threads(tmp_path: Path) -> None:
    """After the end nothing runs on, and the records are closed."""
    server = serving(tmp_path)
    async with served(server) as running, visitor(running) as phone:
        await phone.begin()
    assert isinstance(running, TestServer)
    with pytest.raises(RuntimeError):
        server.desk._lane.submit(print)


async def test_a_phone_lets_another_one_in_on_its_case(tmp_path: Path) -> None:
    """By a code that stands for ten minutes and one phone; no other case is opened by it."""
    server = serving(tmp_path, network=True)
    async with served(server) as running, visitor(running) as one, visitor(running) as two:
        await one.client.post(f"/enter/{server.secrets[-1]}")
        await one.begin()
        mine = one.case
        await one.send("hand")
        code = re.search(r"/join/([\w-]+)", one.words)[1]  # type: ignore[index]
        assert "<svg" in one.text
        looked = (await two.open(f"/join/{code}")).status
        await two._see(await two.client.post(f"/join/{code}"))
        assert two.path == f"{mine}/ask/film_finish"
        await two.send("ask/film_finish", answer="gloss")
        await one.open(f"{mine}/")
        assert one.at == "ask/age_months"
        await one.begin("tunnelling", "bonnet")
        assert (await two.open(f"{one.case}/")).status == 404
        async with visitor(running) as three:
            again = await three.client.post(f"/join/{code}", allow_redirects=False)
            made_up = await three.client.post(f"/join/{'x' * 32}", allow_redirects=False)

    assert looked == 200
    assert (again.status, made_up.status) == (403, 403)


def test_a_code_for_a_second_phone_grows_old() -> None:
    """After ten minutes, and with the next one for the same case, it stands no more."""
    now = [0.0]
    handing = Handing(lambda: now[0])
    first = handing.code("2026-03-04-0001")
    second = handing.code("2026-03-04-0001")

    assert handing.case(first) is None
    assert handing.case(second) == "2026-03-04-0001"
    now[0] = HANDED_SECONDS + 1
    assert handing.case(second) is None
