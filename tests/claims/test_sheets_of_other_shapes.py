"""Sheets of other shapes: one column of entries, codes with a key, the shop's own words, capitals."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import polars as pl
import pytest

from diagnose.claims.job import Job
from diagnose.claims.mapping.codes import explains, legend
from diagnose.claims.mapping.mapping import Mapped
from diagnose.claims.mapping.propose import propose
from diagnose.claims.mapping.recognise import Recogniser
from diagnose.claims.run import run
from diagnose.claims.table import source
from diagnose.claims.table.source import ROW, Piece
from diagnose.knowledge.base import Base
from tests.outside.claims.verdicts import TODAY, read_policy

SHEETS = Path(__file__).parents[1] / "data" / "shop_sheets"
NAMES = ("ledger", "codes", "jargon", "caps")
LEAST, MOST_WRONG = 29, 2


def mapped(base: Base, name: str, folder: Path) -> tuple[source.ClaimsTable, Mapped]:
    """A sheet, and the mapping that is proposed for it."""
    path = folder / f"{name}.csv"
    path.write_bytes((SHEETS / f"{name}.txt").read_bytes())
    table = source.table(path)
    return table, propose(base, next(table.pieces()).frame).mapping


@pytest.mark.parametrize(
    ("name", "facts"),
    [
        ("ledger", {"#": "claim", "Entry": "found"}),
        (
            "codes",
            {"Jb": "claim", "Cl": "customer", "Dt in": "claimed_on", "Dt out": "handed_on",
             "F": "symptom", "Ps": "panel", "Wsh": "wash_method", "Amt": "claimed"},
        ),
        (
            "jargon",
            {"Tkt": "claim", "Punter": "customer", "Went out": "handed_on", "Back in": "claimed_on",
             "Grumble": "symptom", "What we make of it": "found", "Bath": "wash_method",
             "Bill £": "claimed"},
        ),
        (
            "caps",
            {"CASE ID": "claim", "DOL": "laid_on", "DOH": "handed_on", "DOC": "claimed_on",
             "REG": "vehicle", "CUSTOMER SAYS": "symptom", "TECH REPORT": "found",
             "PANELS AFFECTED": "panel", "FITTER": "installer", "AMT (GBP INC)": "claimed"},
        ),
    ],
)  # fmt: skip
def test_columns_are_what_stands_in_them(
    base: Base, tmp_path: Path, name: str, facts: dict[str, str]
) -> None:
    """Whatever their headers say."""
    _, mapping = mapped(base, name, tmp_path)

    told = {c.column: c.fact for c in mapping.columns}
    assert facts.items() <= told.items()


def decided(base: Base, name: str, folder: Path) -> Iterator[tuple[str, str]]:
    """What is decided of each claim of a sheet, and what a clerk would."""
    table, mapping = mapped(base, name, folder)
    output = folder / f"{name}.parquet"
    run(Job(table, output, base, mapping, read_policy(base), "0", today=TODAY))
    number = mapping.of("claim")
    assert number is not None
    found = {
        str(row[number.column]).removesuffix(".0"): row["decision"]
        for row in pl.read_parquet(output).cast({pl.Categorical: pl.String}).rows(named=True)
    }
    for line in (SHEETS / f"{name}.verdicts").read_text(encoding="utf-8").splitlines():
        claim, verdict = line.split(" ", 1)
        yield found.get(claim, "set aside"), verdict


@pytest.mark.filterwarnings("ignore")
def test_most_claims_are_decided_as_they_should(base: Base, tmp_path: Path) -> None:
    """None is set aside, and hardly one is decided the other way."""
    every = [pair for name in NAMES for pair in decided(base, name, tmp_path)]
    others = {"decline", "not our work", "no fault found"}
    wrong = [p for p in every if ("accept" in p) and others & {*p}]

    assert sum(its == verdict for its, verdict in every) >= LEAST
    assert len(wrong) <= MOST_WRONG
    assert not [p for p in every if p[0] == "set aside"]


def test_short_words_are_explained_by_the_sheet() -> None:
    """In a row that begins with 'key' and those below it, in a cell, in a header."""
    frame = pl.DataFrame(
        {ROW: [2, 3, 4, 5], "F (SC scratch)": ["L", "B", "Key", None],
         "Note": ["x", "y; z", "L lifting edge; B = bubbles", "KN knife cut"],
         "Other": ["", "", "T torn", "G grit"]}
    )  # fmt: skip

    assert legend(frame) == {
        "sc": "scratch", "b": "bubbles", "l": "lifting edge", "t": "torn",
        "kn": "knife cut", "g": "grit",
    }  # fmt: skip
    assert explains(["L = lifting edge; B = bubbles"])
    assert not explains(["7001", "edge lifting", "bay dusty"])


def read_days(base: Base, rows: list[dict[str, str]]) -> list[list[str]]:
    """First days of laying, handover, sight and claim, as a proposal reads a small table."""
    frame = pl.DataFrame(rows).with_row_index(ROW, offset=2)
    mapping = propose(base, frame).mapping
    days = Recogniser(base, mapping, date(2026, 11, 30)).read(Piece(0, frame))[0].days
    return [
        [str(d) for d in its.first] for its in (days.laid, days.handed, days.seen, days.claimed)
    ]


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        ("20250114", "2025-01-14"), ("2025/01/14", "2025-01-14"), ("Tue 14/1/25", "2025-01-14"),
        ("14th Jan 2025", "2025-01-14"), ("W3/25", "2025-01-13"), ("Sept 2024", "2024-09-01"),
        ("2025-01-14 to 01-20", "2025-01-14"),
    ],
)  # fmt: skip
def test_days_in_any_form(base: Base, cell: str, day: str) -> None:
    """A week, a month, a stretch of days, with the name of the day or without."""
    row = {"Fitted": cell, "Reported": "12/03/2025", "Notes": "edge lifting, glue full of dust"}

    assert read_days(base, [row])[0] == [day]


@pytest.mark.parametrize(
    ("note", "handed", "claimed"),
    [
        ("Edge lifting. Job 4/23, came 13/5/24.", "2023-04-01", "2024-05-13"),
        ("edge up, done nov 22, told us 6/24", "2022-11-01", "2024-06-01"),
        ("14 May 2025. Edge lifting. Out the door 4 Feb 2025.", "2025-02-04", "2025-05-14"),
        ("Clear film, 5/5/22. Edge lifting, came 3/5/24", "2022-05-05", "2024-05-03"),
    ],
)
def test_days_in_a_diary(base: Base, note: str, handed: str, claimed: str) -> None:
    """Month and year, and days beside which no word stands."""
    other = {"who": "Ms Ull", "what": "edge up, done 23/1/24, came 29/1/24"}
    laid, out, _, claim = read_days(base, [{"who": "Mr Ott", "what": note}, other])

    assert handed in (laid[0], out[0])
    assert claim[0] == claimed
