"""What a cause makes of a check's answers, from the signs that stand in the cause.

With b the usual shares of a check's answers and L the strength of a sign that names some of them,
P(a | cause) = L·b(a) for the named answers; the answers that no sign names share what remains, in
proportion to b. So a stated strength holds exactly, and silence speaks: a sign nearly always left,
looked for and not found, speaks against its cause by as much as it should. An answer that rules a
cause out has P(a | cause) = 0, and what it leaves goes to the others in the same way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import pairwise
from math import inf, isclose, log10
from typing import assert_never

from diagnose.knowledge.model import Cause, Observable, Scales, Sign
from diagnose.knowledge.model.conditions import Condition, NoneOf, OneOf, Span, Test


class NoTable(ValueError):
    """Signs that no probabilities can satisfy; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Row:
    """What one cause makes of one check.

    `decibans[a]` is 10·log10(P(a | cause)/b(a)); `signs[a]` the sign that names answer `a`. The
    answers of `ruled_out` cannot be with the cause and weigh nothing by themselves.
    """

    observable: str
    decibans: tuple[float, ...]
    signs: tuple[Sign | None, ...]
    group: str | None
    ruled_out: frozenset[int] = frozenset()

    def sign(self, codes: Sequence[int]) -> Sign | None:
        """The sign that names all of some answers, where one does."""
        found = {id(self.signs[code]): self.signs[code] for code in codes}
        return next(iter(found.values())) if len(found) == 1 else None


def named(observable: Observable, test: Test) -> tuple[int, ...]:
    """The codes of the answers that a test holds for; NoTable if a number's end is no bin's end."""
    match test:
        case Span():
            return _named_bins(observable, test)
        case OneOf(words=words):
            return tuple(i for i, word in enumerate(observable.labels) if word in words)
        case NoneOf(words=words):
            return tuple(i for i, word in enumerate(observable.labels) if word not in words)
        case _:
            assert_never(test)


def _named_bins(observable: Observable, span: Span) -> tuple[int, ...]:
    edges = (-inf, *observable.edges, inf)
    for end, closed_wrong in ((span.low, not span.low_closed), (span.high, span.high_closed)):
        if end not in edges or (abs(end) < inf and closed_wrong):
            ends = ", ".join(f"{e:g}" for e in observable.edges) or "none"
            raise NoTable(
                f"the bins of {observable.id} end at {ends}; use at_least and under with one of"
                f" these, or give {observable.id} a bin that ends at {end:g}"
            )
    return tuple(i for i, (a, b) in enumerate(pairwise(edges)) if span.low <= a and b <= span.high)


def single_outs(cause: Cause) -> Iterator[tuple[str, Condition]]:
    """The rule-outs of a cause that read one subject only, with that subject."""
    for out in cause.ruled_out_when:
        test = out.when.only()
        if test is not None:
            yield test.subject, out.when


def single_signs(cause: Cause) -> Iterator[tuple[str, Sign]]:
    """The signs of a cause that read one subject only, with that subject."""
    for sign in cause.signs:
        test = sign.when.only()
        if test is not None:
            yield test.subject, sign


def has_shares(observables: Mapping[str, Observable], when: Condition) -> bool:
    """Whether a condition reads one thing only, whose usual shares are known."""
    test = when.only()
    return test is not None and bool(
        test.subject in observables and observables[test.subject].shares
    )


def rows(cause: Cause, observables: Mapping[str, Observable], scales: Scales) -> dict[str, Row]:
    """What a cause makes of each check and measure that it has a sign or a rule-out on."""
    signs: dict[str, list[Sign]] = {}
    outs: dict[str, list[Condition]] = {}
    for subject, sign in single_signs(cause):
        if has_shares(observables, sign.when):
            signs.setdefault(subject, []).append(sign)
    for subject, when in single_outs(cause):
        if has_shares(observables, when):
            outs.setdefault(subject, []).append(when)
    return {
        name: row(observables[name], signs.get(name, ()), scales, outs.get(name, ()))
        for name in dict.fromkeys((*signs, *outs))
    }


def row(
    observable: Observable,
    signs: Sequence[Sign],
    scales: Scales,
    outs: Sequence[Condition] = (),
) -> Row:
    """The table row of one cause on one check that has usual shares; raises NoTable.

    `outs` are the cause's rule-outs on this check alone. A ruled-out answer weighs nothing by
    itself, since the cause is gone then; but it leaves more for the others.
    """
    usual = observable.shares
    factor: list[float | None] = [None] * len(usual)
    by_answer: list[Sign | None] = [None] * len(usual)
    impossible = _ruled_out(observable, outs)
    for code in impossible:
        factor[code] = 0.0
    for sign in signs:
        test = sign.when.only()
        assert test is not None
        for code in named(observable, test):
            if sign.strength == "implied":
                by_answer[code] = by_answer[code] or sign
                continue
            if factor[code] == 0.0:
                continue
            if factor[code] is not None:
                raise NoTable(
                    f"two signs of one cause name the answer '{observable.labels[code]}' of"
                    f" {observable.id}: keep one"
                )
            factor[code], by_answer[code] = _factor(sign, scales), sign
    rest = _rest(observable, usual, factor)
    decibans = tuple(10 * log10(rest if f is None else f or 1.0) for f in factor)
    group = _group(signs, observable)
    return Row(observable.id, decibans, tuple(by_answer), group, impossible)


def _ruled_out(observable: Observable, outs: Sequence[Condition]) -> frozenset[int]:
    """The answers that rule the cause out; a range that is no bin's is left to its own rule."""
    found: set[int] = set()
    for when in outs:
        test = when.only()
        with suppress(NoTable):
            found |= set(named(observable, test)) if test else set()
    return frozenset(found)


def _factor(sign: Sign, scales: Scales) -> float:
    decibans = scales.strengths[sign.strength]  # type: ignore[index]
    return 10 ** ((decibans if sign.speaks == "for" else -decibans) / 10)


def _group(signs: Sequence[Sign], observable: Observable) -> str | None:
    groups = {sign.group for sign in signs}
    if len(groups) > 1:
        raise NoTable(f"signs of one cause on {observable.id} must carry the same group")
    return groups.pop() if groups else None


def _rest(observable: Observable, usual: Sequence[float], factor: Sequence[float | None]) -> float:
    """The factor on the usual share of every answer that no sign names; raises NoTable."""
    told = sum(f * b for f, b in zip(factor, usual, strict=True) if f is not None)
    silent = sum(b for f, b in zip(factor, usual, strict=True) if f is None)
    if silent == 0:
        if not isclose(told, 1, abs_tol=1e-6):
            raise NoTable(
                f"the signs name every answer of {observable.id}, and their shares add up to"
                f" {told:.0%} instead of 100 %: leave one answer unnamed, it takes what remains"
            )
        return 1.0
    if told >= 1 - 0.002 * silent:
        shown = max(
            (f * b, i) for i, (f, b) in enumerate(zip(factor, usual, strict=True)) if f is not None
        )[1]
        raise NoTable(
            f"impossible strength: an answer met in {usual[shown]:.1%} of callbacks"
            f" ('{observable.labels[shown]}' of {observable.id}) cannot be this strong; the signs"
            f" would need {told:.0%} of the cause's cases: take a weaker word"
        )
    return (1 - told) / silent
