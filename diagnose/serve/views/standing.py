"""Where it stands: causes, cases like this one, what does not fit."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.words import (
    NOT_LISTED,
    Doubt,
    changeable,
    doubts,
    what_changes,
    why_one,
)
from diagnose.serve.page import Go, Page
from diagnose.serve.views.look import Look, page, step_path


def stands(look: Look) -> Page | Go:
    """Every cause with its share and why it stands there; what would change it."""
    dialogue, diagnosis = look.dialogue, look.dialogue.diagnosis()
    if diagnosis is None:
        return Go(step_path(look.work))
    base, differential = dialogue.base, diagnosis.differential
    listed = [
        (s.cause.name, s.probability, why_one(base, s, diagnosis.trace.values))
        for s in differential.standings
        if not s.ruled_out
    ]
    out = [
        (s.cause.name, why_one(base, s, diagnosis.trace.values))
        for s in differential.standings
        if s.ruled_out
    ]
    return page(
        look,
        "stands.html",
        causes=listed,
        ruled_out=out,
        unlisted=(NOT_LISTED, differential.unlisted),
        changes=what_changes(base, diagnosis),
        doubts=doubts(base, diagnosis),
    )


def like(look: Look) -> Page | Go:
    """Closed cases that are most like this one."""
    found = look.dialogue.like()
    return page(look, "like.html", lines=found) if found else Go(step_path(look.work))


def doubt(look: Look) -> Page | Go:
    """What does not fit, with the answers that it rests on and a way to change each."""
    dialogue, diagnosis = look.dialogue, look.dialogue.diagnosis()
    held = doubts(dialogue.base, diagnosis) if diagnosis else ()
    found = next((d for d in held if d.id == look.rest), None)
    if found is None:
        return Go(step_path(look.work))
    return page(
        look,
        "doubt.html",
        doubt=found,
        ways=list(_ways(dialogue, found)),
        symptom=dialogue.base.symptoms[found.symptom].name.lower() if found.symptom else "",
    )


def _ways(dialogue: Dialogue, found: Doubt) -> Iterator[tuple[str, str]]:
    base = dialogue.base
    for subject, name, said in found.answers:
        for check in changeable(base, subject, dialogue):
            of = "" if check == subject else f" ({base.checks[check].name})"
            yield check, f"{name}: {said}{of}"
