"""What goes out: numbers and days as such, questions by addressee, letters, text as it came in."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import fastexcel
import polars as pl
import pytest

from diagnose.claims.letters import BadLetter, Letters
from diagnose.claims.results.outgoing import LOOK, OWNER, SHOP, addressee
from diagnose.claims.run import run
from diagnose.commands import DONE, MISUSE
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from tests.claims.tables import COMPLETE, job, write_csv
from tests.claims.test_command import claims

TEMPLATE = (shipped("rules") / "policies" / "letter.txt").read_text(encoding="utf-8")


def test_a_workbook_holds_numbers_and_days_as_such(base: Base, tmp_path: Path) -> None:
    """An amount can be summed and a day sorted; a number with a nought before it is a name."""
    row = COMPLETE | {"claimed": "180.50", "batch": "007", "mileage": "42000"}
    run(job(base, write_csv(tmp_path / "in.csv", [row]), tmp_path / "out.xlsx"))
    sheet = fastexcel.read_excel(str(tmp_path / "out.xlsx")).load_sheet("claims").to_polars()

    assert sheet["claimed"].to_list() == [180.5]
    assert sheet["mileage"].to_list() == [42000]
    assert sheet["batch"].to_list() == ["007"]
    assert sheet.schema["laid_on"] in (pl.Date, pl.Datetime("ms"))


def test_questions_stand_on_a_sheet_by_addressee(base: Base, tmp_path: Path) -> None:
    """Each with its claim, so that one message goes to each side."""
    row = COMPLETE | {"laid_on": "", "seen_on": ""}
    run(job(base, write_csv(tmp_path / "in.csv", [row]), tmp_path / "out.xlsx"))
    sheet = fastexcel.read_excel(str(tmp_path / "out.xlsx")).load_sheet("questions").to_polars()

    assert set(sheet["to"]) <= {OWNER, SHOP, LOOK}
    assert "On which day was the film laid and handed over?" in sheet["question"].to_list()
    assert sheet["claim"].to_list() == ["C-1"] * sheet.height
    assert addressee(base.checks["first_seen"]) == OWNER
    assert addressee(base.checks["lot_label"]) == SHOP


def test_text_goes_out_as_it_came_in(tmp_path: Path) -> None:
    """Semicolons stay, and what spreadsheets guess wrong is marked as UTF-8."""
    given = tmp_path / "in.csv"
    given.write_bytes("symptom;Käufer\nfading;Påhl\n".encode("latin-1"))
    assert claims(given) == DONE
    found = (tmp_path / "in.classified.csv").read_bytes()

    assert found.startswith(b"\xef\xbb\xbfrow;symptom;K")
    assert "Påhl" in found.decode("utf-8-sig")


def test_amounts_of_different_money_are_never_added(base: Base, tmp_path: Path) -> None:
    """Pounds beside euros: each has sums of its own."""
    rows = [COMPLETE | {"claim": f"C-{n}", "claimed": cell} for n, cell in enumerate(["£90", "60"])]
    found = run(job(base, write_csv(tmp_path / "in.csv", rows), tmp_path / "out.csv"))
    lots = [(line.money, line.claimed) for line in found.lines if line.part == "Lots"]

    assert sorted(lots) == [("EUR", 60.0), ("GBP", 90.0)]


def letters(base: Base, folder: Path, text: str = TEMPLATE) -> Letters:
    """Letters of the 30th of November."""
    return Letters.into(folder / "letters", text, base, date(2026, 11, 30))


def test_a_letter_says_what_was_decided_and_what_is_missing(base: Base, tmp_path: Path) -> None:
    """One page a claim, as HTML and PDF; what a customer wrote is no markup."""
    row = COMPLETE | {"customer": "Fell & <b>Co</b>", "relief_cut": "both_gape"}
    other = COMPLETE | {"claim": "C-2", "laid_on": ""}
    its = job(base, write_csv(tmp_path / "in.csv", [row, other]), tmp_path / "out.csv")
    run(replace(its, letters=letters(base, tmp_path)))
    asked = (tmp_path / "letters" / "row-3-C-2.html").read_text(encoding="utf-8")
    page = (tmp_path / "letters" / "row-2-C-1.html").read_text(encoding="utf-8")

    assert "<h1>Your claim C-1</h1>" in page
    assert "Fell &amp; &lt;b&gt;Co&lt;/b&gt;" in page
    assert "<strong>" in page
    assert "by 2026-12-21" in page
    assert "On which day was the film laid and handed over? (shop)" in asked
    assert " dB" not in page
    assert "What it is about: Edge lifting. Likeliest cause so far:" in page
    assert re.search(r"<li>Two small cuts: both gape\. [^<]+\.</li>", page)
    assert "open, we have questions first" in asked
    assert "What we carry: nothing yet." in page
    assert "not given</p>" not in page.split("What it rests on")[0]
    assert (tmp_path / "letters" / "row-2-C-1.pdf").read_bytes().startswith(b"%PDF")


def test_a_letter_of_a_settled_claim_asks_for_nothing(base: Base, tmp_path: Path) -> None:
    """Sent in twice, or nothing to mend: it rests on that, and no day is set for an answer."""
    gone = COMPLETE | {"claim": "C-3", "still_there": "never_found", "currency": "GBP"}
    rows = [COMPLETE | {"currency": "GBP"}, COMPLETE | {"currency": "GBP"}, gone]
    its = job(base, write_csv(tmp_path / "in.csv", rows), tmp_path / "out.csv")
    run(replace(its, letters=letters(base, tmp_path)))
    twice, healthy = (
        (tmp_path / "letters" / f"row-{name}.html").read_text(encoding="utf-8")
        for name in ("3-C-1", "4-C-3")
    )

    for page in (twice, healthy):
        assert "Please let us have it" not in page
        assert "<h2>What is missing</h2><ul><li>nothing</li></ul>" in page
        assert "Claimed: GBP 200.00. What we carry: nothing." in page
    assert "<h2>What it rests on</h2><ul><li>Sent in already: row 2 (C-1).</li></ul>" in twice
    assert "<ul><li>No fault found: The shop looked, and there is nothing to mend." in healthy


def test_a_letter_without_number_and_customer_says_which_row_it_is(
    base: Base, tmp_path: Path
) -> None:
    """A sheet without a claim number: the row names it, and nobody is called 'not given'."""
    row = {name: cell for name, cell in COMPLETE.items() if name not in ("claim", "customer")}
    its = job(base, write_csv(tmp_path / "in.csv", [row]), tmp_path / "out.csv")
    run(replace(its, letters=letters(base, tmp_path)))
    page = (tmp_path / "letters" / "row-2.html").read_text(encoding="utf-8")

    assert "<h1>Your claim in row 2 of the table</h1>" in page
    assert "To whoever sent it in" in page


@pytest.mark.parametrize(
    ("text", "says"),
    [("Dear $custmer", "'$custmer' is not known here"), ("5 $ more", "write $$ for the sign")],
)
def test_a_template_that_cannot_be_used_is_told(
    base: Base, tmp_path: Path, text: str, says: str
) -> None:
    """Before a claim is decided."""
    with pytest.raises(BadLetter) as told:
        letters(base, tmp_path, text)
    assert says in str(told.value)
    (tmp_path / "own.txt").write_text(text)
    given = write_csv(tmp_path / "in.csv", [COMPLETE])
    options = ("--letters", tmp_path / "out", "--letter-template", tmp_path / "own.txt")
    assert claims(given, *options) == MISUSE


TERMS = """
name: Short terms
money: EUR
shop_pays_first: true
sureness: {accept: 50, decline: 90, cause: 0, against: 50}
terms:
  - name: Terms
    valid_from: 2020-01-01
    valid_to: 2030-12-31
    deductible: 25
    cap: 100
    covers: [{payer: installer, months: 24, because: work, needs: [], carries: [labour]}]
"""


@pytest.mark.parametrize(
    ("labour", "carried"), [("60", 35.0), ("20", 0.0), ("600", 100.0), ("", 100.0)]
)
def test_a_deductible_a_cap_and_labour_alone(
    base: Base, tmp_path: Path, labour: str, carried: float
) -> None:
    """Of the labour, less 25, no more than 100; without labour apart, the claim less the film."""
    from diagnose.claims.policy import policy

    terms, wrong = policy.read("own.yml", TERMS, base)
    assert terms is not None, wrong
    row = COMPLETE | {
        "install_panel_temp_c": "6", "handover_photos": "fault_already_there",
        "relief_cut": "parallel_cut_gapes", "claimed": "800", "claimed_film": "500",
        "claimed_labour": labour,
    }  # fmt: skip
    its = job(base, write_csv(tmp_path / "in.csv", [row]), tmp_path / "out.parquet")
    run(replace(its, policy=terms))
    found = pl.read_parquet(tmp_path / "out.parquet").cast({pl.Categorical: pl.String})

    assert found["decision"][0] == "accept", found["because"][0]
    assert found["amount_carried"][0] == carried


def test_what_a_killed_run_left_behind_goes_when_it_is_resumed(base: Base, tmp_path: Path) -> None:
    """Its half-written files, but not those of a run that is still at work."""
    import os

    left, at_work = tmp_path / ".out.csv.999999999.new", tmp_path / f".out.csv.{os.getppid()}.new"
    for path in (left, at_work):
        path.write_text("half")
    run(job(base, write_csv(tmp_path / "in.csv", [COMPLETE]), tmp_path / "out.csv"), resume=True)

    assert not left.exists()
    assert at_work.exists()
