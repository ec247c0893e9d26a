"""What the counts of closed cases make of the rows and shares behind a symptom."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from diagnose.knowledge.logic.experience import (
    Experience,
    Learned,
    Prior,
    Tally,
    Trial,
    differing,
)
from diagnose.knowledge.logic.likelihood import CauseRow, portions, stating
from diagnose.knowledge.model import Cause, ShownAnswers, WorthCases

Lessons = Mapping[str, Mapping[str, Learned]]
"""By cause, then by check or measure; what was never counted has none."""

Worth = Callable[[Sequence[ShownAnswers]], float]
"""How many closed cases the entries of a row are worth."""


def lessons(
    symptom: str,
    rows: Sequence[tuple[Cause, Mapping[str, CauseRow]]],
    experience: Experience,
    worth: Worth,
    scale: WorthCases,
) -> Lessons:
    """What is learned of the rows of a symptom, given as they are judged."""
    trials: dict[tuple[str, str], Trial] = {}
    told: dict[tuple[str, str], tuple[Tally, ...]] = {}
    for cause, its in rows:
        for name, row in its.items():
            entries = stating(cause, name, symptom)
            alike = [
                s
                for s in cause.behind
                if entries and s != symptom and stating(cause, name, s) == entries
            ]
            here = [(symptom, cause.id, name)]
            elsewhere = [(other, cause.id, name) for other in alike]
            prior = Prior(portions(row, row.usual), worth(entries), bool(row.absent))
            tallies = (
                *experience.tallies("", here, prior),
                *experience.tallies(" with other symptoms", elsewhere, prior),
            )
            if tallies:
                counted = (prior.tally(experience.seen(cells)) for cells in (here, elsewhere))
                trials[cause.id, name] = Trial(prior, *counted)
                told[cause.id, name] = tallies
    share = differing(list(trials.values()), scale.differing_percent / 100, scale.differing_rows)
    found: dict[str, dict[str, Learned]] = {}
    for (of, name), trial in trials.items():
        found.setdefault(of, {})[name] = Learned(trial.mean(share), told[of, name])
    return found


def shares(
    judged: Sequence[float], counts: Sequence[float], scale: WorthCases
) -> tuple[float, ...]:
    """Shares of causes behind a symptom after counting; they sum to one."""
    prior = Prior(tuple(judged), scale.shares)
    counted = (tuple(counts), sum(counts))
    return Trial(prior, counted, prior.tally({})).mean(scale.differing_percent / 100)
