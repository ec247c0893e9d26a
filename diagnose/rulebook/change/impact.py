"""What a change of the rule base does: both versions run over all worked cases.

Only what the change can touch is run: the symptoms that rest on something else than before (see
`rests`), and what was run before is kept. Who moved is told for each complaint: another leading
cause, another payer, other questions, a confirmed cause whose probability moved by more than a
band, and which statements did it. How large the change is by what was added, removed or reworded
is a suggestion; a person decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path

from diagnose.knowledge import marked
from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.reading.parsed import Parse
from diagnose.knowledge.soundness.walk import NAMED
from diagnose.practice.items.trial import Accuracy, accuracy
from diagnose.reasoning.explanation.explain import cause_name
from diagnose.rulebook.change import why
from diagnose.rulebook.change.asking import ask
from diagnose.rulebook.change.difference import Difference, difference
from diagnose.rulebook.change.kept import KeptResults
from diagnose.rulebook.change.replay import MOST_CHECKS, Tell
from diagnose.rulebook.change.version import (
    Version,
    WorkedComplaint,
    jobs_of,
    read_cases,
    reads_alike,
)

QUESTIONS = 150
"""Questions replayed on each side unless all are wanted: about a second's worth."""

WHOLE = 20
"""Touched complaints up to which they are asked to the end within that."""


@dataclass(frozen=True, slots=True)
class Side:
    """How a complaint fares under one base, all its answers told, and what would be asked.

    `whole` tells that `asked` goes on until the tool stops; else it is how it begins.
    """

    leading: str
    payer: str
    probability: float
    place: int
    asked: tuple[str, ...]
    whole: bool


@dataclass(frozen=True, slots=True)
class Moved:
    """A complaint that fares otherwise under the new base; `what` and `why` in words."""

    case: str
    number: int
    symptom: str
    cause: str
    what: tuple[str, ...]
    why: tuple[why.FeltChange, ...]
    old: Side
    new: Side


@dataclass(frozen=True, slots=True)
class Fresh:
    """A complaint in words that only the new base has, and how it fares there, all told."""

    case: str
    number: int
    symptom: str
    cause: str
    leading: str
    probability: float


@dataclass(frozen=True, slots=True)
class Impact:
    """All that a change does: who moved, the scores before and after, the size of the change.

    `complaints`: all of them; `touched`: those that the change can reach, the only ones run on
    both sides; `questions`: how many first questions of these were replayed (None: all of them).
    Scores are (before, after) over those touched: `told` with their answers told, `asking` with the
    tool asking; None where nothing was run or not to the end. The others come to the same.
    """

    old_version: str
    new_version: str
    complaints: int
    touched: int
    symptoms: tuple[str, ...]
    questions: int | None
    moved: tuple[Moved, ...]
    asking: tuple[Accuracy, Accuracy] | None
    told: tuple[Accuracy, Accuracy] | None
    difference: Difference
    unreadable: tuple[Problem, ...]
    fresh: tuple[Fresh, ...]


@dataclass(frozen=True, slots=True)
class ImpactWanted:
    """What is wanted of a comparison.

    `band`: a confirmed cause's probability that moves by less is not told, as a share of one;
    `asking`: all questions are replayed, however many cases are touched.
    """

    band: float = 0.1
    asking: bool = False


def compare(
    old: Base,
    new: Base,
    folders: Sequence[Path],
    wanted: ImpactWanted,
    kept: KeptResults | None = None,
    tell: Tell = lambda questions: None,
    parse: Parse = marked.read,
) -> Impact:
    """Compare two bases over the cases of folders that both can read.

    A case that only the new one reads is tried there alone; of those it cannot read it is said why.
    """
    kept = kept or KeptResults()
    before, after = Version(old, kept), Version(new, kept)
    for_new = read_cases(new, *folders, parse=parse)
    for_old = for_new if reads_alike(old, new) else read_cases(old, *folders, parse=parse)
    old_jobs, new_jobs = jobs_of(for_old), jobs_of(for_new)
    keys = [key for key in old_jobs if key in new_jobs]
    pairs = [(old_jobs[key], new_jobs[key]) for key in keys]
    touched = [(a, b) for a, b in pairs if before.rests(a) != after.rests(b)]
    before.run(a for a, _ in touched)
    after.run(b for _, b in touched)
    questions = _questions(len(touched), wanted)
    _ask(before, after, touched, questions or MOST_CHECKS, tell)
    moved = [
        moved for a, b in touched if (moved := _moved(before, after, a, b, questions, wanted.band))
    ]
    return Impact(
        old_version=old.version,
        new_version=new.version,
        complaints=len(pairs),
        touched=len(touched),
        symptoms=tuple(dict.fromkeys(b.complaint.symptom for _, b in touched)),
        questions=questions,
        moved=tuple(moved),
        asking=_asking_scores(before, after, touched) if questions is None else None,
        told=_told_scores(before, after, touched) if touched else None,
        difference=difference(old, new, NAMED),
        unreadable=for_new.problems,
        fresh=_fresh(after, [job for key, job in new_jobs.items() if key not in old_jobs]),
    )


def _fresh(after: Version, jobs: Sequence[WorkedComplaint]) -> tuple[Fresh, ...]:
    """How complaints fare that the old base cannot read; nothing can be held against them."""
    after.run(jobs)
    trials = [after.trial(job) for job in jobs]
    return tuple(
        Fresh(*job.key, job.complaint.symptom, trial.right[0], trial.leading, trial.probability)
        for job, trial in zip(jobs, trials, strict=True)
    )


def _questions(touched: int, wanted: ImpactWanted) -> int | None:
    """How many first questions are replayed; None is all."""
    if wanted.asking or touched <= WHOLE:
        return None
    return max(1, QUESTIONS // touched)


Pairs = Sequence[tuple[WorkedComplaint, WorkedComplaint]]


def _ask(before: Version, after: Version, touched: Pairs, most: int, tell: Tell) -> None:
    """Have the questions of both sides replayed, together."""
    todo = [(before, *t) for t in before.tasks([a for a, _ in touched], most)]
    todo += [(after, *t) for t in after.tasks([b for _, b in touched], most)]
    found = ask([task for _, task, _ in todo], tell)
    for (version, task, jobs), plays in zip(todo, found, strict=True):
        version.keep(task, jobs, plays)


def _moved(
    before: Version,
    after: Version,
    a: WorkedComplaint,
    b: WorkedComplaint,
    questions: int | None,
    band: float,
) -> Moved | None:
    old, new = _side(before, a, questions), _side(after, b, questions)
    what = tuple(_what(before.base, after.base, old, new, band))
    if not what:
        return None
    symptom = b.complaint.symptom
    because = why.reasons(
        why.heard(before.replay, a.complaint.symptom, a.record, before.told(a)),
        why.heard(after.replay, symptom, b.record, after.told(b)),
    )
    return Moved(*b.key, symptom, after.trial(b).right[0], what, because, old, new)


def _side(version: Version, job: WorkedComplaint, questions: int | None) -> Side:
    told, trial = version.told(job), version.trial(job)
    most = questions or MOST_CHECKS
    play = version.play(job, most)
    asked = play.checks[:most]
    complete = play.whole and len(asked) == len(play.checks)
    return Side(trial.leading, told.payer, trial.probability, trial.place, asked, complete)


def _told_scores(before: Version, after: Version, pairs: Pairs) -> tuple[Accuracy, Accuracy]:
    return (
        accuracy(before.trial(a) for a, _ in pairs),
        accuracy(after.trial(b) for _, b in pairs),
    )


def _asking_scores(
    before: Version, after: Version, touched: Pairs
) -> tuple[Accuracy, Accuracy] | None:
    if not touched:
        return None
    return (
        accuracy(before.asked_trial(a) for a, _ in touched),
        accuracy(after.asked_trial(b) for _, b in touched),
    )


def _what(before: Base, after: Base, old: Side, new: Side, band: float) -> Iterator[str]:
    """What is otherwise for a complaint, in words."""
    if old.leading != new.leading:
        better = " (now right)" if new.place == 1 else " (no longer right)" * (old.place == 1)
        led, leads = cause_words(before, old.leading), cause_words(after, new.leading)
        yield f"leads: {led} → {leads}{better}"
    if old.payer != new.payer:
        yield f"pays: {_payer(before, old.payer)} → {_payer(after, new.payer)}"
    if abs(old.probability - new.probability) > band:
        yield f"confirmed cause: {old.probability:.0%} → {new.probability:.0%}"
    if old.asked != new.asked:
        yield _asks(before, after, old, new)


def cause_words(base: Base, cause: str) -> str:
    """A cause by its name, with its id."""
    return (
        f"{base.causes[cause].name} [{cause}]" if cause in base.causes else cause_name(base, cause)
    )


def _payer(base: Base, payer: str) -> str:
    return base.payers[payer].name if payer in base.payers else "nobody named"


def _asks(before: Base, after: Base, old: Side, new: Side) -> str:
    """From which question on something else is asked, and how many questions it takes."""
    pairs = zip_longest(old.asked, new.asked)
    at, (was, now) = next((n, pair) for n, pair in enumerate(pairs, 1) if pair[0] != pair[1])
    counts = f" ({len(old.asked)} → {len(new.asked)})" if old.whole and new.whole else ""
    return f"asks{counts}: as question {at} {_asked(after, now)}, was {_asked(before, was)}"


def _asked(base: Base, check: str | None) -> str:
    return f"{base.checks[check].name} [{check}]" if check else "nothing more"
