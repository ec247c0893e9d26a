"""Kinds of value that are words: one answer of several, or several that are right together."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from math import prod
from typing import assert_never

from diagnose.knowledge.model.conditions import NoneOf, OneOf, Span, Test, Value
from diagnose.knowledge.model.values import OR, AllOfThese, BadAnswer, NotOfThisKind, OneOfThese
from diagnose.measures.quantity import Quantity
from diagnose.near import near

NOTHING = "none"
"""What is written where no answer of several is right."""

NONE_OF_THESE = "none of these"

FEW = 6
"""Answers of which every set is looked at ahead; of more, those of `AHEAD` at the most."""

AHEAD = 2
"""Answers of many that are looked at together before they are told; all that is told counts."""

_AND = re.compile(r"(\s*[|,;+&]\s*(?:and\s+)?|\s+and\s+)", re.IGNORECASE)
"""Between answers that are right together."""


@dataclass(frozen=True, slots=True)
class _Answers:
    """Some answers: each one's id, in the order of its code, with its words."""

    answers: Mapping[str, str]

    @property
    def labels(self) -> tuple[str, ...]:
        """A word for each code."""
        return tuple(self.answers)

    @property
    def unit(self) -> str:
        """An answer has none."""
        return ""

    def named(self, codes: Sequence[int]) -> list[str]:
        """Some answers in words, each in quotes."""
        says = list(self.answers.values())
        return [f"'{says[code]}'" for code in codes]

    def tests(self, name: str, codes: Sequence[int]) -> tuple[Test, ...]:
        """Tests that hold for just these answers, the shorter way to say it."""
        left = [label for code, label in enumerate(self.labels) if code not in codes]
        if len(left) == 1 and len(codes) > 2:
            return (NoneOf(name, tuple(left)),)
        return (OneOf(name, tuple(self.labels[code] for code in codes)),)

    def misfit(self, name: str, test: Test) -> str | None:
        """Why a condition cannot be put to it, or None."""
        match test:
            case Span():
                return f"{name} has answers, not a number"
            case OneOf(words=words) | NoneOf(words=words):
                return self._unknown(name, words)
            case _:
                assert_never(test)

    def _unknown(self, name: str, words: Sequence[str]) -> str | None:
        for word in words:
            if word not in self.answers:
                answers = ", ".join(self.answers)
                hint = near(word, set(self.answers)) or f"; its answers are {answers}"
                return f"{name} has no answer '{word}'{hint}"
        if set(words) == set(self.answers):
            return f"every answer of {name} is named: the condition says nothing"
        return None

    def _read(self, name: str, text: str, between: re.Pattern[str]) -> list[str]:
        """The answers that a text names; an answer whose own words hold an 'or' stays whole."""
        parts = between.split(text)
        found, at = [], 0
        while at < len(parts):
            ends = range(len(parts), at, -2)
            end = next((e for e in ends if self._find("".join(parts[at:e]))), at + 1)
            found.append(self._only(name, "".join(parts[at:end])))
            at = end + 1
        return found

    def _find(self, text: str) -> str | None:
        folded = text.strip().casefold()
        for word, says in self.answers.items():
            if folded in (word, says.casefold(), word.replace("_", " ")):
                return word
        return None

    def _only(self, name: str, text: str) -> str:
        word = self._find(text)
        if word is not None:
            return word
        hint = near(text.strip().casefold().replace(" ", "_"), set(self.answers))
        raise BadAnswer(
            f"'{text}' is no answer of {name}{hint};"
            f" its answers are {', '.join(self.answers)}, or unknown"
        )

    def _ordered(self, words: Iterable[str]) -> tuple[str, ...]:
        named = set(words)
        return tuple(word for word in self.answers if word in named)

    def _said(self, words: Sequence[str], between: str) -> str:
        """Some answers in words; a word that is no longer an answer says itself."""
        return between.join(self.answers.get(word, word) for word in words)


@dataclass(frozen=True, slots=True)
class ChoiceKind(_Answers):
    """One of some answers is right."""

    @property
    def outcomes(self) -> tuple[Value, ...]:
        """What it can turn out to be, each apart from the others."""
        return self.labels

    @property
    def outcome_labels(self) -> tuple[str, ...]:
        """A word for each outcome."""
        return self.labels

    def parse(self, name: str, text: str) -> Value:
        """An answer's id or its words, or several of them with 'or'; raises BadAnswer."""
        return self.together(name, self._read(name, text, OR))

    def together(self, name: str, values: Sequence[Value]) -> Value:
        """One value of several of which one is right."""
        words = self._ordered(word for value in values for word in _possible(value))
        return words[0] if len(words) == 1 else OneOfThese(words)

    def says(self, value: Value) -> str:
        """A value in words."""
        return self._said(_possible(value), " or ")

    def label_says(self, label: str) -> str:
        """An outcome's label in words."""
        return self.answers[label]

    def covers(self, codes: Sequence[int]) -> str:
        """What a place of a table stands for, in words."""
        return self._said([self.labels[code] for code in codes], " or ")

    def codes(self, value: Value) -> Sequence[int]:
        """The answers, by number, that a value may be."""
        labels = self.labels
        return tuple(labels.index(word) for word in _possible(value))

    def value(self, code: int) -> Value:
        """A value that is this answer."""
        return self.labels[code]

    def outcomes_of(self, value: Value) -> Sequence[int]:
        """The outcomes, by number, that a value may be."""
        return self.codes(value)

    def outcome_shares(self, usual: Sequence[float]) -> tuple[float, ...]:
        """The share of each outcome, from those of the answers; they sum to one."""
        return tuple(usual)

    def of(self, codes: Sequence[int]) -> Value:
        """A value that is one of these answers."""
        words = tuple(self.labels[code] for code in codes)
        return words[0] if len(words) == 1 else OneOfThese(words)

    def allows(self, value: Value) -> bool:
        """Whether a value on record is (still) one of these answers."""
        match value:
            case str() | OneOfThese():
                return all(word in self.answers for word in _possible(value))
            case Quantity() | AllOfThese():
                return False
            case _:
                assert_never(value)


@dataclass(frozen=True)
class SeveralKind(_Answers):
    """Answers that can be right together, each a yes or no of its own.

    `nothing`: the words where none of them is.
    """

    nothing: str = NONE_OF_THESE

    @cached_property
    def outcomes(self) -> tuple[Value, ...]:
        """What it can turn out to be, each apart from the others: sets of the answers.

        Of few answers every set; of many those that are met, for three at once are rare.
        """
        labels = self.labels
        most = len(labels) if len(labels) <= FEW else AHEAD
        return tuple(AllOfThese(its) for n in range(most + 1) for its in combinations(labels, n))

    @property
    def outcome_labels(self) -> tuple[str, ...]:
        """A word for each outcome."""
        return tuple(map(str, self.outcomes))

    def parse(self, name: str, text: str) -> Value:
        """All answers that are right, with 'and' or commas, or 'none'; raises BadAnswer."""
        if text.casefold() in (NOTHING, self.nothing.casefold()):
            return AllOfThese(())
        return self.together(name, self._read(name, text, _AND))

    def together(self, name: str, values: Sequence[Value]) -> Value:
        """One value of several that are right together."""
        return AllOfThese(self._ordered(word for value in values for word in _so(value)))

    def says(self, value: Value) -> str:
        """A value in words."""
        return self._said(_so(value), " and ") or self.nothing

    def label_says(self, label: str) -> str:
        """An outcome's label in words."""
        return self._said(label.split(" and "), " and ") if label != NOTHING else self.nothing

    def covers(self, codes: Sequence[int]) -> str:
        """What a place of a table stands for, in words."""
        return self._said([self.labels[code] for code in codes], " and ") or self.nothing

    def codes(self, value: Value) -> Sequence[int]:
        """The answers, by number, that are right."""
        labels = self.labels
        return tuple(labels.index(word) for word in _so(value))

    def value(self, code: int) -> Value:
        """A value in which this answer alone is right."""
        return self.of((code,))

    def outcomes_of(self, value: Value) -> Sequence[int]:
        """The outcome, by number, that a value is; none where so many are not looked at ahead."""
        its = self.of(self.codes(value))
        return (self.outcomes.index(its),) if its in self.outcomes else ()

    def outcome_shares(self, usual: Sequence[float]) -> tuple[float, ...]:
        """The share of each outcome, its answers each by itself; they sum to one."""
        codes = range(len(usual))
        each = (self.codes(outcome) for outcome in self.outcomes)
        found = [prod(usual[c] if c in so else 1 - usual[c] for c in codes) for so in each]
        return tuple(share / sum(found) for share in found)

    def misfit(self, name: str, test: Test) -> str | None:
        """Why a condition cannot be put to it, or None; 'none' says that nothing is so."""
        words = () if isinstance(test, Span) else test.words
        if NOTHING in words:
            return "'none' stands alone" if len(words) > 1 else None
        every = set(words) == set(self.answers)
        return None if every else super().misfit(name, test)

    def tests(self, name: str, codes: Sequence[int]) -> tuple[Test, ...]:
        """Tests that hold for each of these answers by itself."""
        return tuple(OneOf(name, (self.labels[code],)) for code in codes)

    def of(self, codes: Sequence[int]) -> Value:
        """A value in which these answers are right, and no other."""
        return AllOfThese(tuple(self.labels[code] for code in codes))

    def allows(self, value: Value) -> bool:
        """Whether a value on record (still) has these answers."""
        match value:
            case str() | AllOfThese():
                return all(word in self.answers for word in _so(value))
            case Quantity() | OneOfThese():
                return False
            case _:
                assert_never(value)


def _possible(value: Value) -> tuple[str, ...]:
    """The answers that a choice may be."""
    match value:
        case str():
            return (value,)
        case OneOfThese(words=words):
            return words
        case Quantity() | AllOfThese():
            raise NotOfThisKind(f"{value} is no choice")
        case _:
            assert_never(value)


def _so(value: Value) -> tuple[str, ...]:
    """The answers that are right together; one alone is so by itself."""
    match value:
        case str():
            return (value,) if value != NOTHING else ()
        case AllOfThese(words=words):
            return words
        case Quantity() | OneOfThese():
            raise NotOfThisKind(f"{value} is no set of answers that are right together")
        case _:
            assert_never(value)
