"""Judges from outside: CLIPS for the chaining, a Bayesian-network library for the probabilities."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import FOUND, Values
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.evidence.chain import Chain
from diagnose.reasoning.evidence.columns import columns, with_measures, with_shown
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.state import State
from diagnose.reasoning.evidence.tables import Tables, tables
from tests.examples import examples
from tests.reasoning.clips_rules import clips_environment, constructs, slots
from tests.reasoning.generated import bases, rows
from tests.reasoning.test_matrix import drawn

JUDGED = settings(
    max_examples=examples(40),
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)

Fired = set[tuple[str, str, int]]


def clips_fires(environment: Any, base: Base, values: Values) -> tuple[Fired, dict[str, str]]:
    """What CLIPS fires and finds for one row."""
    environment.reset()
    environment.find_template("car").assert_fact(**slots(base, values))
    environment.run()
    fired: Fired = set()
    findings: dict[str, str] = {}
    for fact in environment.facts():
        if fact.template.name == "fired":
            fired.add((str(fact["part"]), str(fact["owner"]), int(fact["number"])))
        elif fact.template.name == "finding":
            findings[str(fact["id"])] = str(fact["state"])
    return fired, findings


def matrix_fires(base: Base, symptom: str, values: Values) -> tuple[Fired, Any]:
    """What the matrix says holds for the same row."""
    known = with_shown(base, symptom, columns(base, [values]))
    state = State(base, with_measures(base, known))
    both = state.findings()
    findings = {n: FOUND if f[0] else "not_found" for n, (f, a) in both.items() if f[0] or a[0]}
    stated = [("contradiction", c.id, 0, c.when) for c in base.contradicting(symptom)]
    for cause in base.behind(symptom):
        stated += [("sign", cause.id, n, s.when) for n, s in enumerate(cause.signs)]
        stated += [
            ("out", cause.id, n, o.when) for n, o in enumerate(base.rule_outs(cause, symptom))
        ]
    fired = {(p, o, n) for p, o, n, when in stated if state.holds(when)[0]}
    return fired, findings


def judge_by_clips(base: Base, symptom: str, lines: list[Values]) -> None:
    """CLIPS, chain and matrix fire the same in every row."""
    clips = pytest.importorskip("clips")
    environment = clips_environment(clips, constructs(base, symptom))
    chain = Chain(base, symptom)
    for line in lines:
        trace = chain.run(line)
        values = {n: v for n, v in trace.values.items() if n in base.observables}
        fired, findings = clips_fires(environment, base, values)

        assert (fired, findings) == matrix_fires(base, symptom, line)
        assert findings == {n: v for n, v in trace.values.items() if n in base.findings}
        assert {f for f in fired if f[0] == "sign"} == {
            ("sign", h.owner, h.number) for h in trace.signs
        }


@JUDGED
@given(bases(), rows())
def test_clips_fires_the_same_on_generated_bases(base: Base, lines: list[Values]) -> None:
    """Findings, signs, rule-outs and contradictions: CLIPS agrees, whatever the rules."""
    judge_by_clips(base, "s", lines)


@pytest.mark.parametrize("symptom", ["edge_lifting", "fading"])
def test_clips_fires_the_same_on_the_shipped_base(base: Base, symptom: str) -> None:
    """Findings, signs, rule-outs and contradictions of the shipped base: CLIPS agrees."""
    judge_by_clips(base, symptom, drawn(base, 8, 11, 0.4))


def network(base: Base, table: Tables) -> Any:
    """The tables as a Bayesian network: the cause, and below it a node for each check."""
    agrum = pytest.importorskip("pyagrum")
    net = agrum.BayesNet()
    net.add(agrum.LabelizedVariable("cause", "", len(table.causes) + 1))
    net.cpt("cause")[:] = list(table.priors)
    for name in table.rows:
        for node, chances in nodes(base, table, name).items():
            net.add(agrum.LabelizedVariable(node, "", len(chances[0])))
            net.addArc("cause", node)
            net.cpt(node)[:] = chances
    return net


def nodes(base: Base, table: Tables, name: str) -> dict[str, list[list[float]]]:
    """A node for a check with its chances by cause; a yes and no for each that can be together."""
    chances = answers_given_causes(base, table, name)
    if not isinstance(base.observables[name].kind, SeveralKind):
        return {name: chances}
    return {
        f"{name}.{code}": [[1 - its[code], its[code]] for its in chances]
        for code in range(len(base.observables[name].labels))
    }


def answers_given_causes(base: Base, table: Tables, name: str) -> list[list[float]]:
    """P(answer | cause), a row a cause, the unlisted cause last; each row sums to one."""
    usual = base.usual(name, table.symptom)
    found = []
    for row in table.rows[name]:
        decibans = row.decibans if row else (0.0,) * len(usual)
        chances = [b * 10 ** (d / 10) for b, d in zip(usual, decibans, strict=True)]
        for code in row.ruled_out if row else ():
            chances[code] = 0.0
        assert row is None or row.absent or sum(chances) == pytest.approx(1, abs=1e-9)
        found.append(chances)
    return [*found, list(usual)]


def likelihood_of_the_rest(base: Base, table: Tables, row: Any) -> list[float]:
    """What signs of several conditions and rule-outs make of each cause, for soft evidence."""
    state = State(base, row)
    found = [1.0] * (len(table.causes) + 1)
    for extra in table.extras:
        if state.holds(extra.sign.when)[0]:
            found[extra.cause] *= 10 ** (extra.decibans / 10)
    for place, cause in enumerate(table.causes):
        if any(state.holds(o.when)[0] for o in base.rule_outs(cause, table.symptom)):
            found[place] = 0.0
    return [x / max(found) for x in found]


def judge_by_network(base: Base, symptom: str, lines: list[Values]) -> float:
    """The largest difference from the network's posterior, over rows without groups at work."""
    agrum = pytest.importorskip("pyagrum")
    table = tables(base, symptom)
    matrix, net = Matrix(base, table), network(base, table)
    worst = 0.0
    for line in lines:
        row = with_measures(base, with_shown(base, symptom, columns(base, [line])))
        seen = dict(line) | {
            n: Quantity(float(low[0]), float(high[0]))
            for n, (low, high) in row.numbers.items()
            if not np.isnan(low[0])
        }
        evidence: dict[str, Any] = {"cause": likelihood_of_the_rest(base, table, row)}
        for name in table.rows:
            if name in seen:
                at = base.observables[name].kind.codes(seen[name])
                size = len(base.observables[name].labels)
                if isinstance(base.observables[name].kind, SeveralKind):
                    evidence |= {f"{name}.{code}": int(code in at) for code in range(size)}
                else:
                    evidence[name] = [1.0 if code in at else 0.0 for code in range(size)]
        engine = agrum.LazyPropagation(net)
        engine.setEvidence(evidence)
        expected = engine.posterior("cause").toarray()
        worst = max(worst, float(np.abs(matrix.score(row).probabilities[0] - expected).max()))
    return worst


def ungrouped(base: Base) -> Base:
    """The same base without groups, which no such network can say."""
    causes = {
        name: cause.model_copy(
            update={
                name: tuple(s.model_copy(update={"group": None}) for s in getattr(cause, name))
                for name in ("shows", "signs")
            }
        )
        for name, cause in base.causes.items()
    }
    estimates = {
        name: its.model_copy(
            update={"rows": tuple(t.model_copy(update={"group": None}) for t in its.rows)}
        )
        for name, its in base.estimates.items()
    }
    changed = {f: getattr(base, f) for f in base.__dataclass_fields__}
    changed |= {"causes": causes, "estimates": estimates}
    return Base(**changed)


@JUDGED
@given(bases(), rows())
def test_a_bayesian_network_gives_the_same_on_generated_bases(
    base: Base, lines: list[Values]
) -> None:
    """Prior, tables, several conditions and rule-outs: the network's posterior is the same."""
    assert judge_by_network(ungrouped(base), "s", lines) < 1e-9


@pytest.mark.parametrize("symptom", ["edge_lifting", "tunnelling", "impact_damage"])
def test_a_bayesian_network_gives_the_same_on_the_shipped_base(base: Base, symptom: str) -> None:
    """The shipped tables as a network: the posterior is the same."""
    assert judge_by_network(ungrouped(base), symptom, drawn(base, 5, 13, 0.3)) < 1e-9
