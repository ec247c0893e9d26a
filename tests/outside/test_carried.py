"""Whole published rule bases carried over, with their known results reproduced."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.words import UNLISTED
from diagnose.knowledge.soundness.anomalies import ANOMALIES
from diagnose.knowledge.soundness.anomaly import Survey
from diagnose.reasoning.evidence.chain import Chain
from diagnose.reasoning.evidence.columns import columns
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.tables import tables
from diagnose.reasoning.evidence.weigh import weigh
from tests.outside import carried
from tests.outside.clips_files import (
    Run,
    animal_base,
    auto_base,
    run_animal,
    run_auto,
    validated,
)
from tests.outside.fetch import judge, library
from tests.outside.files import arff, as_id


class Leads:
    """The likeliest cause by chain and weights and by the matrix, which must agree."""

    def __init__(self, base: Base, symptom: str) -> None:
        self._base = base
        self._table = tables(base, symptom)
        self._chain = Chain(base, symptom)
        self._matrix = Matrix(base, self._table)

    def __call__(self, answers: dict[str, str]) -> str:
        """The likeliest cause; UNLISTED where it is none of them."""
        differential = weigh(self._base, self._table, self._chain.run(answers))
        chances = {s.cause.id: s.probability for s in differential.standings}
        chances[UNLISTED] = differential.unlisted
        names = [*(c.id for c in self._table.causes), UNLISTED]
        row = self._matrix.score(columns(self._base, [answers])).probabilities[0].tolist()

        assert dict(zip(names, row, strict=True)) == pytest.approx(chances, abs=1e-12)
        return max(chances, key=chances.__getitem__)


@pytest.fixture(scope="module")
def clips() -> ModuleType:
    return library("clips")


# Car-starting faults: auto.clp of Debian's clips-common 6.30.


@pytest.fixture(scope="module")
def auto_runs(clips: ModuleType) -> list[Run]:
    return run_auto(clips, judge("auto.clp"))


def test_the_car_program_has_its_known_paths(auto_runs: list[Run]) -> None:
    """Fifteen complete ways through it, eleven repairs, two to seven questions each."""
    assert len(auto_runs) == 15
    assert len({run.concluded for run in auto_runs}) == 11
    assert {len(run.asked) for run in auto_runs} == set(range(2, 8))


AUTO_ASKS = {
    "engine start": "engine_starts",
    "run normally": "runs_normally",
    "rotate": "engine_rotates",
    "sluggish": "engine_sluggish",
    "misfire": "engine_misfires",
    "knock": "engine_knocks",
    "output": "engine_output_low",
    "gas in it": "tank_has_gas",
    "battery charged": "battery_has_charge",
    "surface state": "point_surface_state",
    "conductivity": "conductivity_test_positive",
}


def auto_answers(run: Run) -> dict[str, str]:
    """The questions of a run as checks."""
    return {
        next(name for words, name in AUTO_ASKS.items() if words in question): answer
        for question, answer in run.asked
    }


MECHANIC = "Take your car to a mechanic."


def test_the_car_program_carried_over_names_the_same_repair(auto_runs: list[Run]) -> None:
    """On all fifteen ways chain and matrix lead with the repair that CLIPS names."""
    leads = Leads(auto_base(judge("auto.clp")), "trouble")
    for run in auto_runs:
        expected = UNLISTED if run.concluded == MECHANIC else as_id(run.concluded)

        assert leads(auto_answers(run)) == expected, run


def test_on_the_way_the_repair_to_come_is_never_ruled_out(auto_runs: list[Run]) -> None:
    """After every partial answer set chain and matrix agree, and the repair stays possible."""
    base = auto_base(judge("auto.clp"))
    leads, chain = Leads(base, "trouble"), Chain(base, "trouble")
    for run in auto_runs:
        for number in range(len(run.asked)):
            answers = auto_answers(Run(run.asked[:number], run.concluded))
            leads(answers)

            out = {held.owner for held in chain.run(answers).ruled_out}
            assert as_id(run.concluded) not in out
            assert len(out) < len(base.causes)


def test_the_car_program_carried_over_is_without_anomaly() -> None:
    """Nothing in it is said twice, can never hold or is never read."""
    assert serious(auto_base(judge("auto.clp"))) == []


def serious(base: Base) -> list[str]:
    """The kinds of anomaly that a base of nothing but rules can have."""
    survey = Survey(base)
    judged = [a for a in ANOMALIES if a.id in OF_RULES]
    assert len(judged) == len(OF_RULES)
    return [f"{a.id}: {p.sentence}" for a in judged for p in a.problems(survey)]


OF_RULES = (
    "redundant_signs",
    "subsumed_sign",
    "unnecessary_condition",
    "contradictory_signs",
    "unfirable_condition",
    "unreachable_finding",
    "unreachable_check",
    "needless_rule",
    "unused_finding",
    "unused_check",
)


# Animals: animal.clp of the same package, 84 rules and 46 questions as facts, with a checker.


def test_the_animal_program_carried_over_names_the_same_animal(clips: ModuleType) -> None:
    """On all 43 ways chain and matrix lead with the animal that CLIPS names."""
    path = judge("animal.clp")
    found, base = run_animal(clips, path), animal_base(path)
    leads = Leads(base, "animal")

    assert len(found) == 43
    assert len({run.concluded for run in found}) == 43
    assert len(base.findings) >= 43
    for run in found:
        answers = {as_id(question): answer for question, answer in run.asked}

        assert leads(answers) == as_id(run.concluded), run


def test_the_animal_rules_are_without_anomaly_for_both_checkers(clips: ModuleType) -> None:
    """Its own checker says nothing of it, and neither do ours."""
    path = judge("animal.clp")

    assert validated(clips, path) == []
    assert serious(animal_base(path)) == []


PLANTED: tuple[tuple[str, str, str, dict[str, str], str], ...] = (
    (
        "neither referenced",
        "(rule (if backbone is yes) (then colour is brown))",
        "is_colour_brown",
        {"backbone": "yes"},
        "unused_finding",
    ),
    (
        "could be found",
        "(rule (if wings is yes) (then type.animal is dragon))",
        "is_type_animal_dragon",
        {"wings": "yes"},
        "no check, measure or finding is called 'wings'",
    ),
    (
        "not legal",
        "(rule (if backbone is maybe) (then type.animal is dragon))",
        "is_type_animal_dragon",
        {"backbone": "maybe"},
        "backbone has no answer 'maybe'",
    ),
    (
        "both the if and then",
        "(rule (if colour is brown) (then colour is brown))",
        "is_colour_brown",
        {"is_colour_brown": "found"},
        "rests on itself: is_colour_brown → is_colour_brown",
    ),
    (
        "not referenced by any rules",
        "(question (variable colour) (query Colour?))",
        "",
        {},
        "unused_check",
    ),
)
"""What CLIPS's own checker says of a fact planted there; the same planted here, what ours says."""


@pytest.mark.parametrize(
    ("said", "fact", "name", "way", "ours"), PLANTED, ids=[said for said, *_ in PLANTED]
)
def test_a_planted_defect_is_told_by_both_checkers(
    clips: ModuleType, said: str, fact: str, name: str, way: dict[str, str], ours: str
) -> None:
    """What its own checker tells of one planted rule or question, ours tells, and nothing else."""
    path = judge("animal.clp")
    findings = [{"id": name, "name": name, "rules": [carried.when(way)]}] if name else []
    checks = [] if name else [carried.check("colour", {"yes": 50, "no": 50})]
    told = complaints(path, findings, checks)

    assert any(said in line for line in validated(clips, path, fact))
    assert len(told) == 1
    assert re.search(ours, told[0])


def complaints(
    path: Path, findings: list[dict[str, Any]], checks: list[dict[str, Any]]
) -> list[str]:
    """What keeps the planted base from loading, or else its anomalies."""
    try:
        return serious(animal_base(path, findings, checks))
    except AssertionError as problems:
        return str(problems).splitlines()


# Contact lenses, 24 cases (cendrowska_1987); the nine rules as witten_frank_2005 prints them (from
# memory, verified on the table).
LENS_RULES: dict[str, list[dict[str, str]]] = {
    "none": [
        {"tear_prod_rate": "reduced"},
        {"age": "presbyopic", "spectacle_prescrip": "myope", "astigmatism": "no"},
        {"spectacle_prescrip": "hypermetrope", "astigmatism": "yes", "age": "pre_presbyopic"},
        {"spectacle_prescrip": "hypermetrope", "astigmatism": "yes", "age": "presbyopic"},
    ],
    "soft": [
        {"age": "young", "astigmatism": "no", "tear_prod_rate": "normal"},
        {"age": "pre_presbyopic", "astigmatism": "no", "tear_prod_rate": "normal"},
        {
            "spectacle_prescrip": "hypermetrope",
            "astigmatism": "no",
            "tear_prod_rate": "normal",
        },
    ],
    "hard": [
        {"spectacle_prescrip": "myope", "astigmatism": "yes", "tear_prod_rate": "normal"},
        {"age": "young", "astigmatism": "yes", "tear_prod_rate": "normal"},
    ],
}


def lens_base(names: dict[str, list[str]]) -> Base:
    """The nine rules as findings, and the three kinds of lens as causes."""
    checks = [
        carried.check(name, dict.fromkeys(values, 100 / len(values)))
        for name, values in names.items()
        if name != "contact_lenses"
    ]
    findings = [
        {"id": f"fits_{kind}", "name": kind, "rules": [carried.when(way) for way in ways]}
        for kind, ways in LENS_RULES.items()
    ]
    causes = [
        carried.cause(
            f"lens_{kind}",
            "lens",
            signs=[carried.when({f"fits_{kind}": "found"}, speaks="for", strength="decisive")],
            ruled_out_when=[carried.when({f"fits_{kind}": "not_found"})],
        )
        for kind in LENS_RULES
    ]
    return carried.base("lens", checks=checks, findings=findings, causes=causes)


def test_the_lenses_are_right_in_all_24_cases() -> None:
    """Fifteen none, five soft, four hard; in six cases two rules fire, and they agree."""
    names, rows = arff(judge("contact-lenses.arff"))
    base = lens_base(names)
    chain, leads = Chain(base, "lens"), Leads(base, "lens")
    fired: Counter[int] = Counter()
    for row in rows:
        answers = {name: value for name, value in row.items() if name != "contact_lenses"}
        expected = f"lens_{row['contact_lenses']}"
        held = chain.run(answers).findings
        fired[len(held)] += 1

        assert leads(answers) == expected
        assert {h.owner for h in held} == {f"fits_{row['contact_lenses']}"}
    assert Counter(row["contact_lenses"] for row in rows) == {"none": 15, "soft": 5, "hard": 4}
    assert fired == {1: 18, 2: 6}


def test_the_lens_rules_are_without_anomaly() -> None:
    """No rule is covered by another, none can be left out, nothing is unused."""
    names, _ = arff(judge("contact-lenses.arff"))

    assert serious(lens_base(names)) == []
