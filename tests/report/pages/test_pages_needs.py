"""A page has what its reader needs, in the order in which the reader asks, and nothing twice."""

from __future__ import annotations

import re
from importlib.resources import files
from itertools import pairwise

import pytest
from page_samples import Page, pdf_pages, report_of, setting, squeezed

from diagnose.knowledge.base import Base
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.explanation.explain import NOTHING
from diagnose.report.content.data import Report
from diagnose.report.formats import pdf
from diagnose.report.formats.blocks import (
    Block,
    Document,
    Heading,
    Items,
    Pairs,
    Paper,
    Row,
    Table,
    Text,
    whole_percent,
)
from diagnose.report.pages import Audience, render
from diagnose.report.pages.compose import document
from diagnose.report.pages.photos import Lost


def makers(report: Report) -> tuple[Block, ...]:
    """What the film's maker reads."""
    return document(report, setting(Audience.MAKER, photos=(Lost("A corner", 1),))).blocks


def titles(blocks: tuple[Block, ...], level: int) -> list[str]:
    """The headings of a level, in their order."""
    return [b.words for b in blocks if isinstance(b, Heading) and b.level == level]


def test_the_makers_file_goes_as_a_laboratory_asks(reasoner: Reasoner) -> None:
    """Lot, place, readings with method, photos, conclusion with its doubt, repair, demand."""
    blocks = makers(report_of(reasoner, "glue_on_five_panels"))

    assert titles(blocks, 2) == [
        "Film and lot",
        "What is complained of",
        "Readings, with their method",
        "Photos",
        "What is concluded, and how sure it is",
        "What is done at the car",
        "What is asked of the maker",
    ]
    facts = next(b for b in blocks if isinstance(b, Pairs))
    assert facts.pairs[:3] == (
        ("Film", "film W"),
        ("Lot", "L-7713"),
        ("Laid on", "Mon 10 Feb 2025"),
    )


def test_every_answer_stands_in_it_with_tool_and_method(reasoner: Reasoner, base: Base) -> None:
    """What was found, with what, how, and what misleads; a method is told once."""
    report = report_of(reasoner, "glue_on_five_panels")
    blocks = makers(report)
    readings = [b for b in blocks if isinstance(b, Table) and "Read with" in b.head]
    rows = [row for table in readings for row in table.rows]
    papers = [pair for b in blocks if isinstance(b, Pairs) for pair in b.pairs]

    for c in report.complaints:
        assert {tuple(said) for said in c.answers} <= {row[:2] for row in rows}
    for name, words in report.circumstances:
        assert (name, words) in papers or (name, words) in {row[:2] for row in rows}
    coat = base.checks["lab_coat_weight"]
    assert readings[1].caption == "From a laboratory"
    assert readings[1].rows[0][2:] == (coat.tool, coat.how)
    methods = [row[3] for row in rows if not row[3].startswith("As for complaint")]
    assert len(methods) == len(set(methods))
    assert len(methods) < len(rows)


def test_what_no_laboratory_measured_is_said(reasoner: Reasoner) -> None:
    """The doubt stands before the conclusion: judged weights, answers that could not be told."""
    with_lab = Page(render(report_of(reasoner, "glue_on_five_panels"), "html", _MAKER)).text
    without = Page(render(report_of(reasoner, "tailgate_milky_patch"), "html", _MAKER)).text

    assert "judged and not measured" in with_lab
    assert "No laboratory has measured" not in with_lab
    assert "No laboratory has measured" in without
    assert re.search(r"1 of \d+ answers could not be told", without)


_MAKER = setting(Audience.MAKER)


def test_the_maker_gets_no_work_at_the_car(reasoner: Reasoner) -> None:
    """Steps in a line each; how to warm, clean and lay, and what to beware of, is the shop's."""
    report = report_of(reasoner, "cup_bridged_first")
    text = squeezed(Page(render(report, "html", _MAKER)).text)

    for c in report.complaints:
        assert squeezed(c.correction[0].name) in text
        for words in c.correction[0].steps:
            assert squeezed(words) not in text
    assert "Beforeanywork" not in text
    assert "Layingitagain" not in text


def test_two_kinds_of_fault_are_drawn_beside_each_other(reasoner: Reasoner) -> None:
    """No page of the maker's begins with a heading and a hole: drawings are small."""
    blocks = makers(report_of(reasoner, "cup_bridged_first"))

    (row,) = [b for b in blocks if isinstance(b, Row)]
    assert len(row.figures) == 2


def test_no_sheet_for_laying_under_a_repair(reasoner: Reasoner) -> None:
    """A strip that is trimmed or patched first is not laid anew, in lines neither."""
    report = report_of(reasoner, "bored_at_the_bus_stop")

    assert report.plan is not None
    assert report.plan.complaints[0].steps[0].id == "trim_back_edge"
    assert report.plan.sheet == ()
    for kind in ("html", "text"):
        assert "laying it again" not in render(report, kind).decode().lower()


def test_laying_again_begins_with_what_the_cause_makes_matter(reasoner: Reasoner) -> None:
    """Pulled too far: seams, pulling along and heating come first, each by its number."""
    report = report_of(reasoner, "cup_bridged_first")
    assert report.plan is not None
    matters, rest = report.plan.sheet_by_weight

    blocks = document(report, setting(Audience.FILE)).blocks
    start = titles(blocks, 3).index("What matters most here")
    lists = [b for b in blocks if isinstance(b, Items)][-2:]

    assert titles(blocks, 3)[start + 1] == "All other steps, in the order of the work"
    assert [i.lead for i in lists[0].items] == [f"{n}. {says}" for n, says, _, _ in matters]
    assert all("It keeps away: " in i.words for i in lists[0].items)
    assert [i.mark for i in lists[1].items] == [f"{n}." for n, *_ in rest]
    assert sorted(n for n, *_ in (*matters, *rest)) == list(range(1, len(report.plan.sheet) + 1))


@pytest.mark.parametrize("case", ["glue_on_five_panels", "cup_bridged_first", "old_harbour_bus"])
def test_no_page_of_the_file_is_nearly_empty(reasoner: Reasoner, case: str) -> None:
    """Parts follow each other; only the sheet for the bay and the last page may be short."""
    content = render(report_of(reasoner, case), "pdf", setting(Audience.FILE))
    pages = pdf_pages(content)

    full = [len(squeezed(page)) for page in pages]
    short = [n for n, (size, after) in enumerate(pairwise(full)) if size < 900 and after > 900]
    laid = [n for n, page in enumerate(pages) if "Laying it again" in page]
    assert [n for n in short if n + 1 not in laid] == []


def test_no_page_holds_a_few_lines_alone() -> None:
    """Where the last lines would stand on a page of their own, all of it is set a little closer."""
    source = files("diagnose.report.formats").joinpath("pages.typ").read_bytes()
    closer = 0
    for lines in range(46, 64):
        words = tuple(Text(f"Line {n} of a page that is read.") for n in range(lines))
        given = pdf._data(
            Document("Title", "For the file", "2026-03-05T14:00:00", "Foot", words), Paper.A4
        )
        chosen = pdf._set(source, given, own_fonts=True)
        if chosen["close"]:
            closer += 1
            assert pdf._lone_ends(source, given, own_fonts=True) == 1
            assert pdf._lone_ends(source, chosen, own_fonts=True) == 0
    assert 1 < closer < 9


def test_what_nobody_gave_a_reason_for_says_how_often_it_is_met(reasoner: Reasoner) -> None:
    """No sign is an empty line or a bare number, and what hardly weighs stands in one line."""
    report = report_of(reasoner, "rush_print_for_the_regatta")

    found = [r for c in report.complaints for r in (*c.reasons_for, *c.reasons_against)]
    silent = [r for r in found if r.silent]
    assert len(silent) > 10
    assert all(
        re.match(r"(About|Fewer|More|This|Not seen|It is met)\b.+\.$", r.because) for r in silent
    )
    text = squeezed(" ".join(pdf_pages(render(report, "pdf", setting(Audience.MAKER)))))
    assert squeezed("Of little weight (") in text
    assert "silent" not in text
    assert squeezed("Thickness as a part of unstretched film 0.97") in text


def test_papers_that_serve_several_complaints_are_listed_once(reasoner: Reasoner) -> None:
    """Three complaints with one payer: in the file too the papers stand with the first."""
    report = report_of(reasoner, "glue_on_five_panels")
    blocks = document(report, setting(Audience.FILE)).blocks

    papers = [b for b in blocks if isinstance(b, Table) and b.caption == "Papers asked for"]
    pointed = [b.words for b in blocks if isinstance(b, Text) and b.words.startswith("As for")]
    assert len(papers) == 1
    assert pointed == ["As for complaint 1.", "As for complaint 1."]
    assert titles(blocks, 3).count("Who carries the cost") == 3


def test_what_is_done_once_is_told_once(reasoner: Reasoner) -> None:
    """Three complaints that one new print mends: its steps, film and hours stand with the first."""
    report = report_of(reasoner, "rush_print_for_the_regatta")
    file, maker = (Page(render(report, "html", setting(a))).text for a in (_FILE, Audience.MAKER))
    step = report.complaints[0].correction[0].steps[0]

    assert file.count(step) == 1
    assert file.count("As for complaint 1, with which it is done and paid. Ends the matter") == 2
    assert maker.count("The plan: the order of steps") == 1
    assert re.search(r"Work \(\d{3} h at 60 an hour\)", file)


@pytest.mark.parametrize("case", ["chalky_roof_two_years", "bumper_inlay_opens"])
def test_what_weighs_nothing_is_no_evidence(reasoner: Reasoner, case: str) -> None:
    """What reads +0.0 dB stands neither for nor against, with a reason or without one."""
    report = report_of(reasoner, case)
    reasons = [r for c in report.complaints for r in (*c.reasons_for, *c.reasons_against)]
    page = Page(render(report, "html", setting(_FILE))).text

    assert any(r.counted and abs(r.decibans) < NOTHING for r in reasons)
    assert not re.search(r"[+−-]0\.0 dB", page)


_FILE = Audience.FILE


@pytest.mark.parametrize("case", ["tailgate_milky_patch", "cup_bridged_first", "old_harbour_bus"])
def test_a_step_has_one_figure_of_success(reasoner: Reasoner, case: str) -> None:
    """Plan, correction and the reason for a first step say the same chance to hold, each reader."""
    report = report_of(reasoner, case)
    assert report.plan is not None

    for c in report.complaints:
        plan = report.plan.of(c.number)
        assert plan is not None
        steps = {step.id: step for step in c.correction}
        planned = [s for s in plan.steps if s.id in steps]
        assert planned
        assert [s.holds for s in planned] == [steps[s.id].holds for s in planned]
        for step in planned:
            said = f"Ends the matter in {whole_percent(step.holds)} of such cases."
            row = re.compile(rf"\. {re.escape(step.name)}.*{whole_percent(step.holds)}")
            for audience in (Audience.FILE, Audience.MAKER):
                tables = [
                    " ".join(row)
                    for b in document(report, setting(audience)).blocks
                    if isinstance(b, Table) and b.head[0] == "Step"
                    for row in b.rows
                ]
                assert any(row.search(words) for words in tables), step.name
            assert squeezed(said) in squeezed(
                Page(render(report, "html", setting(Audience.FILE))).text
            )
