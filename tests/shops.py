"""Shops made up by a seed, whose cars differ from what the rule base judges by a known amount.

A shop has a truth: shares of causes behind one symptom and a row of each cause on each check. Its
complaints are drawn from it, a handful of checks answered each, those that tell causes apart more
often. What is learned of its closed complaints is then held against fresh ones of the same shop.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.random import Generator

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import portions
from diagnose.knowledge.logic.experience import Experience
from diagnose.knowledge.model import ALL_SYMPTOMS, Cause, Check, ShownAnswers
from diagnose.knowledge.model.conditions import Value
from diagnose.knowledge.model.kinds import NumberKind, SeveralKind
from diagnose.knowledge.model.words import UNLISTED
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.evidence.columns import Columns, columns
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.tables import Tables, tables
from diagnose.records.experience.counting import counts
from diagnose.records.store.summary import KnownComplaint

ASKED = 9
"""Checks answered of a complaint, as in the worked cases."""


@dataclass(frozen=True)
class Shop:
    """A base as it is believed, and as it is true in this shop, at one symptom.

    `shares` are true ones, of the causes of `truth` behind the symptom and the unlisted one.
    `drawn_worth`: rows and shares were drawn around what is believed, as from so many cases.
    """

    believed: Base
    truth: Base
    shares: tuple[float, ...]
    symptom: str
    drawn_worth: float | None = None

    @cached_property
    def checks(self) -> Mapping[str, float]:
        """How often each check is answered, in proportion: by what it tells in the truth."""
        found = {}
        for name, rows in self.table.rows.items():
            its = self.truth.observables[name]
            if isinstance(its, Check) and its.place != "lab":
                told = sum(
                    share * sum(p * abs(row.decibans[c]) for c, p in enumerate(_of(row)))
                    for share, row in zip(self.shares, rows, strict=False)
                    if row is not None
                )
                found[name] = told + 0.02
        total = sum(found.values())
        return {name: told / total for name, told in found.items()}

    @cached_property
    def table(self) -> Tables:
        """The tables of the truth."""
        return tables(self.truth, self.symptom, self.shares)

    def complaints(self, number: int, chance: Generator) -> list[KnownComplaint]:
        """So many closed complaints; a cause that is not believed in ends as not listed."""
        places = chance.choice(len(self.shares), size=number, p=self.shares)
        names = list(self.checks)
        odds = np.log(list(self.checks.values()))
        order = np.argsort(-(odds + chance.gumbel(size=(number, len(names)))), axis=1)[:, :ASKED]
        found = []
        for at, (place, its) in enumerate(zip(places.tolist(), order.tolist(), strict=True)):
            values = {names[n]: self._answer(names[n], place, chance) for n in its}
            found.append(KnownComplaint(f"s{at}", 1, self.symptom, self._label(place), values))
        return found

    def _label(self, place: int) -> str:
        causes = self.table.causes
        its = causes[place].id if place < len(causes) else UNLISTED
        return its if its in self.believed.causes else UNLISTED

    def _answer(self, name: str, place: int, chance: Generator) -> Value:
        observable, usual = self.truth.observables[name], self.truth.usual(name, self.symptom)
        rows = self.table.rows[name]
        of = np.array(portions(rows[place] if place < len(rows) else None, usual))
        if isinstance(observable.kind, SeveralKind):
            return observable.kind.of(np.flatnonzero(chance.random(len(of)) < of).tolist())
        code = int(chance.choice(len(of), p=of / of.sum()))
        return _number(observable, code) if observable.edges else observable.kind.value(code)

    def learned(self, closed: Sequence[KnownComplaint]) -> Base:
        """What is believed after these complaints."""
        return self.believed.learned(Experience((counts(self.believed, closed),)))

    def learnable(self, closed: Sequence[KnownComplaint]) -> Base | None:
        """The base of one who knows how this shop was drawn and saw these complaints.

        Dirichlet priors of just the worth that the shop was drawn with: nothing that learns from
        these complaints alone can on average foretell better. None where the shop was not drawn.
        """
        if self.drawn_worth is None:
            return None
        worth = {"shares": self.drawn_worth, "rows": self.drawn_worth, "by_source": {}}
        all_of_them = {"times": (1.0,), "differing_percent": 100.0}
        knowing = with_figures(self.believed, {**worth, **all_of_them})
        return replace(self, believed=knowing).learned(closed)

    def score(
        self,
        base: Base,
        fresh: Sequence[KnownComplaint],
        table: Tables | None = None,
        told: Columns | None = None,
    ) -> float:
        """Mean logarithm of the chance that the cause of fresh complaints was given.

        `told`: their answers as columns, where they are made already.
        """
        table = table or tables(base, self.symptom)
        given = Matrix(base, table).score(told or self.told(fresh)).probabilities
        names = {cause.id: place for place, cause in enumerate(table.causes)}
        places = [names.get(complaint.cause, len(names)) for complaint in fresh]
        return float(np.log(np.maximum(given[np.arange(len(fresh)), places], 1e-9)).mean())

    def told(self, fresh: Sequence[KnownComplaint]) -> Columns:
        """The answers of complaints as columns."""
        return columns(self.believed, [complaint.values or {} for complaint in fresh])

    @cached_property
    def best(self) -> tuple[Base, Tables]:
        """What could at most be believed: true shares and rows of all that is listed at all."""
        listed = [c.id in self.believed.causes for c in self.table.causes]
        causes = {c: its for c, its in self.truth.causes.items() if c in self.believed.causes}
        known = [p for p, there in zip(self.shares, listed, strict=False) if there]
        base = replace(self.truth, causes=causes)
        return base, tables(base, self.symptom, (*known, 1 - sum(known)))


def with_figures(base: Base, figures: Mapping[str, Any]) -> Base:
    """The base with other figures of worth."""
    worth = base.scales.worth_cases.model_copy(update=dict(figures))
    return replace(base, scales=base.scales.model_copy(update={"worth_cases": worth}))


def _of(row) -> tuple[float, ...]:
    return portions(row, row.usual)


def _number(check, code: int) -> Quantity:
    kind = check.kind
    assert isinstance(kind, NumberKind)
    ends = (kind.low, *kind.edges, kind.high)
    middle = (ends[code] + ends[code + 1]) / 2
    return Quantity(middle, middle)


# How a shop may differ


def as_judged(base: Base, symptom: str, chance: Generator) -> Shop:
    """A shop that is just as the base says."""
    return Shop(base, base, base.priors(symptom), symptom)


def drawn(worth: float) -> Callable[[Base, str, Generator], Shop]:
    """Every row and all shares are drawn around what is judged, as from so many cases."""

    def shop(base: Base, symptom: str, chance: Generator) -> Shop:
        truth = stated(base, symptom)
        causes = {c.id: _redrawn(truth, c, symptom, worth, chance) for c in truth.behind(symptom)}
        truth = replace(truth, causes={**truth.causes, **causes})
        shares = chance.dirichlet(worth * np.array(base.priors(symptom)))
        return Shop(base, truth, tuple(_floored(shares)), symptom, worth)

    return shop


def one_strength_wrong(base: Base, symptom: str, chance: Generator) -> Shop:
    """The weightiest row of a frequent cause is turned round: what it shows is as good as never."""
    cause = base.behind(symptom)[int(np.argmax(base.priors(symptom)[:-1]))]
    rows = {
        name: row
        for name, row in base.rows(cause, symptom).items()
        if isinstance(base.observables[name], Check) and not row.absent and not row.ruled_out
    }
    name = max(rows, key=lambda n: max(rows[n].decibans))
    its = _of(rows[name])
    order = np.argsort(its)
    turned = np.array(its)
    turned[order] = np.array(its)[order[::-1]]
    truth = stated(base, symptom)
    changed = _with_row(truth, truth.causes[cause.id], symptom, name, turned.tolist())
    truth = replace(truth, causes={**truth.causes, cause.id: changed})
    return Shop(base, truth, base.priors(symptom), symptom)


def one_share_wrong(base: Base, symptom: str, chance: Generator) -> Shop:
    """A rare cause makes three in ten."""
    shares = np.array(base.priors(symptom))
    rare = int(np.argmin(shares[:-1]))
    shares *= 0.7 / (1 - shares[rare])
    shares[rare] = 0.3
    return Shop(base, base, tuple(shares), symptom)


def one_cause_missing(base: Base, symptom: str, chance: Generator) -> Shop:
    """A cause of middling frequency is not in the base."""
    shares = base.priors(symptom)
    ranked = sorted(range(len(shares) - 1), key=lambda n: -shares[n])
    gone = base.behind(symptom)[ranked[len(ranked) // 3]].id
    believed = replace(base, causes={c: its for c, its in base.causes.items() if c != gone})
    return Shop(believed, base, shares, symptom)


KINDS: Mapping[str, Callable[[Base, str, Generator], Shop]] = {
    "as judged": as_judged,
    "drawn, worth 10": drawn(10),
    "drawn, worth 40": drawn(40),
    "one strength wrong": one_strength_wrong,
    "one share wrong": one_share_wrong,
    "one cause missing": one_cause_missing,
}


def _floored(shares: Sequence[float]) -> list[float]:
    """Shares of which none is nothing."""
    its = np.maximum(shares, 1e-4)
    return list(its / its.sum())


def _redrawn(base: Base, cause: Cause, symptom: str, worth: float, chance: Generator) -> Cause:
    for name, row in base.rows(cause, symptom).items():
        if not isinstance(base.observables[name], Check):
            continue
        its = np.array(_of(row))
        if row.absent:
            now = np.clip(chance.beta(worth * its + 1e-9, worth * (1 - its)), 0.001, 0.99)
            now[its == 0] = 0
        else:
            now = np.where(its > 0, chance.gamma(np.maximum(worth * its, 1e-9)), 0.0)
            now = np.where(its > 0, np.maximum(now / now.sum(), 1e-4), 0.0)
            now /= now.sum()
        cause = _with_row(base, cause, symptom, name, now.tolist())
    return cause


def stated(base: Base, symptom: str) -> Base:
    """The same base, with what estimates and whole complaints make of a symptom written as rows."""
    its = [base.estimates[name] for name in (symptom, ALL_SYMPTOMS) if name in base.estimates]
    tables = [table for one in its for table in one.rows]
    here = base.symptoms[symptom]
    usual = {t.check: base.usual(t.check, symptom) for t in tables}
    shares = {
        name: {label: 100 * b for label, b in zip(base.observables[name].labels, bs, strict=True)}
        for name, bs in usual.items()
    }
    at = here.model_copy(update={"usual": {**here.usual, **shares}})
    causes = dict(base.causes)
    for cause in base.behind(symptom):
        rows = base.rows(cause, symptom)
        moved = base.whole_cases[cause.id].shows if cause.id in base.whole_cases else {}
        for name in dict.fromkeys((*(t.check for t in tables if cause.id in t.of_100), *moved)):
            if name in rows:
                its_own = (_of(rows[name]), rows[name].group)
                causes[cause.id] = _with_row(base, causes[cause.id], symptom, name, *its_own)
    symptoms = {**base.symptoms, symptom: at}
    return replace(base, causes=causes, estimates={}, whole_cases={}, symptoms=symptoms)


def _with_row(
    base: Base,
    cause: Cause,
    symptom: str,
    name: str,
    now: Sequence[float],
    group: str | None = None,
) -> Cause:
    """The cause with a row at a symptom stated whole."""
    labels = base.observables[name].labels
    new = ShownAnswers(
        check=name, of_100={labels[0]: 0}, because="estimated", source=("memory",), group=group
    )
    one = next((entry for entry in cause.shows if entry.check == name), new)
    whole = one.model_copy(
        update={
            "of_100": {label: 100 * p for label, p in zip(labels, now, strict=True)},
            "at": (symptom,),
        }
    )
    others = (e for e in cause.shows if e.check != name or symptom not in e.at)
    return cause.model_copy(update={"shows": (*others, whole)})


def mislabelled(
    shop: Shop, closed: Sequence[KnownComplaint], part: float, chance: Generator
) -> list[KnownComplaint]:
    """The complaints with part of the labels wrong: what the base as judged would rather think."""
    table = tables(shop.believed, shop.symptom)
    told = columns(shop.believed, [complaint.values or {} for complaint in closed])
    given = Matrix(shop.believed, table).score(told).probabilities
    names = [*(cause.id for cause in table.causes), UNLISTED]
    found = []
    for complaint, its in zip(closed, given, strict=True):
        if chance.random() < part:
            odds = its.copy()
            odds[names.index(complaint.cause)] = 0
            if odds.sum() > 0:
                cause = names[int(chance.choice(len(names), p=odds / odds.sum()))]
                complaint = replace(complaint, cause=cause)
        found.append(complaint)
    return found
