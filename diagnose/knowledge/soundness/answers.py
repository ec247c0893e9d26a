"""What must be right of a check's answers, a number's bins and their usual shares."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import Check, Observable
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND
from diagnose.knowledge.model.kinds import NOTHING, SeveralKind
from diagnose.knowledge.soundness.draft import Draft
from diagnose.knowledge.soundness.walk import Path
from diagnose.measures.units import spellings_of
from diagnose.near import near

MOST_TOGETHER = 12
"""Answers of one check that can be right together; each pair of them is looked at ahead."""


def answers_fit(draft: Draft) -> Iterator[Problem]:
    """Answers, bins and their shares."""
    for section in ("checks", "measures"):
        for observable in getattr(draft.file, section):
            for sentence, path in answer_faults(observable):
                yield draft.problem(sentence, section, observable.id, path, "answers")


def answer_faults(observable: Observable) -> Iterator[tuple[str, Path]]:
    """What is wrong with the answers of a check or measure, each with the way to it."""
    is_check = isinstance(observable, Check)
    number = getattr(observable, "number", None)
    if is_check and bool(observable.answers) == bool(number):
        yield "a check has either answers or a number", ("id",)
    if is_check and len(observable.answers) == 1:
        yield "a check needs at least two answers", ("answers",)
    if observable.answers and observable.usual:
        yield "bins go with a number, not with answers", ("usual",)
    shares = [a.usual for a in observable.answers.values()] or [b.usual for b in observable.usual]
    together = isinstance(observable.kind, SeveralKind)
    if shares and not together and abs(sum(shares) - 100) > 0.6:
        yield (
            f"the usual shares add up to {sum(shares):g}, not to 100",
            ("answers" if observable.answers else "usual",),
        )
    for word in set(observable.answers) & {FOUND, NOT_FOUND, "unknown"}:
        yield f"'{word}' cannot be an answer: it has a meaning of its own", ("answers", word)
    if together:
        yield from _together_faults(observable)
    elif is_check and observable.nothing:  # type: ignore[attr-defined]
        yield "what is said where nothing is so goes with several: true", ("nothing",)
    for number, word in enumerate(observable.ordered):
        if word not in observable.answers or word in observable.ordered[:number]:
            known = near(word, set(observable.answers))
            yield f"'{word}' is no answer of its own here{known}", ("ordered", number)
    yield from _bin_faults(observable)
    if isinstance(observable, Check):
        yield from _word_faults(observable)
        yield from _date_faults(observable)


def _together_faults(observable: Observable) -> Iterator[tuple[str, Path]]:
    """Answers that can be right together, of which every set is an outcome that may be met."""
    if not 2 <= len(observable.answers) <= MOST_TOGETHER:
        limits = f"2 to {MOST_TOGETHER} answers can be right together"
        yield f"{limits}: join some, or split the check", ("answers",)
    if NOTHING in observable.answers:
        sentence = f"'{NOTHING}' is said where no answer is right: its words go under nothing"
        yield sentence, ("answers", NOTHING)


def _word_faults(check: Check) -> Iterator[tuple[str, Path]]:
    """Words for a number that the number cannot be."""
    if check.words and check.number is None:
        yield "words for a number go with a number", ("words",)
        return
    for word, (low, high) in check.words.items():
        assert check.number is not None
        if not check.number.low <= low <= high <= check.number.high:
            ends = f"{check.number.low:g} to {check.number.high:g}"
            yield f"'{word}' is no range within {ends}, from low to high", ("words", word)
        if word.casefold() == "unknown" or any(sign.isdigit() for sign in word):
            yield f"'{word}' is read otherwise: take a word without digits", ("words", word)


def _date_faults(check: Check) -> Iterator[tuple[str, Path]]:
    """Dates that cannot answer a check, and days of answers that no date leads to."""
    days = {word: answer.days for word, answer in check.answers.items() if answer.days}
    for word, (first, last) in days.items():
        if check.between is None:
            yield "days go with a check that says between which dates it lies", ("answers", word)
        if first > last:
            yield "the days run from few to many", ("answers", word, "days")
    if check.between and check.number and "days" not in spellings_of(check.number.unit):
        yield f"{check.number.unit or 'no unit'} is no time: dates cannot tell it", ("between",)
    if check.between and check.answers and not days:
        yield "say of its answers on which days they can be right", ("between",)


def _bin_faults(observable: Observable) -> Iterator[tuple[str, Path]]:
    bins = observable.usual
    for index, b in enumerate(bins):
        if (b.under is None) != (index == len(bins) - 1):
            yield "every bin but the last says under what it ends", ("usual", index)
    if any(a >= b for a, b in pairwise(observable.edges)):
        yield "the bins must rise", ("usual",)
    if len(bins) == 1:
        yield "one bin tells nothing: give two or none", ("usual",)
