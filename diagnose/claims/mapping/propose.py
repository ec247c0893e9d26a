"""A first mapping for the clerk to correct: by the likeness of headers and of values."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import polars as pl
import yaml
from numpy.typing import NDArray

from diagnose.claims.mapping.facts import SEVERAL, Fact, facts
from diagnose.claims.mapping.mapping import DATES, UNKNOWN_WORD, Column, Mapped, by_name
from diagnose.claims.mapping.remarks import Remarks
from diagnose.claims.table.numbers import pointed
from diagnose.claims.table.source import ROW
from diagnose.claims.table.text import NOTHING, one_line
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.kinds import NumberKind
from diagnose.knowledge.words.places import places_called

Floats = NDArray[np.float64]

LIKE_NAME, LIKE_VALUE = 82, 85
"""From which likeness (0 to 100) a header or a value is proposed for a fact or an answer."""

SHORTEST = 4
"""Letters of a word from which likeness says anything; a code of the clerk's own is not guessed."""

PROSE = 3
"""Words in a cell, on average, from which a column reads like remarks."""

STRANGE, SAMPLES = 12, 4
"""Words of a column that are named as not understood; values that are shown beside a column."""

NOT_KNOWN = frozenset(("unknown", "not known", "dunno", "don't know", "can't tell", "no idea"))
"""What people write where they tried and could not tell."""

UNTOLD = NOTHING | NOT_KNOWN

MOST = 0.5
"""Share of a column's cells that are days, numbers or words of a fact, from which it may be it."""

SURE = ((97, "sure"), (90, "likely"), (0, "a guess"))
"""From which likeness a proposal is called so."""

TELLING = 2
"""Words of a column from which they say what it is; 'no' in every row could be anything."""

VALUES, FEW, MANY = 40, 8, 300
"""Words of a column that are compared, and how few in a table of so many columns."""

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


@dataclass(frozen=True, slots=True)
class _Cells:
    """A column as it looks: what it is called, and what its first cells are made of."""

    name: str
    texts: pl.Series
    words: tuple[str, ...]
    days: float
    digits: float
    length: float

    def can_be(self, its: _Candidate) -> bool:
        """Whether the cells are of the fact's kind at all: most of them days, or numbers."""
        if not len(self.texts):
            return True
        if its.fact.kind == "date":
            return self.days >= MOST
        if its.is_number:
            return self.digits >= MOST and self.length < PROSE and self.days < MOST
        return its.fact.kind == "text" or self.days < MOST


def _candidates(base: Base) -> dict[str, _Candidate]:
    found = {}
    for name, fact in facts(base).items():
        check = base.checks.get(name)
        number = check.kind if check and isinstance(check.kind, NumberKind) else None
        found[name] = _Candidate(fact, number, _ways(base, fact))
    return found


@dataclass(frozen=True, slots=True)
class Proposed:
    """A mapping to be corrected; `sure` says by column how sure it is and from what, in words."""

    mapping: Mapped
    sure: Mapping[str, str]


def propose(
    base: Base, frame: pl.DataFrame, tell: Callable[[int], None] = lambda columns: None
) -> Proposed:
    """A first mapping by the likeness of headers and of what stands below them."""
    candidates = _candidates(base)
    exact = by_name(base, [n for n in frame.columns if n != ROW])
    taken = {c.fact for c in exact.columns}
    open_ = {name: its for name, its in candidates.items() if name not in taken}
    cells = [_cells(name, frame[name]) for name in exact.ignored]
    by_header = _by_header(cells, open_)
    by_value = _by_value(base, cells, open_, by_header, tell)
    scored = [
        (max(header, value), header, its.name, fact)
        for its, headers, values in zip(cells, by_header, by_value, strict=True)
        for fact, header, value in zip(open_, headers, values, strict=True)
        if max(header, value) >= LIKE_NAME and (header or its.can_be(open_[fact]))
    ]
    found: dict[str, str] = {}
    sure = {c.column: SURE[0][1] for c in exact.columns}
    for score, header, name, fact in sorted(scored, key=lambda s: (-s[0], -s[1], s[2], s[3])):
        if name not in found and (fact in SEVERAL or fact not in found.values()):
            found[name] = fact
            how = next(word for least, word in SURE if score >= least)
            sure[name] = f"{how}, by {'its header' if header >= score else 'what stands in it'}"
    columns = [*exact.columns, *(Column(n, f) for n, f in found.items())]
    place = {name: number for number, name in enumerate(frame.columns)}
    remarks = Remarks(base)
    full = tuple(
        _filled(c, candidates[c.fact], frame[c.column], remarks)
        for c in sorted(columns, key=lambda c: place[c.column])
    )
    return Proposed(Mapped(full, tuple(n for n in exact.ignored if n not in found)), sure)


# how like


def _cells(name: str, column: pl.Series) -> _Cells:
    texts = _texts(column)
    many = max(1, len(texts))
    return _Cells(
        name,
        texts,
        tuple(_words(column)),
        _read_as_days(texts, [*DATES]) / many,
        int(texts.str.contains(r"\d").sum()) / many,
        _words_in_cell(column),
    )


def _by_header(cells: Sequence[_Cells], open_: Mapping[str, _Candidate]) -> Floats:
    """How like each header is to each fact, 0 to 100: (columns, facts)."""
    from rapidfuzz import fuzz, process

    found = np.zeros((len(cells), len(open_)))
    if not cells:
        return found
    labels: list[str] = []
    ends = [0]
    for its in open_.values():
        names = (its.fact.name, its.fact.id.replace("_", " "), *its.fact.also)
        labels += [_key(name) for name in names]
        ends.append(len(labels))
    for bare in (False, True):
        heads = [_key(_without_brackets(c.name)) if bare else _key(c.name) for c in cells]
        likes = process.cdist(heads, labels, scorer=fuzz.ratio, workers=-1)
        found = np.maximum(found, np.maximum.reduceat(likes, ends[:-1], axis=1))
    for number, its in enumerate(open_.values()):
        if its.number is not None or its.fact.kind == "money":
            for row, column in enumerate(cells):
                head, near = _key(_bare(column.name, its)), slice(ends[number], ends[number + 1])
                if head and found[row, number] < SURE[0][0] and head != _key(column.name):
                    best = max(fuzz.ratio(head, label) for label in labels[near])
                    found[row, number] = max(found[row, number], best)
        if its.fact.id == "remark":
            prose = np.array([c.length >= PROSE for c in cells])
            found[prose, number] = np.maximum(found[prose, number], LIKE_NAME)
        found[[not column.can_be(its) for column in cells], number] = 0.0
    return found


def _by_value(
    base: Base,
    cells: Sequence[_Cells],
    open_: Mapping[str, _Candidate],
    by_header: Floats,
    tell: Callable[[int], None],
) -> Floats:
    """How like the words of each column are to each fact's answers, 0 to 100: (columns, facts).

    By letters, and by the phrases of the rule base. Columns whose header says it are passed over.
    """
    from rapidfuzz import fuzz, process

    remarks = Remarks(base)
    ways = [(way, place) for place, its in enumerate(open_.values()) for way in its.ways]
    starts = [n for n, (_, place) in enumerate(ways) if not n or ways[n - 1][1] != place]
    with_ways = [ways[n][1] for n in starts]
    places = {name: place for place, name in enumerate(open_)}
    most = FEW if len(cells) > MANY else VALUES
    found = np.zeros((len(cells), len(open_)))
    for number, its in enumerate(cells):
        tell(1)
        words = [w for w in its.words if w.casefold() not in UNTOLD][:most]
        plain = its.days < MOST and its.digits < MOST and its.length < 2 * PROSE
        if len(words) < TELLING or not plain or by_header[number].max(initial=0) >= SURE[0][0]:
            continue
        for sides in (False, True):
            keys = [_key(word, sides) for word in words]
            likes = process.cdist(keys, [way for way, _ in ways], scorer=fuzz.ratio)
            means = np.maximum.reduceat(likes, starts, axis=1).mean(axis=0)
            if sides:
                panel = [n for n, place in enumerate(with_ways) if place == places.get("panel")]
                found[number, [with_ways[n] for n in panel]] = means[panel]
            else:
                found[number, with_ways] = means
        spoken = _spoken_of(remarks, its.name, words) if its.length < PROSE else {}
        for check, share in spoken.items():
            if check in places and share >= MOST:
                like = LIKE_NAME + (SURE[1][0] - LIKE_NAME) * share
                found[number, places[check]] = max(found[number, places[check]], like)
    return found


def _spoken_of(remarks: Remarks, header: str, words: Sequence[str]) -> dict[str, float]:
    """Which checks the words of a column answer, alone or below their header, by share of them."""
    found: dict[str, float] = {}
    for word in words:
        said = {*remarks.read(word).answers} or {*remarks.read(f"{header}: {word}").answers}
        for check in said:
            found[check] = found.get(check, 0.0) + 1 / len(words)
    return found


def _without_brackets(header: str) -> str:
    return re.sub(r"[(\[].*?[)\]]", " ", header)


def _key(text: str, sides: bool = False) -> str:
    """Words of a text in small letters, sorted, without signs."""
    words = re.findall(r"[^\W_]+", text.casefold())
    return " ".join(sorted(SIDES.get(w, w) if sides else w for w in words))


def _texts(column: pl.Series) -> pl.Series:
    texts = column.cast(pl.String).drop_nulls().str.strip_chars()
    told = ~texts.str.to_lowercase().is_in(list(UNTOLD))
    return texts.filter(told).head(200)


def _read_as_days(texts: pl.Series, forms: Sequence[str]) -> int:
    days = texts.str.replace(r"[ T]\d{1,2}:\d\d.*$", "")
    read = pl.repeat(False, len(days), eager=True)
    for pattern in (p for form in forms for p in DATES[form]):
        read |= days.str.to_date(pattern, strict=False).is_not_null()
    return int(read.sum())


def _words_in_cell(column: pl.Series) -> float:
    found = _texts(column).str.count_matches(r"\s+").mean()
    return 1.0 + float(found) if isinstance(found, float) else 0.0


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


def _filled(column: Column, its: _Candidate, cells: pl.Series, remarks: Remarks) -> Column:
    """The column with its own words, unit, and ways of writing days and numbers."""
    if its.fact.kind == "date":
        return replace(column, date=_date_forms(_texts(cells)))
    if its.fact.choices:
        return replace(column, values=_values(cells, its, column.column, remarks))
    if its.is_number:
        unit = _unit_in(column.column, its) or _currency(cells, its)
        return replace(column, unit=unit, decimal=_decimal(cells), values=_unknowns(cells))
    return column


def _values(cells: pl.Series, its: _Candidate, header: str, remarks: Remarks) -> dict[str, str]:
    """Words that are near to a choice, but for those that are understood as they stand."""
    strict = _strict(its.fact)
    found = {}
    for word in _words(cells):
        if word.casefold().replace("_", " ") in strict or word.casefold() in NOTHING:
            continue
        meant = UNKNOWN_WORD if word.casefold() in NOT_KNOWN else its.ways.get(_key(word), "")
        if not meant and not remarks.meant(its.fact.id, header, word):
            meant = _meant(word, its)
        if meant:
            found[word] = meant
    return found


def _strict(fact: Fact) -> set[str]:
    """What is understood without a mapping."""
    return {
        w.casefold() for id_, says in fact.choices.items() for w in (says, id_.replace("_", " "))
    } | {UNKNOWN_WORD}


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
    words = {w for w in _words(cells, 10_000) if w.casefold() in NOT_KNOWN - {UNKNOWN_WORD}}
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
    """For each column of choices the words that say nothing to the program."""
    known = facts(base)
    remarks = Remarks(base)
    found = {}
    for column in mapping.columns:
        fact = known[column.fact]
        strict = _strict(fact)
        strange = [
            word
            for word in (_words(frame[column.column]) if fact.choices else [])
            if word not in column.values
            and word.casefold() not in NOTHING
            and word.casefold().replace("_", " ") not in strict
            and not remarks.meant(fact.id, column.column, word)
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


def write(proposed: Proposed, frame: pl.DataFrame, strange: Mapping[str, Sequence[str]]) -> str:
    """The mapping as a file, which `read` takes, with some cells beside each column."""
    mapping = proposed.mapping
    lines = [HEAD]
    if strange:
        lines.append("# Not understood, so they say nothing; add them to 'values':\n")
    for name, words in strange.items():
        listed = ", ".join(f"'{one_line(word, 30)}'" for word in words[:STRANGE])
        more = f" and {len(words) - STRANGE} more" if len(words) > STRANGE else ""
        lines.append(f"#   {one_line(name, 30)}: {listed}{more}\n")
    lines.append("columns:\n" if mapping.columns else "columns: []\n")
    for column in mapping.columns:
        how = f"# {proposed.sure[column.column]}\n"
        lines += [_samples(frame[column.column]), how, _dumped(_entry(column))]
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
