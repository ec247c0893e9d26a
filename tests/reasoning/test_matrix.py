"""The evaluator of many rows against the chain that explains one: same signs, same numbers."""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND, Value, Values
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.evidence.chain import Chain, Trace
from diagnose.reasoning.evidence.columns import Columns, columns, with_measures, with_shown
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.state import State
from diagnose.reasoning.evidence.tables import tables
from diagnose.reasoning.evidence.weigh import weigh
from tests.examples import examples
from tests.reasoning.generated import bases, rows

CLOSE = 1e-9

SMALL = settings(
    max_examples=examples(80),
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def largest_difference(base: Base, symptom: str, lines: Sequence[Values]) -> float:
    """The largest difference in a probability; asserts that what is ruled out is the same."""
    table = tables(base, symptom)
    chain = Chain(base, symptom)
    scores = Matrix(base, table).score(with_measures(base, columns(base, lines)))
    worst = 0.0
    for number, line in enumerate(lines):
        differential = weigh(base, table, chain.run(line))
        of = {s.cause.id: s for s in differential.standings}
        for place, cause in enumerate(table.causes):
            standing = of[cause.id]
            assert bool(scores.out[number, place]) is bool(standing.ruled_out)
            assert scores.decibans[number, place] == pytest.approx(standing.decibans, abs=CLOSE)
            worst = max(worst, abs(scores.probabilities[number, place] - standing.probability))
        worst = max(worst, abs(scores.probabilities[number, -1] - differential.unlisted))
    return worst


def same_chaining(base: Base, symptom: str, lines: Sequence[Values]) -> None:
    """Findings, contradictions, signs and rule-outs hold in the same rows."""
    chain = Chain(base, symptom)
    table = with_measures(base, with_shown(base, symptom, columns(base, lines)))
    for number, line in enumerate(lines):
        _same_row(base, chain.run(line), table.part(number, number + 1))


def _same_row(base: Base, trace: Trace, row: Columns) -> None:
    state = State(base, row)
    for name, (found, absent) in state.findings().items():
        word = FOUND if found[0] else NOT_FOUND if absent[0] else None

        assert trace.values.get(name) == word
    fired = {(h.owner, h.number) for h in trace.signs}
    for cause in base.behind(trace.symptom):
        for number, sign in enumerate(cause.signs):
            holds, fails = state.holds(sign.when), state.fails(sign.when)

            assert ((cause.id, number) in fired) is bool(holds[0])
            assert not (holds[0] and fails[0])
    odd = {h.owner for h in trace.contradictions}

    assert odd == {c.id for c in base.contradicting(trace.symptom) if state.holds(c.when)[0]}


@SMALL
@given(bases(), rows())
def test_generated_bases_give_the_same_probabilities(base: Base, lines: list[Values]) -> None:
    """Whatever the rules and the row: chain with weigh and the matrix agree to nine digits."""
    for symptom in base.symptoms:
        assert largest_difference(base, symptom, lines) < CLOSE


@SMALL
@given(bases(), rows())
def test_generated_bases_fire_the_same_signs(base: Base, lines: list[Values]) -> None:
    """Whatever the rules and the row: the same findings, signs and contradictions."""
    for symptom in base.symptoms:
        same_chaining(base, symptom, lines)


def drawn(base: Base, number: int, seed: int, filled: float = 0.3) -> list[Values]:
    """Rows for the shipped base: each check answered with a chance of `filled`."""
    chance = random.Random(seed)
    return [
        {c: _any(base, c, chance) for c in base.checks if chance.random() < filled}
        for _ in range(number)
    ]


def _any(base: Base, name: str, chance: random.Random) -> Value:
    check = base.checks[name]
    if check.answers:
        words = sorted(chance.sample(range(len(check.answers)), chance.choice([1, 1, 1, 2])))
        return check.kind.of(words)
    assert check.number is not None
    edges = [*check.edges, check.number.low, check.number.high]
    ends = sorted(
        chance.choice([*edges, chance.uniform(*sorted(edges)[:: len(edges) - 1])]) for _ in "ab"
    )
    return Quantity(ends[0], ends[1]) if chance.random() < 0.3 else Quantity(ends[0], ends[0])


def test_the_shipped_base_gives_the_same_probabilities(base: Base) -> None:
    """Every shipped symptom, few and many answers: the two evaluators agree to nine digits."""
    for number, symptom in enumerate(base.symptoms):
        lines = [*drawn(base, 1, number, 0.1), *drawn(base, 1, number, 0.6)]

        assert largest_difference(base, symptom, lines) < CLOSE


@pytest.mark.parametrize("symptom", ["edge_lifting", "silvering", "wash_marring"])
def test_the_shipped_base_fires_the_same_signs(base: Base, symptom: str) -> None:
    """Findings, signs, rule-outs and contradictions of the shipped base hold in the same rows."""
    same_chaining(base, symptom, drawn(base, 6, 7, 0.4))


def test_an_order_of_rows_and_blocks_changes_nothing(base: Base) -> None:
    """A row is scored by itself: alone, in a crowd over several blocks, or as part of a state."""
    lines = drawn(base, 60, 3) * 150
    table = with_measures(base, columns(base, lines))
    matrix = Matrix(base, tables(base, "tunnelling"))
    one = matrix.score(table)
    part = matrix.score_state(
        State(base, table).part(np.arange(8999, 0, -1)).part(np.arange(50, 99))
    )
    alone = [matrix.score(table.part(n, n + 1)).probabilities[0] for n in range(60)]

    assert np.array_equal(one.probabilities[8949:8900:-1], part.probabilities)
    assert np.array_equal(one.probabilities[-60:], np.array(alone))


def test_probabilities_of_a_row_sum_to_one(base: Base) -> None:
    """With the unlisted cause, the causes of a row share one."""
    table = with_measures(base, columns(base, drawn(base, 50, 5)))
    for symptom in base.symptoms:
        sums = Matrix(base, tables(base, symptom)).score(table).probabilities.sum(axis=1)

        assert np.allclose(sums, 1.0, rtol=0, atol=1e-12)
