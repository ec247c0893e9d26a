"""Counts that go from shop to shop: no case, no customer, no vehicle, no fitter, no day.

Answers met fewer than five times with a cause are joined into one of which it is only known that it
was one of them; what is still fewer is left out, as are causes confirmed fewer than five times.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from math import inf
from typing import Any

from diagnose.commands import Misuse
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.experience import Cell, Codes, Counts, Seen
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.records.store.store import Store

FEWEST = 5
"""No smaller count leaves the shop."""

KEPT, FORMAT = "experience", "wrap-experience-1"


@dataclass(frozen=True, slots=True)
class OtherShop:
    """Another shop's counts as they are kept, with the weight that one of its cases has."""

    shop: str
    cases: int
    weight: float


def exported(base: Base, counts: Counts, shop: str) -> str:
    """The counts of a shop as a text of JSON, named by the shop's own choice."""
    causes = {
        symptom: kept
        for symptom, its in sorted(counts.causes.items())
        if (kept := {cause: int(n) for cause, n in sorted(its.items()) if n >= FEWEST})
    }
    answers = []
    for cell, seen in sorted(counts.answers.items()):
        for codes, number in _joined(base, cell, seen):
            labels = [base.observables[cell[2]].labels[code] for code in codes]
            answers.append([*cell, labels, int(number)])
    cases = sum(sum(its.values()) for its in causes.values())
    data = {"format": FORMAT, "shop": shop, "cases": cases, "causes": causes, "answers": answers}
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def _joined(base: Base, cell: Cell, seen: Seen) -> list[tuple[Codes, float]]:
    kept = [(codes, n) for codes, n in sorted(seen.items()) if n >= FEWEST]
    few = {codes: n for codes, n in seen.items() if n < FEWEST}
    together = isinstance(base.observables[cell[2]].kind, SeveralKind)
    if not together and sum(few.values()) >= FEWEST:
        codes = tuple(sorted({code for its in few for code in its}))
        kept.append((codes, sum(few.values())))
    return kept


def take_in(store: Store, text: str, weight: float, name: str) -> OtherShop:
    """Keep another shop's counts; the same twice count once, of two of a shop the fuller one.

    Raises Misuse for a file that is none.
    """
    try:
        data = json.loads(text)
        if data["format"] != FORMAT:
            raise Misuse(f"{name} holds no counts of a shop, or of another version")
        shop, cases = str(data["shop"]).strip(), int(data["cases"])
        cells = [(str(s), str(c), str(k), list(its), n) for s, c, k, its, n in data["answers"]]
        numbers = [
            *(n for *_, n in cells),
            *(n for c in data["causes"].values() for n in c.values()),
        ]
        if not all(0 <= float(n) < inf for n in (cases, *numbers)):
            raise ValueError("a count is below nothing or without an end")
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError) as error:
        raise Misuse(f"{name} holds no counts of a shop: {error}") from None
    if not shop:
        raise Misuse(f"{name} does not say whose counts these are")
    before = store.kept(KEPT, "").get(shop)
    if before is None or _rank(data) > _rank(before["counts"]):
        store.keep(KEPT, "", shop, {"weight": weight, "counts": data})
    return OtherShop(shop, cases, weight)


def _rank(data: Mapping[str, Any]) -> tuple[int, str]:
    """Which of two exports of a shop is the fuller one, whatever came first."""
    return int(data["cases"]), sha256(json.dumps(data, sort_keys=True).encode()).hexdigest()


def set_weight(store: Store, shop: str, weight: float) -> None:
    """Say what a case of another shop counts for; 0 sets it to nothing. Raises Misuse."""
    if not 0 <= weight <= 1:
        raise Misuse(f"{weight:g} is no weight: give 0 (counts for nothing) to 1 (as an own case)")
    kept = store.kept(KEPT, "")
    if shop not in kept:
        raise Misuse(f"no counts are here of '{shop}'; here are: {', '.join(kept) or 'none'}")
    store.keep(KEPT, "", shop, {**kept[shop], "weight": weight})


def sources(store: Store) -> tuple[OtherShop, ...]:
    """The other shops whose counts are here, by name."""
    return tuple(
        OtherShop(shop, int(its["counts"]["cases"]), float(its["weight"]))
        for shop, its in sorted(store.kept(KEPT, "").items())
    )


def others(base: Base, store: Store) -> tuple[Counts, ...]:
    """The counts of other shops; what these rules do not have is passed over."""
    return tuple(
        _counts(base, shop, its["counts"], float(its["weight"]))
        for shop, its in sorted(store.kept(KEPT, "").items())
    )


def _counts(base: Base, shop: str, data: Mapping[str, Any], weight: float) -> Counts:
    answers: dict[Cell, dict[Codes, float]] = defaultdict(dict)
    for symptom, cause, check, labels, number in data["answers"]:
        its = base.observables.get(check)
        listed = symptom in base.symptoms and cause in base.causes
        if listed and its is not None and set(labels) <= set(its.labels):
            codes = tuple(its.labels.index(label) for label in labels)
            answers[symptom, cause, check][codes] = float(number)
    causes = {s: its for s, its in data["causes"].items() if s in base.symptoms}
    return Counts(shop, int(data["cases"]), causes, dict(answers), weight)
