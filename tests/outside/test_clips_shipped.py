"""CLIPS judges the shipped rule base: every worked case and thousands of drawn answer sets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from types import ModuleType

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND, Condition, Values
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.conclusion import Concluder, Conclusion
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.chain import Trace
from diagnose.reasoning.evidence.columns import Columns, columns, with_measures, with_shown
from diagnose.reasoning.evidence.state import State
from diagnose.reasoning.evidence.weigh import weigh
from tests.outside.clips_base import ClipsBase, Fired
from tests.outside.fetch import library
from tests.outside.shipped_cases import case_rows
from tests.reasoning.test_matrix import drawn
from tests.shipped import shipped_base

pytestmark = pytest.mark.xdist_group("clips_shipped")

DRAWN = (24, 24, 16)
"""Answer sets for each symptom: few, some and nearly all checks answered."""

FILLED = (0.08, 0.3, 0.9)


@pytest.fixture(scope="module")
def clips() -> ModuleType:
    return library("clips")


@pytest.fixture(scope="module")
def cases(base: Base) -> dict[str, list[Values]]:
    return case_rows(base)


def measured(base: Base, table: Columns, row: int, line: Values) -> Values:
    """A row's answers with the measures that follow from them."""
    seen = dict(line)
    for name, (low, high) in table.numbers.items():
        if name in base.measures and low[row] == low[row]:
            seen[name] = Quantity(float(low[row]), float(high[row]))
    for name, codes in table.choices.items():
        if name in base.measures and codes[row] >= 0:
            seen[name] = base.observables[name].labels[codes[row]]
    return seen


def stated(base: Base, symptom: str) -> list[tuple[str, str, int, Condition]]:
    """Every statement that may hold: its part, owner, number and condition."""
    found = [("contradiction", c.id, 0, c.when) for c in base.contradicting(symptom)]
    for cause in base.behind(symptom):
        found += [("sign", cause.id, n, s.when) for n, s in enumerate(cause.signs)]
        found += [
            ("out", cause.id, n, o.when) for n, o in enumerate(base.rule_outs(cause, symptom))
        ]
    return found


def matrix_fires(
    base: Base, symptom: str, table: Columns
) -> list[tuple[Fired, frozenset[tuple[str, str]]]]:
    """What the matrix says holds and is found, row by row."""
    state = State(base, table)
    fired: list[set[tuple[str, str, int]]] = [set() for _ in range(table.rows)]
    findings: list[set[tuple[str, str]]] = [set() for _ in range(table.rows)]
    for part, owner, number, when in stated(base, symptom):
        for row in state.holds(when).nonzero()[0].tolist():
            fired[row].add((part, owner, number))
    for name, (yes, no) in state.findings().items():
        for row in range(table.rows):
            if yes[row] or no[row]:
                findings[row].add((name, FOUND if yes[row] else NOT_FOUND))
    return [(frozenset(a), frozenset(b)) for a, b in zip(fired, findings, strict=True)]


def chain_fires(trace: Trace, base: Base) -> tuple[Fired, frozenset[tuple[str, str]]]:
    """What the chain says fired and was found."""
    parts = (("sign", trace.signs), ("out", trace.ruled_out))
    fired = {(part, h.owner, h.number) for part, held in parts for h in held}
    fired |= {("contradiction", h.owner, 0) for h in trace.contradictions}
    found = {(n, str(v)) for n, v in trace.values.items() if n in base.findings}
    return frozenset(fired), frozenset(found)


def lines_of(base: Base, symptom: str, cases: dict[str, list[Values]]) -> list[Values]:
    """The worked cases of a symptom, then drawn answer sets."""
    seed = sum(map(ord, symptom))
    sets = (drawn(base, n, seed + k, f) for k, (n, f) in enumerate(zip(DRAWN, FILLED, strict=True)))
    return [*cases[symptom], *(line for its in sets for line in its)]


@pytest.mark.parametrize("symptom", shipped_base().symptoms)
def test_clips_fires_what_the_matrix_fires(
    clips: ModuleType, base: Base, cases: dict[str, list[Values]], symptom: str
) -> None:
    """Signs, rule-outs, contradictions and findings are the same in 64 drawn rows and all cases."""
    lines = lines_of(base, symptom, cases)
    table = with_measures(base, with_shown(base, symptom, columns(base, lines)))
    expected = matrix_fires(base, symptom, table)
    judge = ClipsBase(clips, base, symptom)
    for row, line in enumerate(lines):
        judged = judge.run(measured(base, table, row, {**base.symptoms[symptom].shows, **line}))

        assert (judged.fired, judged.findings) == expected[row]


def followed(conclusion: Conclusion) -> set[tuple[str, ...]]:
    """The conclusion in the words of CLIPS, what is barred by its remedy alone."""
    found: set[tuple[str, ...]] = {
        ("proposed", r, c, "remedy") for r, causes in conclusion.proposed for c in causes
    }
    found |= {("shown", caution) for caution in conclusion.cautions}
    found |= {("pays", p.cause, p.payer) for p in conclusion.pays}
    found |= {("barred", b.remedy, "yes", b.cause or "nil") for b in conclusion.barred}
    return found | {("barred", b.remedy, "no", b.cause or "nil") for b in conclusion.warnings}


def comparable(facts: frozenset[tuple[str, ...]]) -> set[tuple[str, ...]]:
    """The same of CLIPS: steps that go beside are compared by themselves."""
    beside = {f for f in facts if f[0] == "proposed" and f[3] == "beside"}
    return {f[:4] if f[0] == "barred" else f for f in facts - beside}


def beside(facts: frozenset[tuple[str, ...]]) -> set[str]:
    return {f[1] for f in facts if f[0] == "proposed" and f[3] == "beside"}


def conclude_all(
    clips: ModuleType,
    reasoner: Reasoner,
    concluder: Concluder,
    symptom: str,
    lines: Sequence[Values],
) -> int:
    """Compare the chain and its conclusions with CLIPS, row by row; how many were compared."""
    base = reasoner.base
    judge = ClipsBase(clips, base, symptom)
    for line in lines:
        trace = reasoner.trace(AnsweredComplaint(symptom, line))
        differential = weigh(base, reasoner.table(symptom), trace)
        values = {n: v for n, v in trace.values.items() if n in base.observables}
        judged = judge.run(values, differential)
        conclusion = concluder.run(trace, differential)

        assert (judged.fired, judged.findings) == chain_fires(trace, base)
        assert comparable(judged.followed) == followed(conclusion)
        assert beside(judged.followed) == set(conclusion.accompanying)
    return len(lines)


@pytest.mark.parametrize("symptom", shipped_base().symptoms)
def test_clips_concludes_what_the_chain_concludes(
    clips: ModuleType,
    reasoner: Reasoner,
    concluder: Callable[[str], Concluder],
    cases: dict[str, list[Values]],
    symptom: str,
) -> None:
    """What is proposed, barred and shown, and who pays, is the same for every worked case."""
    lines = cases[symptom] or drawn(reasoner.base, 2, 5, 0.3)

    assert conclude_all(clips, reasoner, concluder(symptom), symptom, lines) == len(lines)
