"""Each reader gets what is theirs, and nothing else."""

from __future__ import annotations

import argparse
import json

import pytest
from page_samples import Page, pdf_text, report_of, setting, squeezed, strings

from diagnose.reasoning.diagnose import Reasoner
from diagnose.report.content.data import Report
from diagnose.report.pages import Audience, render
from diagnose.report.pages.command import made

SEVERAL = ["old_harbour_bus", "livery_laminated_at_lunch", "glue_on_five_panels"]


KINDS = ["html", "pdf", "text", "markdown"]
CUSTOMER = (("Name", "A. Kestrel"), ("Plate", "PA 1207"))


def _text(report: Report, audience: Audience, kind: str) -> str:
    made = render(report, kind, setting(audience, customer=CUSTOMER))
    match kind:
        case "html":
            return squeezed(Page(made).text)
        case "pdf":
            return squeezed(pdf_text(made))
    return squeezed(made.decode().replace("\\", ""))


@pytest.fixture(scope="module")
def door(reasoner: Reasoner) -> Report:
    """A plain case: the shop that laid the film carries it."""
    return report_of(reasoner, "door_return_after_wash")


@pytest.mark.parametrize("kind", KINDS)
def test_the_customer_reads_plain_words(door: Report, kind: str) -> None:
    """What, why, what will be done, cost, date, who pays, what to mind; no decibans."""
    text = _text(door, Audience.CUSTOMER, kind)

    for head in ("Whatwasfound", "Why", "Whatwillbedone", "Whatitcosts", "Whocarriesthecost"):
        assert head in text
    assert "pleasemind" in text.lower()
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


@pytest.mark.parametrize("kind", KINDS)
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
    for head in ("Whatwasfound", "Evidenceforit", "Papersaskedfor", "Beforeanywork"):
        assert head in text
    assert ("Ruledout" in text) is bool(complaint.ruled_out)
    for reason in complaint.reasons_for:
        if reason.counted and not reason.silent:
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

    assert "Asforcomplaint1" in text
    assert text.count(squeezed(report.complaints[0].plainly)) == 1


@pytest.mark.parametrize("case", ["door_return_after_wash", *SEVERAL])
def test_json_holds_no_words_that_the_readers_pages_do_not_say(
    reasoner: Reasoner, case: str
) -> None:
    """Programs get no more than eyes: each sentence of the customer's JSON stands on the page."""
    report = report_of(reasoner, case)
    page = _text(report, Audience.CUSTOMER, "html")

    cut = json.loads(render(report, "json", setting(Audience.CUSTOMER)))

    sentences = [s for s in strings(cut) if s.count(" ") > 4 and s.endswith(".")]
    assert sentences
    said_of_steps = {
        s.look_again for c in report.complaints for s in c.correction
    }  # days stand on the page in their place
    for words in sentences:
        assert squeezed(words) in page or words in said_of_steps, words


def test_json_for_the_maker_has_no_money_and_no_customer(door: Report) -> None:
    """It says whom it was cut for; prices, remark and place are gone, the evidence is there."""
    cut = json.loads(render(door, "json", setting(Audience.MAKER)))
    whole = json.loads(render(door, "json", setting(Audience.FILE)))

    assert (cut["for"], whole["for"]) == ("maker", "file")
    assert whole["plan"]["expected"] > 0
    assert cut["plan"]["expected"] == 0
    assert {name for name, _ in whole["facts"]} - {name for name, _ in cut["facts"]} == {
        "remark",
        "place",
    }
    assert cut["complaints"][0]["reasons_for"] == whole["complaints"][0]["reasons_for"]


@pytest.mark.parametrize("kind", ["text", "markdown"])
def test_lines_are_cut_for_their_reader_on_the_command_line(
    door: Report, reasoner: Reasoner, kind: str
) -> None:
    """The customer's lines are the customer's page; those for the file hold the whole report."""
    lines = {
        audience: made(
            kind,
            argparse.Namespace(audience=audience, paper="a4", units="us"),
            door,
            reasoner.base,
            (),
            CUSTOMER,
        ).decode()
        for audience in ("customer", "maker", "file")
    }

    assert "dB" not in lines["customer"]
    assert "A. Kestrel" in lines["customer"]
    assert "EUR" not in lines["maker"]
    assert "dB" in lines["maker"]
    assert "Made up of" in lines["file"]
    assert "180 mm (7.1 in)" in lines["file"]
