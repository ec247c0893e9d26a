"""How the program and two specialists fare on published complaints.

Told all: every answer of the reading at once. Asking: the program puts its own questions, and what
the reading does not hold is answered 'unknown'. The complaint that a reading puts first counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import log

from diagnose.knowledge.base import Base
from diagnose.practice.items.trial import Trial, full, play
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.casefile import read_case
from diagnose.records.case.journal import Case, Outcome
from tests.outside.real.entries import Entry, Guess, Half, Held, Mapped

NOBODY = "unlisted"
MANY = 5
"""From so many answers on, a reading counts as one that tells much."""


@dataclass(frozen=True, slots=True)
class Scored:
    """One entry with what was made of it; places count from 1, 0 is 'not named'.

    `text` and `answers` are the places of the specialists, None where there is no diagnosis.
    """

    entry: Entry
    mapped: Mapped
    held: Held | None
    count: int
    behind: bool
    told: Trial
    asking: Trial | None
    text: int | None
    answers: int | None

    @property
    def stated(self) -> bool:
        """Whether the source states a cause."""
        return not self.mapped.abstain

    @property
    def listed(self) -> bool:
        """Whether some cause of the base says what the source states."""
        return self.stated and not self.mapped.missing


def scored(base: Base, half: Half, asking: bool = True) -> list[Scored]:
    """Every entry of a half, scored; with `asking` the program's own questions are played too."""
    reasoner = Reasoner(base)
    text, answers = half.specialist("text"), half.specialist("answers")
    found = []
    for entry in half.entries:
        mapped = half.mapped[entry.id]
        case = _case(base, half, entry, mapped)
        told = full(reasoner, case)[0]
        found.append(
            Scored(
                entry=entry,
                mapped=mapped,
                held=half.held(entry),
                count=len(case.answers(case.complaints[0])),
                behind=_behind(base, mapped, (told.symptom, *half.noted(entry))),
                told=told,
                asking=play(reasoner, case)[0] if asking else None,
                text=_place(text.get(entry.id), mapped),
                answers=_place(answers.get(entry.id), mapped),
            )
        )
    return found


def _case(base: Base, half: Half, entry: Entry, mapped: Mapped) -> Case:
    """The reader's case with the stated cause as its outcome; only its first complaint."""
    name = f"{entry.id.lower()}.yaml"
    found, problems = read_case(name, half.case_text(entry), base)
    assert found is not None, "\n".join(map(str, problems))
    causes = mapped.accept or (NOBODY,)
    outcome = Outcome(causes[0], entry.address, tuple(causes[1:]))
    return replace(found.case, complaints=(replace(found.case.complaints[0], outcome=outcome),))


def _behind(base: Base, mapped: Mapped, symptoms: Iterable[str]) -> bool:
    return any(
        symptom in base.causes[cause].behind for cause in mapped.accept for symptom in symptoms
    )


def _place(guess: Guess | None, mapped: Mapped) -> int | None:
    if guess is None:
        return None
    ranked = sorted(guess, key=lambda name: -guess[name])[:3]
    return min((ranked.index(c) + 1 for c in mapped.accept if c in ranked), default=0)


@dataclass(frozen=True, slots=True)
class Shares:
    """Of some entries, how many have the stated cause first and among the first three."""

    count: int
    first: float
    three: float


def shares(places: Sequence[int]) -> Shares:
    """The shares of places 1 and 1 to 3; 0 is nowhere."""
    count = len(places)
    if not count:
        return Shares(0, 0.0, 0.0)
    return Shares(
        count, sum(p == 1 for p in places) / count, sum(1 <= p <= 3 for p in places) / count
    )


def fifths(trials: Iterable[Trial]) -> Iterator[tuple[float, int, float, float]]:
    """For each fifth of the stated probability: its lower end, entries, mean stated, share right."""
    found = list(trials)
    for low in (0.0, 0.2, 0.4, 0.6, 0.8):
        its = [t for t in found if low <= min(t.leading_probability, 0.999) < low + 0.2]
        if its:
            stated = sum(t.leading_probability for t in its) / len(its)
            yield low, len(its), stated, sum(t.place == 1 for t in its) / len(its)


def log_score(trials: Sequence[Trial]) -> float:
    """Mean of −ln of the probability of the best stated cause, floored at 1 in 1,000."""
    return -sum(log(max(t.probability, 1e-3)) for t in trials) / max(1, len(trials))
