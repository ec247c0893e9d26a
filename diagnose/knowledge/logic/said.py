"""What a row says in words: signs for and against a cause, and what rules it out.

Words of strength are read off the weights of a row here and nowhere else. What most rows of a cause
say at its symptoms is the same with other numbers, so each sign is made once.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property
from typing import Any, TypeVar

from diagnose.knowledge.logic.named import named
from diagnose.knowledge.model import Observable, RuleOut, Scales, ShownAnswers, Sign
from diagnose.knowledge.model.conditions import Condition
from diagnose.knowledge.model.words import StrengthWord

Said = dict[Hashable, Any]
"""What is made of a rule base, by all that it rests on; it lives as long as the entries there."""

S = TypeVar("S", Sign, RuleOut)

NOT_ONE: frozenset[int] = frozenset()
"""No answer; said once, for most rows have none of a kind."""

PLAINLY = 1.0
"""Decibans from which on an answer speaks plainly one way."""


def counted(mine: float, usual: float) -> str:
    """How often an answer is met with a cause, and how often usually, as a sentence.

    It stands where nobody gave a reason, and where the reason that was given speaks the other way.
    """
    begins = f"{in_hundred(mine)} of 100 cars with this cause show it"
    if of_hundred(mine) == of_hundred(usual):
        return f"{begins}, hardly {'more' if mine > usual else 'less'} than usual."
    return f"{begins}; usually {of_hundred(usual)} do."


def in_hundred(share: float) -> str:
    """A share as a count of a hundred, to begin a sentence with: 'About 62', 'Fewer than 1'."""
    words = of_hundred(share)
    return f"About {words}" if words.isdigit() else words.capitalize()


def of_hundred(share: float) -> str:
    """A share as a count of a hundred, within a sentence: '62', 'fewer than 1'."""
    count = round(100 * share)
    return "more than 99" if count >= _ALL else f"{count}" if count else "fewer than 1"


_ALL = 100


def word(scales: Scales, decibans: float) -> StrengthWord:
    """The word of strength whose number is nearest to a weight."""
    sizes = scales.strengths.items()
    return min(sizes, key=lambda item: abs(item[1] - abs(decibans)))[0]


Words = tuple[bool, StrengthWord, str]
"""Whether an answer speaks for the cause, how strongly, and what is said for its reason, if any."""


@dataclass(frozen=True)
class Saying:
    """What a row of these weights says, made when first asked for: most are only reckoned with.

    `entries`: what stands with the cause; `gone`: answers that rule it out; `turned`: those
    that speak the other way here than by the entries alone. These have no reason in the entry: how
    often they are met, with the cause and by the shares `usual`, is said in its place.
    """

    observable: Observable
    scales: Scales
    decibans: tuple[float, ...]
    entries: tuple[ShownAnswers, ...]
    gone: frozenset[int]
    turned: frozenset[int]
    usual: tuple[float, ...]
    said: Said = field(repr=False, compare=False)

    @cached_property
    def signs(self) -> tuple[Sign | None, ...]:
        """What each named answer says: one sign for those of an entry that say as much alike."""
        words = tuple(map(self._says, range(len(self.decibans))))
        key = (self.observable.id, tuple(map(id, self.entries)), words, self.gone)
        if key not in self.said:
            how = (self.entries, self.gone, self.said)
            self.said[key] = tuple(_signs(self.observable, words, *how))
        found: tuple[Sign | None, ...] = self.said[key]
        return found

    def because(self, code: int) -> str:
        """The reason that is written with an answer; '' where it is not named."""
        label = self.observable.labels[code]
        return next((entry.because for entry in self.entries if label in entry.of_100), "")

    def _says(self, code: int) -> Words:
        size, usual = self.decibans[code], self.usual[code]
        instead = counted(usual * 10 ** (size / 10), usual) if code in self.turned else ""
        return size >= 0, word(self.scales, size), instead


def turning(written: Sequence[float], decibans: Sequence[float]) -> frozenset[int]:
    """The answers that plainly weigh the other way than what is written of them alone."""
    each = enumerate(zip(written, decibans, strict=True))
    found = (
        code for code, (was, size) in each if was * size < 0 and min(abs(was), abs(size)) >= PLAINLY
    )
    return frozenset(found) or NOT_ONE


def _signs(
    observable: Observable,
    words: Sequence[Words],
    entries: Sequence[ShownAnswers],
    gone: frozenset[int],
    said: Said,
) -> list[Sign | None]:
    found: list[Sign | None] = [None] * len(words)
    for entry in entries:
        alike: dict[Words, list[int]] = {}
        for code in _codes(observable, entry):
            if code not in gone:
                alike.setdefault(words[code], []).append(code)
        for (speaks_for, strength, instead), codes in alike.items():
            for test in observable.kind.tests(observable.id, codes):
                sign = _once(
                    said,
                    Sign,
                    when=Condition((test,)),
                    speaks="for" if speaks_for else "against",
                    strength=strength,
                    because=instead or entry.because,
                    source=("derived",) if instead else entry.source,
                    group=entry.group,
                )
                for code in named(observable, test):
                    found[code] = sign
    return found


def rule_outs(
    observable: Observable,
    entries: Sequence[ShownAnswers],
    gone: frozenset[int],
    said: Said,
) -> Iterator[RuleOut]:
    """Why the answers that rule the cause out do so, for each entry and run of bins."""
    for entry in entries if gone else ():
        codes = [code for code in _codes(observable, entry) if code in gone]
        for test in observable.kind.tests(observable.id, codes) if codes else ():
            when = Condition((test,))
            yield _once(said, RuleOut, when=when, because=entry.because, source=entry.source)


def _once(said: Said, kind: type[S], **fields: Any) -> S:
    """A sign or a rule-out that says this, made once."""
    key = (kind, *fields.values())
    if key not in said:
        said[key] = kind.model_construct(_names(*fields), **fields)
    found: S = said[key]
    return found


@cache
def _names(*fields: str) -> set[str]:
    """Names of fields, as one set for all that have the same."""
    return set(fields)


def _codes(observable: Observable, entry: ShownAnswers) -> list[int]:
    """The answers that an entry names, in its order."""
    return [observable.labels.index(label) for label in entry.of_100]
