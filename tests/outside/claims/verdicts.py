"""How the program's decisions fare against two clerks who judged the same claims blind.

``python -m tests.outside.claims`` prints the table of three times 120 claims that rules are written by, and
of 119 that they are judged by. The claims were written by one who had not looked
at the rules or at the columns of a mapping; the verdicts were given twice, independently, under the
written policy (``policy.md``), by readers who saw neither. Rows on which the two differ count for
neither.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import polars as pl

from diagnose.claims.job import Job
from diagnose.claims.mapping import propose
from diagnose.claims.mapping.mapping import Column, Mapped
from diagnose.claims.policy import policy
from diagnose.claims.policy.policy import Policy
from diagnose.claims.run import run
from diagnose.claims.table import source
from diagnose.knowledge.base import Base
from tests.outside.claims.make_sheets import STUDY, Sheets, Shop

HERE = Path(__file__).resolve().parent
TODAY = date(2026, 11, 30)
SET_ASIDE = "set aside"
FINER = frozenset(("not our work", "no fault found"))
QUESTIONS = ("ask", "inspect", SET_ASIDE)

Claim = tuple[str, str]


def verdicts(clerk: str, sheets: Sheets = STUDY) -> dict[Claim, str]:
    """A clerk's decision for each claim, by sheet and number."""
    path = sheets.folder / f"verdicts_{clerk}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return {(row["sheet"], row["claim"]): row["decision"] for row in csv.DictReader(file)}


def agreed(sheets: Sheets = STUDY) -> dict[Claim, str]:
    """The decisions on which both clerks agree."""
    one, other = verdicts("a", sheets), verdicts("b", sheets)
    return {claim: decision for claim, decision in one.items() if other.get(claim) == decision}


def read_policy(base: Base) -> Policy:
    """The written policy in the program's terms."""
    found, problems = policy.read(
        "policy.yml", (HERE / "policy.yml").read_text(encoding="utf-8"), base
    )
    assert found is not None, problems
    return found


OWN_WORDS = {
    "prep_record": {
        **dict.fromkeys(
            ("two cleans", "two", "2 stage", "2x", "two cleans, solvent then alcohol"),
            "two_stage_with_dry_wipe",
        ),
    },
    "post_heat_record": {
        **dict.fromkeys(("no, forgot", "no", "not done", "none"), "not_done"),
        **dict.fromkeys(
            ("yes, logged 95", "logged 95", "95 logged", "95", "yes 95", "95 °C logged", "95 °C",
             "logged 95 °C", "92C", "92C strip"),
            "logged_at_or_above",
        ),
        "logged 60, too low": "logged_below",
    },
    "care_sheet": {"given": "handed_over", "not given": "not_handed_over", "signed": "handed_over"},
    "lot_label": {"y": "number_noted", "n": "not_kept"},
}  # fmt: skip
"""The shops' short words, as a clerk adds them to 'values'."""

NOT_SO = {"bridges": {"Primer", "Who laid it"}, "lowfield": {"Profile", "Spare strip kept"},
          "mill": {"Complaint"}}  # fmt: skip
"""Columns that the proposal takes for something else than they are."""


def corrected(sheet: str, mapping: Mapped, names: tuple[str, ...]) -> Mapped:
    """The proposal as a clerk corrects it: short words, wrong guesses, remarks of the shop."""
    kept = [c for c in mapping.columns if c.column not in NOT_SO.get(sheet, set())]
    if sheet == "mill":
        told = next(c for c in mapping.columns if c.fact == "laid_on")
        kept.append(Column("Complaint", "claimed_on", date=told.date))
    if sheet == "bridges":
        kept.append(Column("Who laid it", "installer"))
    columns = []
    for column in kept:
        own = OWN_WORDS.get(column.fact, {})
        fact = "found" if column.fact == "remark" else column.fact
        columns.append(replace(column, fact=fact, values={**own, **column.values}))
    return Mapped(tuple(columns), mapping.ignored)


def decided(
    base: Base, folder: Path, as_proposed: bool, sheets: Sheets = STUDY
) -> Iterator[tuple[Claim, Mapping[str, str]]]:
    """Each claim with its row of results; one set aside has only that."""
    its = read_policy(base)
    shops = {shop.name: shop for shop in sheets.shops}
    for sheet, path in sheets.write(folder).items():
        table = source.table(path)
        mapping = propose.propose(base, next(table.pieces()).frame).mapping
        if not as_proposed:
            mapping = corrected(sheet, mapping, table.names)
        output = folder / f"{sheet}.{'proposed' if as_proposed else 'corrected'}.parquet"
        run(Job(table, output, base, mapping, its, "0", today=TODAY))
        names = _names(sheets, shops[sheet])
        first = table.layout.header + 1
        for row in pl.read_parquet(output).cast({pl.Categorical: pl.String}).rows(named=True):
            yield (sheet, names[row["row"] - first]), row
        aside = pl.read_parquet(output.with_name(f"{output.stem}.set_aside.parquet"))
        for row in aside.rows(named=True):
            claim = (sheet, names.get(row["row"] - first, ""))
            yield claim, {"decision": SET_ASIDE, "because": row["reason"]}


def _names(sheets: Sheets, shop: Shop) -> dict[int, str]:
    """How clerks name the claim in each row: by its number, or by its place under the header."""
    called = {claim for sheet, claim in verdicts("a", sheets) if sheet == shop.name}
    rows = sheets.rows(shop)[1:]
    return {
        place: next((cell.strip() for cell in cells if cell.strip() in called), f"row{place + 1}")
        for place, cells in enumerate(rows)
    }


@dataclass(frozen=True, slots=True)
class Score:
    """How many of the agreed rows are decided as the clerks did, wrongly, or with a question."""

    rows: int
    alike: int
    wrong_accepts: int
    wrong_declines: int
    questions: int
    questions_where_clerks_decide: int
    told_whom: int


def as_clerks(decision: str, known: Set[str]) -> str:
    """A decision in the words of these clerks.

    Those of the later sets had four: what is not the shop's work, or no fault, they decline.
    """
    return "decline" if decision in FINER and not known & FINER else decision


def score(found: Mapping[Claim, Mapping[str, str]], sheets: Sheets = STUDY) -> Score:
    """The table's figures over the rows on which the clerks agree."""
    rows = agreed(sheets)
    pairs = [(decision, found[claim]) for claim, decision in rows.items() if claim in found]
    known = {*rows.values()}
    count: Counter[str] = Counter()
    for wanted, row in pairs:
        its = as_clerks(row["decision"], known)
        asks = its in QUESTIONS
        count["alike"] += its == wanted
        count["accept"] += its == "accept" and wanted in (
            "decline",
            "not our work",
            "no fault found",
        )
        count["decline"] += (
            its in ("decline", "not our work", "no fault found") and wanted == "accept"
        )
        count["asks"] += asks
        count["needless"] += asks and wanted not in ("ask", "inspect")
        count["whom"] += asks and bool(row.get("ask_first") or row.get("ask_for_1"))
    return Score(
        len(pairs), count["alike"], count["accept"], count["decline"], count["asks"],
        count["needless"], count["whom"],
    )  # fmt: skip
