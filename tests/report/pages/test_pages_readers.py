"""Each reader gets what is theirs, and nothing else."""

from __future__ import annotations

import pytest
from page_samples import Page, pdf_text, report_of, squeezed

from diagnose.reasoning.diagnose import Reasoner
from diagnose.report.content import Report
from diagnose.report.pages import Audience, Setting, render

SEVERAL = ["old_harbour_bus", "livery_laminated_at_lunch", "glue_on_five_panels"]


def _text(report: Report, audience: Audience, kind: str) -> str:
    setting = Setting(audience, customer=(("Name", "A. Kestrel"), ("Plate", "PA 1207")))
    made = render(report, kind, setting)  # type: ignore[arg-type]
    return squeezed(Page(made).text if kind == "html" else pdf_text(made))


@pytest.fixture(scope="module")
def door(reasoner: Reasoner) -> Report:
    """A plain case: the shop that laid the film carries it."""
    return report_of(reasoner, "door_return_after_wash")


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_the_customer_reads_plain_words(door: Report, kind: str) -> None:
    """What, why, what will be done, cost, date, who pays, what to mind; no decibans."""
    text = _text(door, Audience.CUSTOMER, kind)

    for head in ("Whatwasfound", "Why", "Whatwillbedone", "Whatitcosts", "Whocarriesthecost"):
        assert head in text
    assert "Pleasemind" in text
    assert squeezed(door.complaints[0].plainly) in text
    assert "A.Kestrel" in text
    for foreign in ("dB", "Ruledout", "Evidencefor", "Madeupof", "bits"):
        assert foreign not in text


def test_the_customer_is_told_the_cautions_for_owners(door: Report) -> None:
    """Of the cautions only those that concern an owner are told, in the words for one."""
    text = _text(door, Audience.CUSTOMER, "html")

    told = {name for name, _ in door.complaints[0].for_owner}
    assert told
    for name, say in door.complaints[0].cautions:
        assert squeezed(say) not in text, name
    for _, words in door.complaints[0].for_owner:
        assert squeezed(words) in text


@pytest.mark.parametrize("kind", ["html", "pdf"])
@pytest.mark.parametrize("case", ["door_return_after_wash", *SEVERAL])
def test_the_maker_gets_no_prices_and_no_customer(reasoner: Reasoner, case: str, kind: str) -> None:
    """No money, no date of the shop, no remark, place or name, no other payer's weakness."""
    report = report_of(reasoner, case)
    facts = dict(report.facts)

    text = _text(report, Audience.MAKER, kind)

    assert report.plan is not None
    for foreign in (report.plan.currency, "Kestrel", "PA1207", "Shop", "Whatitcosts", "2026-11-30"):
        assert foreign not in text
    for name in ("remark", "place"):
        assert squeezed(facts.get(name, "no such words")) not in text
    for complaint in report.complaints:
        for payment in complaint.payments:
            for words in (*payment.missing, *payment.against, *payment.on_file):
                assert payment.payer == "film_maker" or squeezed(words) not in text
    assert "Evidenceforit" in text
    assert squeezed(facts["film"]) in text


def test_the_maker_reads_of_the_makers_own_side(reasoner: Reasoner) -> None:
    """Where the film is at fault the maker gets the demand with what is on file for it."""
    report = report_of(reasoner, "lines_on_every_piece")
    payments = [p for c in report.complaints for p in c.payments if p.payer == "film_maker"]

    text = _text(report, Audience.MAKER, "html")

    assert payments
    for words in payments[0].on_file:
        assert squeezed(words) in text


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_the_file_holds_everything(door: Report, kind: str) -> None:
    """Page one, evidence with decibans and sources, what was ruled out, plan, papers, versions."""
    text = _text(door, Audience.FILE, kind)

    complaint = door.complaints[0]
    for head in ("Whatwasfound", "Evidenceforit", "Ruledout", "Papersaskedfor", "Layingitagain"):
        assert head in text
    for reason in complaint.reasons_for:
        if reason.counted and reason.strength != "silent":
            assert squeezed(reason.because) in text
            assert f"{reason.decibans:+.1f}dB" in text
    for name, say in complaint.cautions:
        assert squeezed(name) in text
        assert squeezed(say) in text
    for version in door.versions:
        assert squeezed(" ".join(version)) in text


def test_without_a_plan_the_customer_is_told_that_cost_is_open(reasoner: Reasoner) -> None:
    """No plan, no figures: the page says that the shop names them."""
    report = report_of(reasoner, "door_return_after_wash", planned=False)

    text = _text(report, Audience.CUSTOMER, "html")

    assert "Notreckonedyet" in text
    assert "EUR" not in text


def test_example_figures_are_no_offer(door: Report) -> None:
    """Costs from the shipped example are marked as such on the customer's page."""
    assert "examplefigures" in _text(door, Audience.CUSTOMER, "pdf")


def test_what_is_said_once_is_not_said_again(reasoner: Reasoner) -> None:
    """Complaints of one cause point back to the first on the customer's page."""
    report = report_of(reasoner, "livery_laminated_at_lunch")

    text = _text(report, Audience.CUSTOMER, "html")

    assert "Asforcomplaint1." in text
    assert text.count(squeezed(report.complaints[0].plainly)) == 1
