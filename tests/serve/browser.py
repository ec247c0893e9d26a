"""A real browser: Chromium of a phone's size, touched like with a thumb, or on a desk."""

from __future__ import annotations

import asyncio
import base64
import shutil
import threading
import time
from collections.abc import Coroutine
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("aiohttp")
pytest.importorskip("segno")
pytest.importorskip("selenium")
CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
if not (CHROMIUM and DRIVER):
    pytest.skip("no chromium with its driver on this machine", allow_module_level=True)

from aiohttp import web
from selenium import webdriver
from selenium.common.exceptions import WebDriverException
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.actions.action_builder import ActionBuilder
from selenium.webdriver.common.actions.pointer_input import PointerInput
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webelement import WebElement

from diagnose.serve.server import Serving

PATIENCE = 60.0
"""Seconds after which what does not come has failed; the machine may be busy."""

QUIET = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


class Served:
    """The server in a thread of its own, on a port that stays the same when it is started again."""

    def __init__(self, serving: Serving, port: int = 0) -> None:
        self.serving = serving
        self._loop = asyncio.new_event_loop()
        self._runner = web.AppRunner(serving.application(), shutdown_timeout=1)
        self._thread = threading.Thread(target=self._loop.run_forever)
        self._thread.start()
        self._do(self._start(port))

    def _do(self, what: Coroutine[Any, Any, Any]) -> Any:
        return asyncio.run_coroutine_threadsafe(what, self._loop).result(PATIENCE)

    async def _start(self, port: int) -> None:
        await self._runner.setup()
        site = web.TCPSite(self._runner, "127.0.0.1", port)
        await site.start()
        self.port = self._runner.addresses[0][1]
        self.url = f"http://127.0.0.1:{self.port}"

    def stop(self) -> None:
        """End it."""
        self._do(self._runner.cleanup())
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()
        self._loop.close()


class Phone:
    """A browser: 390 by 844 points with touch, unless it is as wide as a desk's."""

    def __init__(self, folder: Path, width: int = 390, height: int = 844) -> None:
        options = webdriver.ChromeOptions()
        options.binary_location = CHROMIUM
        for word in (*QUIET, f"--user-data-dir={folder}"):
            options.add_argument(word)
        self.driver = webdriver.Chrome(options, webdriver.ChromeService(DRIVER))
        self.driver.set_page_load_timeout(PATIENCE)
        self.touching = width < 600
        size = {
            "width": width,
            "height": height,
            "deviceScaleFactor": 2 if self.touching else 1,
            "mobile": self.touching,
        }
        self.command("Emulation.setDeviceMetricsOverride", **size)
        self.command("Emulation.setTouchEmulationEnabled", enabled=self.touching)

    def command(self, name: str, **given: Any) -> Any:
        """A command of the browser's own protocol."""
        return self.driver.execute_cdp_cmd(name, given)

    def open(self, url: str) -> Phone:
        """Go to an address."""
        self.driver.get(url)
        return self

    @property
    def words(self) -> str:
        """What can be read on the page, in one line."""
        try:
            return " ".join(self.driver.find_element(By.TAG_NAME, "body").text.split())
        except WebDriverException:
            return ""

    @property
    def path(self) -> str:
        """The path of the page shown."""
        return "/" + self.driver.current_url.split("/", 3)[3].partition("?")[0]

    def wait(self, words: str) -> Phone:
        """Wait until the page says this."""
        end = time.monotonic() + PATIENCE
        while words not in self.words:
            assert time.monotonic() < end, f"'{words}' did not come: {self.words}"
            time.sleep(0.05)
        return self

    def find(self, words: str) -> WebElement:
        """The link, button, label or summary that says this."""
        end = time.monotonic() + PATIENCE
        kinds = "self::a or self::button or self::label or self::summary"
        path = f"//*[{kinds}][contains(normalize-space(.), {words!r})]"
        while True:
            found = [e for e in self.driver.find_elements(By.XPATH, path) if _shown(e)]
            if found:
                return found[0]
            assert time.monotonic() < end, f"'{words}' is not there to be touched: {self.words}"
            time.sleep(0.05)

    def touch(self, words: str) -> Phone:
        """Touch what says this, where a thumb would; a page on its way is waited for."""
        end = time.monotonic() + PATIENCE
        while True:
            try:
                return self.tap(self.find(words))
            except WebDriverException:
                assert time.monotonic() < end, f"'{words}' does not stay to be touched"
                time.sleep(0.05)

    def tap(self, element: WebElement) -> Phone:
        """Touch an element in its middle."""
        if not self.touching:
            ActionChains(self.driver).move_to_element(element).click().perform()
            return self
        self.driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", element)
        middle = (
            "const b = arguments[0].getBoundingClientRect();"
            "return [b.x + b.width / 2, b.y + b.height / 2]"
        )
        x, y = self.driver.execute_script(middle, element)
        action = ActionBuilder(self.driver, mouse=PointerInput("touch", "finger"))
        action.pointer_action.move_to_location(int(x), int(y)).pointer_down().pointer_up()
        action.perform()
        return self

    def picture(self, path: Path) -> None:
        """The whole page as a picture."""
        size = self.command("Page.getLayoutMetrics")["cssContentSize"]
        made = self.command(
            "Page.captureScreenshot",
            captureBeyondViewport=True,
            clip={"x": 0, "y": 0, "width": size["width"], "height": size["height"], "scale": 1},
        )
        path.write_bytes(base64.b64decode(made["data"]))


def _shown(element: WebElement) -> bool:
    try:
        return element.is_displayed()
    except WebDriverException:
        return False
