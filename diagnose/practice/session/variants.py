"""Variants of an item: the same story with a twist, and the check that its answer still stands.

A variant's id says how it was made, so that it can be made again: `case.1~without:thumb_relay`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from random import Random

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer, parse, says, write
from diagnose.knowledge.model import Check
from diagnose.knowledge.panels import PANELS
from diagnose.practice.items.bank import Bank, PracticeItem
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Session
from diagnose.reasoning.questions.question import askable

PANEL, ORDER, GAP, DISTRACTOR = "panel", "first", "without", "with"

STILL = 0.5
"""Probability that the sound cause must keep in a variant, if it had as much."""

TRIES = 4
"""Twists of one kind that are tried before the next kind."""

_LIGHT = ("barely", "substantial")
"""Strengths of the signs that may lead astray; a stronger one would be another case."""

_NEIGHBOURS = {"front_door": "rear_door", "rear_door": "front_door"}
"""Panels of the same form, so that what was seen on one may be seen on the other."""


class NoItem(KeyError):
    """There is no item of that id."""

    def __str__(self) -> str:
        return f"there is no practice case '{self.args[0]}'"


def find(bank: Bank, base: Base, item_id: str) -> PracticeItem:
    """An item of the bank, or the variant that its id describes; raises NoItem."""
    root, _, twist = item_id.partition("~")
    item = bank.items.get(root)
    if item is None:
        raise NoItem(item_id)
    try:
        return make(base, item, twist) if twist else item
    except (KeyError, ValueError):
        raise NoItem(item_id) from None


def make(base: Base, item: PracticeItem, twist: str) -> PracticeItem:
    """A variant from its description; raises KeyError or ValueError where it fits no item."""
    kind, _, rest = twist.partition(":")
    made = _MAKERS[kind](base, item, rest)
    return replace(made, id=f"{item.root}~{twist}")


def varied(judge: Judge, item: PracticeItem, random: Random) -> PracticeItem | None:
    """A variant that has the same sound answer; None where the item allows none.

    An item whose own record does not lead to what was confirmed has no variants: nothing could
    check them.
    """
    if item.twist or not judge.sound(item):
        return None
    kinds = [PANEL, ORDER, GAP, DISTRACTOR]
    random.shuffle(kinds)
    for kind in kinds:
        twists = _twists(judge, item, kind)
        random.shuffle(twists)
        for twist in twists[:TRIES]:
            variant = make(judge.base, item, twist)
            if same_answer(judge, item, variant):
                return variant
    return None


def same_answer(judge: Judge, item: PracticeItem, variant: PracticeItem) -> bool:
    """Whether a variant leads to the cause, remedy and payer of its item, without contradiction."""
    if judge.answer(item) != judge.answer(variant):
        return False
    cause = judge.answer(item).cause
    if judge.full(variant)[cause] < min(STILL, judge.full(item)[cause]):
        return False
    return judge.contradicted(variant) <= judge.contradicted(item)


# Which twists an item allows


def _twists(judge: Judge, item: PracticeItem, kind: str) -> list[str]:
    if kind == PANEL:
        return [f"{PANEL}:{panel}" for panel in _panels(item.panel)]
    if kind == ORDER:
        return [f"{ORDER}:{check}" for check in _tellable(judge.base, item)]
    if kind == GAP:
        return [f"{GAP}:{check}" for check in item.record if check not in item.given]
    return [f"{DISTRACTOR}:{check}={write(a)}" for check, a in _distractors(judge, item)]


def _panels(panel: str) -> list[str]:
    """The same panel on the other side, and its neighbour of the same form."""
    stem, _, side = panel.rpartition("_")
    found = []
    if side in ("left", "right"):
        found.append(f"{stem}_{'right' if side == 'left' else 'left'}")
        if stem in _NEIGHBOURS:
            found.append(f"{_NEIGHBOURS[stem]}_{side}")
    return [name for name in found if name in PANELS]


def _tellable(base: Base, item: PracticeItem) -> list[str]:
    """What might be told before anything is asked: answers about the whole vehicle."""
    return [
        check
        for check in item.record
        if check not in item.given
        and base.checks[check].scope == "vehicle"
        and base.checks[check].harm == "none"
    ]


def _distractors(judge: Judge, item: PracticeItem) -> list[tuple[str, Answer]]:
    """Circumstances that the record lacks and that speak a little for another cause."""
    base = judge.base
    asked = Session(item).asked
    found: dict[tuple[str, str], None] = {}
    for cause in base.behind(item.symptom):
        for sign in base.signs(cause, item.symptom) if cause.id not in item.right else ():
            test = sign.when.only()
            check = base.checks.get(test.subject) if test else None
            if test is None or check is None or check.id in item.record:
                continue
            if sign.speaks == "for" and sign.strength in _LIGHT and _is_circumstance(check):
                words = check.answers if askable(base, check, asked) else ()
                found.update({(check.id, word): None for word in words if test.holds(word)})
    return list(found)


def _is_circumstance(check: Check) -> bool:
    """Whether a check is about the vehicle's story: what looks at the place must fit the rest."""
    return check.scope == "vehicle" and check.place == "paperwork" and check.harm == "none"


# How each is made


def _other_panel(base: Base, item: PracticeItem, panel: str) -> PracticeItem:
    if panel not in PANELS:
        raise KeyError(panel)
    facts = {k: v for k, v in item.facts.items() if k != "remark" or not _names_a_place(v)}
    twist = f"moved from {PANELS[item.panel].lower()}"
    return replace(item, panel=panel, facts=facts, twist=twist)


def _names_a_place(words: str) -> bool:
    places = {word.casefold() for name in PANELS.values() for word in re.findall(r"\w+", name)}
    places |= {"driver", "passenger", "bonnet", "doors", "nearside", "offside"}
    return bool(places - {"of", "the", "or", "another", "place"} & set(_words(words)))


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z]+", text.casefold())


def _other_order(base: Base, item: PracticeItem, check: str) -> PracticeItem:
    first = {check: item.record[check]}
    rest = dict(reversed(list(item.given.items())))
    name = base.checks[check].name
    return replace(item, given={**first, **rest}, twist=f"'{name}' told at the start")


def _gap(base: Base, item: PracticeItem, check: str) -> PracticeItem:
    record = dict(item.record)
    del record[check]
    return replace(item, record=record, twist=f"'{base.checks[check].name}' not known")


def _distractor(base: Base, item: PracticeItem, said: str) -> PracticeItem:
    name, _, word = said.partition("=")
    check = base.checks[name]
    answer = parse(check, word)
    twist = f"'{check.name}: {says(check, answer)}' added"
    return replace(item, record={**item.record, name: answer}, twist=twist)


_MAKERS: Mapping[str, Callable[[Base, PracticeItem, str], PracticeItem]] = {
    PANEL: _other_panel,
    ORDER: _other_order,
    GAP: _gap,
    DISTRACTOR: _distractor,
}
