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
    ("claim", "Claim number", "text", "your own number of the claim"),
    ("customer", "Customer", "text", "who claims; named beside a row that is set aside"),
    ("vehicle", "Vehicle", "text", "plate or number of the vehicle; tells claims sent twice"),
    ("symptom", "Symptom", "choice", "what is seen; needed for every claim"),
    ("panel", "Panel", "choice", "where on the car; left and right are the driver's"),
    ("film", "Film", "text", "your name for the film"),
    ("lot", "Lot", "text", "lot or roll number"),
    ("installer", "Installer", "text", "who laid the film"),
    ("first_owner", "First owner", "choice", "whether who claims is the first owner"),
    ("laid_on", "Laid on", "date", "day when the film was laid, as 2025-03-31"),
    ("handed_on", "Handed over on", "date", "day of the handover, if it is another one;"
     " terms run from it"),
    ("seen_on", "Seen on", "date", "day when it was first seen, as 2025-03-31"),
    ("claimed_on", "Claimed on", "date", "day when the claim came in; it was seen by then"),
    ("claimed", "Amount claimed", "money", "a number, with its currency where that is not the"
     " money of your terms"),
    ("claimed_labour", "Labour claimed", "money", "the labour in it, where it stands apart"),
    ("claimed_film", "Film claimed", "money", "the film in it, where it stands apart"),
    ("currency", "Currency", "text", "the money of the amounts, where a column says it"),
    ("cleaner", "Cleaner", "text", "what the surface was cleaned with; tells a bad one apart"),
    ("found", "Found", "text", "what the shop wrote down when it looked, in its own words; what"
     " is sure there counts as answered"),
    ("remark", "Remark", "text", "free text; what can be read from it counts as barely strong"),
)  # fmt: skip

SEVERAL = ("found", "remark")
"""Facts that more than one column may tell."""


ALSO: Mapping[str, tuple[str, ...]] = {
    "claim": ("ref", "reference", "case", "claim no", "ticket", "no", "job", "job no", "order",
              "order no", "our ref"),
    "customer": ("name", "owner", "client", "customer name", "keeper", "car and owner",
                 "owner and car", "fleet contact", "claimant"),
    "vehicle": ("reg", "plate", "registration", "number plate", "licence plate", "vin",
                "reg no", "fleet no", "unit", "unit no"),
    "first_owner": ("first owner", "owner since new", "original owner", "own", "owner no"),
    "symptom": ("defect", "fault", "complaint", "problem", "what is wrong", "issue",
                "fault as told", "customer says", "complaint customer s words", "trouble",
                "client says", "owner says", "driver says", "customer complaint", "what is it",
                "reported fault", "damage"),
    "panel": ("where", "place", "part", "location", "position", "where on car", "area"),
    "film": ("film name", "product", "material", "colour code", "film used", "film type",
             "film series", "media", "media laminate", "film roll", "film and roll"),
    "lot": ("lot no", "lot number", "roll", "roll no", "batch", "batch no", "roll label",
            "roll lbl", "lot media"),
    "installer": ("fitter", "fitted by", "applied by", "shop", "workshop", "laid by",
                  "who laid it", "wrapped by"),
    "laid_on": ("fitted", "fitted on", "date fitted", "installed", "date of job", "job date",
                "wrapped", "laid", "date of work", "wrap date"),
    "handed_on": ("handover", "collected", "out", "handed over", "delivered", "picked up",
                  "since handover", "date out", "out handed over", "back on road", "handed back",
                  "hand over", "date of handover", "ready on", "left us"),
    "seen_on": ("first noticed", "noticed", "date noticed", "seen", "noticed on", "seen first"),
    "claimed_on": ("reported", "reported on", "complaint date", "claim date", "claim in",
                   "complaint on", "date of complaint", "came in", "received", "in", "complaint in",
                   "told us", "told us on", "rec d", "recd", "rec", "told on", "notified", "rang",
                   "called", "brought back", "date in"),
    "claimed": ("amount", "cost", "sum", "value", "claim value", "eur", "credit", "credit asked",
                "claim amt", "claim amount", "claimed amount", "gbp", "usd", "claim eur", "asked",
                "asking", "asked for", "wants", "bill"),
    "claimed_labour": ("labour", "labour cost", "work claimed", "hours claimed"),
    "claimed_film": ("film cost", "material claimed", "film amount"),
    "currency": ("ccy", "cur", "curr", "money"),
    "cleaner": ("cleaning agent", "degreaser", "cleaner used"),
    "found": ("findings", "what we saw", "examined", "checked by us", "inspection", "our notes",
              "seen at inspection", "what we found", "we found", "we saw", "our note", "our view",
              "our look", "shop found", "at inspection"),
    "remark": ("remarks", "comment", "comments", "note", "notes", "description"),
}  # fmt: skip


def facts(base: Base) -> Mapping[str, Fact]:
    """Every fact by id, in the order of the template."""
    choices = {
        "symptom": {s.id: s.name for s in base.symptoms.values()},
        "panel": dict(PANELS),
        "first_owner": {"yes": "first owner", "no": "bought later"},
    }
    found = {
        name: Fact(name, label, kind, help_, choices.get(name, {}), ALSO[name])
        for name, label, kind, help_ in RECORD
    }
    for check in _by_place(base):
        words = {word: answer.says for word, answer in check.answers.items()}
        found[check.id] = Fact(check.id, check.name, "check", _help(check), words, check.headers)
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
