"""What should not come in does not: forged forms, other visitors' things, hostile photos, noise."""

from __future__ import annotations

import random
import struct
import zlib
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("PIL")
pytest.importorskip("aiohttp")

from aiohttp import FormData
from PIL import Image

from diagnose.records.case.journal import EventKind
from diagnose.records.case.photos import place
from diagnose.records.store.paths import photo_folder
from diagnose.records.store.store import Store
from diagnose.report.pages.photos import Shown, photos_of
from diagnose.serve.pictures import LONGEST_SIDE
from tests.serve.visiting import Phone, journal, only_case, served, serving, visitor

ORIENTATION, GPS = 0x0112, 0x8825


def camera(width: int = 3000, height: int = 2000, turned: int = 6) -> bytes:
    """A photo as a camera gives it: held upright, told so beside the pixels, with its place."""
    image = Image.new("RGB", (width, height), "grey")
    image.paste("red", (0, 0, width // 2, height))
    exif = Image.Exif()
    exif[ORIENTATION] = turned
    exif.get_ifd(GPS)[1] = "N"
    exif.get_ifd(GPS)[2] = (52.0, 31.0, 12.0)
    out = BytesIO()
    image.save(out, "JPEG", exif=exif)
    return out.getvalue()


async def take(phone: Phone, content: bytes, name: str = "IMG_0001.jpg", **fields: str) -> Phone:
    """Hand in a photo on the page of photos."""
    await phone.open(f"{phone.case}/photos")
    form = FormData()
    for key, value in {"form": phone.token, **fields}.items():
        form.add_field(key, value)
    form.add_field("photo", content, filename=name, content_type="image/jpeg")
    return await phone._see(await phone.client.post(f"{phone.case}/photos", data=form))


# Photos


async def test_a_photo_is_kept_upright_small_and_without_its_place(tmp_path: Path) -> None:
    """It shows on its page and in the report for maker and file, and says nothing of where."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        await take(phone, camera(), caption="Press it down", check="film_finish")
        assert phone.at == "ask/film_finish"
        (event,) = [e for e in journal(tmp_path) if e.kind is EventKind.PHOTO_ADDED]
        shown = await phone.client.get(f"{phone.case}/photo/{event.key}.jpg")
        content = await shown.read()
        pages = [(await phone.open(f"{phone.case}/report/{r}")).text for r in ("file", "maker")]
    folder = photo_folder(tmp_path / "records.sqlite3")
    with Image.open(BytesIO(content)) as image:
        assert image.size == (1333, LONGEST_SIDE)
        assert not dict(image.getexif())
    (photo,) = photos_of(journal(tmp_path), folder)

    assert shown.headers["Content-Type"] == "image/jpeg"
    assert (event.text, event.complaint) == ("Press it down", 1)
    assert isinstance(photo, Shown)
    assert all("data:image/jpeg;base64" in text for text in pages)
    assert place(folder, event.key).read_bytes() == content


async def test_a_photo_sent_twice_is_there_once_and_can_be_taken_away(tmp_path: Path) -> None:
    """A resend counts once; what is taken away shows nowhere."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        await phone.open(f"{phone.case}/photos")
        form = [("form", phone.token), ("caption", "")]
        for _ in range(2):
            data = FormData(form)
            data.add_field("photo", camera(60, 40), filename="x.jpg", content_type="image/jpeg")
            await phone._see(await phone.client.post(f"{phone.case}/photos", data=data))
        (event,) = [e for e in journal(tmp_path) if e.kind is EventKind.PHOTO_ADDED]
        data = FormData([("form", phone.token), ("remove", str(event.number))])
        await phone._see(await phone.client.post(f"{phone.case}/photos", data=data))
        gone = await phone.client.get(f"{phone.case}/photo/{event.key}.jpg")

    assert "Take this photo away" not in phone.words
    assert gone.status == 404
    assert only_case(tmp_path).complaints[0].photos == ()


def bomb() -> bytes:
    """A PNG of a few kilobytes that unpacks to gigabytes."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    data = zlib.compress(bytes(60_000), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def as_png(width: int, height: int) -> bytes:
    """A large picture that a phone never takes."""
    out = BytesIO()
    Image.new("1", (width, height)).save(out, "PNG")
    return out.getvalue()


BAD = {
    "nothing": lambda: b"",
    "words": lambda: b"this is no picture",
    "markup": lambda: b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
    "program": lambda: b"\x7fELF" + bytes(200),
    "half": lambda: camera(800, 600)[:4000],
    "bomb": bomb,
    "large": lambda: as_png(6000, 4000),
    "gif": lambda: b"GIF89a" + bytes(40),
}


@pytest.mark.parametrize("make", BAD.values(), ids=BAD)
async def test_what_is_no_photo_is_refused_in_words(
    tmp_path: Path, make: Callable[[], bytes]
) -> None:
    """Nothing is kept, the case goes on, and the page says what to do."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        await take(phone, make(), name="../../evil.php")
        assert phone.status == 200
        assert phone.at == "photos"
        assert 'role="alert">' in phone.text
        assert 'role="alert"></p>' not in phone.text
    folder = photo_folder(tmp_path / "records.sqlite3")

    assert not folder.exists() or not list(folder.iterdir())
    assert not [e for e in journal(tmp_path) if e.kind is EventKind.PHOTO_ADDED]


async def test_too_large_is_told(tmp_path: Path) -> None:
    """A form and a photo have a size; beyond it nothing is read."""
    async with served(serving(tmp_path, photo_bytes=50_000)) as running, visitor(running) as phone:
        await phone.begin()
        await take(phone, camera(800, 600) + bytes(200_000))
        assert phone.status == 413
        await phone.open(f"{phone.case}/ask/film_finish")
        await phone.send("ask/film_finish", answer="x" * 100_000)
        assert phone.status == 413

    assert only_case(tmp_path).circumstances == {}


async def test_only_so_many_photos(tmp_path: Path) -> None:
    """Beyond the stated count it is told, and none is kept."""
    async with served(serving(tmp_path, photos=2)) as running, visitor(running) as phone:
        await phone.begin()
        for side in (40, 50):
            await take(phone, camera(60, side))
        assert "Take one away" in phone.words
        await take(phone, camera(60, 60))
        assert "There are 2 photos already" in phone.words

    assert len(only_case(tmp_path).complaints[0].photos) == 2


# Forms and addresses


async def test_a_form_needs_the_mark_that_this_visitor_was_given(tmp_path: Path) -> None:
    """None, a made-up one, and that of another visitor are all refused."""
    async with (
        served(serving(tmp_path, shared=True)) as running,
        visitor(running) as one,
        visitor(running) as two,
    ):
        await one.begin()
        await two.open(f"{one.case}/")
        path = f"{one.case}/ask/film_finish"
        for token in ("", "x", "é" * 40, one.token[:-1] + "_", two.token, one.token + "a"):
            answer = await one.client.post(path, data={"form": token, "answer": "gloss"})
            assert answer.status == 403, token
        answer = await one.client.post(path, data={"answer": "gloss"})
        assert answer.status == 403

    assert only_case(tmp_path).circumstances == {}


async def test_the_photo_of_another_is_not_there(tmp_path: Path) -> None:
    """Neither by the other's case nor by one's own with the same name."""
    async with (
        served(serving(tmp_path)) as running,
        visitor(running) as one,
        visitor(running) as two,
    ):
        await one.begin()
        await take(one, camera(60, 40))
        (event,) = [e for e in journal(tmp_path) if e.kind is EventKind.PHOTO_ADDED]
        await two.begin()
        for case in (one.case, two.case, "/case/new"):
            answer = await two.client.get(f"{case}/photo/{event.key}.jpg")
            assert answer.status == 404
        for name in ("../records.sqlite3", "..%2frecords-secret", "%00", "a" * 5000):
            answer = await one.client.get(f"{one.case}/photo/{name}")
            assert answer.status == 404


@pytest.mark.parametrize(
    "path",
    [
        "/../../etc/passwd",
        "/static/../../signing.py",
        "/static/%2e%2e/site.css",
        "/case/%00/",
        "/case/%ff%fe/ask/x",
        "/case/new/ask/%3Cscript%3E",
        "/case/new/file/..%2f..%2fpasswd",
        "/case/' OR 1=1 --/",
        "/drawing/..%2f..%2fcli.svg",
        "//evil.example/%2e%2e",
        "/enter/" + "a" * 3000,
    ],
)
async def test_made_up_addresses_lead_nowhere(tmp_path: Path, path: str) -> None:
    """They are not there, and nothing of the machine is told."""
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.open("/")
        from yarl import URL

        url = URL(f"http://127.0.0.1:{running.port}{path}", encoded="%" in path)
        answer = await phone.client.session.get(url, allow_redirects=False)
        words = await answer.text()

    assert answer.status in (303, 400, 403, 404)
    assert "root:" not in words
    for leak in ("/work", "Traceback", str(tmp_path)):
        assert leak not in words


async def test_no_header_leads_outside(tmp_path: Path) -> None:
    """Where a page leads is never taken from what a header claims."""
    tricks = {
        "X-Forwarded-Host": "evil.example",
        "X-Forwarded-For": "127.0.0.1",
        "Forwarded": "host=evil.example",
        "X-Original-URL": "/case/other/",
        "X-HTTP-Method-Override": "DELETE",
        "Referer": "http://evil.example/",
    }
    async with served(serving(tmp_path)) as running, visitor(running) as phone:
        await phone.begin()
        path, pairs = phone.sheet("ask/film_finish", answer="gloss")
        answer = await phone.client.post(
            path, data=FormData(pairs), headers=tricks, allow_redirects=False
        )

    assert answer.status == 303
    assert answer.headers["Location"] == f"{phone.case}/ask/age_months"


# Noise

PIECES = (
    "", "x", "é\u202e", "<script>alert(1)</script>", "' OR 1=1 --", "../../etc/passwd", "%00", "\x00",
    "-1", "9" * 400, "1e308", "NaN", "{{7*7}}", "${7*7}", "gloss", "unknown", "none", "film_finish",
    "new", "conclude", "undo", "rather", "look", "another", "on", "take_back", "aside", "1", "2",
    "edge_lifting", "roof", "\r\nSet-Cookie: a=b", "\ud7ff\uffff", "a" * 3000,
)  # fmt: skip
PAGES = (
    "words", "skip", "confirm", "symptom", "place", "ask/film_finish", "ask/age_months", "ask/reach",
    "ask/thumb_relay", "ask/none", "enough", "stands", "doubt/wet_and_holds", "answers", "back",
    "facts", "photos", "go", "done", "news", "report/file", "file/txt", "file/json", "photo/x.jpg", "nowhere", "",
)  # fmt: skip
FIELDS = (
    "form", "do", "answer", "number", "upto", "below", "text", "symptom", "panel", "seen", "line-0",
    "vehicle", "laid_on", "note", "chosen", "find", "body", "several", "remove", "caption", "of",
)  # fmt: skip


class Noise:
    """Mutated requests, drawn from a seed: some near the right ones, some far from anything."""

    def __init__(self, seed: int) -> None:
        self._draw = random.Random(seed)

    def path(self, case: str) -> str:
        """An address, most often of the case."""
        draw = self._draw
        owner = draw.choice([case] * 8 + ["/case/new", "/case/" + draw.choice(PIECES)])
        page = draw.choice(PAGES) if draw.random() < 0.9 else draw.choice(PIECES)
        return f"{owner}/{page}"

    def fields(self, token: str) -> list[tuple[str, str]]:
        """Some fields; the mark is most often the right one."""
        draw = self._draw
        named = [(draw.choice(FIELDS), self.piece()) for _ in range(draw.randint(0, 6))]
        return [("form", token), *named] if draw.random() < 0.8 else named

    def piece(self) -> str:
        """A value, at times two in one."""
        draw = self._draw
        return draw.choice(PIECES) + (draw.choice(PIECES) if draw.random() < 0.2 else "")

    def headers(self) -> dict[str, str]:
        """Now and then something odd."""
        draw = self._draw
        odd = {
            "Accept": draw.choice(["application/json", "*/*", "x"]),
            "Content-Type": draw.choice(["text/plain", "multipart/form-data", "x/y; charset=none"]),
            "Range": "bytes=0-1",
            "If-None-Match": "*",
        }
        return {k: v for k, v in odd.items() if draw.random() < 0.08}

    def method(self) -> str:
        """Mostly forms."""
        return self._draw.choice(["POST"] * 7 + ["GET"] * 5 + ["PUT", "DELETE", "HEAD", "OPTIONS"])


async def test_mutated_requests_break_nothing(
    tmp_path: Path, campaign: int, caplog: pytest.LogCaptureFixture
) -> None:
    """No fault inside, nothing of another's case served or changed, and the server goes on.

    Of a large campaign it is 10,000 requests.
    """
    noise = Noise(20261130)
    async with (
        served(serving(tmp_path)) as running,
        visitor(running) as quiet,
        visitor(running) as loud,
    ):
        await quiet.begin()
        await quiet.send("ask/film_finish", answer="matte")
        with Store.open(tmp_path / "records.sqlite3") as store:
            (mine,) = store.ids()
            before = store.events(mine)
        await loud.begin("tunnelling", "bonnet")
        case, codes = loud.case, set[int]()
        for number in range(25 * campaign):
            await loud.open("/case/new/words")
            owner = case if number % 5 else quiet.case
            codes.add(await _one(loud, noise, owner))
        await quiet.open(f"{quiet.case}/")
        assert quiet.at == "ask/age_months"
        assert (await loud.open("/")).status == 200
    with Store.open(tmp_path / "records.sqlite3") as store:
        assert store.events(mine) == before
        assert store.faults() == ()

    assert not [r for r in caplog.records if r.exc_info]
    assert codes <= {200, 303, 400, 403, 404, 405, 408, 413, 422}
    assert {200, 403, 404} <= codes


async def _one(phone: Phone, noise: Noise, case: str) -> int:
    """Send one request; what comes back says nothing of the inside."""
    method, path = noise.method(), noise.path(case)
    given: dict[str, Any] = {"headers": noise.headers()}
    if method == "POST":
        given["data"] = FormData(noise.fields(phone.token))
    else:
        given["params"] = noise.fields(phone.token)[:2]
    answer = await phone.client.request(method, path, allow_redirects=False, **given)
    text = (await answer.read()).decode("utf-8", "replace")
    assert "Traceback" not in text
    assert "<script>alert" not in text
    assert "evil" not in answer.headers.get("Location", "")
    assert "a" not in answer.cookies
    return answer.status
