"""What a person typed is shown as typed, whatever it looks like to a machine."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from page_samples import SAMPLE, Page, pdf_text, report_of, squeezed

from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.explanation.said import Said
from diagnose.report.formats import html, pdf
from diagnose.report.formats.blocks import Document, Item, Items, Pairs, Table, Text
from diagnose.report.pages import Paper, Setting, Units, render
from diagnose.typed import clean
from tests.examples import examples

MARKUP = [
    "<script>alert(1)</script>",
    "</style></main><img src=x onerror=alert(1)>",
    "&lt;b&gt; &amp; \" ' `",
    '#set page(fill: black) #panic("x") #image("/etc/hosts")',
    "$x^2$ and $ unclosed",
    "*bold* _italic_ `code` ``` block",
    "@ref <label> = Heading",
    "= Heading == Two",
    "- list + enum / term: it",
    "\\ back \\u{41} \\# slash",
    "// gone? /* gone? */ https://a.example/b?c=d&e",
    "~ -- --- ... (c) 'quotes' \"quotes\"",
    "[content] {code} #(1 + 1)",
    "=1+1 @SUM(A1) +cmd|' /C calc'!A0",
]


def _typed(words: str) -> Document:
    """A page on which a person typed every word that can be typed."""
    return replace(
        SAMPLE,
        title=f"Case {words}",
        foot=words,
        blocks=(
            Text(words),
            Text(words, "mind"),
            Items((Item(words, words, (words,)),)),
            Pairs(words, ((words, words),), typed=True),
            Table(words, (words, words), ((words, words),)),
        ),
    )


@pytest.mark.parametrize("words", MARKUP)
def test_markup_stays_text_in_html(words: str) -> None:
    """A page on which markup was typed has the elements of a page with plain words."""
    plain = [tag for tag, _ in Page(html.render(_typed("plain"), Paper.A4)).elements]

    page = Page(html.render(_typed(words), Paper.A4))

    assert plain == [tag for tag, _ in page.elements]
    assert squeezed(page.text).count(squeezed(words)) >= 8
    assert page.open == []


@pytest.mark.parametrize("words", MARKUP)
def test_markup_stays_text_in_a_pdf(words: str) -> None:
    """The text of a PDF holds what was typed, letter by letter."""
    assert squeezed(words) in squeezed(pdf_text(pdf.render(_typed(words), Paper.A4)))


@given(st.text(max_size=60))
@settings(max_examples=examples(40))
def test_any_text_can_be_typed_for_html(words: str) -> None:
    """No text breaks out of a page, and none that can be shown is lost."""
    page = Page(html.render(_typed(words), Paper.A4))

    assert page.open == []
    assert squeezed(clean(words)) in squeezed(page.text)


@given(st.text(st.characters(codec="latin-1"), max_size=60))
@settings(max_examples=examples(25))
def test_any_western_text_makes_a_pdf(words: str) -> None:
    """Letters of western languages with all signs make a PDF."""
    assert pdf.render(_typed(words), Paper.A4).startswith(b"%PDF-")


def test_a_letter_that_no_font_has_costs_no_report() -> None:
    """A sign beyond every font shows as a box; the report is made all the same."""
    made = pdf.render(_typed("a \U000e0f00 b \U0001f9ff"), Paper.A4)

    assert made.startswith(b"%PDF-")


def test_control_characters_vanish() -> None:
    """Characters that command a device or turn the reading direction do not get onto a page."""
    words = "a\x1b[31mred\u202etxt.exe\x00b"

    page = Page(html.render(_typed(words), Paper.A4))

    assert "a[31mredtxt.exeb" in page.text


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_facts_of_a_case_are_shown_as_typed(reasoner: Reasoner, kind: str) -> None:
    """A remark with markup and with '6 mm' in it stays as it is, with US units too."""
    remark = "Owner *said* <b>6 mm</b> #1, $5 @ 7 °C"
    report = report_of(reasoner, "door_return_after_wash")
    report = replace(report, facts=(Said("remark", remark),))

    made = render(report, kind, Setting(units=Units.US))

    text = Page(made).text if kind == "html" else pdf_text(made)
    assert squeezed(remark) in squeezed(text)
