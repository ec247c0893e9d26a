"""Sheets as shops keep them: headers cut short, notes that tell all, words without their vowels."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import polars as pl
import pytest

from diagnose.claims.job import Job
from diagnose.claims.mapping.mapping import Mapped
from diagnose.claims.mapping.propose import propose
from diagnose.claims.mapping.recognise import Recogniser
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.mapping.shortened import shortened
from diagnose.claims.run import run
from diagnose.claims.table import source
from diagnose.claims.table.source import ROW, Piece
from diagnose.knowledge.base import Base
from diagnose.knowledge.panels import PANELS
from tests.claims.tables import example_policy, write_csv

TODAY = date(2026, 11, 30)


def facts(base: Base, cells: dict[str, list[str]]) -> dict[str, str]:
    """What each column is proposed for."""
    return {c.column: c.fact for c in propose(base, pl.DataFrame(cells)).mapping.columns}


@pytest.mark.parametrize(
    ("short", "label", "is_short"),
    [
        ("cust", "customer", True),
        ("pnl", "panel", True),
        ("notd", "noticed", True),
        ("h/o", "handed over", True),
        ("PH", "post heat", True),
        ("amt", "amount", True),
        ("cs", "comments", False),
        ("lad", "ladder", True),
        ("pane", "panel", True),
        ("rem", "roof", False),
        ("customer", "customer", False),
    ],
)
def test_a_header_cut_short(short: str, label: str, is_short: bool) -> None:
    """Initials, a beginning, or consonants; a whole word is none, nor is a small part of a long."""
    assert bool(shortened(short, label)) == is_short


def test_a_sheet_in_short_forms_is_mapped(base: Base) -> None:
    """Each column of a shop that writes no vowels."""
    found = facts(
        base,
        {
            "cust": ["Brn", "Tvl"], "pnl": ["RF", "FB"], "flt": ["crk", "lft"],
            "laid": ["03.10.23", "19.05.22"], "h/o": ["05.10.23", "21.05.22"],
            "notd": ["30.01.24", "10.02.24"], "PH": ["y", "n"], "wvr": ["n", "y"],
            "amt": ["180,00", "640,00"], "rem": ["undr cln", "lbl kpt"],
        },
    )  # fmt: skip

    assert found == {
        "cust": "customer", "pnl": "panel", "flt": "symptom", "laid": "laid_on",
        "h/o": "handed_on", "notd": "seen_on", "PH": "post_heat_record", "wvr": "risk_waiver",
        "amt": "claimed", "rem": "found",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("word", "panel"),
    [("RF", "roof"), ("BN", "bonnet"), ("FB", "front_bumper"), ("LFD", "front_door_left"),
     ("RFD", "front_door_right"), ("BL", "boot_lid"), ("MIR", ""), ("ZZ", "")],
)  # fmt: skip
def test_a_panel_in_a_few_letters(base: Base, word: str, panel: str) -> None:
    """What could be either side, or nothing, is left open."""
    frame = pl.DataFrame({"Panel": ["windscreen", word]})
    column = propose(base, frame).mapping.of("panel")

    assert column is not None
    assert column.values.get(word, "") == panel


def test_days_under_headers_that_say_nothing_are_told_by_their_order(base: Base) -> None:
    """The last day of each row is that of the claim; of two alike columns none is."""
    handed = ["05/10/2023", "21/05/2022", "03/08/2021"]
    late = ["12/02/2024", "15/02/2024", "16/02/2024"]

    assert facts(base, {"Handed over": handed, "D2": late}).get("D2") == "claimed_on"
    assert "D2" not in facts(base, {"Handed over": handed, "D2": handed})


def test_what_the_customer_says_is_the_complaint_and_what_the_shop_writes_is_found(
    base: Base,
) -> None:
    """A free column of the shop is what it saw, unless another one is that."""
    said = ["edge came up after two weeks", "it went yellow in one summer"]
    wrote = ["wax on the glue all along it", "even yellow over the whole bonnet"]

    assert facts(base, {"Client says": said, "Remarks": wrote}) == {
        "Client says": "symptom",
        "Remarks": "found",
    }
    assert facts(base, {"We found": wrote, "Remarks": said})["Remarks"] == "remark"


def test_whose_work_it_was_is_told_by_the_cells(base: Base) -> None:
    """'Laid by' holds the names of fitters, or 'us' and 'own workshop'."""
    assert facts(base, {"Laid by": ["Bess", "Tom"]})["Laid by"] == "installer"
    assert facts(base, {"Laid by": ["us", "own workshop"]})["Laid by"] == "laid_by"

    remarks = Remarks(base)
    meant = [remarks.meant("laid_by", "Laid by", its) for its in ("us", "own workshop", "Tom")]
    assert meant == ["this_shop", "owner", ""]


@pytest.mark.parametrize(
    ("cell", "symptom"),
    [
        ("lft hndl recs", "recess_pop_out"),
        ("crk, mud pattn", "cracking"),
        ("edg lft", "edge_lifting"),
        ("pnt off w/ flm", "paint_lifting"),
        ("bub", "air_bubbles"),
        ("seam opn", "seam_opening"),
        ("number is wrong", "print_flaws"),
        ("tun", "tunnelling"),
        ("our lad rang the fitter", ""),
    ],
)
def test_complaints_without_their_vowels(base: Base, cell: str, symptom: str) -> None:
    """The consonants of a word that the rules speak of are that word."""
    assert Remarks(base).meant("symptom", "Fault", cell) == symptom


@pytest.mark.parametrize(
    ("header", "cell", "fact", "answer"),
    [
        ("PH", "y", "post_heat_record", "logged_at_or_above"),
        ("PH", "n", "post_heat_record", "not_done"),
        ("wvr", "y", "risk_waiver", "signed"),
        ("wvr", "n", "risk_waiver", "none"),
        ("Care sheet", "y", "care_sheet", "handed_over"),
        ("pnt", "OE", "paint_history", "factory"),
    ],
)
def test_short_cells_under_short_headers(
    base: Base, header: str, cell: str, fact: str, answer: str
) -> None:
    """A yes or a no is said of what the header stands for."""
    assert Remarks(base).meant(fact, header, cell) == answer


def read(base: Base, rows: list[dict[str, str]]) -> tuple[Mapped, Recogniser, Piece]:
    """A small table with its proposed mapping, ready to be read."""
    frame = pl.DataFrame(rows).with_row_index(ROW, offset=2)
    mapping = propose(base, frame).mapping
    return mapping, Recogniser(base, mapping, TODAY), Piece(0, frame)


def test_days_in_notes_count_where_no_column_tells_them(base: Base) -> None:
    """Without a year it is the latest before the claim; a day that cannot be tells nothing."""
    notes = (
        "The edge is lifting, handed over 11 November 2023, she saw it on 20 February.",
        "Handed over on 31 June 2023 according to the invoice, edge lifting.",
    )
    its = [{"Told us on": "4 March 2024", "Notes": note} for note in notes]
    _, recogniser, piece = read(base, its)
    days = recogniser.read(piece)[0].days

    assert [str(d) for d in days.handed.first] == ["2023-11-11", "NaT"]
    assert [str(d) for d in days.seen.first] == ["2024-02-20", "NaT"]


def test_a_place_in_notes_is_the_place(base: Base) -> None:
    """The term hangs on it, and a roof lies flat."""
    rows = [{"Notes": "the roof is cracking all over"}, {"Notes": "cracking, both front doors"}]
    _, recogniser, piece = read(base, rows)
    claims = recogniser.read(piece)[0]

    assert [list(PANELS)[code] for code in claims.panel] == ["roof", "front_door_left"]
    lies = list(base.checks["orientation"].answers)
    assert [lies[code] for code in claims.columns.choices["orientation"]] == [
        "horizontal",
        "vertical",
    ]


def test_a_sentence_that_is_no_answer_of_its_column_is_read(base: Base, tmp_path: Path) -> None:
    """What stands under 'Signed off' beside the question; who bought it stands with the name."""
    rows = [
        {"Client says": "edges lift", "We found": "glue is tacky", "Signed off": "-",
         "Client": "Tolvey"},
        {"Client says": "edges lift", "We found": "glue is tacky",
         "Signed off": "ceramic coating laid on it by a detailer", "Client": "Stage Hire (bought from Tolvey)"},
    ]  # fmt: skip
    mapping, recogniser, piece = read(base, rows)
    claims = recogniser.read(piece)[0]

    assert mapping.of("risk_waiver") is not None
    assert claims.second_owner.tolist() == [False, True]
    named = {its.statement for at, its in claims.outside if 1 in at}
    assert any("detailer" in its for its in named)
    table = source.table(write_csv(tmp_path / "in.csv", rows))
    run(Job(table, tmp_path / "out.parquet", base, mapping, example_policy(base), "0", today=TODAY))
    assert pl.read_parquet(tmp_path / "out.parquet").height == 2


def test_an_answer_that_names_another_place_is_none_of_this_one(base: Base) -> None:
    """The waiver is for the front bumper: the rear one has none, and the front one has."""
    rows = [{"pnl": panel, "flt": "lft", "wvr": "y FB recs lft"} for panel in ("FB", "RB")]
    _, recogniser, piece = read(base, rows)
    codes = recogniser.read(piece)[0].columns.choices["risk_waiver"]

    signed = list(base.checks["risk_waiver"].answers).index("signed")
    assert codes.tolist() == [signed, -1]
