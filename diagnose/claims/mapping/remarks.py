"""What can be read out of a remark, and how little it may weigh.

The words stand in the rule base: phrases at each answer of a check, and what a symptom is also
called. A phrase that is negated says nothing; two different answers of one check say nothing.

An answer read from a remark is kept apart from answered checks, as a check of its own
(`<check>_in_remark`). So it never meets a rule-out, a finding, or a condition of a policy; it only
weighs. Its table is the check's own mixed with the usual shares, P'(a|c) = (1-m)·b(a) + m·P(a|c),
with the largest m at which no answer weighs more than 'barely'. It stays a distribution, and chain
and matrix read it like any other.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from math import log10

import polars as pl

from diagnose.claims.mapping.shortened import shortened
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.model.values import AllOfThese
from diagnose.knowledge.words.proposal import Named, Proposal, TextSpan
from diagnose.knowledge.words.understanding import Understanding
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.evidence.tables import Tables, tables

SUFFIX = "_in_remark"

_EITHER = re.compile(r"\bor\b|\|", re.IGNORECASE)
"""What sets several answers in one cell apart."""

_YES = re.compile(r"(y|yes|ok)\b", re.IGNORECASE)
"""How a cell begins that agrees with what its header names."""

_LETTER = {"y": "yes", "n": "no"}

FEW_WORDS = 4
"""Words of a cell up to which it may be an answer to its header."""

LONGEST = 10_000
"""Characters of a cell that are read; nobody writes more of one claim."""

_NO = re.compile(r"(no|none|never|n)\b", re.IGNORECASE)
"""How a cell begins that denies what its header names: 'no, forgot' under 'Heated at end'."""

CLEAR = 1.5
"""How many times the words for the next symptom those of the first must be, to be the only one."""


def in_remark(check: str) -> str:
    """The name under which a remark's answer to a check is kept."""
    return check + SUFFIX


def with_remarks(base: Base) -> Base:
    """The base with a second check for each that remarks can speak of."""
    spoken = {
        in_remark(c.id): c.model_copy(
            update={"id": in_remark(c.id), "name": f"{c.name} (read from the remark)"}
        )
        for c in base.checks.values()
        if any(a.phrases for a in c.answers.values())
    }
    return base.with_checks(spoken)


def tables_with_remarks(base: Base, symptom: str) -> Tables:
    """The tables of a symptom with a barely-strong row for each that a remark can speak of."""
    table = tables(base, symptom)
    return replace(table, rows=_WithRemarks(base, table.rows))


class _WithRemarks(Mapping[str, tuple[CauseRow | None, ...]]):
    """Rows by check, those of remarks made when first looked at: remarks speak of few checks."""

    def __init__(self, base: Base, rows: Mapping[str, tuple[CauseRow | None, ...]]) -> None:
        self._base = base
        self._rows = dict(rows)
        self._open = {in_remark(name): name for name in rows if in_remark(name) in base.checks}
        self._names = (*rows, *self._open)

    def __getitem__(self, name: str) -> tuple[CauseRow | None, ...]:
        if name not in self._rows and name in self._open:
            its = self._rows[self._open[name]]
            self._rows[name] = tuple(r and _softened(self._base, r) for r in its)
        return self._rows[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


def _softened(base: Base, row: CauseRow) -> CauseRow:
    factors = [10 ** (d / 10) for d in row.decibans]
    for code in row.ruled_out:
        factors[code] = 0.0
    both = zip(factors, row.usual, strict=True)
    not_so = [(1 - b * f) / (1 - b) for f, b in both] if row.absent else []
    share = mixing([*factors, *not_so], base.scales.strengths["barely"])
    softer = [1 - share + share * f for f in factors]
    decibans = tuple(10 * log10(f) for f in softer)
    absent = tuple(10 * log10(1 - share + share * f) for f in not_so)
    name = in_remark(row.observable)
    return CauseRow(name, decibans, row.says, row.group, usual=row.usual, absent=absent)


def mixing(factors: Sequence[float], decibans: float) -> float:
    """The largest part of a distribution that keeps every factor on its shares within a weight."""
    up, down = 10 ** (decibans / 10) - 1, 1 - 10 ** (-decibans / 10)
    parts = [up / (f - 1) if f > 1 else down / (1 - f) for f in factors if f != 1]
    return min([1.0, *parts])


class _Same:
    """A base as itself, whatever it holds."""

    def __init__(self, base: Base) -> None:
        self.base = base

    def __hash__(self) -> int:
        return id(self.base)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.base is self.base


@lru_cache(maxsize=1)
def _understanding(of: _Same) -> Understanding:
    """What understands own words; made once for a base, for that takes seconds."""
    return Understanding(of.base)


@dataclass(frozen=True, slots=True)
class Outside:
    """A statement that names what works on film beside how it was made and laid.

    `checks`: those that the same words answer; `symptoms`: those that they name. Until one of
    these weighs, the statement does not.
    """

    statement: str
    checks: tuple[str, ...] = ()
    symptoms: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RemarkSays:
    """What a remark says: answers by check, and symptoms that it names, the likeliest first.

    `numbers`: answers that are amounts; `like`: the symptom that it is most like where it names
    none; `outside`: what it names beside the shop's work; `later_owner`: that who claims is not
    the first owner; `place`: the panel that is named first, either side where none is.
    """

    answers: Mapping[str, str]
    symptoms: tuple[str, ...]
    like: str = ""
    place: str = ""
    numbers: Mapping[str, Quantity] = field(default_factory=dict)
    outside: tuple[Outside, ...] = ()
    later_owner: bool = False

    @property
    def says(self) -> bool:
        """Whether it says anything at all."""
        told = self.answers or self.symptoms or self.like or self.place or self.numbers
        return bool(told or self.outside or self.later_owner)


class Remarks:
    """Reads remarks with the words of a rule base: what is sure, and nothing that is only like."""

    def __init__(self, base: Base) -> None:
        self._base = base
        self._understanding = _understanding(_Same(base))
        self._age = base.role("age")

    def read(self, remark: str) -> RemarkSays:
        """What one remark says."""
        understood = self._understanding.read(remark[:LONGEST])
        sure = [proposal for proposal in understood.answers if proposal.sure]
        answers = {
            proposal.subject: str(proposal.value)
            for proposal in sure
            if isinstance(proposal.value, AllOfThese)
            or proposal.value in self._base.checks[proposal.subject].answers
        }
        numbers = {
            proposal.subject: proposal.value
            for proposal in sure
            if isinstance(proposal.value, Quantity) and proposal.subject != self._age
        }
        named = tuple(_clearest(understood.symptoms))
        like = "" if named or not understood.symptoms else str(understood.symptoms[0].value)
        later = any(its.role == "later_owner" for its in understood.named)
        told = [p for p in sure if p.subject in answers or p.subject in numbers]
        told += [p for p in understood.symptoms if p.sure]
        checks = self._base.checks
        setting = (p for p in sure if p.subject and checks[p.subject].setting)
        where = [span for its in (*understood.places, *setting) for span in its.spans]
        outside = tuple(_outside(understood.named, told, where))
        place = next((str(its.value) for its in understood.places), "")
        return RemarkSays(answers, named, like, place, numbers, outside, later)

    def below(self, header: str, text: str) -> RemarkSays:
        """What a cell says: its words, and where they are few and say nothing, below its header.

        What the header says by itself is no answer of what stands below it.
        """
        said = self.read(text)
        if said.says or len(text.split()) > FEW_WORDS or not header:
            return said
        own = self.read(header)
        word = _LETTER.get(text.strip().casefold(), text)
        denied = (f"no {header}",) if _NO.match(word) else ()
        agreed = (f"{header} yes",) if _YES.match(word) else ()
        for one in (f"{header}: {word}", *denied, *agreed, f"{header} {word}"):
            its = self.read(one)
            answers = {
                check: answer
                for check, answer in its.answers.items()
                if own.answers.get(check) != answer
            }
            numbers = {check: n for check, n in its.numbers.items() if check not in own.numbers}
            if answers or numbers:
                return RemarkSays(answers, (), numbers=numbers)
        return said

    def days(
        self,
        remark: str,
        today: date,
        open_: Container[str] = frozenset(),
        day_first: bool = False,
    ) -> dict[str, tuple[date, date]]:
        """First and last day of what a remark is sure of, by fact; none lies after `today`.

        `day_first`: the sheet shows elsewhere that of two numbers the first is the day.
        """
        told = self._understanding.dated(remark[:LONGEST], today, open_)
        return {fact: (its.first, its.last) for fact, its in told.items() if its.sure or day_first}

    def day(self, text: str, today: date) -> tuple[date, date] | None:
        """First and last day that a cell for a day tells in words; None where it tells none."""
        its = self._understanding.day_of(text[:LONGEST], today)
        return (its.first, its.last) if its is not None else None

    def meant(self, fact: str, header: str, text: str) -> str:
        """What the words of a cell say of a fact, alone or below their header: an id, or ''."""
        if fact == "symptom":
            symptoms = self.read(text).symptoms
            return symptoms[0] if symptoms else ""
        if _EITHER.search(text):
            return ""
        header = self._in_full(fact, header)
        text = _LETTER.get(text.strip().casefold(), text)
        denied = (f"no {header}",) if _NO.match(text) else ()
        agreed = (f"{header} yes",) if _YES.match(text) else ()
        for said in (text, f"{header}: {text}", *denied, *agreed, f"{header} {text}"):
            word = self._place(said) if fact == "panel" else self.read(said).answers.get(fact, "")
            if word:
                return word
        return ""

    def _in_full(self, fact: str, header: str) -> str:
        """The header that one is cut short of, as the rules have it; else itself."""
        check = self._base.checks.get(fact)
        of = {its: shortened(header, its) for its in check.headers} if check else {}
        best = max(of, key=lambda its: of[its], default="")
        return best if best and of[best] > 0 else header

    def place(self, text: str) -> str:
        """The place that is named in a text, either side where none is told."""
        places = self._understanding.read(text[:LONGEST]).places
        return str(places[0].value) if places else ""

    def _place(self, text: str) -> str:
        places = self._understanding.read(text).places
        return str(places[0].value) if len(places) == 1 and places[0].sure else ""

    def read_all(self, remarks: pl.Series, header: str = "") -> dict[str, RemarkSays]:
        """What each distinct remark says; those that say nothing are left out."""
        texts = remarks.drop_nulls().unique()
        found = {}
        for text in texts.filter(texts != "").to_list():
            said = self.below(header, text)
            if said.says:
                found[text] = said
        return found


def _outside(
    named: Sequence[Named], told: Sequence[Proposal], where: Sequence[TextSpan]
) -> Iterator[Outside]:
    """Each statement that names something from outside, with what its words say besides.

    A word of a place is none: a fuel flap is no fuel.
    """
    found: dict[str, list[Proposal]] = {}
    for its in named:
        if its.role != "outside" or any(_meet(its.span, place) for place in where):
            continue
        same = [p for p in told if any(_meet(its.span, span) for span in p.spans)]
        found.setdefault(its.statement, []).extend(same)
    for statement, its_own in found.items():
        checks = dict.fromkeys(p.subject for p in its_own if p.kind == "answer")
        symptoms = dict.fromkeys(str(p.value) for p in its_own if p.kind == "symptom")
        yield Outside(statement, tuple(checks), tuple(symptoms))


def _meet(one: TextSpan, other: TextSpan) -> bool:
    return one.start < other.end and other.start < one.end


def _clearest(symptoms: Sequence[Proposal]) -> list[str]:
    """The symptoms named, without those that far fewer words speak for."""
    sure = [s for s in symptoms if s.sure]
    return [str(s.value) for s in sure if s.weight * CLEAR > sure[0].weight]
