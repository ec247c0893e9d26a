"""What a report says where no cause can be named: the next check, or that nothing listed fits."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from page_samples import MADE, START, Page, pdf_text, setting, squeezed

from diagnose.knowledge.logic.answers import Unknown, write
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.records.case.casefile import read_case
from diagnose.report.content.data import Report
from diagnose.report.content.whole import whole
from diagnose.report.pages import Audience, render
from diagnose.report.plan_command import plain_terms
from tests.lines import text
from tests.reasoning.contrary import contrary


def _report(reasoner: Reasoner, complaint: AnsweredComplaint) -> Report:
    """The report of a case with this complaint alone."""
    told = {n: write(a) for n, a in complaint.answers.items() if not isinstance(a, Unknown)}
    scopes = {name: reasoner.base.checks[name].scope for name in told}
    filled = {
        "case": "made_up",
        "circumstances": {n: a for n, a in told.items() if scopes[n] == "vehicle"},
        "complaints": [
            {
                "symptom": complaint.symptom,
                "panel": "bonnet",
                "answers": {n: a for n, a in told.items() if scopes[n] != "vehicle"},
            }
        ],
    }
    found, problems = read_case("made_up.yaml", json.dumps(filled), reasoner.base)
    assert found is not None, problems
    return whole(reasoner, found.case, MADE, "0.1.0", plain_terms(reasoner.base, START))


def _words(report: Report, audience: Audience, kind: str) -> str:
    """All words of the pages for a reader, without spaces."""
    content = render(report, kind, setting(audience))
    return squeezed(Page(content).text if kind == "html" else pdf_text(content))


@pytest.fixture(scope="module")
def odd(reasoner: Reasoner) -> Report:
    """A stain whose every answer contradicts what stains."""
    return _report(reasoner, contrary(reasoner, "staining").complaint)


def test_what_fits_nothing_is_told_in_lines(odd: Report) -> None:
    """No repair, no price, no payer: the answers that fit least, and what to do."""
    said = squeezed(text(odd))
    misfit = odd.complaints[0].misfit

    assert misfit is not None
    assert odd.plan is None
    assert odd.complaints[0].correction == ()
    assert "repairnothingyet." in said
    assert "Cost:undetermined" in said
    for stray in misfit.strays:
        assert squeezed(f"{stray.name}: {stray.words}") in said
    for way in misfit.ways:
        assert squeezed(way) in said


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_what_fits_nothing_is_told_on_pages(odd: Report, kind: str) -> None:
    """The file says all of it; the customer is told that the cause is looked for first."""
    misfit = odd.complaints[0].misfit
    assert misfit is not None

    full = _words(odd, Audience.FILE, kind)
    short = _words(odd, Audience.CUSTOMER, kind)

    for way in misfit.ways:
        assert squeezed(way) in full
    assert "firstthecauseislookedfor" in short
    assert "EUR" not in short


def test_what_fits_nothing_stands_in_json(odd: Report) -> None:
    """The file's JSON holds it; the customer's does not."""
    full = json.loads(render(odd, "json", setting(Audience.FILE)))["complaints"][0]["misfit"]
    assert full["strays"]
    assert full["ways"]

    assert (
        json.loads(render(odd, "json", setting(Audience.CUSTOMER)))["complaints"][0]["misfit"]
        is None
    )


def test_where_nothing_is_settled_the_next_check_is_named(reasoner: Reasoner) -> None:
    """Before a cause can be named, in short says what to check and no repair."""
    open_ones = (reasoner.diagnose(AnsweredComplaint(s, {})) for s in reasoner.base.symptoms)
    found = next(
        d for d in open_ones if d.choice.questions and d.differential.standings[0].probability < 0.4
    )
    report = _report(reasoner, found.complaint)

    check = report.complaints[0].not_checked[0]
    line = f"Now: the next check, {check.name} ({check.minutes:g} min), before any repair."
    assert squeezed(line) in squeezed(text(report))
    without = squeezed(text(replace(report, plan=None)))
    assert "Cost:undetermined,nocausestandsout." in without
