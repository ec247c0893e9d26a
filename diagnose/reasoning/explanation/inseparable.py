"""What to say where the two likeliest causes are ones that nobody at the car can tell apart."""

from __future__ import annotations

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause, Inseparable
from diagnose.reasoning.diagnosis import Diagnosis


def inseparable(base: Base, diagnosis: Diagnosis) -> str:
    """That the two that lead are such causes, why, what would tell, what it matters; else ''."""
    left = [s.cause for s in diagnosis.differential.standings if not s.ruled_out][:2]
    if len(left) < 2:
        return ""
    symptom = diagnosis.complaint.symptom
    pair = base.inseparable_at(symptom, *(cause.id for cause in left))
    if pair is None:
        return ""
    first, second = left
    names = f"At the car nobody can tell “{first.name}” and “{second.name}” apart."
    return " ".join((names, *reasons(pair), matters(base, symptom, first, second)))


def reasons(pair: Inseparable) -> tuple[str, ...]:
    """Why two causes are not told apart, and what would tell them."""
    tells = (f"What would tell: {pair.would_tell}",) if pair.would_tell else ()
    return (pair.because, *tells)


def matters(base: Base, symptom: str, first: Cause, second: Cause) -> str:
    """Whether it makes a difference: what is done first, and who pays as a rule."""
    done = [next(iter(base.mending(cause, symptom)), None) for cause in (first, second)]
    payers = [cause.responsibility.payer for cause in (first, second)]
    same = [
        *(["what is done first"] if done[0] == done[1] else []),
        *(["who pays as a rule"] if payers[0] == payers[1] else []),
    ]
    if len(same) == 2:
        return "What is done first and who pays as a rule are the same for both."
    other = "who pays" if done[0] == done[1] else "what is done first"
    if same:
        return f"{same[0].capitalize()} is the same for both; {other} is not."
    return "What is done first and who pays are not the same."
