"""An impact told: in words for a terminal, and as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from textwrap import wrap
from typing import Any

from diagnose.practice.items.trial import Accuracy
from diagnose.rulebook.change.impact import Fresh, Impact, Moved

WIDTH = 98
"""Characters in a line."""

Scores = tuple[Accuracy, Accuracy] | None


def data(impact: Impact) -> dict[str, Any]:
    """An impact as plain data."""
    return {
        "old": impact.old_version,
        "new": impact.new_version,
        "complaints": impact.complaints,
        "touched": impact.touched,
        "symptoms": list(impact.symptoms),
        "questions": impact.questions,
        "suggests": impact.difference.size,
        "reasons": list(impact.difference.reasons),
        "moved": [asdict(m) for m in impact.moved],
        "asking": _score_data(impact.asking),
        "told": _score_data(impact.told),
        "unreadable": [str(p) for p in impact.unreadable],
        "only_new": [asdict(f) for f in impact.fresh],
    }


def _score_data(scores: Scores) -> dict[str, Any] | None:
    return {"old": asdict(scores[0]), "new": asdict(scores[1])} if scores else None


def text(impact: Impact) -> str:
    """An impact for a terminal."""
    touched = f"{_complaints(impact.touched)} that can be touched"
    lines = ["Left out, for the new rules cannot read them:"] * bool(impact.unreadable)
    lines += [f"  {problem}" for problem in impact.unreadable]
    for moved in impact.moved:
        lines += ["", *_moved(moved)]
    lines += [
        *_fresh(impact.fresh),
        "",
        f"{len(impact.moved)} of {impact.complaints} complaints moved"
        f" ({impact.old_version} → {impact.new_version}).",
        *wrap(_reach(impact), WIDTH),
        *_scores(f"All answers told, over {touched}", impact.told, False),
        *_scores(f"The program asking, over {touched}", impact.asking, True),
        "",
        f"Suggested: {impact.difference.size}.",
        *(f"  {reason}" for reason in impact.difference.reasons),
    ]
    return "\n".join(lines).lstrip("\n") + "\n"


def _moved(moved: Moved) -> Iterator[str]:
    yield f"{moved.case} ({moved.symptom}, confirmed: {moved.cause})"
    for says in (*moved.what, *(f"because {reason.says}" for reason in moved.why)):
        yield from wrap(says, WIDTH, initial_indent="  ", subsequent_indent="    ")


def _fresh(fresh: Sequence[Fresh]) -> Iterator[str]:
    """Cases in words that the old rules do not have: nobody moved, but how they fare is told."""
    if not fresh:
        return
    yield from ("", "Only the new rules have the words of these:")
    for its in fresh:
        right = its.leading == its.cause
        said = "leads" if right else f"does not lead, {its.leading} does; it has"
        words = f"{its.case} ({its.symptom}): its cause {its.cause} {said}"
        yield from wrap(
            f"{words}{' with' if right else ''} {its.probability:.0%}",
            WIDTH,
            initial_indent="  ",
            subsequent_indent="    ",
        )


def _reach(impact: Impact) -> str:
    """What was run, and how far the questions were replayed."""
    if not impact.touched:
        return "Nothing that a case rests on has changed: none was run."
    its = f"Only {', '.join(impact.symptoms)} can be touched: {_complaints(impact.touched)}"
    if impact.questions is None:
        return f"{its}, with all questions."
    first = "question" if impact.questions == 1 else f"{impact.questions} questions"
    return f"{its}, with the first {first} (--asking: all of them)."


def _complaints(number: int) -> str:
    return f"{number} complaint{'s' * (number != 1)}"


def _scores(title: str, scores: Scores, asking: bool) -> Iterator[str]:
    """The scores, each with what it says."""
    if scores is None:
        return
    old, new = scores
    yield from ("", f"{title}:")
    for before, after, says in (
        (f"{old.leading:.1%}", f"{new.leading:.1%}", "a confirmed cause leads"),
        (f"{old.first_three:.1%}", f"{new.first_three:.1%}", "it is among the first three"),
        (f"{old.log_score:.3f}", f"{new.log_score:.3f}", "log score: how far the truth comes as a"
         " surprise, in nats (0: never; less is better)"),
        (f"{old.brier:.3f}", f"{new.brier:.3f}", "Brier score: how far all percentages are off,"
         " squared (0: not at all; 2: sure and wrong)"),
    ):  # fmt: skip
        yield f"  {before:>6} → {after:>6}  {says}"
    if asking:
        before, after = f"{old.median_checks:g}", f"{new.median_checks:g}"
        yield f"  {before:>6} → {after:>6}  checks are asked (median)"
