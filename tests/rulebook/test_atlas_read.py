"""The book in a browser: found by words, unfolded by a touch, read on a phone, printed in part."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from pathlib import Path

import pytest

pypdf = pytest.importorskip("pypdf")

from io import BytesIO

from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import WebDriverWait

from diagnose.knowledge.base import Base
from diagnose.rulebook.pages.atlas import atlas
from tests.serve.browser import PATIENCE, Phone

pytestmark = pytest.mark.xdist_group("atlas")

SIDEWAYS = "return document.documentElement.scrollWidth - document.documentElement.clientWidth"
LETTERS = """
return [...document.querySelectorAll('h1, .finder *, nav *, #e-edge_lifting *')]
  .filter(e => !e.closest('svg') && e.checkVisibility() && [...e.childNodes].some(
          n => n.nodeType === 3 && n.textContent.trim()))
  .map(e => parseFloat(getComputedStyle(e).fontSize))
"""
LOW = """
return [...document.querySelectorAll('summary, button, .parts a, #found a, input[type=search]')]
  .filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 40).length
"""
OPEN = "return document.querySelector('#e-edge_lifting details').open"
DRAWN = "return document.querySelector('#e-edge_lifting svg').getBoundingClientRect().width / 328"


@pytest.fixture(scope="module")
def phone(base: Base, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Phone]:
    """The book of the shipped base, opened on a phone."""
    folder: Path = tmp_path_factory.mktemp("atlas")
    book = folder / "atlas.html"
    book.write_text(atlas(base), encoding="utf-8")
    opened = Phone(folder / "profile").open(book.as_uri())
    yield opened
    opened.driver.quit()


def until(phone: Phone, script: str) -> None:
    """Wait for what a script says; the words of the whole book take too long to read."""
    WebDriverWait(phone.driver, PATIENCE).until(lambda driver: driver.execute_script(script))


def test_it_opens_short_and_no_wider_than_a_phone(phone: Phone) -> None:
    """A few screens with the search, the parts and nothing to push aside."""
    tall = phone.driver.execute_script("return document.documentElement.scrollHeight")

    assert tall < 3 * 844
    assert phone.driver.execute_script(SIDEWAYS) == 0
    assert phone.driver.execute_script(LOW) == 0
    assert not phone.driver.get_log("browser")


def test_words_lead_to_an_entry(phone: Phone) -> None:
    """What a customer calls it finds the symptom first; a touch unfolds it and all around it."""
    field = phone.driver.find_element(By.ID, "search")
    field.send_keys("edges coming up")
    hits = phone.driver.find_elements(By.CSS_SELECTOR, "#found li")

    assert hits[0].text.split() == ["Edge", "lifting", "symptom"]
    hits[0].find_element(By.TAG_NAME, "a").click()
    until(phone, OPEN)

    assert field.get_attribute("value") == ""
    assert phone.driver.execute_script(SIDEWAYS) == 0
    assert min(phone.driver.execute_script(LETTERS)) >= 12.5
    assert phone.driver.execute_script(DRAWN) > 0.95


def test_numbers_come_with_a_touch(phone: Phone) -> None:
    """Shares and sources of an entry are seen once they are asked for, and at no other entry."""
    phone.driver.execute_script("location.hash = '#e-edge_lifting'")
    until(phone, OPEN)
    shown = (
        "return [...document.querySelectorAll('#e-edge_lifting .n')]"
        ".filter(e => e.checkVisibility()).length"
    )

    assert phone.driver.execute_script(shown) == 0
    phone.driver.execute_script("document.querySelector('#e-edge_lifting .more').open = true")
    assert phone.driver.execute_script(shown) > 20
    phone.driver.execute_script("document.querySelector('#e-edge_lifting .more').open = false")


def test_one_symptom_is_printed_with_what_belongs_to_it(phone: Phone) -> None:
    """Its drawing and words, its likeliest causes and first checks; then the book is whole."""
    listed = "return [...document.querySelectorAll('article')].map((each) => each.id)"
    entries = phone.driver.execute_script(listed)
    phone.driver.execute_script("window.print = () => {}")
    phone.driver.execute_script("document.querySelector('#e-edge_lifting .print').click()")
    made = phone.command("Page.printToPDF")
    sheets = [page.extract_text() for page in pypdf.PdfReader(_bytes(made["data"])).pages]
    words = " ".join(" ".join(sheets).split())

    assert 3 <= len(sheets) <= 20
    assert "A length of edge stands" in words
    assert "Returns, gaps and edges not cleaned" in words
    assert "What to look at" in words
    assert "Wheel acid" not in words
    assert " dB" not in words
    assert phone.driver.execute_script("return document.body.className") == ""
    assert phone.driver.execute_script(listed) == entries


def _bytes(coded: str) -> BytesIO:
    return BytesIO(base64.b64decode(coded))
