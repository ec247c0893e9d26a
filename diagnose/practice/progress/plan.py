"""What comes next: what is due, then what is new, then what is due soonest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from random import Random

from diagnose.practice.items.bank import Bank, PracticeItem
from diagnose.practice.progress import schedule
from diagnose.practice.progress.progress import Progress
from diagnose.practice.progress.schedule import PAIR, cause_card, causes_of
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.variants import varied
from diagnose.records.case.case_text import GRADES

NEW_EVERY = 3
"""Of so many cases in a row one is about a cause not met before, while there is one."""

LATELY = 5
"""So many cases back none is given again, unless there is no other."""


@dataclass(frozen=True, slots=True)
class Next:
    """The item to practise, and the card for whose sake it was chosen."""

    item: PracticeItem
    card: str


class EmptyBank(ValueError):
    """No case can be practised."""


def next_item(
    bank: Bank,
    judge: Judge,
    progress: Progress,
    now: datetime,
    random: Random,
    grade: str | None = None,
) -> Next:
    """The item that serves the apprentice most; raises EmptyBank.

    With a grade, only items of it; else items up to the grade that the apprentice has reached. An
    item practised before comes as a variant where one can be made.
    """
    grades = (grade,) if grade else GRADES[: GRADES.index(progress.grade()) + 1]
    wanted = list(dict.fromkeys(_wanted(bank, progress, now, random, grades)))
    lately = {a.item.partition("~")[0] for a in progress.cases[-LATELY:]}
    for resting in (lately, set[str]()):
        for card in wanted:
            items = [i for i in teaching(bank, judge, card, grades) if i.root not in resting]
            if items:
                return Next(_fresh(judge, progress, items, random), card)
    raise EmptyBank(f"there is no case of grade {' or '.join(grades)} to practise on")


def _wanted(
    bank: Bank, progress: Progress, now: datetime, random: Random, grades: Sequence[str]
) -> Iterator[str]:
    """Cards in the order in which they are wanted.

    Every so often something new goes first, so that what is hard does not crowd out the rest.
    """
    late = schedule.due(progress.cards, now)
    new = [c for c in map(cause_card, bank.causes(grades)) if c not in progress.cards]
    random.shuffle(new)
    if len(progress.cases) % NEW_EVERY == NEW_EVERY - 1:
        yield from new
    yield from late
    yield from new
    yield from schedule.soonest(progress.cards)


def teaching(
    bank: Bank, judge: Judge, card: str, grades: Sequence[str] = GRADES
) -> tuple[PracticeItem, ...]:
    """The items that try a card; those of a pair have both causes behind their symptom."""
    causes = causes_of(card)
    found = [item for cause in causes for item in bank.teaching(cause, grades)]
    if card.startswith(PAIR):
        found = [i for i in found if set(causes) <= set(judge.causes(i.symptom))]
    return tuple(found)


def _fresh(
    judge: Judge, progress: Progress, items: Sequence[PracticeItem], random: Random
) -> PracticeItem:
    """The least practised item, as a variant if it was practised before."""
    played = progress.played()
    least = min(played[item.root] for item in items)
    item = random.choice([i for i in items if played[i.root] == least])
    return (varied(judge, item, random) or item) if least else item
