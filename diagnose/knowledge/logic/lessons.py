"""What the counts of closed cases make of the rows and shares behind a symptom."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from diagnose.knowledge.logic.cause_row import CauseRow, portions
from diagnose.knowledge.logic.experience import (
    Cell,
    Counted,
    CountsTrial,
    Experience,
    Learned,
    Prior,
    Tally,
    differing,
    expecting,
)
from diagnose.knowledge.logic.likelihood import stated_at
from diagnose.knowledge.model import Cause, ShownAnswers, WorthCases

Lessons = Mapping[str, Mapping[str, Learned]]
"""By cause, then by check or measure; what was never counted has none."""

Judged = Callable[[Cause, str], Mapping[str, CauseRow]]
"""The rows of a cause at a symptom as they are judged."""

Written = Mapping[str, Sequence[ShownAnswers]]
"""By check the entries that form a cause's row at a symptom."""

Worth = Callable[[Sequence[ShownAnswers]], float]
"""How many closed cases the entries of a row are worth."""


def lessons(
    symptom: str,
    causes: Sequence[Cause],
    experience: Experience,
    judged: Judged,
    worth: Worth,
    scale: WorthCases,
) -> Lessons:
    """What is learned of the rows of the causes behind a symptom."""
    trials: dict[tuple[str, str], CountsTrial] = {}
    told: dict[tuple[str, str], tuple[Tally, ...]] = {}
    for cause in causes:
        written = {s: stated_at(cause, s) for s in (*cause.behind, symptom)}
        for name, row in judged(cause, symptom).items():
            entries = written[symptom].get(name, ())
            prior = _prior(row, worth(entries))
            here = [(symptom, cause.id, name)]
            there = [(s, cause.id, name) for s in _alike(written, name, symptom)]
            tallies = (
                *experience.tallies("", here, prior),
                *experience.tallies(" with other symptoms", there, prior),
            )
            if tallies:
                others = _elsewhere(cause, there, experience, judged, prior.worth)
                counted = prior.tally(experience.seen(here))
                trials[cause.id, name] = CountsTrial(prior, counted, others, scale.times)
                told[cause.id, name] = tallies
    expected = expecting(scale.differing_percent, scale.times)
    parts = differing(list(trials.values()), expected, scale.differing_rows)
    found: dict[str, dict[str, Learned]] = {}
    for (of, name), trial in trials.items():
        found.setdefault(of, {})[name] = Learned(trial.mean(parts), told[of, name])
    return found


def _alike(written: Mapping[str, Written], name: str, symptom: str) -> list[str]:
    """The other symptoms of a cause at which the same is written of a check."""
    entries = written[symptom].get(name)
    if not entries:
        return []
    return [s for s, its in written.items() if s != symptom and its.get(name) == entries]


def _elsewhere(
    cause: Cause, cells: Sequence[Cell], experience: Experience, judged: Judged, worth: float
) -> tuple[tuple[Prior, Counted], ...]:
    """What was counted at other symptoms, each beside what is judged there."""
    found = []
    for cell in cells:
        seen = experience.seen([cell])
        row = judged(cause, cell[0]).get(cell[2]) if seen else None
        if row:
            prior = _prior(row, worth)
            found.append((prior, prior.tally(seen)))
    return tuple(found)


def _prior(row: CauseRow, worth: float) -> Prior:
    return Prior(portions(row, row.usual), worth, bool(row.absent))


def shares(
    judged: Sequence[float], counts: Sequence[float], scale: WorthCases
) -> tuple[float, ...]:
    """Shares of causes behind a symptom after counting; they sum to one."""
    prior = Prior(tuple(judged), scale.shares)
    counted = (tuple(counts), sum(counts))
    trial = CountsTrial(prior, counted, (), scale.times)
    return trial.mean(expecting(scale.differing_percent, scale.times))
