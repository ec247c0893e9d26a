"""The facts that a claim may carry: what is on the record, and an answer to each check."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, assert_never

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind
from diagnose.knowledge.panels import PANELS

Kind = Literal["text", "date", "money", "choice", "check"]


@dataclass(frozen=True, slots=True)
class Fact:
    """Something that a column may tell; `choices` are ids with their words.

    `also` are other headers under which it is often found.
    """

    id: str
    name: str
    kind: Kind
    help: str
    choices: Mapping[str, str]
    also: tuple[str, ...] = ()


RECORD: tuple[tuple[str, str, Kind, str], ...] = (
    ("claim", "Claim number", "text", "your own number of the claim; it is only passed on"),
    ("symptom", "Symptom", "choice", "what is seen; needed for every claim"),
    ("panel", "Panel", "choice", "where on the car; left and right are the driver's"),
    ("film", "Film", "text", "your name for the film"),
    ("lot", "Lot", "text", "lot or roll number"),
    ("installer", "Installer", "text", "who laid the film"),
    ("laid_on", "Laid on", "date", "day of the handover, as 2025-03-31"),
    ("seen_on", "Seen on", "date", "day when it was first seen or claimed, as 2025-03-31"),
    ("claimed", "Amount claimed", "money", "a plain number, in the money of your terms"),
    ("remark", "Remark", "text", "free text; what can be read from it counts as barely strong"),
)


ALSO: Mapping[str, tuple[str, ...]] = {
    "claim": ("ref", "reference", "case", "claim no", "ticket"),
    "symptom": ("defect", "fault", "complaint", "problem", "what is wrong", "issue"),
    "panel": ("where", "place", "part", "location", "position"),
    "film": ("film name", "product", "material", "colour code"),
    "lot": ("lot no", "lot number", "roll", "roll no", "batch", "batch no"),
    "installer": ("fitter", "fitted by", "applied by", "shop", "workshop"),
    "laid_on": ("fitted", "fitted on", "date fitted", "installed", "handover", "date of job"),
    "seen_on": ("reported", "reported on", "complaint date", "claim date", "first noticed"),
    "claimed": ("amount", "cost", "sum", "value", "claim value", "eur", "credit", "credit asked"),
    "remark": ("remarks", "comment", "comments", "note", "notes", "description"),
}


def facts(base: Base) -> Mapping[str, Fact]:
    """Every fact by id, in the order of the template."""
    choices = {
        "symptom": {s.id: s.name for s in base.symptoms.values()},
        "panel": dict(PANELS),
    }
    found = {
        name: Fact(name, label, kind, help_, choices.get(name, {}), ALSO[name])
        for name, label, kind, help_ in RECORD
    }
    for check in _by_place(base):
        words = {word: answer.says for word, answer in check.answers.items()}
        found[check.id] = Fact(check.id, check.name, "check", _help(check), words)
    return found


def _by_place(base: Base) -> list[Check]:
    """Checks on paper first, then those at the car, then the rest; each in file order."""
    order = {"paperwork": 0, "at_car": 1, "in_bay": 2, "lab": 3}
    return sorted(base.checks.values(), key=lambda c: order[c.place])


def _help(check: Check) -> str:
    match check.kind:
        case ChoiceKind():
            return check.ask
        case SeveralKind():
            return f"{check.ask} All that is so, with 'and' between them."
        case NumberKind(measured_in=unit, low=low, high=high):
            return f"{check.ask} A number from {low:g} to {high:g}{f', {unit}' if unit else ''}."
        case kind:
            assert_never(kind)
