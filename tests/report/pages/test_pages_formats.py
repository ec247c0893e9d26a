"""The two formats: whole, tagged, in order, the same each time, and as they were looked at."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from page_samples import (
    CASES,
    COLUMNS,
    Page,
    difference,
    drawn_file,
    looks,
    pdf_text,
    reader,
    report_of,
    squeezed,
    tags,
)

from diagnose.reasoning.diagnose import Reasoner
from diagnose.report.content.data import Report
from diagnose.report.pages import Audience, Paper, Setting, render

POINTS = {Paper.A4: (595.3, 841.9), Paper.LETTER: (612.0, 792.0)}


@pytest.fixture(scope="module")
def door(reasoner: Reasoner) -> Report:
    """A plain case with one complaint."""
    return report_of(reasoner, "door_return_after_wash")


@pytest.fixture(scope="module")
def bus(reasoner: Reasoner) -> Report:
    """A case with three complaints and a measure."""
    return report_of(reasoner, "old_harbour_bus")


def test_html_needs_nothing_else(bus: Report) -> None:
    """No address outside the file, no script, no form; what is referred to is in it, once."""
    page = Page(render(bus, "html"))

    ids = [a["id"] for _, a in page.elements if "id" in a]
    assert len(ids) == len(set(ids))
    assert not {tag for tag, _ in page.elements} & {"script", "link", "iframe", "form", "object"}
    for _, attributes in page.elements:
        for name in ("src", "href", "xlink:href"):
            assert (attributes.get(name) or "#").startswith(("#", "data:image/jpeg"))
        for name in (attributes.get("aria-labelledby") or "").split():
            assert name in ids
    named = re.findall(rb"url\(#([^)]+)\)", render(bus, "html"))
    assert {n.decode() for n in named} <= set(ids)


@pytest.mark.parametrize("audience", Audience)
def test_headings_of_html_go_down_step_by_step(bus: Report, audience: Audience) -> None:
    """One heading of level 1, and none that skips a level."""
    page = Page(render(bus, "html", Setting(audience)))

    levels = [int(tag[1]) for tag, _ in page.elements if re.fullmatch("h[1-6]", tag)]
    assert levels.count(1) == 1
    assert all(later - before <= 1 for before, later in pairwise(levels))


def test_pictures_of_html_have_words(door: Report) -> None:
    """Each drawing carries its title and description; a bar, whose share stands beside, is mute."""
    page = Page(render(door, "html"))

    pictures = [a for tag, a in page.elements if tag == "svg"]
    drawings = [a for a in pictures if a.get("class") != "bar"]
    assert all(a.get("aria-hidden") == "true" for a in pictures if a.get("class") == "bar")
    assert len(drawings) == 2
    assert all(a.get("role") == "img" and a.get("aria-labelledby") for a in drawings)


@pytest.mark.parametrize("paper", Paper)
def test_a_pdf_is_tagged(bus: Report, paper: Paper) -> None:
    """Headings, lists, tables with heads, pictures with words; title, language, real text."""
    made = render(bus, "pdf", Setting(paper=paper))

    kinds = [kind for kind, _ in tags(made)]
    assert {"H1", "H2", "H3", "H4", "L", "LI", "Table", "TH", "TD", "Figure"} <= set(kinds)
    assert kinds.count("H1") == 1
    alternatives = [str(e.get("/Alt", "")) for kind, e in tags(made) if kind == "Figure"]
    assert alternatives
    assert all(len(words) > 20 for words in alternatives)
    root = reader(made).trailer["/Root"]
    assert root["/Lang"] == "en-GB"
    assert root["/MarkInfo"]["/Marked"]
    assert b"pdfuaid" in root["/Metadata"].get_data()
    assert reader(made).metadata.title == f"Wrap diagnosis, case {bus.case}"


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("audience", Audience)
def test_all_text_lies_on_the_paper(bus: Report, paper: Paper, audience: Audience) -> None:
    """Pages have the size asked for, none is empty, and no word stands outside the margins."""
    width, height = POINTS[paper]
    for page in reader(render(bus, "pdf", Setting(audience, paper))).pages:
        places: list[tuple[float, float]] = []

        def note(words: str, cm: list[float], tm: list[float], *_: object) -> None:
            if words.strip():
                places.append((cm[0] * tm[4] + cm[4], cm[3] * tm[5] + cm[5]))  # noqa: B023

        page.extract_text(visitor_text=note)
        box = page.mediabox
        assert (float(box.width), float(box.height)) == pytest.approx((width, height), abs=0.1)
        foot = 2
        assert len(places) > foot
        assert all(40 < x < width - 40 and 20 < y < height - 35 for x, y in places)


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize(
    "case", ["door_return_after_wash", "lance_on_arch_edge", "grained_mirror_foot"]
)
def test_the_customer_gets_one_page(reasoner: Reasoner, case: str, paper: Paper) -> None:
    """A single complaint with its pictures fits on one page of either paper."""
    report = report_of(reasoner, case)

    assert len(reader(render(report, "pdf", Setting(Audience.CUSTOMER, paper))).pages) == 1


def test_three_faults_with_a_drawing_of_each_take_two_pages(reasoner: Reasoner) -> None:
    """Each kind of fault is drawn once, and all of it stays handy."""
    report = report_of(reasoner, "rush_print_for_the_regatta")
    made = render(report, "pdf", Setting(Audience.CUSTOMER))

    assert len(report.complaints) == 3
    figures = [str(e.get("/Alt", "")) for kind, e in tags(made) if kind == "Figure"]
    assert len(figures) == 1 + len({c.symptom for c in report.complaints})
    assert len(reader(made).pages) == 2


def test_page_one_comes_first(reasoner: Reasoner) -> None:
    """In the file the customer's page stands first, the sheet for the bay last and by itself."""
    report = report_of(reasoner, "sign_van_laminate_ridge")
    pages = [page.extract_text() for page in reader(render(report, "pdf")).pages]

    assert "Please mind" in pages[0]
    assert "Evidence for it" not in pages[0]
    assert pages[-1].lstrip().startswith("Laying it again")


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_the_same_report_makes_the_same_bytes(door: Report, kind: str) -> None:
    """Nothing of clock, chance or machine gets into a file."""
    assert render(door, kind) == render(door, kind)


@pytest.mark.parametrize("case", CASES[::12])
def test_both_formats_say_the_same(reasoner: Reasoner, case: str) -> None:
    """Worked cases of all kinds make both; a PDF says what the page says, in its order."""
    report = report_of(reasoner, case)

    heads = re.findall(r"<h[234][^>]*>([^<]+)</h", render(report, "html").decode())
    text = squeezed(pdf_text(render(report, "pdf")))

    place = 0
    for head in heads:
        words = squeezed(head.replace("&#x27;", "'").replace("&amp;", "&"))
        place = text.find(words, place)
        assert place >= 0, head


@pytest.mark.parametrize("paper", Paper)
def test_pages_look_as_they_were_looked_at(paper: Paper) -> None:
    """A page of every kind of block, drawn coarsely, is the picture that a person has seen.

    After a wanted change: `PYTHONPATH=. python tests/report/pages/page_samples.py`, and look.
    """
    seen = drawn_file(paper).read_text(encoding="utf-8").splitlines()
    now = looks(paper)

    assert len(seen) == len(now)
    steps = [
        difference(one, other)
        for before, after in zip(seen, now, strict=True)
        for one, other in zip(before.ljust(COLUMNS), after.ljust(COLUMNS), strict=True)
    ]
    assert sum(step > 2 for step in steps) <= len(steps) // 200


def test_what_was_reckoned_stands_with_its_inputs(bus: Report) -> None:
    """A measure is shown with the answers that it was reckoned from."""
    page = Page(render(bus, "html"))

    measured = bus.complaints[0].measured
    assert measured
    for name, words in measured[0].inputs:
        assert squeezed(f"{name}: {words}") in squeezed(page.text)
    results = {m.name: m.words for c in bus.complaints for m in c.measured}
    assert results["Age against the stated life"] == "1.46 times"
