"""A first mapping: proposed from headers and cells, read back as it was proposed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import polars as pl
import pytest

from diagnose.claims.command import DONE
from diagnose.claims.mapping import mapping
from diagnose.claims.mapping.mapping import Column
from diagnose.claims.mapping.propose import propose
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.table import source
from diagnose.knowledge.base import Base
from tests.claims.tables import write_csv
from tests.claims.test_command import claims


def proposed(base: Base, cells: Mapping[str, list[str]]) -> dict[str, Column]:
    """The columns that are proposed for a table with these cells, by fact."""
    longest = max(map(len, cells.values()))
    columns = {name: [*its, *[""] * (longest - len(its))] for name, its in cells.items()}
    return {c.fact: c for c in propose(base, pl.DataFrame(columns)).mapping.columns}


OWN = [
    {"Ref": "7", "What is wrong": "edge lifting", "Panels": "Bonnet", "Film kind": "Cast Vinyl",
     "Laid On": "01.03.2025", "Comments": "no bubbles", "Colour": "blue"},
    {"Ref": "8", "What is wrong": "Tunneling", "Panels": "Roof", "Film kind": "n/a",
     "Laid On": "22.03.2025", "Comments": "", "Colour": "red"},
]  # fmt: skip


def test_a_mapping_is_proposed_and_used(base: Base, tmp_path: Path) -> None:
    """From header and values; what is read from the proposal is what was proposed."""
    given = write_csv(tmp_path / "own.csv", OWN)
    path = tmp_path / "mapping.yaml"
    assert claims(given, "--propose", path) == DONE
    table = source.table(given)
    read, problems = mapping.read("mapping.yaml", path.read_text(), base, table.names)
    assert read is not None, problems
    told = {c.column: c.fact for c in read.columns}

    assert told["What is wrong"] == "symptom"
    assert told["Panels"] == "panel"
    assert told["Film kind"] == "film_class"
    assert told["Laid On"] == "laid_on"
    assert (told["Ref"], told["Comments"]) == ("claim", "found")
    assert "Colour" in read.ignored
    assert "not understood" not in path.read_text().lower()
    laid = read.of("laid_on")
    assert laid is not None
    assert laid.date == ("day.month.year",)
    film = read.of("film_class")
    assert film is not None
    assert "n/a" not in film.values
    assert claims(given, "--mapping", path, "--output", tmp_path / "out.csv") == DONE
    decided = pl.read_csv(tmp_path / "out.csv")
    assert decided["symptom_named"].to_list() == [
        base.symptoms["edge_lifting"].name,
        base.symptoms["tunnelling"].name,
    ]


def test_a_proposed_mapping_names_the_words_that_it_did_not_understand(tmp_path: Path) -> None:
    """They stand on top, column by column, so that the clerk need not wait for the run."""
    rows = [OWN[0], OWN[0] | {"What is wrong": "the usual", "Panels": "ashtray"}]
    path = tmp_path / "mapping.yaml"
    assert claims(write_csv(tmp_path / "own.csv", rows), "--propose", path) == DONE
    head = [line for line in path.read_text().splitlines() if line.startswith("#")]

    assert "#   What is wrong: 'the usual'" in head
    assert "#   Panels: 'ashtray'" in head


def test_a_unit_in_the_header_is_proposed(base: Base) -> None:
    """48 under 'Panel when laid F' is no 48 °C; an inch is no millimetre; months are months."""
    found = proposed(
        base,
        {
            "Panel when laid F": ["48", "70"],
            "Lift depth (in)": ["0.25"],
            "Stated life (months)": ["36"],
        },
    )

    assert found["install_panel_temp_c"].unit == "F"
    assert found["lift_depth_mm"].unit == "in"
    assert found["stated_life_months"].unit == ""


def test_a_code_of_the_clerks_own_is_not_guessed(base: Base) -> None:
    """'EL' stands for what the clerk says; it is left open, not read as part of some longer word.

    A slip of the keyboard is understood without a line of its own.
    """
    found = proposed(base, {"Defect": ["Edge lifting", "EL", "edge liftng", "Bubbles"]})

    assert found["symptom"].values == {"Bubbles": "air_bubbles"}
    assert Remarks(base).meant("symptom", "Defect", "edge liftng") == "edge_lifting"


def test_cells_that_are_no_days_make_no_date(base: Base) -> None:
    """'First noticed' with words in it tells when it was first seen, not the day of the claim."""
    found = proposed(
        base,
        {"First noticed": ["weeks", "in bay", "dunno"], "Reported": ["03/14/2025", "14.03.25"]},
    )

    assert found["first_seen"].column == "First noticed"
    assert found["first_seen"].values == {"dunno": "unknown"}
    assert found["claimed_on"].column == "Reported"
    assert set(found["claimed_on"].date) == {"day.month.year", "month/day/year"}


@pytest.mark.parametrize(
    ("word", "panel"),
    [
        ("hood", "bonnet"),
        ("trunk", "boot_lid"),
        ("LF door", "front_door_left"),
        ("Left rocker panel", "sill_left"),
        ("fender RH", "front_wing_right"),
        ("door", ""),
        ("bumper", ""),
    ],
)
def test_panels_in_the_words_of_another_country(base: Base, word: str, panel: str) -> None:
    """What names one panel is proposed for it; what could be several is left open."""
    found = proposed(base, {"Panel": ["Roof", word]})

    understood = Remarks(base).meant("panel", "Panel", word)
    assert found["panel"].values.get(word, understood) == panel


def test_amounts_with_commas_and_a_currency(base: Base) -> None:
    """Decimal commas and the sign beside the amounts are seen; what a shop writes is what it found."""
    found = proposed(
        base,
        {
            "Credit": ["€ 1.100,00", "430,50 €", "=2+3", "n/a"],
            "From the shop": ["edge came up after two weeks", "full of specks under it"],
        },
    )

    assert (found["claimed"].unit, found["claimed"].decimal) == ("€", "comma")
    assert found["found"].column == "From the shop"


def test_some_cells_stand_beside_each_column(tmp_path: Path) -> None:
    """The clerk sees what a column holds without opening the table again; marks steer nothing."""
    given = write_csv(tmp_path / "own.csv", [OWN[0], OWN[0] | {"Colour": "red\n- column: x"}])
    assert claims(given, "--propose", tmp_path / "mapping.yaml") == DONE
    text = (tmp_path / "mapping.yaml").read_text()

    assert "# such as: 01.03.2025\n# sure\n- column: Laid On\n" in text
    assert "# such as: blue; red - column: x\n- Colour\n" in text


@pytest.mark.parametrize("header", ["Amount EUR", "Amount (EUR)", "Amount €", "Claim amount, GBP"])
def test_an_amount_whose_header_names_its_money(base: Base, header: str) -> None:
    """With a cell that says nothing among them; the currency's own column is known by its cells."""
    found = proposed(base, {header: ["312,50", "n/a"], "What in": ["EUR", "GBP"]})

    assert found["claimed"].column == header
    assert found["claimed"].decimal == "comma"
    assert found["currency"].column == "What in"


def test_what_a_header_says_by_itself_is_no_answer_below_it(base: Base) -> None:
    """'Photos: yes' tells that there are some, and nothing of what is printed on the film."""
    assert proposed(base, {"Photos": ["yes, 4", "yes", "?", "no"]}) == {}


@pytest.mark.parametrize(
    ("header", "cell", "fact", "answer"),
    [
        ("Heated at end", "no, forgot", "post_heat_record", "not_done"),
        ("Post heat", "no", "post_heat_record", "not_done"),
        ("Post heat", "yes", "post_heat_record", "logged_at_or_above"),
        ("Heated at end", "not sure", "post_heat_record", ""),
        ("Cleaned with", "one wipe", "prep_record", ""),
    ],
)
def test_a_yes_or_no_is_read_with_its_header(
    base: Base, header: str, cell: str, fact: str, answer: str
) -> None:
    """A cell that denies what its header names."""
    assert Remarks(base).meant(fact, header, cell) == answer
