"""What must be right of a check's answers, a number's bins and their usual shares."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import Check, Observable
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND
from diagnose.knowledge.soundness.draft import Draft
from diagnose.knowledge.soundness.walk import Path


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
    if shares and abs(sum(shares) - 100) > 0.6:
        yield (
            f"the usual shares add up to {sum(shares):g}, not to 100",
            ("answers" if observable.answers else "usual",),
        )
    for word in set(observable.answers) & {FOUND, NOT_FOUND, "unknown"}:
        yield f"'{word}' cannot be an answer: it has a meaning of its own", ("answers", word)
    yield from _bin_faults(observable)


def _bin_faults(observable: Observable) -> Iterator[tuple[str, Path]]:
    bins = observable.usual
    for index, b in enumerate(bins):
        if (b.under is None) != (index == len(bins) - 1):
            yield "every bin but the last says under what it ends", ("usual", index)
    if any(a >= b for a, b in pairwise(observable.edges)):
        yield "the bins must rise", ("usual",)
    if len(bins) == 1:
        yield "one bin tells nothing: give two or none", ("usual",)
