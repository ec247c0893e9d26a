"""The page that a customer takes home: what was recorded, a sum that adds up, who wrote it."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from page_samples import MADE, ROOT, Page, pdf_pages, report_of, setting, squeezed

from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.casefile import read_case
from diagnose.report.content.data import Report
from diagnose.report.content.plan_data import VISIT
from diagnose.report.content.whole import whole
from diagnose.report.formats.blocks import Figure, Pairs, Row, Table
from diagnose.report.pages import Audience, figures, render
from diagnose.report.pages.compose import document
from diagnose.report.plan_command import plain_terms
from diagnose.rounding import in_whole
from tests.outside.fetch import ALL_JUDGES


def text_of(report: Report) -> str:
    """All that a customer reads, without spaces."""
    return squeezed(Page(render(report, "html", setting(Audience.CUSTOMER))).text)


def begun(reasoner: Reasoner, case: str, start: datetime, own: bool = False) -> Report:
    """The report of a case whose work may begin at a moment, with a shop's own figures or not."""
    path = ROOT / "cases" / f"{case}.yaml"
    found, problems = read_case(path.name, path.read_text(encoding="utf-8"), reasoner.base)
    assert found is not None, problems
    terms = plain_terms(reasoner.base, start)
    if own:
        terms = replace(terms, shop=terms.shop.model_copy(update={"example": False}))
    return whole(reasoner, found.case, MADE, "0.1.0", terms)


@pytest.mark.parametrize(
    ("case", "mended_at_once"),
    [
        ("glue_on_five_panels", ""),
        ("cup_bridged_first", "1 and 2. Replace the piece"),
        ("rush_print_for_the_regatta", "1, 2 and 3. Print the piece anew and replace it"),
        ("bus_side_summer_ridge", ""),
    ],
)
def test_a_customer_can_add_up_what_it_costs(
    reasoner: Reasoner, case: str, mended_at_once: str
) -> None:
    """Every line counts for its cost as often as it is needed, and the last line is their sum.

    Of several complaints a visit that serves all of them, and looking further, stand there once.
    """
    report = report_of(reasoner, case)
    assert report.plan is not None

    tables = [b for b in document(report, setting(Audience.CUSTOMER)).blocks if type(b) is Table]

    (table,) = tables
    *lines, total = table.rows
    assert sum(int(line[-1]) for line in lines) == int(total[-1]) == round(report.plan.expected)
    assert sum("ooking further" in line[0] for line in lines) == 1
    visits = any(name == VISIT for c in report.plan.complaints for name, *_ in c.arithmetic)
    several = len(report.complaints) > 1
    assert sum("Another visit" in line[0] for line in lines) == (visits and several)
    assert not mended_at_once or mended_at_once in [line[0] for line in lines]
    for name, often, cost, counts in lines:
        share = 1.0 if often == "every case" else float(often.split()[0]) / 100
        assert abs(share * int(cost) - int(counts)) <= 0.0006 * int(cost) + 1.5, name
        assert share < 1 or cost == counts, "what is always needed counts for just what it costs"


def test_whole_numbers_keep_the_sum() -> None:
    """Thirds of a hundred are 34, 33 and 33, and never 99 in all."""
    assert in_whole([100 / 3] * 3) == [34, 33, 33]
    assert in_whole([0.4, 0.4, 0.4]) == [1, 0, 0]
    assert in_whole([]) == []
    assert in_whole([0.4, 0.4], 2) == [1, 1]


def test_what_was_found_is_what_was_recorded(reasoner: Reasoner) -> None:
    """Not what such a fault looks like in general, which the record may contradict."""
    report = report_of(reasoner, "clear_wing_grey_in_the_first_week")
    complaint = report.complaints[0]

    text = text_of(report)

    assert squeezed(complaint.look) not in text
    heaviest = max(complaint.reasons_for, key=lambda reason: reason.decibans)
    here = {said.name for said in complaint.answers}
    told = [str(seen) for seen in heaviest.seen if seen.name in here]
    assert all(squeezed(words) in text for words in told)


def test_no_file_name_stands_above_the_page(reasoner: Reasoner) -> None:
    """The title says what it is about; which case it is stands small at the foot."""
    page = document(report_of(reasoner, "door_return_after_wash"), setting(Audience.CUSTOMER))

    assert page.title == "Edge lifting: front door, left"
    assert "door_return_after_wash" in page.foot


def test_the_head_names_vehicle_days_and_shop(reasoner: Reasoner) -> None:
    """A shop with figures of its own signs with name, address and contact; an example does not."""
    start = datetime(2026, 11, 30, 8, 0)
    own = text_of(begun(reasoner, "door_return_after_wash", start, own=True))
    example = text_of(begun(reasoner, "door_return_after_wash", start))

    assert squeezed("Example shop, 3 Quay Lane, Port Alder") in own
    assert "QuayLane" not in example
    for words in ("Panel van", "Film laid on Tue 17 Feb 2026", "Looked at on Tue 24 Mar 2026"):
        assert squeezed(words) in own
    assert "Customer:____" in own


def test_work_begins_in_opening_hours(reasoner: Reasoner) -> None:
    """Asked for on a Sunday afternoon, the work begins on Monday when the shop opens."""
    sunday = datetime(2026, 11, 29, 17, 0)
    report = begun(reasoner, "cup_bridged_first", sunday)

    assert report.plan is not None
    firsts = [c.steps[0].time.begun for c in report.plan.complaints if c.steps]
    assert firsts
    assert min(firsts) == "2026-11-30 08:00"


def test_a_step_that_mostly_fails_says_why_it_is_first(reasoner: Reasoner) -> None:
    """Nobody is sold a step that fails more often than not without the reason."""
    report = report_of(reasoner, "door_return_after_wash")
    plan = report.plan
    assert plan is not None
    its = plan.complaints[0]
    doubtful = replace(its, steps=(replace(its.steps[0], holds=0.39), *its.steps[1:]))

    said = text_of(replace(report, plan=replace(plan, complaints=(doubtful,))))

    assert squeezed("It holds in about 39 of 100 such cases only, and is tried first since") in said
    assert "triedfirstsince" not in text_of(report)


def test_each_fault_is_drawn_and_who_pays_agrees(reasoner: Reasoner) -> None:
    """Complaints mended together are drawn each, and one of them carries the cost of both."""
    report = report_of(reasoner, "cup_bridged_first")

    page = document(report, setting(Audience.CUSTOMER))

    drawn = [block for block in page.blocks if isinstance(block, Figure)]
    assert len(drawn) == 1 + len(report.complaints)
    assert squeezed("Whoever carries complaint 1, with which it is mended") in text_of(report)


def test_a_bus_is_a_bus(reasoner: Reasoner) -> None:
    """It is reckoned as a bus and drawn as one, and the drawing calls a place as the page does."""
    report = report_of(reasoner, "old_harbour_bus")

    page = document(report, setting(Audience.CUSTOMER))

    assert report.plan is not None
    assert report.plan.vehicle == "bus or coach"
    car = next(block for block in page.blocks if isinstance(block, Figure))
    assert "Bus with the marked places" in car.svg
    assert "1 side of the body, right" in car.svg
    assert squeezed("It mends complaints 2 and 3 too") in text_of(report)
    second = [b.pairs for b in page.blocks if isinstance(b, Pairs)][1]
    assert [name for name, _ in second] == [
        "What was found",
        "Why",
        "What will be done",
        "Cost and date",
        "Who carries the cost",
    ]
    assert dict(second)["Why"].startswith("As for complaint 1.")
    assert "van" not in text_of(report).lower()


@pytest.mark.parametrize(
    ("vehicle", "titled", "caption"),
    [
        ("pick-up", "Pick-up with", "Where on the pick-up."),
        ("cabriolet", "Saloon with", "Where on the car, drawn with the outline of a saloon."),
        ("hatchback", "Estate with", "Where on the car, drawn with the outline of an estate."),
    ],
)
def test_a_borrowed_outline_is_told(
    reasoner: Reasoner, vehicle: str, titled: str, caption: str
) -> None:
    """A body without an outline of its own: the page says whose it is drawn with."""
    report = report_of(reasoner, "torch_in_a_hurry")
    facts = tuple(f._replace(words=vehicle) if f.name == "vehicle" else f for f in report.facts)

    car = figures.car(replace(report, facts=facts))

    assert car is not None
    assert titled in car.svg
    assert car.caption == caption


def test_a_healthy_job_costs_the_owner_nothing(reasoner: Reasoner) -> None:
    """Where nobody carries a cost, the cost of looking again is told as the shop's own."""
    text = text_of(report_of(reasoner, "new_job_grey_and_bubbles"))

    assert text.count(squeezed("of the shop's own time")) == 2
    assert squeezed("of the shop's own time") not in text_of(
        report_of(reasoner, "glue_on_five_panels")
    )


def test_a_trailer_is_a_trailer(reasoner: Reasoner) -> None:
    """It has an outline of its own, and what is marked on it is where the record says."""
    page = document(report_of(reasoner, "trailer_side_blisters"), setting(Audience.CUSTOMER))

    (row,) = (block for block in page.blocks if isinstance(block, Row))
    car = row.figures[0]
    assert "Trailer with the marked places" in car.svg
    assert "1 side of the body, left" in car.svg
    assert car.caption == "Where on the trailer."


def test_a_place_that_a_body_lacks_is_marked_on_what_is_there(reasoner: Reasoner) -> None:
    """A lorry has no sliding door: the mark falls on its side; a trailer has no door at all."""
    report = report_of(reasoner, "trailer_side_blisters")
    (complaint,) = report.complaints

    def marked(vehicle: str, panel: str) -> str:
        facts = tuple(f._replace(words=vehicle) if f.name == "vehicle" else f for f in report.facts)
        its = (replace(complaint, panel=panel),)
        drawn = figures.car(replace(report, facts=facts, complaints=its))
        return drawn.svg if drawn else ""

    assert "car-lorry-1-side_left" in marked("lorry", "Sliding door, left")
    assert "car-van-1-rear_door_left" in marked("panel van", "Sliding door, left")
    assert "car-trailer-1-boot_lid" in marked("box trailer", "Rear door of the van, right")
    assert marked("box trailer", "Front door, left") == ""


def test_what_an_answer_says_itself_is_not_said_before_it(reasoner: Reasoner) -> None:
    """'Smell of solvent: smells of solvent' reads as what it is: it smells of solvent."""
    text = text_of(report_of(reasoner, "rush_print_for_the_regatta"))

    assert squeezed("Smells of solvent. ") in text
    assert squeezed("Smell of solvent") not in text
    assert squeezed("How it went on: it grows.") in text


def test_the_line_to_sign_is_one_with_the_list_above_it(reasoner: Reasoner) -> None:
    """Without a browser too: both stand in one part of the page, which is not to be broken."""
    report = report_of(reasoner, "tailgate_milky_patch")
    page = render(report, "html", setting(Audience.CUSTOMER)).decode("utf-8")
    end = page[page.index('<div class="end">') :]

    assert re.search(r"\.end \{[^}]*break-inside: avoid", page)
    assert "Rules that come first." in end
    assert "Read and talked over. Date:" in end


@pytest.mark.skipif(
    shutil.which("chromium") is None and not ALL_JUDGES, reason="no browser on this machine"
)
def test_the_line_to_sign_is_never_alone_on_a_printed_page(
    reasoner: Reasoner, tmp_path: Path
) -> None:
    """Printed from a browser on A4, what is signed stands on the page of the signature."""
    page = tmp_path / "page.html"
    page.write_bytes(
        render(report_of(reasoner, "tailgate_milky_patch"), "html", setting(Audience.CUSTOMER))
    )
    quiet = ("--headless=new", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer")
    told = (f"--user-data-dir={tmp_path / 'of'}", f"--print-to-pdf={tmp_path / 'page.pdf'}")
    subprocess.run(["chromium", *quiet, *told, page.as_uri()], check=True, capture_output=True)
    *_, last = pdf_pages((tmp_path / "page.pdf").read_bytes())

    assert squeezed("Read and talked over. Date:") in squeezed(last)
    assert squeezed("Rules that come first. Follow your local rules") in squeezed(last)
