"""Small knowledge bases from outside, carried over into the project's own format.

`star` makes a base of exclusive causes and checks from published probabilities: the base holds the
checks, their shares and the causes; the tables hold the probabilities as they were published, which
four words of strength could not say.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from math import log10
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.reading.load import read_texts
from diagnose.reasoning.evidence.tables import Tables
from tests.reasoning.generated import SCALES as GENERATED

NEVER = 1e-30
"""Stands for a probability of zero, which has no logarithm."""

Likelihood = Mapping[str, Mapping[str, Sequence[float]]]
"""P(answer | cause) by check and cause, the answers in the check's order."""

SCALES: Mapping[str, Any] = {
    **GENERATED,
    "told_percent": {"at_car": 100, "in_bay": 100, "paperwork": 100, "lab": 100},
}
"""Every check can be told, as in what is carried over."""


def check(name: str, usual: Mapping[str, float], **more: Any) -> dict[str, Any]:
    """A check at the car with the percent of each answer."""
    said: dict[str, Any] = dict.fromkeys(("name", "ask", "how", "tool"), name)
    said |= {"id": name, "minutes": 1, "place": "at_car", "harm": "none", "scope": "complaint"}
    answers = {word: {"says": word, "usual": share} for word, share in usual.items()}
    return said | {"source": "common-practice", "answers": answers} | more


def cause(name: str, symptom: str, **more: Any) -> dict[str, Any]:
    """A cause behind a symptom, with a remedy and a payer of its own unless told otherwise."""
    said: dict[str, Any] = dict.fromkeys(("name", "plainly", "mechanism", "prevention"), name)
    said |= {"id": name, "origin": "technique", "behind": {symptom: "common"}}
    said |= {"remedies": {f"mend_{name}": 90}, "source": "common-practice"}
    return said | {"responsibility": {"payer": "payer", "because": "rule"}} | more


def remedy(name: str) -> dict[str, Any]:
    """A remedy of an hour."""
    said: dict[str, Any] = dict.fromkeys(("name", "applies", "look_again"), name)
    said |= {"id": name, "kind": "in_place", "steps": [name], "hours": {"from": 1, "to": 1}}
    return said | {"destroys_piece": "no", "reprint": "no", "source": "common-practice"}


def when(condition: Mapping[str, Any], **more: Any) -> dict[str, Any]:
    """A statement that holds under a condition."""
    return {"when": condition, "because": "carried over", "source": "common-practice"} | more


def shown(name: str, of_100: Mapping[str, float]) -> dict[str, Any]:
    """How many of a hundred show answers of a check."""
    return {"check": name, "of_100": dict(of_100), "because": "carried over", "source": "memory"}


def base(symptom: str, **sections: Any) -> Base:
    """A base of one symptom; AssertionError with its problems where it is broken."""
    causes = sections.get("causes", ())
    remedies = dict.fromkeys(r for c in causes for r in c.get("remedies", ()))
    words: dict[str, Any] = dict.fromkeys(("name", "group", "look", "appears", "where"), symptom)
    data = {
        "scales": SCALES,
        "symptoms": [{"id": symptom, **words, "source": "common-practice"}],
        "payers": [
            {"id": "payer", "name": "n", "carries": "c", "source": "common-practice"},
        ],
        "remedies": [remedy(name) for name in remedies],
        **sections,
    }
    reading = read_texts({"carried.yaml": json.dumps(data)})
    assert reading.base is not None, "\n".join(map(str, reading.problems))
    return reading.base


def star(
    symptom: str,
    priors: Mapping[str, float],
    likelihood: Likelihood,
    answers: Mapping[str, Sequence[str]],
    minutes: Mapping[str, float] | None = None,
) -> tuple[Base, Tables]:
    """A base of exclusive causes and its tables; priors sum to one, the unlisted cause is nil."""
    checks = [
        check(name, _percent(priors, likelihood[name], words), minutes=(minutes or {}).get(name, 1))
        for name, words in answers.items()
    ]
    made = base(symptom, checks=checks, causes=[cause(name, symptom) for name in priors])
    return made, learned(made, symptom, priors, likelihood)


def learned(
    made: Base, symptom: str, priors: Mapping[str, float], likelihood: Likelihood
) -> Tables:
    """The tables of a base whose probabilities come from outside."""
    causes = made.behind(symptom)
    rows = {
        name: tuple(_row(made, name, of_cause[c.id]) for c in causes)
        for name, of_cause in likelihood.items()
    }
    return Tables(symptom, causes, (*(priors[c.id] for c in causes), NEVER), rows, ())


def _row(made: Base, name: str, chances: Sequence[float]) -> CauseRow:
    shares = made.checks[name].shares
    decibans = (10 * log10(max(p, NEVER) / b) for p, b in zip(chances, shares, strict=True))
    return CauseRow(name, tuple(decibans), None, None)


def _percent(
    priors: Mapping[str, float], of_cause: Mapping[str, Sequence[float]], words: Sequence[str]
) -> dict[str, float]:
    """How often each answer is met over all causes, in percent."""
    shares = [
        max(sum(priors[c] * of_cause[c][code] for c in priors), 1e-9) for code in range(len(words))
    ]
    return {word: 100 * share / sum(shares) for word, share in zip(words, shares, strict=True)}


def relearned(
    table: Tables, made: Base, priors: Mapping[str, float], likelihood: Likelihood
) -> Tables:
    """The same tables with other priors, and other rows for the causes that `likelihood` names."""
    place = {cause.id: number for number, cause in enumerate(table.causes)}
    rows = {}
    for name, its in table.rows.items():
        changed = list(its)
        for cause_id, chances in likelihood[name].items():
            changed[place[cause_id]] = _row(made, name, chances)
        rows[name] = tuple(changed)
    shares = (*(priors[c.id] for c in table.causes), NEVER)
    return Tables(table.symptom, table.causes, shares, rows, ())
