"""A callback on a phone: Chromium at 390 by 844 points, touched like with a thumb."""

from __future__ import annotations

import asyncio
import base64
import shutil
import threading
import time
from collections.abc import Coroutine, Iterator
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("selenium")
pytest.importorskip("textual_serve")
pytest.importorskip("segno")
pyte = pytest.importorskip("pyte")
CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
if not (CHROMIUM and DRIVER):
    pytest.skip("no chromium with its driver on this machine", allow_module_level=True)

from aiohttp import web
from selenium import webdriver
from selenium.webdriver.common.actions.action_builder import ActionBuilder
from selenium.webdriver.common.actions.pointer_input import PointerInput
from selenium.webdriver.common.by import By

from diagnose.records.case.journal import Case
from diagnose.records.store.store import Store
from diagnose.serve.server import Serving
from diagnose.serve.settings import Settings

PATIENCE = 90.0
"""Seconds after which a screen that does not come has failed; the machine may be busy."""

STILL = 0.4
"""Seconds without a change after which a screen is taken as drawn: a thumb is no faster."""

LISTEN = """
window.drawn = [];
const Plain = window.WebSocket;
window.WebSocket = class extends Plain {
  constructor(...given) {
    super(...given);
    window.line = this;
    const asked = new URL(given[0]).searchParams;
    window.cells = [Number(asked.get('width')), Number(asked.get('height'))];
    this.addEventListener('message', async (event) => {
      if (typeof event.data === 'string') return;
      const bytes = event.data.arrayBuffer ? await event.data.arrayBuffer() : event.data;
      window.drawn.push(btoa(String.fromCharCode(...new Uint8Array(bytes))));
    });
  }
};
"""


class Served:
    """The server in a thread of its own."""

    def __init__(self, serving: Serving) -> None:
        self.serving = serving
        self._loop = asyncio.new_event_loop()
        self._runner = web.AppRunner(serving.application())
        self._thread = threading.Thread(target=self._loop.run_forever)
        self._thread.start()
        self.do(self._start())

    def do(self, what: Coroutine[Any, Any, Any]) -> Any:
        """Run something in the server's loop."""
        return asyncio.run_coroutine_threadsafe(what, self._loop).result(PATIENCE)

    async def _start(self) -> None:
        await self._runner.setup()
        site = web.TCPSite(self._runner, "127.0.0.1", 0)
        await site.start()
        self.url = f"http://127.0.0.1:{self._runner.addresses[0][1]}/"

    def stop(self) -> None:
        """End it with all processes."""
        self.do(self._runner.cleanup())
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()


class Phone:
    """A browser of a phone's size, with the screen as text beside it."""

    def __init__(self) -> None:
        options = webdriver.ChromeOptions()
        options.binary_location = CHROMIUM
        for word in ("--headless=new", "--no-sandbox", "--disable-gpu"):
            options.add_argument(word)
        self.driver = webdriver.Chrome(options, webdriver.ChromeService(DRIVER))
        size = {"width": 390, "height": 844, "deviceScaleFactor": 1, "mobile": True}
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        self.driver.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": True})
        self.driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": LISTEN})

    def keep_downloads(self, folder: Path) -> None:
        """Where the phone puts what it is given."""
        to = {"behavior": "allow", "downloadPath": str(folder)}
        self.driver.execute_cdp_cmd("Browser.setDownloadBehavior", to)

    def open(self, url: str) -> None:
        """Go to an address."""
        self.driver.get(url)
        self._fresh()

    def reload(self) -> None:
        """Load the page again."""
        self.driver.refresh()
        self._fresh()

    def _fresh(self) -> None:
        """A new screen, of the size that the page asked for."""
        end = time.monotonic() + PATIENCE
        cells = None
        while not cells:
            assert time.monotonic() < end, "the page asks for no screen"
            cells = self.driver.execute_script("return window.cells")
        self.columns, self.lines = cells
        self._screen = pyte.Screen(self.columns, self.lines)
        self._stream = pyte.ByteStream(self._screen)

    def rows(self) -> list[str]:
        """The screen as text, row by row."""
        drawn = self.driver.execute_script("return (window.drawn || []).splice(0)")
        for part in drawn:
            self._stream.feed(base64.b64decode(part))
        return list(self._screen.display)

    def wait_for(self, words: str) -> tuple[int, int]:
        """Wait until a row holds the words; which row and column."""
        end = time.monotonic() + PATIENCE
        while True:
            for number, row in enumerate(self.rows()):
                if words in row:
                    return number, row.index(words)
            assert time.monotonic() < end, f"'{words}' did not come:\n" + "\n".join(self.rows())

    def _steady(self, words: str) -> tuple[int, int]:
        """Where the words are, once the screen has stood still for a moment."""
        place, seen, since = self.wait_for(words), self.rows(), time.monotonic()
        while time.monotonic() < since + STILL:
            if self.rows() != seen:
                place, seen, since = self.wait_for(words), self.rows(), time.monotonic()
        return place

    def touch(self, words: str) -> None:
        """Touch the row that holds the words, as a thumb does."""
        row, column = self._steady(words)
        box = self.driver.find_element(By.CSS_SELECTOR, ".xterm-screen").rect
        finger = PointerInput("touch", "finger")
        action = ActionBuilder(self.driver, mouse=finger)
        action.pointer_action.move_to_location(
            int(box["x"] + (column + 1.5) * box["width"] / self.columns),
            int(box["y"] + (row + 0.5) * box["height"] / self.lines),
        ).pointer_down().pointer_up()
        action.perform()

    def say(self, words: str) -> bool:
        """Whether the page itself says this."""
        return words in self.driver.find_element(By.TAG_NAME, "body").text


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """The server on this machine, with records of its own."""
    server = Served(Serving(Settings(tmp_path / "records.sqlite3")))
    yield server
    server.stop()


@pytest.fixture
def phone() -> Iterator[Phone]:
    """A phone."""
    found = Phone()
    yield found
    found.driver.quit()


def case(tmp_path: Path) -> Case:
    """The only case in the records."""
    with Store.open(tmp_path / "records.sqlite3") as store:
        (case_id,) = store.ids()
        return store.case(case_id)


def to_the_first_question(phone: Phone) -> None:
    """Symptom and place by touch."""
    phone.touch("New callback")
    phone.touch("Choose from a list")
    phone.touch("This one:")
    phone.touch("Here:")
    phone.wait_for("What finish has the film?")


def test_a_whole_callback_with_a_thumb(served: Served, phone: Phone, tmp_path: Path) -> None:
    """From the address to the report by touch alone; the page tells nothing of the machine."""
    phone.open(served.url)
    assert 38 <= phone.columns <= 48
    to_the_first_question(phone)
    phone.touch("gloss")
    phone.touch("Unsure")
    phone.wait_for("during the work")
    phone.touch("More")
    phone.touch("Stop asking and conclude")
    phone.wait_for("IN SHORT")

    assert case(tmp_path).circumstances["film_finish"] == "gloss"
    for leak in ("/work", "/opt", "/tmp", "Traceback"):
        assert leak not in phone.driver.page_source
        assert not any(leak in row for row in phone.rows())


def downloaded(folder: Path, name: str) -> bytes:
    """A file that the phone was given, once it is whole."""
    end = time.monotonic() + PATIENCE
    while not (folder / name).exists():
        assert time.monotonic() < end, f"{name} did not come; there is {list(folder.iterdir())}"
        time.sleep(0.1)
    return (folder / name).read_bytes()


def test_the_report_comes_to_the_phone(served: Served, phone: Phone, tmp_path: Path) -> None:
    """The finished report is kept on the phone as the customer's page and as plain text."""
    folder = tmp_path / "downloads"
    folder.mkdir()
    phone.keep_downloads(folder)
    phone.open(served.url)
    to_the_first_question(phone)
    phone.touch("gloss")
    phone.touch("Unsure")
    phone.touch("More")
    phone.touch("Stop asking and conclude")
    phone.touch("Save it")
    phone.touch("PDF for the customer")
    phone.wait_for("your downloads")
    stem = f"report-{case(tmp_path).id}"

    assert downloaded(folder, f"{stem}.customer.pdf").startswith(b"%PDF")
    phone.touch("Plain text")
    assert b"IN SHORT" in downloaded(folder, f"{stem}.txt")


def test_a_reload_on_the_way(served: Served, phone: Phone, tmp_path: Path) -> None:
    """The page loaded again offers to go on, and asks what comes after the last answer."""
    phone.open(served.url)
    to_the_first_question(phone)
    phone.touch("matte")
    phone.wait_for("How many months ago")
    phone.reload()
    phone.touch("Go on: ")
    phone.wait_for("How many months ago")

    assert case(tmp_path).circumstances == {"film_finish": "matte"}
    assert len(served.serving.sessions) == 1


def test_a_lost_connection(served: Served, phone: Phone, tmp_path: Path) -> None:
    """The page says so and how to go on; nothing is lost."""
    phone.open(served.url)
    to_the_first_question(phone)
    phone.touch("satin")
    phone.wait_for("How many months ago")
    phone.driver.execute_script("window.line.close()")
    end = time.monotonic() + PATIENCE
    while not phone.say("The connection ended"):
        assert time.monotonic() < end
    phone.driver.find_element(By.ID, "again").click()
    phone._fresh()
    phone.touch("Go on: ")
    phone.wait_for("How many months ago")

    assert case(tmp_path).circumstances == {"film_finish": "satin"}


def test_each_visitor_sees_only_their_own(served: Served, phone: Phone) -> None:
    """A second browser finds an empty start, not the first one's case."""
    phone.open(served.url)
    to_the_first_question(phone)
    phone.driver.delete_all_cookies()
    phone.open(served.url)
    phone.wait_for("Nothing is begun yet")

    assert not any("Go on" in row for row in phone.rows())


def test_the_code_opens_the_door_once(tmp_path: Path, phone: Phone) -> None:
    """On the network: without the code nothing; with it the screens; a wrong one is told so."""
    secrets: list[str] = []
    settings = Settings(tmp_path / "records.sqlite3", network=True)
    server = Served(Serving(settings, secrets.append))
    try:
        phone.driver.get(server.url)
        assert phone.say("Not let in")
        phone.driver.get(f"{server.url}enter/wrong")
        assert phone.say("This code was used or is wrong")
        phone.driver.get(f"{server.url}enter/{secrets[0]}")
        phone.driver.find_element(By.TAG_NAME, "button").click()
        phone._fresh()
        phone.wait_for("Nothing is begun yet")
        phone.driver.get(f"{server.url}enter/{secrets[0]}")
        assert phone.say("This code was used or is wrong")
    finally:
        server.stop()
