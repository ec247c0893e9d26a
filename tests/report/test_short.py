"""The report in short: one screen for whoever reads no further, everything else one key away."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from diagnose.cli import main
from diagnose.knowledge.base import Base
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.casefile import read_case
from diagnose.report.content.data import Report
from diagnose.report.content.whole import whole
from diagnose.report.formats.plain import words
from diagnose.report.lines.case import document
from diagnose.report.lines.short import short
from diagnose.report.plan_command import example_terms
from diagnose.report.style import Style

NOW = datetime(2026, 11, 30, 8)
ROWS, COLUMNS = 21, 76
"""What a screen of 24 rows and 80 columns leaves for text."""

LONG = (
    "van_groove_too_deep",
    "tank_lid_print_springs_up",
    "tailgate_milky_patch",
    "old_fleet_roof_end",
)


@pytest.fixture(scope="module")
def reports(base: Base, reasoner: Reasoner) -> Sequence[Report]:
    """The worked cases that take most words, with their plans."""
    made = []
    for name in LONG:
        path = Path("cases") / f"{name}.yaml"
        found, problems = read_case(path.name, path.read_text(), base)
        assert found is not None, problems
        made.append(whole(reasoner, found.case, NOW, "0", example_terms(base, NOW)))
    return made


def lines(report: Report, width: int = COLUMNS) -> list[str]:
    """The report in short as lines."""
    return words(short(report, "r: more"), Style(False, width), titled=False).splitlines()


def test_a_complaint_in_short_fits_on_one_screen(reports: Sequence[Report]) -> None:
    """Complaint, cause, what to do now, what not, who pays, what to beware of."""
    single = [report for report in reports if len(report.complaints) == 1]

    assert len(single) == 3
    for report in single:
        said = lines(report)
        complaint = report.complaints[0]
        assert len(said) <= ROWS, report.case
        assert " ".join(said).startswith(f"{complaint.symptom}, {complaint.panel}: ")
        for begin in ("- Now: ", "- Cost: "):
            assert [line for line in said if line.startswith(begin)], begin


def test_three_cautions_at_most_and_the_road_first(reports: Sequence[Report]) -> None:
    """What flaps is a danger as it stands; then what the first step calls for."""
    for report in reports:
        said = [line for line in lines(report, 0) if line.startswith("! ")]
        cautions = [line for line in said if not line.startswith("! Do not: ")]
        assert 0 < len(cautions) <= 3
        now = next((name for c in report.complaints for name in c.as_it_is), "")
        assert cautions[0].startswith(f"! {now}")
    loose = lines(reports[1], 0)
    assert [line for line in loose if "Trim or tape it now" in line]


def test_two_complaints_of_one_cause_say_so(reports: Sequence[Report]) -> None:
    """One sentence, beside what each complaint says by itself."""
    (both,) = (report for report in reports if len(report.complaints) == 2)
    cause = both.complaints[0].cause
    other = replace(both.complaints[1], cause="Something else")

    assert f"One cause for both: {cause}." in lines(both, 0)
    apart = replace(both, complaints=(both.complaints[0], other))
    assert not [line for line in lines(apart, 0) if line.startswith("One cause for")]


def test_no_chance_is_printed_as_sure_or_as_none(reports: Sequence[Report]) -> None:
    """Neither 100 % nor 0.0 % stands anywhere in a report."""
    for report in reports:
        told = words(document(report), Style(False, 0))
        assert re.search(r"\d %|\d%", told)
        assert not re.findall(r"(?<![\d.])(?:100|0\.0) ?%", told), report.case


def test_a_case_is_told_in_short_and_whole_on_demand(capsys: pytest.CaptureFixture[str]) -> None:
    """Who names a format, a reader or a supposition gets all of it, as with --full."""
    file = "cases/van_groove_too_deep.yaml"

    assert main(["case", file]) == 0
    told = capsys.readouterr().out
    assert main(["case", file, "--full"]) == 0
    full = capsys.readouterr().out
    assert main(["case", file, "--format", "text"]) == 0

    assert capsys.readouterr().out.splitlines()[4:] == full.splitlines()[4:]
    assert len(told.splitlines()) < 30 < 200 < len(full.splitlines())
    assert f"diagnose case {file} --full" in told
