"""The mapping file: which of the clerk's columns tells which fact, in which words and units.

columns:
  - column: Schaden
    fact: symptom
    values: {lifted edge: edge_lifting, "n/a": unknown}
  - {column: Panel temp, fact: install_panel_temp_c, unit: °F}
  - {column: Fitted, fact: laid_on, date: day.month.year}
ignored: [Colour of the van]
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import polars as pl
import yaml

from diagnose.claims.facts import Fact, facts
from diagnose.claims.source import ROW
from diagnose.claims.text import one_line
from diagnose.knowledge import marked
from diagnose.knowledge.answers import BadAnswer, Unknown, parse
from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Document, Problem
from diagnose.knowledge.verify import near

UNKNOWN_WORD = "unknown"

DATES: Mapping[str, str] = {
    "year-month-day": "%Y-%m-%d",
    "day.month.year": "%d.%m.%Y",
    "day/month/year": "%d/%m/%Y",
    "month/day/year": "%m/%d/%Y",
}
"""How dates may be written; the first is what stands unless said otherwise."""

LIKE_NAME, LIKE_VALUE = 82, 88
"""From which likeness (0 to 100) a header or a value is proposed for a fact or an answer."""

STRANGE = 12
"""Words of a column that are named as not understood."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the clerk's table and the fact that it tells."""

    column: str
    fact: str
    values: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    date: str = "year-month-day"


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
        entry.get("unit", ""),
        entry.get("date", "year-month-day"),
    )


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
    for key in set(entry) - {"column", "fact", "values", "unit", "date"}:
        yield (key,), f"'{key}' is not known here: column, fact, values, unit, date"
    column, fact = entry.get("column"), entry.get("fact")
    if column not in names:
        yield ("column",), f"the table has no column '{column}'{near(str(column), set(names))}"
    known = facts(base)
    if not isinstance(fact, str) or fact not in known:
        yield ("fact",), f"no fact is called '{fact}'{near(str(fact), set(known))}"
        return
    yield from _value_faults(entry.get("values"), known[fact], base)
    if entry.get("date", "year-month-day") not in DATES:
        yield ("date",), f"'{entry['date']}' is none of {', '.join(DATES)}"
    if entry.get("unit"):
        yield from _unit_faults(str(entry["unit"]), known[fact], base)


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
    check = base.checks.get(fact.id)
    if check is None or check.answers:
        return False
    try:
        return not isinstance(parse(check, text), Unknown)
    except BadAnswer:
        return False


def _unit_faults(unit: str, fact: Fact, base: Base) -> Iterator[Fault]:
    from diagnose.measures.units import spellings_of

    check = base.checks.get(fact.id)
    if check is None or check.number is None:
        yield ("unit",), f"{fact.id} is no number: leave the unit out"
        return
    known = spellings_of(check.number.unit)
    if "".join(unit.lower().split()).replace("º", "°") not in known:
        yield ("unit",), f"{fact.id} cannot be read in '{unit}': use one of {', '.join(known)}"


# proposing


def propose(base: Base, frame: pl.DataFrame) -> Mapped:
    """A first mapping by the likeness of headers and values; for the clerk to correct."""
    from rapidfuzz import fuzz, process

    known = facts(base)
    exact = by_name(base, [n for n in frame.columns if n != ROW])
    taken = {c.fact for c in exact.columns}
    labels = {
        f: [known[f].name, f.replace("_", " "), *known[f].also] for f in known if f not in taken
    }
    scored = []
    for name in exact.ignored:
        words = _words(frame[name])
        for fact, its in labels.items():
            by_header = max(fuzz.token_sort_ratio(name.casefold(), w.casefold()) for w in its)
            by_values = _values_like(words, known[fact], process, fuzz) if words else 0.0
            scored.append((max(by_header, by_values), by_header, name, fact))
    found: dict[str, str] = {}
    for score, _, name, fact in sorted(scored, key=lambda s: (-s[0], -s[1], s[2], s[3])):
        if score >= LIKE_NAME and name not in found and fact not in found.values():
            found[name] = fact
    columns = [*exact.columns, *(Column(n, f) for n, f in found.items())]
    placed = sorted(columns, key=lambda c: frame.columns.index(c.column))
    full = tuple(_with_values(c, known[c.fact], frame, base) for c in placed)
    ignored = tuple(n for n in exact.ignored if n not in found)
    return Mapped(full, ignored)


def _words(column: pl.Series, most: int = 60) -> list[str]:
    """The distinct texts of a column that looks like one of choices, else none."""
    found = column.drop_nulls().cast(pl.String).unique(maintain_order=True)
    words = [w.strip() for w in found.head(most + 1).to_list() if w.strip()]
    return words if len(words) <= most else []


def _values_like(words: Sequence[str], fact: Fact, process: Any, fuzz: Any) -> float:
    """The mean likeness of the words to the fact's choices; 0 for a fact without choices."""
    ways = _ways(fact)
    if not ways:
        return 0.0
    best = [process.extractOne(w.casefold(), ways, scorer=fuzz.ratio)[1] for w in words]
    return float(sum(best) / len(best))


def _ways(fact: Fact) -> list[str]:
    return [
        w for id_, says in fact.choices.items() for w in (says.casefold(), id_.replace("_", " "))
    ]


def _with_values(column: Column, fact: Fact, frame: pl.DataFrame, base: Base) -> Column:
    """The column with its own words for answers, where they are near enough."""
    from rapidfuzz import fuzz, process

    if fact.kind == "date":
        return Column(column.column, column.fact, date=_date_form(frame[column.column]))
    ways = {w: id_ for id_, says in fact.choices.items() for w in (says.casefold(), id_)}
    if not ways:
        return column
    values = {}
    for word in _words(frame[column.column]):
        folded = word.casefold()
        if folded in ways or folded.replace("_", " ") in _ways(fact):
            continue
        if folded in ("n/a", "na", "?", "-", "unknown", "not known"):
            values[word] = UNKNOWN_WORD
            continue
        near_, score, _ = process.extractOne(folded, list(ways), scorer=fuzz.WRatio)
        if score >= LIKE_VALUE:
            values[word] = ways[near_]
    return Column(column.column, column.fact, values)


def _date_form(column: pl.Series) -> str:
    """The first way of writing dates in which most of the texts can be read."""
    texts = column.cast(pl.String).drop_nulls().head(1000)
    read = {
        form: int(texts.str.to_date(pattern, strict=False).is_not_null().sum())
        for form, pattern in DATES.items()
    }
    return max(read, key=lambda form: read[form])


def not_understood(base: Base, mapping: Mapped, frame: pl.DataFrame) -> dict[str, list[str]]:
    """For each column of choices the words that would set their rows aside."""
    known = facts(base)
    found = {}
    for column in mapping.columns:
        ways = {*_ways(known[column.fact]), UNKNOWN_WORD, "?"}
        words = _words(frame[column.column]) if len(ways) > 2 else []
        strange = [
            word
            for word in words
            if word not in column.values and word.casefold().replace("_", " ") not in ways
        ]
        if strange:
            found[column.column] = strange
    return found


def write(mapping: Mapped, strange: Mapping[str, Sequence[str]] | None = None) -> str:
    """The mapping as a file, which `read` takes; words not understood stand as remarks on top."""
    entries = []
    for column in mapping.columns:
        entry: dict[str, Any] = {"column": column.column, "fact": column.fact}
        entry |= {"values": dict(column.values)} if column.values else {}
        entry |= {"unit": column.unit} if column.unit else {}
        entry |= {"date": column.date} if column.date != "year-month-day" else {}
        entries.append(entry)
    data: dict[str, Any] = {"columns": entries}
    if mapping.ignored:
        data["ignored"] = list(mapping.ignored)
    head = (
        "# Which column tells which fact. Correct what is wrong, add 'values' where your words\n"
        "# differ, 'unit' where a number is not in the check's own, 'date' for another order.\n"
    )
    if strange:
        head += "# Not understood, so their rows would be set aside; add them to 'values':\n"
    for name, words in (strange or {}).items():
        listed = ", ".join(f"'{one_line(word, 30)}'" for word in words[:STRANGE])
        more = f" and {len(words) - STRANGE} more" if len(words) > STRANGE else ""
        head += f"#   {one_line(name, 30)}: {listed}{more}\n"
    return head + yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=100)
