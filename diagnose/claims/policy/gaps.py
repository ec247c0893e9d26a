"""What a sound policy says nothing of: told when it is read, for nothing is declined on silence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import timedelta
from itertools import pairwise

from diagnose.claims.policy.policy import Policy, Terms
from diagnose.knowledge.base import Base


def pairs(base: Base) -> Mapping[tuple[str, str], str]:
    """Each payer and origin of a cause that may lead to it, with the first such cause."""
    found: dict[tuple[str, str], str] = {}
    for cause in base.causes.values():
        rule = cause.responsibility
        for payer in (rule.payer, *(other.payer for other in rule.unless)):
            found.setdefault((payer, cause.origin.value), cause.name)
    return found


def unanswered(base: Base, terms: Terms) -> list[tuple[str, str, str]]:
    """Payer, origin and a cause where the terms answer for the payer, but not for the origin.

    A payer whom the terms never name is not answered for, and that is plain.
    """
    answered = {(cover.payer, origin) for cover in terms.covers for origin in cover.origins}
    named = {cover.payer for cover in terms.covers}
    return [
        (payer, origin, cause)
        for (payer, origin), cause in sorted(pairs(base).items())
        if payer in named and (payer, origin) not in answered
    ]


def _silent(terms: Terms) -> Iterator[str]:
    """What terms must say before a claim can go elsewhere, or nowhere."""
    if not terms.not_our_work:
        yield (
            f"{terms.name} do not say from what it is seen that somebody else laid the film"
            " ('not_our_work'): such claims are decided like all others."
        )
    if not terms.no_fault:
        yield (
            f"{terms.name} do not say from what it is seen that there is nothing to mend"
            " ('no_fault'): a fault that is gone is decided like one that is there."
        )


def gaps(base: Base, policy: Policy) -> Iterator[str]:
    """Sentences: what terms are silent on, pairs that nothing answers, days without terms."""
    for terms in policy.terms:
        yield from _silent(terms)
        found = unanswered(base, terms)
        if found:
            many = "1 pair" if len(found) == 1 else f"{len(found)} pairs"
            listed = "; ".join(
                f"{payer} with {origin} (such as: {cause})" for payer, origin, cause in found
            )
            yield (
                f"{terms.name} answer for a payer but not for {many} of payer and origin that can"
                f" occur, and such claims stay undecided: {listed}"
            )
    for before, after in pairwise(policy.terms):
        first = before.valid_to + timedelta(days=1)
        if first < after.valid_from:
            last = after.valid_from - timedelta(days=1)
            yield f"No terms are in force from {first} to {last}."
