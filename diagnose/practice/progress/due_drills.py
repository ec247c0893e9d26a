"""Drills about what is due, and what a drill says of its card."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from random import Random

from diagnose.practice.drills.apart import apart_drill
from diagnose.practice.drills.drill import APART, SIGNS, Drill, Marking, NoDrill
from diagnose.practice.drills.signs import signs_drill
from diagnose.practice.progress.schedule import CAUSE, Reviews, cause_card, causes_of, pair_card
from diagnose.practice.session.judge import Judge


def reviews(drill: Drill, marking: Marking) -> Reviews:
    """What a drill says of its card; a drawing, and what to look at first, have none."""
    rating = 1 if marking.share < 0.5 else 2 if marking.share < 1 else 3
    if drill.kind == SIGNS:
        return {cause_card(drill.about[0]): rating}
    return {pair_card(*drill.about): rating} if drill.kind == APART else {}


def due_signs(judge: Judge, due: Sequence[str], random: Random) -> Drill:
    """A drill about the first due cause that allows one, else about any cause."""
    for card in due:
        if card.startswith(CAUSE):
            with suppress(NoDrill):
                return signs_drill(judge.base, random, causes_of(card)[0])
    return signs_drill(judge.base, random)


def due_apart(judge: Judge, due: Sequence[str], random: Random) -> Drill:
    """A drill about the first due pair that allows one, else about any two causes."""
    for card in due:
        one, *other = causes_of(card)
        if other:
            with suppress(NoDrill, KeyError):
                return apart_drill(judge, random, (one, other[0]))
    return apart_drill(judge, random)
