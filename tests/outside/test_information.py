"""The choice of checks against published worked examples and against the best of all strategies."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from math import log2

import numpy as np
import pytest

from diagnose.knowledge.base import Base
from diagnose.reasoning.evidence.columns import columns
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.tables import Tables
from diagnose.reasoning.questions.choose import Chooser, entropy
from diagnose.reasoning.questions.question import Asked, Question
from tests.outside.carried import Likelihood, star
from tests.outside.fetch import judge, library
from tests.outside.files import arff
from tests.outside.strategies import (
    Drawn,
    best,
    drawn_star,
    minutes_in_file_order,
    minutes_of_tool,
    of_tool,
    quickest,
)


def asked(
    priors: Mapping[str, float], likelihood: Likelihood, answers: Mapping[str, tuple[str, ...]]
) -> dict[str, Question]:
    """What the tool expects of each check before anything is known, whatever it takes."""
    base, table = star("trouble", priors, likelihood, answers)
    stakes = base.scales.stakes.model_copy(update={"visit_hours": 1e9})
    base = replace(base, scales=base.scales.model_copy(update={"stakes": stakes}))
    choice = Chooser(base, table).choose(Asked({}, frozenset()))
    return {question.observable: question for question in choice.questions}


# quinlan_1986: 14 days, whether to play; gains cut after three digits.
QUINLAN = {"outlook": 0.246, "humidity": 0.151, "windy": 0.048, "temperature": 0.029}


def test_quinlans_gains_are_what_the_tool_expects() -> None:
    """The gains of the weather table, and its entropy of 0.940 bits, come out."""
    names, rows = arff(judge("weather.nominal.arff"))
    of_class = Counter(row["play"] for row in rows)
    priors = {c: n / len(rows) for c, n in of_class.items()}
    answers = {name: tuple(names[name]) for name in QUINLAN}
    likelihood = {
        name: {
            c: [sum(r[name] == a and r["play"] == c for r in rows) / of_class[c] for a in words]
            for c in priors
        }
        for name, words in answers.items()
    }
    questions = asked(priors, likelihood, answers)

    assert entropy_of(priors.values()) == pytest.approx(0.940, abs=0.001)
    for name, question in questions.items():
        assert question.bits == pytest.approx(QUINLAN[name], abs=0.001)
    assert list(questions) == list(QUINLAN)


def entropy_of(shares: Iterable[float]) -> float:
    return -sum(p * log2(p) for p in shares)


# lauritzen_spiegelhalter_1988, the chest clinic. Tables seen in two copies; the mutual information
# in bits reckoned with pyAgrum 3.3.1.
ASIA = {
    "lung": {"xray": 0.184807, "smoke": 0.032374, "dysp": 0.025382},
    "bronc": {"dysp": 0.361561, "smoke": 0.066654, "xray": 0.001141},
    "tub": {"xray": 0.031604, "dysp": 0.003973, "asia": 0.000584},
}


@pytest.mark.parametrize("disease", ASIA)
def test_the_chest_clinics_mutual_information_is_what_the_tool_expects(disease: str) -> None:
    """For lung cancer the X-ray tells most, for bronchitis the dyspnoea, as published."""
    agrum = library("pyagrum")
    net = agrum.loadBN(str(judge("asia.bif")))
    priors: dict[str, float] = {}
    likelihood: dict[str, dict[str, list[float]]] = {name: {} for name in ASIA[disease]}
    for word in ("yes", "no"):
        priors[word] = float(agrum.getPosterior(net, target=disease)[{disease: word}])
        for name in likelihood:
            posterior = agrum.getPosterior(net, evs={disease: word}, target=name)
            likelihood[name][word] = [float(posterior[{name: a}]) for a in ("yes", "no")]
    questions = asked(priors, likelihood, dict.fromkeys(likelihood, ("yes", "no")))

    assert list(questions) == list(ASIA[disease])
    for name, question in questions.items():
        assert question.bits == pytest.approx(ASIA[disease][name], abs=2e-6)


# raiffa_1968, the oil wildcatter; numbers as in two published copies.
WELLS = {"dry": 0.5, "wet": 0.3, "soaking": 0.2}
PAY = {"dry": -70, "wet": 50, "soaking": 200}
SOUNDING = {"dry": [0.6, 0.3, 0.1], "wet": [0.3, 0.4, 0.3], "soaking": [0.1, 0.4, 0.5]}
RESULTS = ("none", "open", "closed")


def test_the_wildcatter_drills_for_the_same_money() -> None:
    """Chances of each sounding, pay expected after it, and 22.5 with the test: as published."""
    base, table = star("trouble", WELLS, {"sounding": SOUNDING}, {"sounding": RESULTS})
    question = Chooser(base, table).choose(Asked({}, frozenset())).questions[0]
    chances = {o.label: o.probability for o in question.outcomes}
    pay = dict(zip(RESULTS, pay_after_each(base, table), strict=True))

    assert chances == pytest.approx({"none": 0.41, "open": 0.35, "closed": 0.24}, abs=1e-9)
    assert pay == pytest.approx({"none": -30.4878, "open": 32.8571, "closed": 87.5}, abs=5e-5)
    assert sum(chances[r] * max(pay[r], 0) for r in RESULTS) - 10 == pytest.approx(22.5)


def pay_after_each(base: Base, table: Tables) -> list[float]:
    """Expected pay of drilling after each sounding, by the tool's own probabilities."""
    lines = columns(base, [{"sounding": result} for result in RESULTS])
    chances = Matrix(base, table).score(lines).probabilities[:, : len(table.causes)]
    pay: list[float] = (chances @ [PAY[cause.id] for cause in table.causes]).tolist()
    return pay


BASES = 24


def drawn_bases() -> list[Drawn]:
    chance = random.Random(1968)
    return [drawn_star(chance) for _ in range(BASES)]


def test_the_order_of_asking_is_near_the_quickest() -> None:
    """Minutes until a cause leads clearly, against the best order of all: a small regret."""
    regrets, of_file = [], []
    for drawn in drawn_bases():
        least = quickest(drawn)
        regrets.append(minutes_of_tool(drawn) / least - 1)
        of_file.append(minutes_in_file_order(drawn) / least - 1)
    print(told("order", regrets), told("order of the file", of_file))

    assert min(regrets) > -1e-9
    assert sum(regrets) / BASES < 0.10
    assert sum(regrets) < 0.5 * sum(of_file)


def test_asking_and_stopping_cost_little_more_than_the_best_strategy() -> None:
    """Minutes asked and the price of a wrong end, against the best of all strategies.

    A strategy costs the minutes of all checks asked, and 300 minutes times the chance of ending
    with the wrong cause in the lead. The best may stop at any time; the tool by its own rule.
    """
    regrets = [of_tool(drawn) / best(drawn) - 1 for drawn in drawn_bases()]
    print(told("order and stop", regrets))

    assert min(regrets) > -1e-9
    assert sum(regrets) / BASES < 0.20


def told(what: str, regrets: Sequence[float]) -> str:
    return f"regret of the {what}: mean {sum(regrets) / BASES:.1%}, worst {max(regrets):.1%}."


def test_evidence_is_conserved_over_the_answers() -> None:
    """Weighted by their chances, what the answers lead to gives back what was known before."""
    for drawn in drawn_bases()[:8]:
        chooser = Chooser(drawn.base, drawn.table)
        for question in chooser.choose(Asked({}, frozenset())).questions:
            after = {
                o.label: drawn.posterior(frozenset({(question.observable, o.label)}))
                for o in question.outcomes
            }
            for place in range(len(drawn.table.causes)):
                mixed = sum(o.probability * after[o.label][place] for o in question.outcomes)
                assert mixed == pytest.approx(drawn.table.priors[place], abs=1e-9)


def test_entropy_is_that_of_the_textbook() -> None:
    """Shannon's entropy of a fair coin, a fair die and a certain thing."""
    rows = np.array([[0.5, 0.5, 0, 0, 0, 0], [1 / 6] * 6, [1, 0, 0, 0, 0, 0]])

    assert entropy(rows) == pytest.approx([1, log2(6), 0])
