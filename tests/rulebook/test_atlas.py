"""The book: one file, nothing from outside, every link answered, all text escaped."""

from __future__ import annotations

import base64
import hashlib
import html
import re
from collections import Counter
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from diagnose.knowledge.base import Base
from diagnose.report.drawings import CHECK_SCENES, SYMPTOM_SCENES
from diagnose.rulebook.pages.atlas import Lesson, _script, atlas
from diagnose.rulebook.pages.atlas_words import STRONGEST
from tests.rulebook.frame import framed

pytestmark = pytest.mark.xdist_group("atlas")

VOID = {"meta", "br", "hr", "img", "link", "input"}


class _Reader(HTMLParser):
    """Collects tags, ids, links and text, and sees that every tag is closed."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.seen: Counter[str] = Counter()
        self.attributes: list[tuple[str, str, str]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag and what it carries."""
        self.seen[tag] += 1
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """Close the tag that is open."""
        assert self.open.pop() == tag

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag that closes itself."""
        self.seen[tag] += 1
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        """Note text."""
        self.text.append(data)


def _read(html: str) -> _Reader:
    reader = _Reader()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    return reader


@pytest.fixture(scope="module")
def book(base: Base) -> str:
    """The book of the shipped base."""
    return atlas(base, {"pulled_to_edge": [Lesson("A door", "Pull along, not across.")]})


def test_every_link_leads_somewhere_and_no_id_stands_twice(book: str) -> None:
    """A reader who follows any name comes to its page."""
    reader = _read(book)
    ids = Counter(value for _, name, value in reader.attributes if name == "id")
    links = {value for _, name, value in reader.attributes if name == "href"}

    assert max(ids.values()) == 1
    assert {link for link in links if not link.startswith("#")} == set()
    assert {link[1:] for link in links} <= set(ids)


def test_nothing_comes_from_outside(book: str, base: Base) -> None:
    """No image, style or font is fetched; an address of a source is text and no link.

    The one script stands in the book, and the book lets no other run.
    """
    reader = _read(book)
    sources = {source.address for source in base.sources.values()}

    assert reader.seen["script"] == 1
    digest = base64.b64encode(hashlib.sha256(_script().encode()).digest()).decode()
    assert f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'" in book
    assert "fetch" not in _script()
    assert not {"img", "link", "iframe", "object", "embed", "image"} & set(reader.seen)
    assert not [a for a in reader.attributes if a[1] == "src" or a[1].startswith("on")]
    assert "@import" not in book
    assert {u for u in re.findall(r"url\(([^)]*)\)", book) if not u.startswith("#")} == set()
    told = set(re.findall(r"https?://[^\"\s<]+", book)) - {"http://www.w3.org/2000/svg"}
    assert {html.unescape(address) for address in told} <= sources
    assert not [a for a in reader.attributes if a[2].startswith("http") and a[1] != "xmlns"]


def test_every_entry_and_drawing_is_in_it(book: str, base: Base) -> None:
    """All symptoms and causes have their page, and each drawing stands beside its entry."""
    reader = _read(book)
    ids = {value for _, name, value in reader.attributes if name == "id"}

    assert {f"e-{s}" for s in (*base.symptoms, *base.causes, *base.checks)} <= ids
    drawn = [n for n in (*SYMPTOM_SCENES, *CHECK_SCENES) if n in base.symptoms or n in base.checks]
    assert reader.seen["svg"] == len(drawn)


def test_the_headings_go_down_by_steps(book: str) -> None:
    """No heading skips a level, so that a screen reader finds its way; there is one h1."""
    levels = [int(x) for x in re.findall(r"<h([1-6])[ >]", book)]

    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_it_has_only_black_white_and_grey(book: str) -> None:
    """What it says survives a black-and-white printer."""
    colours = {
        c.lower() for c in re.findall(r"#[0-9a-fA-F]{3}(?:[0-9a-fA-F]{3})?\b(?=[;\s])", book)
    }

    assert colours <= {"#000", "#fff", "#999"}


def test_lessons_stand_with_their_cause(book: str) -> None:
    """What a worked case taught is read where its cause is explained."""
    page = book[book.index('<article id="e-pulled_to_edge"') :]

    assert "Pull along, not across." in page[: page.index("</article>")]


def entry(book: str, name: str) -> str:
    """The page of an entry as it stands in the book."""
    page = book[book.index(f'<article id="e-{name}"') :]
    return page[: page.index("</article>")]


def unfolded(page: str) -> str:
    """What is read of an entry before its numbers are asked for."""
    shown = re.sub(r"<tr class=\"n\">.*?</tr>", "", page, flags=re.DOTALL)
    shown = re.sub(r'<(td|th|span|div)[^>]* class="n">.*?</\1>', "", shown, flags=re.DOTALL)
    shown = re.sub(r"<details class='more'>.*?</details>|<svg.*?</svg>", "", shown, flags=re.DOTALL)
    return re.sub(r"<[^>]+>", " ", shown)


def test_everything_is_folded(book: str) -> None:
    """Parts, groups and entries unfold one by one: none stands open, each says what is in it."""
    reader = _read(book)

    assert reader.seen["details"] == reader.seen["summary"] > 3 * 48
    assert not [a for a in reader.attributes if a[0] == "details" and a[1] == "open"]
    assert len(re.findall(r"<details><summary><h4>", book)) == reader.seen["article"]


def test_words_come_first_and_numbers_unfold(book: str, base: Base) -> None:
    """No decibans, shares, ids, files or sources in what is read first; all of it is there."""
    for name in ("edge_lifting", "pulled_to_edge", "thumb_relay", "replace_piece"):
        page = entry(book, name)
        first = unfolded(page)
        assert not re.search(r"\d ?dB|\d%|% hold|\.yaml", first), name
        assert not re.search(rf"\b{name}\b", first)
        assert f"<code>{name}</code>" in page
        assert "common-practice" not in first
    assert " dB)" in entry(book, "pulled_to_edge")
    assert base.causes["pulled_to_edge"].mechanism in html.unescape(
        unfolded(entry(book, "pulled_to_edge"))
    )
    signs = entry(book, "pulled_to_edge").split("What speaks for it")[1].split("</table>")[0]
    assert signs.count("<tr>") == 1 + STRONGEST < signs.count("<tr")


def test_a_symptom_prints_with_its_likeliest_causes_and_first_checks(book: str) -> None:
    """The button of each symptom names entries of the book, in their order and not all of them."""
    ids = {value for _, name, value in _read(book).attributes if name == "id"}
    buttons = re.findall(r'class="print" data-with="([^"]+)"', book)

    assert len(buttons) == len(re.findall('data-kind="symptom"', book))
    for named in buttons:
        assert 2 <= len(named.split()) <= 12
        assert set(named.split()) <= ids


def test_an_entry_is_found_by_what_else_it_is_called(book: str, base: Base) -> None:
    """The words that customers use for a symptom stand where the search reads them."""
    called = ", ".join(base.symptoms["edge_lifting"].also_called)

    assert called
    assert f'data-also="{html.escape(called)}"' in entry(book, "edge_lifting")


def test_what_looks_like_markup_stays_text() -> None:
    """Angle brackets, quotes and control characters of a rule file are shown, not obeyed."""
    evil = "<script>alert('x')</script> & \\\"quoted\\\" \\e[31m"
    example = f'causes:\n  - {{id: pulled, name: "{evil}", plainly: "{evil}"}}\n'
    base = framed(example)

    html = atlas(base, {"pulled": [Lesson("<b>t</b>", "<i>l</i>")]})

    reader = _read(html)
    assert reader.seen["script"] == 1
    assert "b" not in reader.seen
    assert "<script>alert('x')</script> & \"quoted\" [31m" in "".join(reader.text)
    assert "\x1b" not in html


def test_the_same_base_gives_the_same_book() -> None:
    """Nothing of the clock or of chance is in it."""
    assert atlas(framed()) == atlas(framed())
