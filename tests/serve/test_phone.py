"""A callback in a real browser: a phone touched with a thumb, and a desk with a mouse."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("axe_core_python")
pypdf = pytest.importorskip("pypdf")

import base64

from selenium.webdriver.common.by import By

from diagnose.measures.quantity import Quantity
from diagnose.records.case.journal import EventKind
from diagnose.serve.server import Serving
from tests.serve.browser import PATIENCE, Phone, Served
from tests.serve.test_attacks import camera
from tests.serve.visiting import journal, only_case, serving

pytestmark = pytest.mark.xdist_group("browser")

AXE = (files("axe_core_python") / "axe.min.js").read_text(encoding="utf-8")
TARGETS = """
return [...document.querySelectorAll('a, button, input:not([type=hidden]), summary, textarea, label.tick')]
  .filter(e => !e.closest('svg') && !e.closest('.tick:not(label)') && e.checkVisibility()
          && !e.classList.contains('skip') && !(e.type === 'checkbox' || e.type === 'radio'))
  .map(e => [e.textContent.trim().slice(0, 30), e.getBoundingClientRect().width,
             e.getBoundingClientRect().height])
  .filter(([, width, height]) => width < 48 || height < 48)
"""
SMALL_TEXT = """
return [...document.querySelectorAll('body *')]
  .filter(e => !e.closest('svg') && e.checkVisibility() && [...e.childNodes].some(
          n => n.nodeType === 3 && n.textContent.trim()) && parseFloat(getComputedStyle(e).fontSize) < 18)
  .map(e => e.tagName + ': ' + e.textContent.trim().slice(0, 40))
"""
FAINT = """
const parts = words => (words.match(/[\\d.]+/g) || []).map(Number);
const light = ([r, g, b]) => [r, g, b].map(c => c / 255).map(
  c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4)
  .reduce((sum, c, n) => sum + c * [0.2126, 0.7152, 0.0722][n], 0);
const behind = e => {
  for (; e; e = e.parentElement) {
    const colour = parts(getComputedStyle(e).backgroundColor);
    if (colour.length === 3 || colour[3] === 1) return colour;
  }
  return [255, 255, 255];
};
const ratio = e => {
  const [a, b] = [light(parts(getComputedStyle(e).color)), light(behind(e))];
  return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
};
const told = [...document.querySelectorAll('body *')].filter(e => !e.closest('svg')
  && e.checkVisibility() && ([...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim())
  || e.matches('input:not([type=hidden]), textarea')));
return [told.length, told.filter(e => ratio(e) < 7).map(
  e => e.tagName + ': ' + e.textContent.trim().slice(0, 40) + ' ' + ratio(e).toFixed(1))]
"""


@pytest.fixture
def server(tmp_path: Path) -> Serving:
    """A server on the small rule base and records of its own."""
    return serving(tmp_path)


@pytest.fixture
def served(server: Serving) -> Iterator[Served]:
    """The server at work."""
    running = Served(server)
    yield running
    running.stop()


@pytest.fixture
def browser(tmp_path: Path) -> Iterator[Callable[..., Phone]]:
    """Browsers as they are asked for, each with a profile of its own."""
    opened: list[Phone] = []

    def make(**size: int) -> Phone:
        opened.append(Phone(tmp_path / f"profile-{len(opened)}", **size))
        return opened[-1]

    yield make
    for phone in opened:
        phone.driver.quit()


@pytest.fixture
def phone(browser: Callable[..., Phone]) -> Phone:
    """A phone."""
    return browser()


def to_the_first_question(phone: Phone, url: str) -> None:
    """From the start by touch: the list, the symptom, the car."""
    phone.open(url).touch("New callback").touch("Choose from a list")
    phone.touch("Edge lifting").wait("A length of edge").touch("This one")
    phone.wait("Where on the vehicle")
    phone.tap(phone.driver.find_element(By.CSS_SELECTOR, ".top a[aria-label='Roof']"))
    phone.touch("Here: Roof").wait("What finish has the film?")


def sound(phone: Phone) -> None:
    """No serious finding of the checker; no small target, small or faint text; nothing beside."""
    phone.driver.execute_script(AXE)
    found = phone.driver.execute_async_script(
        "const done = arguments[arguments.length - 1];"
        "axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa',"
        " 'best-practice'], rules: {'color-contrast-enhanced': {enabled: true}}}).then(done)"
    )
    serious: list[Any] = [
        (each["id"], each["nodes"][0]["html"])
        for each in found["violations"]
        if each["impact"] in ("serious", "critical")
    ]
    assert not serious, (phone.path, serious)
    run = phone.driver.execute_script
    assert not run(TARGETS), (phone.path, run(TARGETS))
    assert not run(SMALL_TEXT), (phone.path, run(SMALL_TEXT))
    words, faint = run(FAINT)
    assert words, phone.path
    assert not faint, (phone.path, faint)
    assert run("return document.documentElement.scrollWidth <= innerWidth"), phone.path


def test_a_whole_callback_with_a_thumb(served: Served, phone: Phone, tmp_path: Path) -> None:
    """From the start to the report by touch; every page on the way is sound."""
    seen = [sound(phone.open(served.url))]
    phone.touch("New callback").wait("What is wrong, and where?")
    phone.driver.find_element(By.ID, "text").send_keys("it has gone odd up there")
    seen.append(sound(phone))
    phone.touch("Read this").wait("Read out of your words")
    seen.append(sound(phone))
    phone.touch("Go on with what is ticked").wait("Which of these is it?")
    seen.append(sound(phone))
    phone.touch("Edge lifting").wait("A length of edge")
    seen.append(sound(phone))
    phone.touch("This one").wait("Where on the vehicle")
    seen.append(sound(phone))
    phone.tap(phone.driver.find_element(By.CSS_SELECTOR, ".top a[aria-label='Roof']"))
    phone.touch("Here: Roof").wait("What finish has the film?")
    phone.touch("How it is done").wait("Look at it.")
    seen.append(sound(phone))
    phone.touch("gloss").wait("How many months ago")
    number = phone.driver.find_element(By.ID, "number")
    assert number.get_attribute("inputmode") == "decimal"
    assert "months" in phone.driver.find_element(By.ID, "unit").text
    number.send_keys("900")
    phone.touch("Take this number").wait("outside 0 to 240")
    number.clear()
    number.send_keys("6")
    seen.append(sound(phone))
    phone.touch("Take this number").wait("pressed down with the thumb")
    case = phone.path.rpartition("/ask")[0]
    for page in ("stands", "answers", "back", "facts", "photos"):
        seen.append(sound(phone.open(f"{served.url}{case}/{page}")))
    phone.open(f"{served.url}{case}/").touch("it holds")
    phone.touch("More").touch("Stop asking and conclude").wait("Concluded")
    seen.append(sound(phone))
    for reader in ("customer", "file", "maker"):
        seen.append(sound(phone.open(f"{served.url}{case}/report/{reader}")))
    seen.append(sound(phone.open(f"{served.url}/cases")))
    seen.append(sound(phone.open(f"{served.url}/nowhere")))
    kept = only_case(tmp_path)

    assert len(seen) > 18
    assert kept.circumstances == {"film_finish": "gloss", "age_months": Quantity(6, 6)}
    assert kept.complaints[0].answers["thumb_relay"] == "holds"


def test_cannot_tell_is_always_in_the_same_place(served: Served, phone: Phone) -> None:
    """For a choice and for a number, with and without cautions, at the same spot of the screen."""
    to_the_first_question(phone, served.url)
    spots = []
    for _ in range(4):
        button = phone.find("Cannot tell")
        spots.append(phone.driver.execute_script(
            "const b = arguments[0].getBoundingClientRect(); return [b.x, b.y, b.width]", button
        ))  # fmt: skip
        before = phone.path
        phone.tap(button)
        end = time.monotonic() + PATIENCE
        while phone.path == before:
            assert time.monotonic() < end
            time.sleep(0.05)
    assert len({tuple(map(round, spot)) for spot in spots}) == 1


def test_a_double_tap_and_the_browsers_back(served: Served, phone: Phone, tmp_path: Path) -> None:
    """Two quick taps are one answer; back shows what was answered and takes nothing back."""
    to_the_first_question(phone, served.url)
    button = phone.find("gloss")
    phone.driver.execute_script("arguments[0].click(); arguments[0].click();", button)
    phone.wait("How many months ago")
    phone.driver.back()
    phone.wait("Answered: gloss")
    phone.driver.forward()
    phone.wait("How many months ago")
    phone.driver.refresh()
    phone.wait("How many months ago")

    assert [e.kind for e in journal(tmp_path)].count(EventKind.ANSWERED) == 1


def test_an_answer_given_without_a_connection_waits(
    served: Served, phone: Phone, tmp_path: Path
) -> None:
    """The server is gone, a thumb answers, the page is closed; later the answer arrives, once."""
    to_the_first_question(phone, served.url)
    url, port = served.url, served.port
    served.stop()
    phone.touch("matte").wait("No connection. Kept on this phone: Finish of the film: matte")
    again = Served(serving(tmp_path), port)
    try:
        phone.wait("How many months ago")
        kept = only_case(tmp_path).circumstances
        again.stop()
        phone.driver.find_element(By.ID, "number").send_keys("7")
        phone.touch("Take this number").wait("No connection")
        phone.open("about:blank")
        again = Served(serving(tmp_path), port)
        phone.open(url).wait("pressed down with the thumb")
    finally:
        again.stop()
    served.__init__(serving(tmp_path))  # type: ignore[misc]

    assert kept == {"film_finish": "matte"}
    assert only_case(tmp_path).circumstances == {
        "film_finish": "matte",
        "age_months": Quantity(7, 7),
    }
    assert [e.kind for e in journal(tmp_path)].count(EventKind.ANSWERED) == 2


def test_a_photo_from_the_camera(served: Served, phone: Phone, tmp_path: Path) -> None:
    """Taken at a question, it leads back there, and stands in the report for the maker."""
    picture = tmp_path / "IMG_0001.jpg"
    picture.write_bytes(camera(1200, 800))
    to_the_first_question(phone, served.url)
    phone.touch("Photo").wait("Photo of: Finish of the film")
    field = phone.driver.find_element(By.ID, "photo")
    assert field.get_attribute("capture") == "environment"
    field.send_keys(str(picture))
    phone.touch("Keep this photo").wait("What finish has the film?")
    case = phone.path.rpartition("/ask")[0]
    phone.open(f"{served.url}{case}/photos").wait("Take this photo away")
    sound(phone)
    shown = phone.driver.find_element(By.CSS_SELECTOR, ".photo img")
    end = time.monotonic() + PATIENCE
    while not phone.driver.execute_script("return arguments[0].naturalHeight", shown):
        assert time.monotonic() < end
    tall = phone.driver.execute_script(
        "return arguments[0].naturalHeight > arguments[0].naturalWidth", shown
    )
    phone.open(f"{served.url}{case}/report/maker").wait("Photo 1")
    sound(phone)

    assert tall
    assert len(only_case(tmp_path).complaints[0].photos) == 1


def test_two_phones_see_each_other(tmp_path: Path, browser: Callable[..., Phone]) -> None:
    """On one case the second is told that the first went on, and what it answered."""
    served = Served(serving(tmp_path, shared=True))
    try:
        one, two = browser(), browser()
        to_the_first_question(one, served.url)
        two.open(served.url).touch("Go on").wait("What finish has the film?")
        one.touch("chrome").wait("How many months ago")
        two.wait("Another phone went on with this case.").touch("Show it")
        two.wait("How many months ago")
    finally:
        served.stop()


def test_without_the_script_everything_works(served: Served, phone: Phone, tmp_path: Path) -> None:
    """Plain forms carry the whole callback."""
    phone.command("Emulation.setScriptExecutionDisabled", value=True)
    phone.open(served.url).touch("New callback")
    for words in ("Choose from a list", "Edge lifting", "This one", "Bonnet", "matte"):
        phone.touch(words)
    phone.wait("How many months ago")
    phone.driver.find_element(By.ID, "number").send_keys("12")
    phone.touch("Take this number").touch("it holds")
    phone.touch("More").touch("Stop asking and conclude").wait("Concluded")

    assert only_case(tmp_path).complaints[0].panel == "bonnet"


def test_at_a_desk_with_mouse_and_keys(
    served: Served, browser: Callable[..., Phone], tmp_path: Path
) -> None:
    """The same pages at the width of a desk; Enter in a field takes the number; paper prints."""
    desk = browser(width=1280, height=900)
    to_the_first_question(desk, served.url)
    desk.touch("gloss").wait("How many months ago")
    desk.driver.find_element(By.ID, "number").send_keys("6\n")
    desk.wait("pressed down with the thumb")
    sound(desk)
    desk.touch("More").touch("Stop asking and conclude").wait("Concluded")
    case = desk.path.rpartition("/done")[0]
    desk.open(f"{served.url}{case}/report/customer").wait("Edge lifting")
    made = base64.b64decode(desk.command("Page.printToPDF", preferCSSPageSize=True)["data"])
    paper = " ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(made)).pages)

    assert "Edge lifting" in paper
    assert "For the customer" in paper
    assert "Print" not in paper
    assert only_case(tmp_path).circumstances["age_months"] == Quantity(6, 6)


def test_nothing_comes_from_outside(served: Served, phone: Phone) -> None:
    """Every file that a page loads is this server's; the policy refuses nothing of it."""
    phone.command("Log.enable")
    to_the_first_question(phone, served.url)
    case = phone.path.rpartition("/ask")[0]
    names = []
    for page in ("", "/photos", "/stands", "/report/file"):
        phone.open(f"{served.url}{case}{page}")
        names += phone.driver.execute_script(
            "return performance.getEntriesByType('resource').map(e => e.name)"
        )
    refused = [e for e in phone.driver.get_log("browser") if "Content Security" in e["message"]]

    assert len(names) > 4
    assert all(name.startswith((served.url, "data:", "blob:")) for name in names), names
    assert not refused, refused
