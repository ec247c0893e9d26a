"""Amounts, lengths and days as clerks of two continents type them."""

from __future__ import annotations

from datetime import date

import polars as pl
import pytest

from diagnose.claims.mapping.mapping import Column, Mapped
from diagnose.claims.mapping.reading import Claims
from diagnose.claims.mapping.recognise import Recogniser
from diagnose.claims.table.numbers import pointed
from diagnose.claims.table.source import Piece, RowAside
from diagnose.knowledge.base import Base


def read(base: Base, column: Column, cell: str) -> tuple[Claims, tuple[RowAside, ...]]:
    """One row with a symptom and this cell."""
    frame = pl.DataFrame({"row": [1], column.column: [cell], "s": ["fading"]})
    return Recogniser(base, Mapped((column, Column("s", "symptom")))).read(Piece(0, frame))


@pytest.mark.parametrize(
    ("text", "unsaid", "comma", "point"),
    [
        ("1.430,50", "1430.50", "1430.50", "1430.50"),
        ("1,430.50", "1430.50", "1430.50", "1430.50"),
        ("1 430,50", "1430.50", "1430.50", "1430.50"),
        ("1.250.000", "1250000", "1250000", "1250000"),
        ("1,250", "1,250", "1.250", "1250"),
        ("1.250", "1.250", "1250", "1.250"),
        ("0,125", "0.125", "0.125", "0.125"),
        ("20,5 °C", "20.5 °C", "20.5 °C", "20.5 °C"),
        ("1,5..2,5", "1.5..2.5", "1.5..2.5", "1.5..2.5"),
        ('3/4"', '0.75"', '0.75"', '0.75"'),
        ("1 1/2 in", "1.5 in", "1.5 in", "1.5 in"),
        ("1/0", "1/0", "1/0", "1/0"),
        ("5 n/25mm", "5 n/25mm", "5 n/25mm", "5 n/25mm"),
        ("1,2,3", "1,2,3", "1,2,3", "1,2,3"),
        ("18..22", "18..22", "18..22", "18..22"),
    ],
)
def test_only_what_can_be_read_in_one_way_is_read(
    text: str, unsaid: str, comma: str, point: str
) -> None:
    """Without a word of the mapping, and with 'decimal: comma' or 'point' in it."""
    assert [pointed(text, said) for said in ("", "comma", "point")] == [unsaid, comma, point]


@pytest.mark.parametrize(
    ("cell", "unit", "decimal", "amount"),
    [
        ("1.100,00", "", "", 1100),
        ("1,100.00", "", "", 1100),
        ("€ 1.100", "€", "comma", 1100),
        ("430,50 EUR", "EUR", "", 430.5),
        ("1.250", "", "comma", 1250),
        ("1.250", "", "point", 1.25),
        ("12.1254", "", "", 12.1254),
        ("$ 30", "", "", 30),
        ("250 ex VAT", "", "", 250),
        ("approx £90", "", "", 90),
        ("unknown", "", "", None),
        ("tbc", "", "", None),
        ("-", "", "", None),
        ("", "", "", None),
    ],
)
def test_amounts(base: Base, cell: str, unit: str, decimal: str, amount: float | None) -> None:
    """Thousands marks, decimal commas, a currency; an amount not known is not nought."""
    column = Column("c", "claimed", unit=unit, decimal=decimal)
    claims, aside = read(base, column, cell)
    found = float(claims.claimed[0])

    assert aside == ()
    assert (None if found != found else found) == amount


@pytest.mark.parametrize(
    ("cell", "says"),
    [
        ("1.250", "can be read in two ways: say 'decimal: comma' or 'point'"),
        ("1,250", "can be read in two ways"),
        ("many", "is no amount"),
        ("-50", "lies outside 0 to 1,000,000,000"),
    ],
)
def test_an_amount_that_is_not_sure_is_no_amount_and_told(base: Base, cell: str, says: str) -> None:
    """A thousand times too much is not paid on a guess; the claim is decided all the same."""
    claims, aside = read(base, Column("c", "claimed"), cell)

    assert aside == ()
    assert says in claims.notes[0]
    assert claims.claimed[0] != claims.claimed[0]


@pytest.mark.parametrize("cell", ["approx 19 °C", "19C", "19 C / 45%", "about 19"])
def test_a_temperature_as_it_is_jotted_down(base: Base, cell: str) -> None:
    """A word that says it is not exact, and what stands behind a stroke, do not hide the number."""
    claims, aside = read(base, Column("t", "install_panel_temp_c", unit="C"), cell)

    assert (aside, claims.notes) == ((), {})
    assert claims.columns.numbers["install_panel_temp_c"][0][0] == pytest.approx(19)


@pytest.mark.parametrize(("cell", "mm"), [("1/2", 12.7), ('3/4"', 19.05), ("0,5", 12.7)])
def test_inches_in_a_column_of_inches(base: Base, cell: str, mm: float) -> None:
    """Fractions, a sign, and a decimal comma."""
    claims, aside = read(base, Column("d", "lift_depth_mm", unit="in"), cell)

    assert aside == ()
    assert claims.columns.numbers["lift_depth_mm"][0][0] == pytest.approx(mm)


@pytest.mark.parametrize(
    "cell",
    ["14.03.2025", "14.03.25", "3/14/2025", "2025-03-14", "2025-03-14 13:45", "14.03.2025 1:45 PM"],
)
def test_days_of_a_column_in_several_hands(base: Base, cell: str) -> None:
    """Two ways of writing, short years, the time of day that a log adds, and the ISO form."""
    ways = ("day.month.year", "month/day/year")
    claims, aside = read(base, Column("d", "laid_on", date=ways), cell)

    assert aside == ()
    assert claims.days.laid.first[0].astype(object) == date(2025, 3, 14)
