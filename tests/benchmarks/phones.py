"""Thirty phones at one server: from an answer to the next question, and the memory it takes.

`python -m tests.benchmarks.phones` starts the server in a process of its own on the shipped rules,
lets each phone answer callbacks at a thumb's pace (two to six seconds between answers), each coming
in within the first half minute and all at work then, and prints a table. Complaints are drawn from
all symptoms alike, answers from those of the check. An answer is a form sent and the next page read
to its end. Phones and server share the machine: its load before and after is printed, for both
bounds (300 MB, 100 ms for 95 of 100 answers) mean two cores with nothing else at work.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import random
import re
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from aiohttp import ClientSession, CookieJar, FormData

from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.load import load

ROOT = Path(__file__).resolve().parents[2]
PACE = (2.0, 6.0)
COMING_IN = 30.0


@dataclass
class Seen:
    """Seconds from a form to the next page, by what was sent."""

    answers: list[float] = field(default_factory=list)
    places: list[float] = field(default_factory=list)
    reports: list[float] = field(default_factory=list)
    photos: list[float] = field(default_factory=list)
    wrong: int = 0


class Phone:
    """One phone at work."""

    def __init__(self, url: str, base: Base, seed: int, seen: Seen) -> None:
        self._url, self._base, self._seen = url, base, seen
        self._draw = random.Random(seed)
        self._text, self._path = "", ""

    async def work(self, answers: int) -> None:
        """A callback of so many answers, with a photo and the report."""
        await asyncio.sleep(self._draw.uniform(0, COMING_IN))
        async with ClientSession(cookie_jar=CookieJar(unsafe=True)) as self._client:
            await self._open("/")
            while answers > 0:
                await self._open("/case/new/")
                await self._send("skip", [])
                symptom = self._draw.choice(list(self._base.symptoms))
                await self._send("symptom", [("symptom", symptom)])
                await self._rest()
                place = [("panel", "front_door_left"), ("symptom", symptom)]
                self._seen.places.append(await self._send("place", place))
                while "/ask/" in self._path or "/doubt/" in self._path:
                    await self._rest()
                    if "/doubt/" in self._path:
                        await self._open(f"{self._case}/")
                        continue
                    self._seen.answers.append(await self._answer())
                    answers -= 1
                    if answers <= 0:
                        break
                await self._photo()
                await self._send("go", [("do", "conclude")])
                begun = time.perf_counter()
                await self._open(f"{self._case}/done")
                self._seen.reports.append(time.perf_counter() - begun)

    async def _answer(self) -> float:
        check = self._base.checks[self._path.rpartition("/")[2]]
        answers = list(check.answers)
        given = [("answer", self._draw.choice(answers))] if answers else [("do", "unknown")]
        return await self._send(f"ask/{check.id}", given)

    async def _rest(self) -> None:
        await asyncio.sleep(self._draw.uniform(*PACE))

    @property
    def _case(self) -> str:
        return re.match(r"/case/[^/]+", self._path)[0]  # type: ignore[index]

    @property
    def _form(self) -> str:
        return re.search(r'name="form" value="([^"]+)"', self._text)[1]  # type: ignore[index]

    async def _open(self, path: str) -> None:
        async with self._client.get(self._url + path) as answer:
            self._text, self._path = await answer.text(), answer.url.path
            self._seen.wrong += answer.status != 200

    async def _send(self, page: str, fields: Sequence[tuple[str, str]]) -> float:
        data = FormData([("form", self._form), ("seen", "999"), *fields])
        begun = time.perf_counter()
        async with self._client.post(f"{self._url}{self._case}/{page}", data=data) as answer:
            self._text, self._path = await answer.text(), answer.url.path
            self._seen.wrong += answer.status != 200
        return time.perf_counter() - begun

    async def _photo(self) -> None:
        case = self._case
        await self._open(f"{case}/photos")
        data = FormData([("form", self._form)])
        data.add_field("photo", PHOTO, filename="x.jpg", content_type="image/jpeg")
        begun = time.perf_counter()
        async with self._client.post(f"{self._url}{case}/photos", data=data) as answer:
            await answer.read()
            self._seen.wrong += answer.status != 200
        self._seen.photos.append(time.perf_counter() - begun)
        await self._open(f"{case}/photos")


def photo() -> bytes:
    """Twelve million pixels, as a phone takes them."""
    from io import BytesIO

    from PIL import Image

    grain = Image.effect_noise((1000, 750), 40).convert("RGB").resize((4000, 3000))
    out = BytesIO()
    grain.save(out, "JPEG", quality=85)
    return out.getvalue()


PHOTO = b""


def main(arguments: Sequence[str]) -> None:
    """Measure and print the table."""
    global PHOTO
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--phones", type=int, default=30)
    options.add_argument("--answers", type=int, default=15, help="of each phone")
    its = options.parse_args(arguments)
    PHOTO = photo()
    base = load(ROOT / "rules")
    before = os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as folder, socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
        probe.close()
        line = [sys.executable, "-m", "diagnose.cli", "serve", "--port", str(port)]
        line += ["--records", str(Path(folder) / "records.sqlite3")]
        server = subprocess.Popen(line, stdout=subprocess.DEVNULL)
        try:
            seen = asyncio.run(_all(f"http://127.0.0.1:{port}", base, its.phones, its.answers))
            most, worked = _peak(server.pid), _worked(server.pid)
        finally:
            server.terminate()
            server.wait()
    print(f"load of the machine before {before:.1f}, after {os.getloadavg()[0]:.1f}")
    print(f"{its.phones} phones, {its.answers} answers each, {PACE[0]:g} to {PACE[1]:g} s between")
    print(f"{'':28}{'count':>7}{'median':>10}{'95 of 100':>11}{'most':>9}")
    for name, times in (
        ("next question", seen.answers),
        ("first question of a complaint", seen.places),
        ("conclusion with its report", seen.reports),
        (f"photo of {len(PHOTO) / 1e6:.1f} MB", seen.photos),
    ):
        ranked = sorted(times)
        at = [ranked[int(share * (len(ranked) - 1))] * 1000 for share in (0.5, 0.95, 1)]
        print(f"{name:29}{len(ranked):6}{at[0]:8.0f} ms{at[1]:8.0f} ms{at[2]:6.0f} ms")
    print(f"pages that were not there: {seen.wrong}")
    print(f"memory of the one process at its most: {most:.0f} MB")
    print(f"its work in all: {worked:.0f} s of one core, every symptom made ready within it")


async def _all(url: str, base: Base, phones: int, answers: int) -> Seen:
    await _up(url)
    seen = Seen()
    await asyncio.gather(*(Phone(url, base, n, seen).work(answers) for n in range(phones)))
    return seen


async def _up(url: str) -> None:
    """Wait until the server answers."""
    for _ in range(600):
        try:
            async with ClientSession() as client, client.get(f"{url}/static/site.css"):
                return
        except OSError:
            await asyncio.sleep(0.1)
    raise TimeoutError("the server did not start")


def _peak(process: int) -> float:
    """Resident memory at its most, in MB (Linux)."""
    status = Path(f"/proc/{process}/status").read_text(encoding="utf-8")
    return int(re.search(r"VmHWM:\s+(\d+) kB", status)[1]) / 1000  # type: ignore[index]


def _worked(process: int) -> float:
    """Seconds of a core that a process took (Linux)."""
    told = Path(f"/proc/{process}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


if __name__ == "__main__":
    main(sys.argv[1:])
