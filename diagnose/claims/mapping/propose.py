"""A first mapping for the clerk to correct: by the likeness of headers and of values."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import polars as pl
import yaml

from diagnose.claims.mapping.facts import Fact, facts
from diagnose.claims.mapping.mapping import DATES, UNKNOWN_WORD, Column, Mapped, by_name
from diagnose.claims.table.numbers import pointed
from diagnose.claims.table.source import ROW
from diagnose.claims.table.text import one_line
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.kinds import NumberKind
from diagnose.knowledge.words.places import places_called

LIKE_NAME, LIKE_VALUE = 82, 85
"""From which likeness (0 to 100) a header or a value is proposed for a fact or an answer."""

SHORTEST = 4
"""Letters of a word from which likeness says anything; a code of the clerk's own is not guessed."""

PROSE = 3
"""Words in a cell, on average, from which a column reads like remarks."""

STRANGE, SAMPLES = 12, 4
"""Words of a column that are named as not understood; values that are shown beside a column."""

NOT_KNOWN = frozenset(
    ["n/a", "na", "?", "-", "unknown", "not known", "dunno", "don't know", "n.a."]
)
"""What people write where they could not tell."""

SIDES = {
    **{"l": "left", "lh": "left", "lhs": "left", "r": "right", "rh": "right", "rhs": "right"},
    **dict.fromkeys(("lf", "fl"), "front left"),
    **dict.fromkeys(("rf", "fr"), "front right"),
    **dict.fromkeys(("lr", "rl"), "rear left"),
    "rr": "rear right",
}
"""Short for a side, in the name of a panel."""


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A fact with its number, if it is one, and each way to say one of its choices."""

    fact: Fact
    number: NumberKind | None
    ways: Mapping[str, str]

    @property
    def of_panels(self) -> bool:
        return self.fact.id == "panel"

    @property
    def is_number(self) -> bool:
        return self.fact.kind == "money" or self.number is not None


def _candidates(base: Base) -> dict[str, _Candidate]:
    found = {}
    for name, fact in facts(base).items():
        check = base.checks.get(name)
        number = check.kind if check and isinstance(check.kind, NumberKind) else None
        found[name] = _Candidate(fact, number, _ways(base, fact))
    return found


def propose(base: Base, frame: pl.DataFrame) -> Mapped:
    """A first mapping by the likeness of headers and values."""
    candidates = _candidates(base)
    exact = by_name(base, [n for n in frame.columns if n != ROW])
    taken = {c.fact for c in exact.columns}
    found: dict[str, str] = {}
    scored = [
        (*_likeness(name, frame[name], its), name, fact)
        for name in exact.ignored
        for fact, its in candidates.items()
        if fact not in taken
    ]
    for score, _, name, fact in sorted(scored, key=lambda s: (-s[0], -s[1], s[2], s[3])):
        if score >= LIKE_NAME and name not in found and fact not in found.values():
            found[name] = fact
    columns = [*exact.columns, *(Column(n, f) for n, f in found.items())]
    placed = sorted(columns, key=lambda c: frame.columns.index(c.column))
    full = tuple(_filled(c, candidates[c.fact], frame[c.column]) for c in placed)
    return Mapped(full, tuple(n for n in exact.ignored if n not in found))


# how like


def _likeness(name: str, column: pl.Series, its: _Candidate) -> tuple[float, float]:
    """How well a column fits a fact, by the better of header and values, and by its header."""
    from rapidfuzz import fuzz

    labels = (its.fact.name, its.fact.id.replace("_", " "), *its.fact.also)
    heads = {_key(name), _key(_bare(name, its))}
    header = max(fuzz.ratio(head, _key(label)) for head in heads for label in labels)
    if not _can_be(column, its):
        return 0.0, 0.0
    if its.fact.id == "remark" and _words_in_cell(column) >= PROSE:
        header = max(header, float(LIKE_NAME))
    return max(header, _values_like(column, its)), header


def _key(text: str, sides: bool = False) -> str:
    """Words of a text in small letters, sorted, without signs."""
    words = re.findall(r"[^\W_]+", text.casefold())
    return " ".join(sorted(SIDES.get(w, w) if sides else w for w in words))


def _can_be(column: pl.Series, its: _Candidate) -> bool:
    """Whether the cells are of the fact's kind at all: most of them days, or numbers."""
    texts = _texts(column)
    if its.fact.kind == "date":
        return not len(texts) or _read_as_days(texts, [*DATES]) * 2 >= len(texts)
    if its.is_number:
        return not len(texts) or int(texts.str.contains(r"\d").sum()) * 2 >= len(texts)
    return True


def _texts(column: pl.Series) -> pl.Series:
    texts = column.cast(pl.String).drop_nulls().str.strip_chars()
    told = (texts != "") & ~texts.str.to_lowercase().is_in(list(NOT_KNOWN))
    return texts.filter(told).head(1000)


def _read_as_days(texts: pl.Series, forms: Sequence[str]) -> int:
    days = texts.str.slice(0, 10)
    read = pl.repeat(False, len(days), eager=True)
    for pattern in (p for form in forms for p in DATES[form]):
        read |= days.str.to_date(pattern, strict=False).is_not_null()
    return int(read.sum())


def _words_in_cell(column: pl.Series) -> float:
    found = _texts(column).str.count_matches(r"\s+").mean()
    return 1.0 + float(found) if isinstance(found, float) else 0.0


def _values_like(column: pl.Series, its: _Candidate) -> float:
    """The mean likeness of the words to the fact's choices; 0 for a fact without choices."""
    from rapidfuzz import fuzz, process

    words = [w for w in _words(column) if w.casefold() not in NOT_KNOWN]
    if not its.ways or not words:
        return 0.0
    keys = [_key(w, its.of_panels) for w in words]
    best = [process.extractOne(key, list(its.ways), scorer=fuzz.ratio)[1] for key in keys]
    return float(sum(best) / len(best))


def _words(column: pl.Series, most: int = 60) -> list[str]:
    """The distinct texts of a column that looks like one of choices, else none."""
    found = column.drop_nulls().cast(pl.String).unique(maintain_order=True)
    words = [w.strip() for w in found.head(most + 1).to_list() if w.strip()]
    return words if len(words) <= most else []


def _ways(base: Base, fact: Fact) -> Mapping[str, str]:
    """Each way to say a choice that says one choice only, sorted by words, with its id."""
    found: dict[str, set[str]] = {}
    for id_, ways in _said(base, fact):
        for way in ways:
            found.setdefault(_key(way), set()).add(id_)
    return {way: ids.pop() for way, ids in found.items() if way and len(ids) == 1}


def _said(base: Base, fact: Fact) -> Iterator[tuple[str, Sequence[str]]]:
    places = places_called(base.words) if fact.id == "panel" else {}
    for id_, says in fact.choices.items():
        also = base.symptoms[id_].also_called if fact.id == "symptom" else ()
        also += places.get(id_, ())
        yield id_, (says, re.sub(r"\(.*?\)", "", says), id_, *also)


# filling in


def _filled(column: Column, its: _Candidate, cells: pl.Series) -> Column:
    """The column with its own words, unit, and ways of writing days and numbers."""
    if its.fact.kind == "date":
        return replace(column, date=_date_forms(_texts(cells)))
    if its.fact.choices:
        return replace(column, values=_values(cells, its))
    if its.is_number:
        unit = _unit_in(column.column, its) or _currency(cells, its)
        return replace(column, unit=unit, decimal=_decimal(cells), values=_unknowns(cells))
    return column


def _values(cells: pl.Series, its: _Candidate) -> dict[str, str]:
    strict = _strict(its.fact)
    found = {}
    for word in _words(cells):
        if word.casefold().replace("_", " ") in strict:
            continue
        meant = UNKNOWN_WORD if word.casefold() in NOT_KNOWN else _meant(word, its)
        if meant:
            found[word] = meant
    return found


def _strict(fact: Fact) -> set[str]:
    """What is understood without a mapping."""
    return {
        w.casefold() for id_, says in fact.choices.items() for w in (says, id_.replace("_", " "))
    } | {UNKNOWN_WORD, "?"}


def _meant(word: str, its: _Candidate) -> str:
    """The choice that a word is near enough to, or ''."""
    from rapidfuzz import fuzz, process

    key = _key(_key(word, its.of_panels))
    if key in its.ways:
        return its.ways[key]
    if len(key) < SHORTEST:
        return ""
    near = process.extract(key, list(its.ways), scorer=fuzz.ratio, score_cutoff=LIKE_VALUE)
    best = {its.ways[way] for way, score, _ in near if score == near[0][1]}
    if not best:
        words = set(key.split())
        best = {id_ for way, id_ in its.ways.items() if words <= set(way.split())}
    return best.pop() if len(best) == 1 else ""


def _unknowns(cells: pl.Series) -> dict[str, str]:
    words = {w for w in _words(cells, 10_000) if w.casefold() in NOT_KNOWN - {"?", UNKNOWN_WORD}}
    return dict.fromkeys(sorted(words), UNKNOWN_WORD)


def _date_forms(texts: pl.Series) -> tuple[str, ...]:
    """The way of writing days in which most texts can be read, and what adds to it."""
    count = {form: _read_as_days(texts, [form]) for form in DATES}
    first = max(count, key=lambda form: count[form])
    found = [first]
    for form in DATES:
        if {first, form} == {"day/month/year", "month/day/year"} or form == "year-month-day":
            continue
        if _read_as_days(texts, [*found, "year-month-day", form]) > _read_as_days(
            texts, [*found, "year-month-day"]
        ):
            found.append(form)
    return tuple(found)


def _unit_in(header: str, its: _Candidate) -> str:
    """A unit that the header ends in or sets in brackets, other than the check's own."""
    from diagnose.measures.units import SPELLINGS

    known = SPELLINGS.get(its.number.measured_in, {}) if its.number else {}
    for word in reversed(re.findall(r"[^\s()\[\],;:_]+", header)):
        if word.casefold() in known:
            return "" if known[word.casefold()] == (1.0, 0.0) else word
    return ""


def _bare(header: str, its: _Candidate) -> str:
    """The header without brackets and without its unit."""
    bare = re.sub(r"[(\[].*?[)\]]", " ", header)
    unit = _unit_in(bare, its)
    return re.sub(rf"[\s_]{re.escape(unit)}\s*$", "", bare) if unit else bare


def _currency(cells: pl.Series, its: _Candidate) -> str:
    """What stands beside amounts, where it is always the same."""
    if its.fact.kind != "money":
        return ""
    amounts = _texts(cells).filter(_texts(cells).str.contains(r"\d")).to_list()
    beside = {re.sub(r"[\d.,'’\s+-]", "", text) for text in amounts}
    signs = {text for text in beside if re.fullmatch(r"[^\W\d_]{1,4}|[$¢£¥€₣₤₹₺₽]", text)}
    return signs.pop() if len(signs) == 1 else ""


def _decimal(cells: pl.Series) -> str:
    """'comma' where cells that can be read in one way show it, and none shows the other."""
    texts = _texts(cells).to_list()
    marks = {
        next(sign for sign in reversed(text) if sign in ".,")
        for text in texts
        if pointed(text, "comma") == pointed(text, "point") and re.search(r"[.,]\d", text)
    }
    return "comma" if marks == {","} else ""


# writing


def not_understood(base: Base, mapping: Mapped, frame: pl.DataFrame) -> dict[str, list[str]]:
    """For each column of choices the words that would set their rows aside."""
    known = facts(base)
    found = {}
    for column in mapping.columns:
        strict = _strict(known[column.fact])
        words = _words(frame[column.column]) if known[column.fact].choices else []
        strange = [
            word
            for word in words
            if word not in column.values and word.casefold().replace("_", " ") not in strict
        ]
        if strange:
            found[column.column] = strange
    return found


HEAD = """\
# Which column tells which fact. Correct what is wrong. What may stand beside column and fact:
#   values: {your word: an answer's id}      where your words differ
#   unit: °F                                 where a number is not in the check's own unit;
#                                            for an amount the currency that stands beside it
#   decimal: comma                           or point, where 1.250 and 1,250 could be either
#   date: day.month.year                     or a list of several; year-month-day always counts
"""


def write(mapping: Mapped, frame: pl.DataFrame, strange: Mapping[str, Sequence[str]]) -> str:
    """The mapping as a file, which `read` takes, with some cells beside each column."""
    lines = [HEAD]
    if strange:
        lines.append("# Not understood, so their rows would be set aside; add them to 'values':\n")
    for name, words in strange.items():
        listed = ", ".join(f"'{one_line(word, 30)}'" for word in words[:STRANGE])
        more = f" and {len(words) - STRANGE} more" if len(words) > STRANGE else ""
        lines.append(f"#   {one_line(name, 30)}: {listed}{more}\n")
    lines.append("columns:\n" if mapping.columns else "columns: []\n")
    for column in mapping.columns:
        lines += [_samples(frame[column.column]), _dumped(_entry(column))]
    if mapping.ignored:
        lines.append("ignored:\n")
    for name in mapping.ignored:
        lines += [_samples(frame[name]), _dumped(name)]
    return "".join(lines)


def _entry(column: Column) -> dict[str, Any]:
    entry: dict[str, Any] = {"column": column.column, "fact": column.fact}
    entry |= {"values": dict(column.values)} if column.values else {}
    entry |= {"unit": column.unit} if column.unit else {}
    entry |= {"decimal": column.decimal} if column.decimal else {}
    if column.date != ("year-month-day",):
        entry["date"] = column.date[0] if len(column.date) == 1 else list(column.date)
    return entry


def _dumped(entry: Any) -> str:
    return yaml.safe_dump([entry], sort_keys=False, allow_unicode=True, width=100)


def _samples(cells: pl.Series) -> str:
    texts = cells.cast(pl.String).drop_nulls().str.strip_chars()
    seen = texts.filter(texts != "").unique(maintain_order=True).head(SAMPLES).to_list()
    return f"# such as: {'; '.join(one_line(text, 24) for text in seen) or 'nothing'}\n"
