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
from typing import Annotated, Any

from pydantic import BeforeValidator

from diagnose.claims.mapping.facts import SEVERAL, Fact, facts
from diagnose.claims.table.numbers import DECIMALS
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import BadAnswer, Unknown, parse
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import Entry
from diagnose.knowledge.model.kinds import NumberKind
from diagnose.knowledge.reading.reader import Fault, Meaning, read_file
from diagnose.knowledge.reading.salvage import Way
from diagnose.near import near

UNKNOWN_WORD = "unknown"
EMPTY = "a mapping starts with 'columns:', then one entry for each column"

ISO, WORDED_DAY = "year-month-day", "day month year"
DATES: Mapping[str, tuple[str, ...]] = {
    ISO: ("%Y-%m-%d", "%Y/%m/%d", "%Y.%m.%d", "%Y%m%d"),
    "day.month.year": ("%d.%m.%Y", "%d.%m.%y"),
    "day/month/year": ("%d/%m/%Y", "%d/%m/%y", "%d-%m-%Y", "%d-%m-%y"),
    "month/day/year": ("%m/%d/%Y", "%m/%d/%y", "%m-%d-%Y", "%m-%d-%y"),
    WORDED_DAY: (
        *("%d %b %Y", "%d %B %Y", "%d-%b-%Y", "%d %b %y", "%d-%b-%y", "%d/%b/%Y", "%d/%b/%y"),
        *("%d. %b %Y", "%d. %B %Y", "%d %B %y", "%b %d, %Y", "%B %d, %Y", "%b %d %Y", "%B %d %Y"),
        *("%d.%b.%Y", "%d.%b.%y", "%d%b%Y", "%d%b%y"),
    ),
}
"""How dates may be written; the first and the last count in any case."""

TWO_WAYS = {"day/month/year", "month/day/year"}
"""Ways of writing dates that cannot be told apart."""


def _one_or_more(value: Any) -> Any:
    return (value,) if isinstance(value, str) else value


class ColumnText(Entry):
    """An entry as written: a column, the fact that it tells, and in what words."""

    column: str
    fact: str
    values: dict[str, Any] | None = None
    unit: str | None = None
    date: Annotated[tuple[str, ...], BeforeValidator(_one_or_more)] = (ISO,)
    decimal: str | None = None


class MappingText(Entry):
    """The shape of a mapping file."""

    columns: tuple[ColumnText, ...]
    ignored: tuple[str, ...] | None = None


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

    @property
    def has_words(self) -> bool:
        """Whether some column may be free text that is read: remarks, and the complaint itself."""
        return any(self.of(fact) for fact in (*SEVERAL, "symptom"))

    def every(self, fact: str) -> tuple[Column, ...]:
        """All columns that tell a fact; more than one only where it is free text."""
        return tuple(c for c in self.columns if c.fact == fact)


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
    meanings: tuple[Meaning[MappingText], ...] = (
        Meaning(lambda said: _column_faults(said, base, names), ("columns",)),
        Meaning(_told_twice, ("columns",)),
    )
    found = read_file(name, text, MappingText, meanings, EMPTY)
    if found.content is None:
        return None, list(found.problems)
    columns = tuple(_column(entry) for entry in found.content.columns)
    return Mapped(columns, found.content.ignored or ()), list(found.problems)


def _column(entry: ColumnText) -> Column:
    values = {word: str(meant) for word, meant in (entry.values or {}).items()}
    unit, decimal = entry.unit or "", entry.decimal or ""
    return Column(entry.column, entry.fact, values, unit, entry.date, decimal)


def _told_twice(said: MappingText) -> Iterator[Fault]:
    told: dict[str, str] = {}
    for number, entry in enumerate(said.columns):
        if entry.fact in told and entry.fact not in SEVERAL:
            sentence = (
                f"'{entry.fact}' is told by '{told[entry.fact]}' already: keep one of the two"
            )
            yield Fault(sentence, ("columns", number, "fact"))
        told.setdefault(entry.fact, entry.column)


def _column_faults(said: MappingText, base: Base, names: Sequence[str]) -> Iterator[Fault]:
    known = facts(base)
    for number, entry in enumerate(said.columns):
        way: Way = ("columns", number)
        if entry.column not in names:
            hint = near(entry.column, set(names))
            sentence = f"the table has no column '{entry.column}'{hint}"
            yield Fault(sentence, (*way, "column"))
        if entry.fact not in known:
            sentence = f"no fact is called '{entry.fact}'{near(entry.fact, set(known))}"
            yield Fault(sentence, (*way, "fact"))
            continue
        fact = known[entry.fact]
        for fault in (
            *_value_faults(entry.values or {}, fact, base),
            *_date_faults(entry.date),
            *_unit_faults(entry.unit, fact, base),
            *_decimal_faults(entry.decimal, fact, base),
        ):
            yield fault._replace(way=(*way, *fault.way))


def _date_faults(forms: Sequence[str]) -> Iterator[Fault]:
    for form in forms:
        if form not in DATES:
            yield Fault(f"'{form}' is none of {', '.join(DATES)}", ("date",))
    if set(forms) >= TWO_WAYS:
        sentence = f"{' and '.join(sorted(TWO_WAYS))} cannot be told apart: keep one"
        yield Fault(sentence, ("date",))


def _decimal_faults(decimal: str | None, fact: Fact, base: Base) -> Iterator[Fault]:
    if decimal is None:
        return
    if decimal not in DECIMALS:
        yield Fault(f"'{decimal}' is none of {', '.join(DECIMALS)}", ("decimal",))
    if fact.kind != "money" and not _number_of(fact, base):
        yield Fault(f"{fact.id} is no number: leave 'decimal' out", ("decimal",))


def _value_faults(values: Mapping[str, Any], fact: Fact, base: Base) -> Iterator[Fault]:
    for word, meant in values.items():
        if str(meant) in (UNKNOWN_WORD, *fact.choices) or _is_reading(fact, str(meant), base):
            continue
        hint = near(str(meant), set(fact.choices))
        sentence = f"{fact.id} has no answer '{meant}'{hint}; or write unknown"
        yield Fault(sentence, ("values", word))


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


def _unit_faults(unit: str | None, fact: Fact, base: Base) -> Iterator[Fault]:
    from diagnose.measures.units import spellings_of

    if not unit or fact.kind == "money":
        return
    number = _number_of(fact, base)
    if number is None:
        yield Fault(f"{fact.id} is no number: leave the unit out", ("unit",))
        return
    known = spellings_of(number.measured_in)
    if "".join(unit.lower().split()).replace("º", "°") not in known:
        sentence = f"{fact.id} cannot be read in '{unit}': use one of {', '.join(known)}"
        yield Fault(sentence, ("unit",))
