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
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import log10

import polars as pl

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.likelihood import Row
from diagnose.reasoning.evidence.tables import Tables, tables

SUFFIX = "_in_remark"

NEGATIONS = (
    *("no", "not", "never", "none", "without", "nor", "neither", "cannot", "hardly", "free"),
    *("isn't", "wasn't", "aren't", "weren't", "don't", "doesn't", "didn't", "hasn't", "haven't"),
    *("hadn't", "denies", "denied", "doubt", "doubts"),
)
STOPS = frozenset([".", ",", ";", ":", "!", "?", "but", "however", "although"])
REACH = 6
"""Words before a phrase within which a negation turns it, unless a stop lies between."""

ANSWERED = frozenset([":", "?"])
"""Stops after a phrase that let its answer follow: 'bubbles: none', 'brush wash? no'."""

FILLERS = frozenset(["a", "an", "the", "is", "are", "was", "were", "be", "been", "has", "have"])
"""Words that stand between those of a phrase and say nothing: 'the clear layer is peeling'."""

_PLURAL = re.compile(r"[^su'’]s$")
_TOKENS = re.compile(r"[\w'’-]+|[.,;:!?]")


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
    return replace(base, checks={**base.checks, **spoken})


def tables_with_remarks(base: Base, symptom: str) -> Tables:
    """The tables of a symptom with a barely-strong row for each that a remark can speak of."""
    table = tables(base, symptom)
    soft: dict[str, tuple[Row | None, ...]] = {}
    for name, rows in table.rows.items():
        if in_remark(name) in base.checks:
            soft[in_remark(name)] = tuple(
                None if row is None else _softened(base, row) for row in rows
            )
    return replace(table, rows={**table.rows, **soft})


def _softened(base: Base, row: Row) -> Row:
    factors = [10 ** (d / 10) for d in row.decibans]
    for code in row.ruled_out:
        factors[code] = 0.0
    share = mixing(factors, base.scales.strengths["barely"])
    decibans = tuple(10 * log10(1 - share + share * f) for f in factors)
    return Row(in_remark(row.observable), decibans, row.signs, row.group, usual=row.usual)


def mixing(factors: Sequence[float], decibans: float) -> float:
    """The largest part of a distribution that keeps every factor on its shares within a weight."""
    up, down = 10 ** (decibans / 10) - 1, 1 - 10 ** (-decibans / 10)
    parts = [up / (f - 1) if f > 1 else down / (1 - f) for f in factors if f != 1]
    return min([1.0, *parts])


@dataclass(frozen=True, slots=True)
class Said:
    """What a remark says: answers by check, and symptoms that it names."""

    answers: Mapping[str, str]
    symptoms: tuple[str, ...]


class Lexicon:
    """The phrases of a rule base, ready to read remarks."""

    def __init__(self, base: Base) -> None:
        self._phrases: dict[tuple[str, ...], list[tuple[str, str]]] = {}
        for check in base.checks.values():
            for word, answer in check.answers.items():
                for phrase in answer.phrases:
                    self._phrases.setdefault(_tokens(phrase), []).append((check.id, word))
        for symptom in base.symptoms.values():
            for phrase in (symptom.name, symptom.id.replace("_", " "), *symptom.also_called):
                self._phrases.setdefault(_tokens(phrase), []).append(("", symptom.id))
        self._phrases.pop((), None)
        self._longest: dict[str, int] = {}
        for tokens in self._phrases:
            self._longest[tokens[0]] = max(len(tokens), self._longest.get(tokens[0], 0))

    def read(self, remark: str) -> Said:
        """What one remark says."""
        found: dict[str, set[str]] = {}
        tokens = _tokens(remark)
        at = 0
        while at < len(tokens):
            size = self._match(tokens, at)
            if size and not (_negated(tokens, at) or _denied(tokens, at + size)):
                for check, word in self._phrases[tokens[at : at + size]]:
                    found.setdefault(check, set()).add(word)
            at += size or 1
        symptoms = tuple(sorted(found.pop("", ())))
        answers = {c: next(iter(w)) for c, w in sorted(found.items()) if len(w) == 1}
        return Said(answers, symptoms)

    def _match(self, tokens: tuple[str, ...], at: int) -> int:
        """The length of the longest phrase that starts here, or 0."""
        for size in range(self._longest.get(tokens[at], 0), 0, -1):
            if tokens[at : at + size] in self._phrases:
                return size
        return 0

    def read_all(self, remarks: pl.Series) -> dict[str, Said]:
        """What each distinct remark says; those that say nothing are left out."""
        texts = remarks.drop_nulls().unique()
        found = {}
        for text in texts.filter(texts != "").to_list():
            said = self.read(text)
            if said.answers or said.symptoms:
                found[text] = said
        return found


def _tokens(text: str) -> tuple[str, ...]:
    """Words and stops in small letters without fillers, a plural as its singular."""
    found = _TOKENS.findall(text.casefold().replace("’", "'"))
    said = (w for w in found if w not in FILLERS)
    return tuple(w[:-1] if len(w) > 3 and _PLURAL.search(w) else w for w in said)


_NO = frozenset(token for word in NEGATIONS for token in _tokens(word))


def _negated(tokens: tuple[str, ...], at: int) -> bool:
    for token in reversed(tokens[max(0, at - REACH) : at]):
        if token in STOPS:
            return False
        if token in _NO:
            return True
    return False


def _denied(tokens: tuple[str, ...], after: int) -> bool:
    """Whether a phrase that ends here is answered with 'no'."""
    follows = tokens[after : after + 2]
    return len(follows) == 2 and follows[0] in ANSWERED and follows[1] in _NO
