"""Who pays and on what evidence, for many rows at once: what the judgement of one case says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import pytest

from diagnose.claims.decision.decide import Deciding
from diagnose.claims.decision.weighing import Weighing
from diagnose.claims.policy.cover import Covering
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Condition, Values
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.columns import columns, with_measures
from diagnose.reasoning.evidence.state import State
from diagnose.reasoning.payer import on_file, pays
from tests.claims.tables import example_policy

ROWS = 60
SYMPTOMS = ("sheen_patches", "edge_lifting", "corner_lifting")
"""Behind these lie most causes that can hold two exceptions with different payers."""


def conditions(base: Base, symptom: str) -> Iterator[Condition]:
    """Whatever decides who pays behind a symptom, and on what evidence."""
    for cause in base.behind(symptom):
        yield from (other.when for other in cause.responsibility.unless)
    for payer in base.payers.values():
        yield from (e.when for e in (*payer.needs, *payer.falls_if) if e.when)


def answered(base: Base, symptom: str) -> list[dict[str, str]]:
    """Rows in which the choices of those conditions are answered at random, a third left open."""
    chance = np.random.default_rng(5)
    wanted = {s: None for when in conditions(base, symptom) for s in when.subjects()}
    choices = [base.checks[s] for s in wanted if s in base.checks and base.checks[s].answers]
    return [
        {
            check.id: list(check.answers)[chance.integers(len(check.answers))]
            for check in choices
            if chance.random() < 2 / 3
        }
        for _ in range(ROWS)
    ]


def state_of(base: Base, rows: list[dict[str, str]]) -> State:
    """The rows as the claims hold them."""
    return State(base, with_measures(base, columns(base, rows)))


def values_of(reasoner: Reasoner, symptom: str, row: Mapping[str, str]) -> Values:
    """The row as the chain of one case has it: answers, measures and findings."""
    return reasoner.trace(AnsweredComplaint(symptom, row)).values


@pytest.mark.parametrize("symptom", SYMPTOMS)
def test_each_rows_payer_is_that_of_the_case(base: Base, reasoner: Reasoner, symptom: str) -> None:
    """Were it surely this cause, the same payer is named in a row of many and in one case."""
    rows = answered(base, symptom)
    state, causes = state_of(base, rows), base.behind(symptom)
    weighing, payers = Weighing(base, symptom), list(base.payers)
    values = [values_of(reasoner, symptom, row) for row in rows]
    twice = 0
    for place, cause in enumerate(causes):
        chances = np.zeros((ROWS, len(causes) + 1))
        chances[:, place] = 1.0
        paying, likely = weighing.paying(state, chances)
        for row, known in enumerate(values):
            expected = pays(cause, known)
            assert payers[int(paying[:, row].argmax())] == expected.payer
            assert paying[:, row].sum() == pytest.approx(1.0)
            held = [o.when.holds(known) for o in cause.responsibility.unless]
            before = held[: held.index(True)] if True in held else held
            assert likely[:, row].sum() == pytest.approx(1.0)
            settled = likely[payers.index(expected.payer), row] == pytest.approx(1.0)
            others = {o.payer for o in cause.responsibility.unless} - {expected.payer}
            assert settled or None in before
            assert not (
                settled
                and None in before
                and others == {o.payer for o in cause.responsibility.unless}
            )
            twice += held.count(True) > 1
    assert twice > 0


def test_each_rows_evidence_is_that_of_the_case(base: Base, reasoner: Reasoner) -> None:
    """What is open, what is not so and what speaks against a payer, for every payer and row."""
    symptom = SYMPTOMS[0]
    rows = answered(base, symptom)
    state, policy = state_of(base, rows), example_policy(base)
    deciding = Deciding(base, policy, Covering(base, policy))
    found = {"open": 0, "not so": 0, "against": 0}
    for number, payer in enumerate(base.payers.values()):
        who = np.full(ROWS, number)
        open_bits, fails, falls = deciding.on_file(state, who, who)
        for row, answers in enumerate(rows):
            expected = on_file(payer, values_of(reasoner, symptom, answers))
            its = deciding.needs[number]
            open_ = [need.says for bit, need in enumerate(its) if open_bits[row] >> bit & 1]
            not_so = len(expected.missing) > len(expected.unknown)
            assert open_ == [need.says for need in expected.unknown]
            assert fails[row] == not_so
            assert falls[row] == bool(expected.against)
            found["open"] += bool(open_)
            found["not so"] += not_so
            found["against"] += bool(expected.against)
    assert min(found.values()) > 10
