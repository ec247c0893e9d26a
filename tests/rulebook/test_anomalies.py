"""Anomalies: each one is shown by its own bad example, by nothing else, and not by its good one."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from textwrap import dedent

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.soundness.anomaly import Anomaly
from diagnose.rulebook.judgement.judge import ALL, Judgement, judge, manual, text
from tests.rulebook.frame import framed

KINDS = pytest.mark.parametrize("kind", ALL, ids=lambda kind: kind.id)


def test_the_frame_has_no_anomaly() -> None:
    """Whatever an example shows is the example's own doing."""
    assert judge(framed()).problems == ()


@KINDS
def test_the_bad_example_shows_exactly_this(kind: Anomaly) -> None:
    """Put into a sound base, the bad example has one problem: of this kind and severity."""
    found = judge(framed(kind.bad)).problems

    assert [(p.kind, p.severity) for p in found] == [(kind.id, kind.severity)], found


@KINDS
def test_the_good_example_shows_nothing(kind: Anomaly) -> None:
    """The good example does nearly the same and has no problem of any kind."""
    assert judge(framed(kind.good)).problems == ()


@KINDS
def test_an_anomaly_says_why_it_matters(kind: Anomaly) -> None:
    """Each has a name in words, a reason in a sentence, and a page with both examples."""
    assert re.fullmatch(r"[a-z]+(_[a-z]+)+", kind.id)
    assert kind.why.endswith(".")
    assert len(kind.why) > 40
    assert kind.bad.strip() in manual(kind)
    assert kind.good.strip() in manual(kind)


def test_no_anomaly_stands_twice() -> None:
    """Ids are unique, so that a problem can be looked up."""
    assert len({kind.id for kind in ALL}) == len(ALL)


@KINDS
def test_a_problem_leads_to_its_place(kind: Anomaly) -> None:
    """The sentence carries a value, and its place lies in the file that is judged."""
    (problem,) = judge(framed(kind.bad)).problems

    assert problem.spot.file == "rules.yaml"
    assert f"rules.yaml:1:{problem.spot.column}: {kind.severity}: " in text(
        judge(framed(kind.bad)), 0
    )


@pytest.fixture(scope="module")
def judgement(base: Base, of_the_run: Path) -> Judgement:
    """The shipped base judged, once; what the run has searched already is not searched again."""
    return judge(base, of_the_run / "cache" / "diagnose-wraps" / "leads")


@pytest.mark.xdist_group("judged")
def test_the_shipped_base_has_no_error_and_no_warning(judgement: Judgement) -> None:
    """What remains are notes: true, known and meant so."""
    serious = [p for p in judgement.problems if p.severity != "note"]

    assert serious == [], "\n".join(f"{p.spot}: {p.sentence} [{p.kind}]" for p in serious)


@pytest.mark.xdist_group("judged")
def test_reasons_of_the_shipped_base_stand_one_way_and_causes_win_their_own_case(
    base: Base, judgement: Judgement
) -> None:
    """No reason is given for and against; no usual car goes to another that is told apart."""
    kinds = Counter(p.kind for p in judgement.problems)
    cars = sum(len(base.behind(symptom)) for symptom in base.symptoms)

    assert kinds["reason_both_ways"] == 0
    assert cars > 1000
    assert kinds["loses_its_usual_case"] == 0
    assert len(base.inseparable) <= 6


LOST = next(kind for kind in ALL if kind.id == "loses_its_usual_case").bad
"""Damp below, whose most usual car goes to a pull at the edge."""


def _declared(at: str, causes: str = "damp, pulled") -> list[str]:
    pair = f"\ninseparable: [{{causes: [{causes}], at: [{at}], because: both are dark}}]\n"
    return [p.kind for p in judge(framed(dedent(LOST) + pair)).problems]


def test_a_cause_that_nobody_tells_from_the_winner_is_declared_where_it_loses() -> None:
    """There it is no anomaly; at another symptom the car is still lost, and that pair too many."""
    assert _declared("lifting") == []
    assert sorted(_declared("bumps")) == ["inseparable_needless", "loses_its_usual_case"]
    assert sorted(_declared("lifting", "damp, dirty_edge")) == [
        "inseparable_needless",
        "loses_its_usual_case",
    ]
