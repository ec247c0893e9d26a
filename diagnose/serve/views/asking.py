"""One question, and when no further one is needed."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.dialogue.step import Stage
from diagnose.dialogue.words import (
    HARM,
    doubts,
    enough_words,
    how_done,
    later_words,
    shares,
    sure_words,
    why_asked,
)
from diagnose.knowledge.logic.answers import Answer, Unknown, says
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.records.case.journal import EventKind
from diagnose.serve.drawn import alternative
from diagnose.serve.page import Go, Page
from diagnose.serve.views.look import LONGEST_WRONG, Look, page, step_path


@dataclass(frozen=True, slots=True)
class Given:
    """An answer on record: in words, and the parts of it that a form shows as chosen."""

    words: str
    parts: tuple[str, ...]


def ask(look: Look) -> Page | Go:
    """One question: the one that comes next, or one that was answered and may be changed."""
    dialogue, base = look.dialogue, look.dialogue.base
    check = base.checks.get(look.rest)
    complaint = dialogue.complaint
    if check is None or complaint is None:
        return Go(step_path(look.work))
    step = dialogue.step()
    given = {c.id: a for c, a in dialogue.answered()}.get(check.id)
    aside = check.id in complaint.set_aside and given is None
    now = step.check is not None and step.check.id == check.id
    if not (now or given is not None or aside):
        return Go(step_path(look.work, step))
    fresh, before = _cautions(look, check)
    question = step.question if now else None
    diagnosis = dialogue.diagnosis()
    assert diagnosis is not None
    return page(
        look,
        "ask.html",
        check=check,
        kind=_kind(check),
        several="several" in look.query or isinstance(check.kind, SeveralKind),
        answers=[(label, answer.says) for label, answer in check.answers.items()],
        number_words=_number_words(check),
        nothing=check.kind.nothing if isinstance(check.kind, SeveralKind) else "",
        given=given is not None and Given(says(check, given), _parts(given)),
        chosen=look.query.get("chosen", ""),
        wrong=look.query.get("wrong", "")[:LONGEST_WRONG],
        typed=look.query.get("typed", ""),
        aside=aside,
        now=now,
        harm=HARM.get(check.harm, ""),
        cautions=fresh,
        cautions_before=before,
        how=how_done(check),
        drawing=alternative(check.id),
        why=why_asked(base, check, question) if now else (),
        between=step.between if now else "",
        doubts=doubts(base, diagnosis),
        leads=shares(diagnosis.differential, 1)[0],
        seen=len(look.work.journal.events()),
    )


def _kind(check: Check) -> str:
    match check.kind:
        case ChoiceKind():
            return "choice"
        case SeveralKind():
            return "several"
        case NumberKind():
            return "number"


def _number_words(check: Check) -> list[tuple[str, str]]:
    kind = check.kind
    return (
        [(w, kind.says(its)) for w, its in kind.words.items()]
        if isinstance(kind, NumberKind)
        else []
    )


def _parts(given: Answer) -> tuple[str, ...]:
    if isinstance(given, Unknown):
        return ("unknown",)
    return tuple(getattr(given, "words", (str(given),)))


def _cautions(look: Look, check: Check) -> tuple[list[str], list[str]]:
    """The cautions of a check: those not told yet in this case, and those told before."""
    base = look.dialogue.base
    asked = {
        e.key
        for e in look.work.journal.events()
        if e.kind in (EventKind.ANSWERED, EventKind.SET_ASIDE)
    }
    told = {
        c for name in asked - {check.id} if name in base.checks for c in base.checks[name].cautions
    }
    says_ = [(c, base.cautions[c].say) for c in check.cautions]
    return [w for c, w in says_ if c not in told], [w for c, w in says_ if c in told]


def enough(look: Look) -> Page | Go:
    """Why no further check is needed, how sure it is, and the ways on."""
    dialogue = look.dialogue
    step, diagnosis = dialogue.step(), dialogue.diagnosis()
    if step.stage is not Stage.ENOUGH or diagnosis is None or step.stop is None:
        return Go(step_path(look.work, step))
    why, *more = enough_words(dialogue.base, diagnosis, step.stop)
    return page(
        look,
        "enough.html",
        why=why,
        lines=more or [sure_words(dialogue.base, diagnosis)],
        later=later_words(dialogue.base, diagnosis),
        more=step.more,
        doubts=doubts(dialogue.base, diagnosis),
        shares=shares(diagnosis.differential, 3),
    )
