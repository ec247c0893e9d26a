"""What is known in part: one of several answers, a range over several bins. Its chance is a sum."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import log10

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Value, Values
from diagnose.knowledge.model.values import AllOfThese, OneOfThese
from diagnose.knowledge.soundness.walk import reached
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.chain import Chain
from diagnose.reasoning.evidence.columns import columns, with_measures
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.tables import Tables, tables
from diagnose.reasoning.evidence.weigh import Differential, weigh
from tests.examples import examples
from tests.reasoning.generated import bases
from tests.small import small

CLOSE = 1e-12

DRAWN = settings(
    max_examples=examples(60),
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def alone(base: Base, symptom: str) -> Tables:
    """The tables of a symptom without what is weighed outside them."""
    return replace(tables(base, symptom), extras=())


@dataclass(frozen=True)
class Behind:
    """A symptom of a base, with the rules of its evidence made once for all that is tried there."""

    base: Base
    table: Tables
    chain: Chain

    @staticmethod
    def of(base: Base, table: Tables) -> Behind:
        """Ready to run."""
        return Behind(base, table, Chain(base, table.symptom))

    def differential(self, values: Values) -> Differential:
        """What answers make of the causes, by the chain."""
        return weigh(self.base, self.table, self.chain.run(values))


def both(behind: Behind, values: Values) -> np.ndarray:
    """The probabilities, the unlisted cause last; the two evaluators say the same."""
    base, table = behind.base, behind.table
    found = behind.differential(values)
    chances = np.array([*(found.of(c.id).probability for c in table.causes), found.unlisted])
    row = with_measures(base, columns(base, [values]))
    scores = Matrix(base, table).score(row)

    assert np.abs(scores.probabilities[0] - chances).max() < CLOSE
    assert [found.of(c.id).probability == 0 for c in table.causes] == scores.out[0].tolist()
    return chances


def chance(table: Tables, name: str, usual: Sequence[float], codes: Sequence[int]) -> float:
    """How often some answers are met, over the causes as they stand: the sum over the answers."""
    found = table.priors[-1] * sum(usual[code] for code in codes)
    for prior, row in zip(table.priors, table.rows[name], strict=False):
        for code in codes:
            size = 0.0 if row is None else row.decibans[code]
            out = row is not None and code in row.ruled_out
            found += 0.0 if out else prior * usual[code] * 10 ** (size / 10)
    return found


def parts_of(codes: Sequence[int], cuts: Sequence[int]) -> Iterator[Sequence[int]]:
    """Codes cut into parts."""
    ends = sorted({0, len(codes), *(cut % (len(codes) + 1) for cut in cuts)})
    for low, high in pairwise(ends):
        yield codes[low:high]


def conserved(behind: Behind, name: str, cuts: Sequence[int]) -> float:
    """How far the probabilities after each part, by its chance, are from those before."""
    base, table = behind.base, behind.table
    observable, usual = base.observables[name], base.usual(name, table.symptom)
    mixed = np.zeros(len(table.priors))
    total = 0.0
    for codes in parts_of(range(len(usual)), cuts):
        share = chance(table, name, usual, codes)
        total += share
        mixed += share * both(behind, {name: observable.kind.of(codes)})

    assert total == pytest.approx(1, abs=1e-9)
    return float(np.abs(mixed - np.array(table.priors)).max())


def _read_by_rule_outs(base: Base, symptom: str) -> set[str]:
    """What the rule-outs of several conditions read behind a symptom."""
    rules = [rule for cause in base.behind(symptom) for rule in cause.ruled_out_when]
    return {subject for rule in rules for subject in rule.when.subjects()}


@DRAWN
@given(bases(), st.data())
def test_a_partition_gives_the_prior_back(base: Base, data: st.DataObject) -> None:
    """However a check's answers are cut into parts: what is expected after is what was before.

    Not so where an answer completes a rule-out of several conditions with what the symptom shows.
    """
    for symptom in base.symptoms:
        completing = reached(base, _read_by_rule_outs(base, symptom))
        names = [
            name
            for name in tables(base, symptom).rows
            if name in base.checks and not (base.symptoms[symptom].shows and name in completing)
        ]
        assume(names)
        name = data.draw(st.sampled_from(names))
        cuts = data.draw(st.lists(st.integers(0, 9), max_size=3))

        assert conserved(Behind.of(base, alone(base, symptom)), name, cuts) < 1e-9


def test_a_partition_gives_the_prior_back_on_the_shipped_base(
    base: Base, request: pytest.FixtureRequest
) -> None:
    """The same on real tables: checks of some symptoms, cut in two at their middle.

    Every sixth, and with the large campaign every one; of answers that can be right together no
    parts are made.
    """
    every = 1 if request.config.getoption("--campaign") == "large" else 6
    tried = 0
    for symptom in ("edge_lifting", "tunnelling", "fading"):
        behind = Behind.of(base, alone(base, symptom))
        names = [n for n in behind.table.rows if n in base.checks and not base.checks[n].several]
        for name in names[::every]:
            tried += 1

            assert conserved(behind, name, [len(base.checks[name].labels) // 2]) < 1e-9
    assert tried > 20


@DRAWN
@given(bases(), st.data())
def test_a_set_lies_between_its_answers_and_all_answers_say_nothing(
    base: Base, data: st.DataObject
) -> None:
    """A sum over answers weighs no more than the best of them and no less than the least."""
    for symptom in base.symptoms:
        for name, rows in tables(base, symptom).rows.items():
            size = len(base.observables[name].labels)
            if name not in base.checks or not base.checks[name].answers:
                continue
            codes = sorted(data.draw(st.sets(st.integers(0, size - 1), min_size=1)))
            for row in filter(None, rows):
                if not row.ruled_out:
                    sizes = [row.decibans[code] for code in codes]

                    assert min(sizes) - 1e-9 <= row.weight(codes) <= max(sizes) + 1e-9
                assert row.weight(range(size)) == pytest.approx(0, abs=1e-9)


def test_one_of_two_answers_weighs_by_the_sum_of_their_chances() -> None:
    """Dirty or wet: what the cause makes of either, against how often either is met."""
    base = small()
    table = tables(base, "lifting")
    place = [c.id for c in table.causes].index("dirty_edge")
    row = table.rows["adhesive"][place]
    assert row is not None
    usual = {"dirty": 0.3, "wet": 0.1}
    made = {w: b * 10 ** (row.decibans[i] / 10) for i, (w, b) in enumerate(usual.items(), 1)}
    expected = 10 * log10(sum(made.values()) / sum(usual.values()))
    found = (
        Behind.of(base, table)
        .differential({"adhesive": OneOfThese(("dirty", "wet"))})
        .of("dirty_edge")
    )

    assert sum(w.decibans for w in found.weights if w.subjects == ("adhesive",)) == pytest.approx(
        expected, abs=1e-9
    )


@pytest.mark.parametrize(
    ("low", "high", "codes"),
    [(5, 5, [0]), (5, 12, [0, 1]), (9.9, 10, [0, 1]), (12, 40, [1, 2]), (-5, 50, [0, 1, 2])],
)
def test_a_range_over_several_bins_weighs_by_the_sum(
    low: float, high: float, codes: list[int]
) -> None:
    """The bins that a range touches count whole, however little of one it covers."""
    base = small()
    table = alone(base, "lifting")
    rows = dict(zip((c.id for c in table.causes), table.rows["panel_c"], strict=True))
    cold = rows["cold"]
    assert cold is not None
    found = Behind.of(base, table).differential({"panel_c": Quantity(low, high)}).of("cold")

    assert found.decibans == pytest.approx(cold.weight(codes), abs=CLOSE)
    assert list(base.checks["panel_c"].kind.codes(Quantity(low, high))) == codes


def test_what_is_ruled_out_in_every_way_is_ruled_out() -> None:
    """Wet rules the cold bay out; wet or clean does not; and wet adds nothing to its chance."""
    base = small()
    table = alone(base, "lifting")
    rows = dict(zip((c.id for c in table.causes), table.rows["adhesive"], strict=True))
    cold = rows["cold"]
    assert cold is not None
    wet, clean = (
        both(Behind.of(base, table), {"adhesive": "wet"}),
        both(Behind.of(base, table), {"adhesive": "clean"}),
    )
    either = both(Behind.of(base, table), {"adhesive": OneOfThese(("clean", "wet"))})
    place = [c.id for c in table.causes].index("cold")
    left = 0.6 * 10 ** (cold.decibans[0] / 10) / 0.7

    assert wet[place] == 0
    assert clean[place] > either[place] > 0
    assert cold.weight([0, 2]) == pytest.approx(10 * log10(left), abs=1e-9)


VALUES: dict[str, Sequence[Value]] = {
    "adhesive": [OneOfThese(("clean", "dirty")), OneOfThese(("dirty", "wet")), "wet"],
    "panel_c": [Quantity(5, 12), Quantity(12, 40)],
    "cut": [OneOfThese(("gapes", "closed")), "gapes"],
    "care": ["given", "not_given"],
}


@given(st.fixed_dictionaries({}, optional={n: st.sampled_from(v) for n, v in VALUES.items()}))
def test_what_is_asked_next_takes_what_is_known_in_part(values: dict[str, Value]) -> None:
    """Chances of the answers of each question sum to one, and no answered check is asked."""
    choice = Reasoner(small()).choose(AnsweredComplaint("lifting", values))
    for question in choice.questions:
        assert sum(o.probability for o in question.outcomes) == pytest.approx(1, abs=1e-9)
        assert question.observable not in values


@pytest.mark.parametrize(
    ("when", "value", "holds"),
    [
        ("dirty", OneOfThese(("dirty", "wet")), None),
        (["dirty", "wet"], OneOfThese(("dirty", "wet")), True),
        ("clean", OneOfThese(("dirty", "wet")), False),
        ({"not": "clean"}, OneOfThese(("dirty", "wet")), True),
        ({"not": "wet"}, OneOfThese(("dirty", "wet")), None),
        ({"not": ["dirty", "wet"]}, OneOfThese(("dirty", "wet")), False),
    ],
)
def test_a_condition_holds_if_it_does_in_every_way(
    when: object, value: OneOfThese, holds: bool | None
) -> None:
    """A set holds where all of its answers do, fails where none does, and is open otherwise."""
    from diagnose.knowledge.model.conditions import parse

    assert parse({"adhesive": when}).holds({"adhesive": value}) is holds


TOGETHER = """
symptoms:
  - {id: stain, name: Stain, group: Marks, look: A mark., appears: soon, where: doors,
     source: common-practice}
payers:
  - {id: owner, name: The owner, carries: repair, source: common-practice}
remedies:
  - {id: clean, name: Clean, kind: surface, applies: early, steps: [Wipe.],
     hours: {from: 0.5, to: 1}, destroys_piece: "no", reprint: "no", look_again: in 72 h,
     source: common-practice}
checks:
  - {id: touched, name: What touched it, ask: What touched the film?, how: Ask., tool: none,
     minutes: 1, place: at_car, harm: none, scope: complaint, source: common-practice,
     several: true,
     answers: {fuel: {says: fuel, usual: 10}, wax: {says: wax, usual: 40},
               birds: {says: bird lime, usual: 30}}}
  - {id: parked, name: Parking, ask: Where does it stand?, how: Ask., tool: none, minutes: 1,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {tree: {says: under trees, usual: 20}, street: {says: in the street, usual: 80}}}
findings:
  - id: dirty_life
    name: A hard life
    rules:
      - {when: {touched: [fuel, birds]}, because: either, source: common-practice}
causes:
  - id: fuel_stain
    name: Fuel
    plainly: Fuel ran down.
    origin: aftercare
    mechanism: It swells the film.
    behind: {stain: common}
    shows:
      - {check: touched, of_100: {fuel: 95, wax: 20}, because: fuel leaves it,
         source: common-practice}
    signs:
      - {when: {dirty_life: found, parked: street}, speaks: for, strength: barely, because: both,
         source: common-practice}
    remedies: {clean: 50}
    responsibility: {payer: owner, because: care}
    prevention: Wipe it off.
    source: common-practice
  - id: bird_stain
    name: Bird lime
    plainly: Birds.
    origin: aftercare
    mechanism: It etches the film.
    behind: {stain: common}
    shows:
      - {check: touched, of_100: {birds: 90, fuel: 0}, because: birds leave it,
         source: common-practice}
      - {check: parked, of_100: {tree: 70}, because: birds sit there, source: common-practice}
    remedies: {clean: 50}
    responsibility: {payer: owner, because: care}
    prevention: Wipe it off.
    source: common-practice
"""


def together() -> Base:
    """A base with a check of which several answers can be right."""
    return small(TOGETHER)


def factor(so: Sequence[str], stated: dict[str, float]) -> float:
    """P(exactly these | cause) against P(exactly these), each answer by itself."""
    usual, found = {"fuel": 0.1, "wax": 0.4, "birds": 0.3}, 1.0
    for word, b in usual.items():
        p = stated.get(word, b)
        found *= p / b if word in so else (1 - p) / (1 - b)
    return found


@pytest.mark.parametrize("so", [(), ("fuel",), ("wax",), ("fuel", "wax"), ("fuel", "wax", "birds")])
def test_things_that_are_so_together_are_each_evidence(so: tuple[str, ...]) -> None:
    """Each answer is a yes or no of its own; what is not so speaks too, exactly."""
    base = together()
    table = alone(base, "stain")
    chances = both(Behind.of(base, table), {"touched": AllOfThese(so)})
    prior = np.array(table.priors)
    birds = 0.0 if "fuel" in so else factor(so, {"birds": 0.9, "fuel": 0.0})
    expected = prior * np.array([factor(so, {"fuel": 0.95, "wax": 0.2}), birds, 1.0])

    assert np.abs(chances - expected / expected.sum()).max() < CLOSE


def test_a_network_with_a_node_for_each_of_them_says_the_same() -> None:
    """A Bayesian-network library, given the numbers as stated, comes to the same posterior."""
    agrum = pytest.importorskip("pyagrum")
    base = together()
    table = alone(base, "stain")
    net = agrum.BayesNet()
    net.add(agrum.LabelizedVariable("cause", "", 3))
    net.cpt("cause")[:] = list(table.priors)
    for word, yes in {
        "fuel": [0.95, 0, 0.1],
        "wax": [0.2, 0.4, 0.4],
        "birds": [0.3, 0.9, 0.3],
    }.items():
        net.add(agrum.LabelizedVariable(word, "", 2))
        net.addArc("cause", word)
        net.cpt(word)[:] = [[1 - p, p] for p in yes]
    for so in ((), ("wax",), ("birds",), ("wax", "birds"), ("fuel", "birds")):
        engine = agrum.LazyPropagation(net)
        engine.setEvidence({word: int(word in so) for word in ("fuel", "wax", "birds")})
        expected = engine.posterior("cause").toarray()
        chances = both(Behind.of(base, table), {"touched": AllOfThese(so)})

        assert np.abs(chances - expected).max() < CLOSE


def test_all_that_can_be_so_together_gives_the_prior_back() -> None:
    """Over every set of answers, by its chance, the probabilities are those before."""
    base = together()
    table = alone(base, "stain")
    its = base.observables["touched"]
    mixed, total = np.zeros(3), 0.0
    for outcome, usual in zip(its.outcomes, base.outcome_shares("touched", "stain"), strict=True):
        codes = its.kind.codes(outcome)
        made = [
            0.0 if row and row.impossible(codes) else 10 ** (row.weight(codes) / 10 if row else 0)
            for row in (*table.rows["touched"], None)
        ]
        share = usual * float(np.array(table.priors) @ np.array(made))
        total += share
        mixed += share * both(Behind.of(base, table), {"touched": outcome})

    assert total == pytest.approx(1, abs=CLOSE)
    assert np.abs(mixed - np.array(table.priors)).max() < CLOSE


@given(
    st.fixed_dictionaries(
        {},
        optional={
            "touched": st.sets(st.sampled_from(["fuel", "wax", "birds"])).map(
                lambda its: AllOfThese(tuple(w for w in ("fuel", "wax", "birds") if w in its))
            ),
            "parked": st.sampled_from(["tree", "street", OneOfThese(("tree", "street"))]),
        },
    )
)
def test_both_evaluators_agree_on_what_is_so_together(values: dict[str, Value]) -> None:
    """Signs on findings over several answers too, to twelve digits; and choosing takes them."""
    base = together()
    both(Behind.of(base, tables(base, "stain")), values)
    choice = Reasoner(base).choose(AnsweredComplaint("stain", values))
    for question in choice.questions:
        assert sum(o.probability for o in question.outcomes) == pytest.approx(1, abs=1e-9)
        assert question.observable not in values


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("fuel: 95", "fuel: 100", "what can be overlooked is never always there, take 99"),
        ("fuel: {says: fuel, usual: 10}", "none: {says: fuel, usual: 10}", "'none' is said where"),
        ("wax: {says: wax, usual: 40},", "", "no answer 'wax'"),
    ],
)
def test_what_cannot_be_right_together_is_told(old: str, new: str, said: str) -> None:
    """Always there, an answer called none, an answer that is gone: one sentence each."""
    from tests.small import problems

    assert TOGETHER.count(old) == 1
    assert any(said in p.sentence for p in problems(TOGETHER.replace(old, new)))
