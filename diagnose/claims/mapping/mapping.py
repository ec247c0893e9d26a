"""The mapping file: which of the clerk's columns tells which fact, in which words and units.

columns:
  - column: Schaden
    fact: symptom
    values: {lifted edge: edge_lifting, "n/a": unknown}
  - {column: Panel temp, fact: install_panel_temp_c, unit: °F}
  - {column: Fitted, fact: laid_on, date: day.month.year}
  - {column: Seen, fact: seen_on, date: [day.month.year, month/day/year]}
  - {column: Credit, fact: claimed, unit: €, decimal: comma}
ignored: [Colour of the van]
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from diagnose.claims.mapping.facts import Fact, facts
from diagnose.claims.table.numbers import DECIMALS
from diagnose.knowledge import marked
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import BadAnswer, Unknown, parse
from diagnose.knowledge.marked import Document, Problem
from diagnose.knowledge.model.kinds import NumberKind
from diagnose.knowledge.near import near

UNKNOWN_WORD = "unknown"
KEYS = ("column", "fact", "values", "unit", "date", "decimal")

ISO = "year-month-day"
DATES: Mapping[str, tuple[str, ...]] = {
    ISO: ("%Y-%m-%d",),
    "day.month.year": ("%d.%m.%Y", "%d.%m.%y"),
    "day/month/year": ("%d/%m/%Y", "%d/%m/%y"),
    "month/day/year": ("%m/%d/%Y", "%m/%d/%y"),
}
"""How dates may be written; the first counts in any case."""

TWO_WAYS = {"day/month/year", "month/day/year"}
"""Ways of writing dates that cannot be told apart."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the clerk's table and the fact that it tells."""

    column: str
    fact: str
    values: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    date: tuple[str, ...] = (ISO,)
    decimal: str = ""


@dataclass(frozen=True, slots=True)
class Mapped:
    """All columns that tell a fact, and those that are only passed on."""

    columns: tuple[Column, ...]
    ignored: tuple[str, ...] = ()

    def of(self, fact: str) -> Column | None:
        """The column that tells a fact."""
        return next((c for c in self.columns if c.fact == fact), None)


def by_name(base: Base, names: Sequence[str]) -> Mapped:
    """Columns whose header is a fact's id or name, as in the template."""
    known = facts(base)
    words = {f.name.casefold(): f.id for f in known.values()} | {f: f for f in known}
    found = {}
    for name in names:
        fact = words.get(name.strip().casefold())
        if fact and fact not in found:
            found[fact] = Column(name, fact)
    used = {c.column for c in found.values()}
    return Mapped(tuple(found.values()), tuple(n for n in names if n not in used))


def read(
    name: str, text: str, base: Base, names: Sequence[str]
) -> tuple[Mapped | None, list[Problem]]:
    """Read a mapping for a table with these columns, or every problem of it."""
    document, problems = marked.read(name, text)
    if problems:
        return None, problems
    problems = list(_faults(document, base, names))
    if problems:
        return None, sorted(problems)
    data = document.data
    columns = tuple(_column(entry) for entry in data["columns"])
    return Mapped(columns, tuple(data.get("ignored") or ())), []


def _column(entry: dict[str, Any]) -> Column:
    values = {str(k): str(v) for k, v in (entry.get("values") or {}).items()}
    return Column(
        entry["column"],
        entry["fact"],
        values,
        str(entry.get("unit") or ""),
        tuple(_listed(entry.get("date", ISO))),
        entry.get("decimal", ""),
    )


def _listed(data: Any) -> list[Any]:
    return data if isinstance(data, list) else [data]


def _faults(document: Document, base: Base, names: Sequence[str]) -> Iterator[Problem]:
    data = document.data
    if not isinstance(data, dict) or not isinstance(data.get("columns"), list):
        sentence = "a mapping starts with 'columns:', then one entry for each column"
        yield Problem(document.spot(()), sentence)
        return
    for key in set(data) - {"columns", "ignored"}:
        yield Problem(document.spot((key,)), f"'{key}' is not known here: columns, ignored")
    seen: dict[str, str] = {}
    for number, entry in enumerate(data["columns"]):
        for path, sentence in _entry_faults(entry, base, names):
            yield Problem(document.spot(("columns", number, *path)), sentence)
        fact = entry.get("fact") if isinstance(entry, dict) else None
        if isinstance(fact, str) and fact in seen:
            sentence = f"'{fact}' is told by '{seen[fact]}' already: keep one of the two"
            yield Problem(document.spot(("columns", number, "fact")), sentence)
        elif isinstance(fact, str):
            seen[fact] = str(entry.get("column"))


Fault = tuple[tuple[str, ...], str]


def _entry_faults(entry: Any, base: Base, names: Sequence[str]) -> Iterator[Fault]:
    if not isinstance(entry, dict):
        yield (), "an entry looks like {column: your header, fact: a fact's id}"
        return
    for key in set(entry) - {*KEYS}:
        yield (key,), f"'{key}' is not known here: {', '.join(KEYS)}"
    column, fact = entry.get("column"), entry.get("fact")
    if column not in names:
        yield ("column",), f"the table has no column '{column}'{near(str(column), set(names))}"
    known = facts(base)
    if not isinstance(fact, str) or fact not in known:
        yield ("fact",), f"no fact is called '{fact}'{near(str(fact), set(known))}"
        return
    yield from _value_faults(entry.get("values"), known[fact], base)
    yield from _date_faults(_listed(entry.get("date", ISO)))
    if entry.get("unit"):
        yield from _unit_faults(str(entry["unit"]), known[fact], base)
    if "decimal" in entry:
        yield from _decimal_faults(entry["decimal"], known[fact], base)


def _date_faults(forms: list[Any]) -> Iterator[Fault]:
    for form in forms:
        if form not in DATES:
            yield ("date",), f"'{form}' is none of {', '.join(DATES)}"
    if set(map(str, forms)) >= TWO_WAYS:
        yield ("date",), f"{' and '.join(sorted(TWO_WAYS))} cannot be told apart: keep one"


def _decimal_faults(decimal: Any, fact: Fact, base: Base) -> Iterator[Fault]:
    if decimal not in DECIMALS:
        yield ("decimal",), f"'{decimal}' is none of {', '.join(DECIMALS)}"
    if fact.kind != "money" and not _number_of(fact, base):
        yield ("decimal",), f"{fact.id} is no number: leave 'decimal' out"


def _value_faults(values: Any, fact: Fact, base: Base) -> Iterator[Fault]:
    if values is None:
        return
    if not isinstance(values, dict):
        yield ("values",), "values are a mapping: your word: an answer's id"
        return
    for word, meant in values.items():
        if str(meant) in (UNKNOWN_WORD, *fact.choices) or _is_reading(fact, str(meant), base):
            continue
        hint = near(str(meant), set(fact.choices))
        yield ("values", word), f"{fact.id} has no answer '{meant}'{hint}; or write unknown"


def _is_reading(fact: Fact, text: str, base: Base) -> bool:
    if fact.id not in base.checks:
        return False
    try:
        return not isinstance(parse(base.checks[fact.id], text), Unknown)
    except BadAnswer:
        return False


def _number_of(fact: Fact, base: Base) -> NumberKind | None:
    """What number a fact is; None for a choice and what is no answer."""
    check = base.checks.get(fact.id)
    return check.kind if check and isinstance(check.kind, NumberKind) else None


def _unit_faults(unit: str, fact: Fact, base: Base) -> Iterator[Fault]:
    from diagnose.measures.units import spellings_of

    if fact.kind == "money":
        return
    number = _number_of(fact, base)
    if number is None:
        yield ("unit",), f"{fact.id} is no number: leave the unit out"
        return
    known = spellings_of(number.measured_in)
    if "".join(unit.lower().split()).replace("º", "°") not in known:
        yield ("unit",), f"{fact.id} cannot be read in '{unit}': use one of {', '.join(known)}"
