"""Numbers and times in a text: three weeks, half an inch, -5 to 3 °C."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.knowledge.model import Check, Wording
from diagnose.knowledge.words.days import MONTH
from diagnose.knowledge.words.vocabulary import Vocabulary
from diagnose.measures import units
from diagnose.measures.quantity import Quantity, between

DEGREES = ("degrees", "degree", "deg")
"""Of whatever scale, for nobody says it; so they are never sure."""

_FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75}
_UNIT = r"%\s?rh|%|(?:°|deg(?:rees?)?\b\.?)\s?[cf]\b|[a-zµ]+(?:/[a-z]+)?|[\"″]"


@dataclass(frozen=True, slots=True)
class Amount:
    """A number or a range with the unit after it, and where it stands in the text."""

    start: int
    end: int
    low: float
    high: float
    unit: str


class AmountReader:
    """Reads the numbers of a text with the words for numbers that the rules have."""

    def __init__(self, wording: Wording, vocabulary: Vocabulary) -> None:
        self._wording = wording
        self._counts = {w.casefold(): n for w, n in wording.counts.items()}
        self._days = {vocabulary.stem(w): n for w, n in wording.days.items()}
        self._stem = vocabulary.stem
        self._pattern = _pattern(self._counts, wording.under)

    def read(self, text: str) -> Iterator[Amount]:
        """Every number of a text."""
        for found in self._pattern.finditer(text):
            unit = (found["unit"] or "").casefold().replace(" ", "")
            unit = re.sub(r"^deg(?:rees?)?\.?(?=[cf]$)", "°", unit)
            scale = self._scale((found["first"] or "").casefold(), unit)
            lows = [scale * end for end in self._number(found["low"])]
            ends = [*lows, *(self._number(found["high"]) if found["high"] else lows)]
            more = 0.5 if found["half"] else 0.0
            low = 0.0 if found["under"] else min(ends) + more
            yield Amount(found.start(), found.end(), low, max(ends) + more, unit)

    def _scale(self, first: str, unit: str) -> float:
        """What turns the unit of a range's first number into that of its last: months to years."""
        one, other = (self._day(name) for name in (first, unit))
        return one / other if one and other else 1.0

    def _number(self, text: str) -> tuple[float, float]:
        said = self._counts.get(text.casefold())
        if said is not None:
            return said if isinstance(said, tuple) else (said, said)
        digits = re.sub(r"[½¼¾\s]", "", text).replace(",", ".").replace("−", "-")
        part = sum(_FRACTIONS.get(sign, 0) for sign in text)
        value = float(digits or 0) + part
        return value, value

    def days(self, amount: Amount) -> tuple[float, float] | None:
        """A time in days; None where the unit is none of time."""
        one = self._day(amount.unit)
        return None if one is None else (amount.low * one, amount.high * one)

    def _day(self, unit: str) -> float | None:
        """The days of a unit of time, short ones with their plural: mo, mos, yr, yrs."""
        return self._days.get(self._stem(unit)) or self._days.get(unit.removesuffix("s"))

    def is_unit(self, word: str) -> bool:
        """Whether a word is a unit of time or length."""
        return bool(self._day(word)) or word in units.spellings_of("mm")

    def reading(self, amount: Amount, check: Check) -> Quantity | None:
        """The amount in the unit of a check, None where it does not fit."""
        assert check.number is not None
        found = self._converted(amount, check.number.unit)
        if found is None or found.low < check.number.low or found.high > check.number.high:
            return None
        return found

    def _converted(self, amount: Amount, unit: str) -> Quantity | None:
        spellings = units.spellings_of(unit)
        if amount.unit in DEGREES and unit == "°C":
            return _rounded(amount.low, amount.high)
        said = (amount.unit, amount.unit.removesuffix("s"), amount.unit.removesuffix("es"))
        name = next((name for name in said if name in spellings), None)
        if name is not None:
            factor, offset = spellings[name]
            return _rounded(amount.low * factor + offset, amount.high * factor + offset)
        days = self.days(amount)
        per = {"days": 1.0, "h": 1 / 24, "months": MONTH, "min": 1 / 1440}.get(unit)
        if days is None or per is None:
            return None
        return _rounded(*(day / per for day in days))


def _rounded(low: float, high: float) -> Quantity:
    """A reading as exact as anything that is said in words."""
    return between(round(low, 2), round(high, 2))


def _pattern(counts: Mapping[str, object], under: Sequence[str]) -> re.Pattern[str]:
    """A number or two with the unit after: 'under a year', 'two and a half weeks', '18-24 mm'."""
    words = "|".join(sorted(map(re.escape, counts), key=len, reverse=True)) or "(?!)"
    number = rf"(?!\d{{4}}s\b)(?:[-−]?\d+(?:[.,]\d+)?(?:\s?[½¼¾])?|[½¼¾]|\b(?:{words})\b)"
    below = "|".join(map(re.escape, under)) or "(?!)"
    return re.compile(
        rf"(?:(?P<under>\b(?:{below}))\s+)?"
        rf"(?P<low>(?<![\w.,-]){number})(?P<half>\s+and\s+a\s+half)?"
        rf"(?:\s*(?P<first>{_UNIT})?\s*(?:-|–|to|or|and)\s*(?P<high>{number}))?"
        rf"(?:[\s-]*(?:of(?:\s+an?)?|an?)\b)?"
        rf"(?:[\s-]*(?P<unit>{_UNIT})(?![a-z]))?",
        re.IGNORECASE,
    )
