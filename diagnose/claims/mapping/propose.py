"""A first mapping for the clerk to correct: by the likeness of headers and of values."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import polars as pl

from diagnose.claims.mapping.by_cells import by_cells
from diagnose.claims.mapping.codes import is_code, legend, of_codes, short_for
from diagnose.claims.mapping.facts import ALSO, SEVERAL
from diagnose.claims.mapping.filled import date_forms, filled, nearest
from diagnose.claims.mapping.free import FEWER, SAMPLE, free, spoken, worth_reading
from diagnose.claims.mapping.likeness import (
    MOST,
    PROSE,
    Candidate,
    Cells,
    candidates,
    days_in,
    key_of,
    looked_at,
    plain_days,
    texts_of,
    words_of,
)
from diagnose.claims.mapping.likest import (
    MANY,
    SAYS_LITTLE,
    SURE,
    TELLING,
    VALUES,
    FactsFound,
    by_likeness,
)
from diagnose.claims.mapping.mapping import Column, Mapped, by_name
from diagnose.claims.mapping.ordered import by_order
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.mapping.shortened import shortened
from diagnose.claims.table.source import ROW
from diagnose.knowledge.base import Base

LIES, PLACED = ("orientation", "zone", "coverage"), 0.6
"""What words of places may be taken for, and the share of a column's words that are places."""

FROM_CELLS = f"{SURE[-1][1]}, by what stands in it"

ORDERED = 2_000
"""Rows by which the order of days is told."""

NEARLY = 0.75
"""Share of a column's explained words that answer a choice, from which it is that."""

DAYS = frozenset(("laid_on", "handed_on", "seen_on", "claimed_on"))
NOTED = ("remark", *ALSO["remark"])


@dataclass(frozen=True, slots=True)
class Proposed:
    """A mapping to be corrected; `sure` says by column how sure it is and from what, in words."""

    mapping: Mapped
    sure: Mapping[str, str]


def propose(
    base: Base, frame: pl.DataFrame, tell: Callable[[int], None] = lambda columns: None
) -> Proposed:
    """A first mapping by the likeness of headers and of what stands below them."""
    known = candidates(base)
    exact = by_name(base, [n for n in frame.columns if n != ROW])
    told = {c.column: c.fact for c in exact.columns}
    open_ = {name: its for name, its in known.items() if name not in told.values()}
    cells = [looked_at(name, frame[name]) for name in exact.ignored]
    remarks = Remarks(base)
    found = FactsFound(told, dict.fromkeys(told, SURE[0][1]))
    short = legend(frame)
    _by_codes(cells, known, remarks, short, found)
    by_likeness(base, cells, open_, remarks, found, tell)
    _whose_work(base, frame, remarks, found)
    _places(cells, known["panel"], remarks, found)
    place = {name: number for number, name in enumerate(frame.columns)}
    for name, fact in by_cells([(place[c.name] - 1, c) for c in found.open(cells)], found.by_fact):
        found.add(name, fact, FROM_CELLS)
    _by_order(frame.head(ORDERED), cells, found)
    _free(base, cells, remarks, found)
    columns = [*exact.columns, *(Column(n, f) for n, f in found.own.items())]
    full = tuple(
        filled(c, known[c.fact], frame[c.column], remarks, short)
        for c in sorted(columns, key=lambda c: place[c.column])
    )
    full = tuple(_guessed(base, c, known, frame, full, remarks) for c in full)
    return Proposed(Mapped(full, tuple(n for n in exact.ignored if n not in found.own)), found.sure)


def _by_codes(
    cells: Sequence[Cells],
    known: Mapping[str, Candidate],
    remarks: Remarks,
    short: Mapping[str, str],
    found: FactsFound,
) -> None:
    """Columns of short words that the sheet explains, by what they are explained as."""
    for its in cells if short else ():
        says = [short[w.casefold()] for w in its.words if w.casefold() in short]
        if len(says) < TELLING or len(says) < MOST * len(its.words):
            continue
        for fact, candidate in known.items():
            if not candidate.fact.choices or fact in found.by_fact:
                continue
            meant = [key_of(s) in candidate.ways or remarks.meant(fact, its.name, s) for s in says]
            if sum(map(bool, meant)) >= NEARLY * len(says):
                found.add(its.name, fact, FROM_CELLS)
                break


def _guessed(
    base: Base,
    column: Column,
    known: Mapping[str, Candidate],
    frame: pl.DataFrame,
    all_: Sequence[Column],
    remarks: Remarks,
) -> Column:
    """The complaint in codes of the shop's own, each read as what it is short for."""
    words = words_of(frame[column.column]) if column.fact == "symptom" else []
    open_ = [w for w in words if is_code(w) and w not in column.values]
    if not of_codes(words) or not open_:
        return column
    free_ = [c.column for c in all_ if c.fact in SEVERAL]
    found = dict(column.values)
    for word in open_:
        rows = frame.head(ORDERED).filter(pl.col(column.column) == word).select(free_)
        texts = [str(t) for name in free_ for t in rows[name].drop_nulls().head(SAMPLE).to_list()]
        told = Counter(s for text in texts for s in remarks.read(text).symptoms[:1])
        meant = short_for(word, known["symptom"], told)
        if meant:
            found[word] = meant
    return replace(column, values=found)


def _by_order(frame: pl.DataFrame, cells: Sequence[Cells], found: FactsFound) -> None:
    """Columns of days whose headers say nothing, by how their days lie to the others."""
    days = {c.name: _days(frame[c.name]) for c in found.open(cells) if c.days >= MOST}
    if not days:
        return
    others = {name: _days(frame[name]) for name, fact in found.all.items() if fact in DAYS}
    told = {name: found.all[name] for name in others}
    for name, fact in by_order(days, told, {**days, **others}).items():
        found.add(name, fact, FROM_CELLS)


def _whose_work(base: Base, frame: pl.DataFrame, remarks: Remarks, found: FactsFound) -> None:
    """'Laid by' names fitters, or tells whether it was this shop: its cells say which."""
    check = base.role("who_laid_it")
    if not check or check in found.by_fact:
        return
    for name in [name for name, fact in found.own.items() if fact == "installer"]:
        words = [w for w in words_of(frame[name]) if w.casefold() not in SAYS_LITTLE]
        if any(remarks.meant(check, name, word) for word in words):
            found.own[name] = check


def _places(cells: Sequence[Cells], panel: Candidate, remarks: Remarks, found: FactsFound) -> None:
    """A column whose words are places on a vehicle, also where it was taken for how they lie."""
    if "panel" in found.by_fact:
        return
    lies = {name for name, fact in found.own.items() if fact in LIES}
    for its in (c for c in cells if c.name not in found.own or c.name in lies):
        words = [w for w in its.words if w.casefold() not in SAYS_LITTLE][:VALUES]
        placed = [bool(nearest(w, panel) or remarks.place(w)) for w in words]
        if len(words) >= TELLING and its.length < PROSE and sum(placed) >= PLACED * len(words):
            found.add(its.name, "panel", FROM_CELLS)
            return


def _days(cells: pl.Series) -> pl.Series:
    return days_in(plain_days(cells.cast(pl.String)), date_forms(texts_of(cells)))


def _free(base: Base, cells: Sequence[Cells], remarks: Remarks, found: FactsFound) -> None:
    """Columns of words of which nothing is known yet, read with the words of the rules.

    What a shop writes into its sheet is what it saw; words that are the customer's are the
    complaint, or stay a remark.
    """
    named = {
        name
        for name, fact in found.own.items()
        if fact == "remark" and any(shortened(name, w) or key_of(name) == key_of(w) for w in NOTED)
    }
    open_ = [
        its
        for its in cells
        if (its.name not in found.own or found.own[its.name] == "remark")
        and its.days < MOST
        and worth_reading(its)
    ]
    most = FEWER if len(open_) > MANY else SAMPLE
    read = [spoken(base, its, remarks, most) for its in open_]
    for name in [name for name, fact in found.own.items() if fact == "remark"]:
        del found.own[name]
    told = {**found.all}
    for name, fact in free(read, told, named).items():
        found.add(name, fact, FROM_CELLS if name not in named else found.sure.get(name, FROM_CELLS))
