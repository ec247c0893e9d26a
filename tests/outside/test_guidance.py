"""What published guidance and a practitioner say, against what the tool concludes.

The statements are data/guidance.yaml (published) and data/practitioner.yaml (common practice, no
source). Where the tool disagrees stands in data/disagreements.yaml, with the decision.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import UNSOURCED
from diagnose.measures.evaluate import evaluate
from diagnose.measures.quantity import Quantity, exact
from diagnose.measures.registry import MEASURES
from diagnose.reasoning.conclusion import Concluder
from diagnose.reasoning.diagnose import Reasoner
from tests.outside.guidance import (
    DATA,
    Judge,
    LookedAt,
    Statement,
    Told,
    disagreements,
    looked_at,
    statements,
    told,
)
from tests.outside.sources import own_sources
from tests.shipped import shipped_base

pytestmark = pytest.mark.xdist_group("guidance")

PUBLISHED = statements(shipped_base(), "guidance.yaml")
PRACTISED = statements(shipped_base(), "practitioner.yaml")
TOLD = told("practitioner.yaml")
LOOKED_AT = looked_at(shipped_base(), "guidance.yaml")
KNOWN = disagreements()
MENDED = disagreements("mended")


@pytest.fixture(scope="module")
def judge(reasoner: Reasoner, concluder: Callable[[str], Concluder]) -> Judge:
    return Judge(reasoner, concluder)


def expected(statement: str) -> tuple[str, ...]:
    """What is known to disagree on a statement."""
    return KNOWN[statement].disagrees if statement in KNOWN else ()


@pytest.mark.parametrize("statement", PUBLISHED, ids=lambda s: s.id)
def test_the_tool_says_what_is_published(judge: Judge, statement: Statement) -> None:
    """Cause among the first two, or ruled out, and the remedy proposed; else a known exception."""
    verdict = judge.verdict(statement)

    assert verdict.disagrees == expected(statement.id), f"{statement.says} {verdict.leading}"


@pytest.mark.parametrize("look", LOOKED_AT, ids=lambda look: look.id)
def test_the_tool_asks_first_what_is_published(reasoner: Reasoner, look: LookedAt) -> None:
    """What guidance looks at first is among the first six checks; else a known exception."""
    assert look.disagrees(reasoner) == expected(look.id), look.says


@pytest.mark.parametrize("statement", PRACTISED, ids=lambda s: s.id)
def test_the_tool_concludes_what_a_practitioner_does(judge: Judge, statement: Statement) -> None:
    """Each fact of the trade is reproduced as a diagnosis; common practice, no source."""
    verdict = judge.verdict(statement)

    assert verdict.disagrees == expected(statement.id), f"{statement.says} {verdict.leading}"


@pytest.mark.parametrize("fact", TOLD, ids=lambda t: t.id)
def test_the_tool_tells_what_a_practitioner_knows(base: Base, fact: Told) -> None:
    """Each fact of the trade stands in a check, a remedy, a prevention or a step of the work."""
    assert fact.missing(base) == expected(fact.id), fact.fact


def test_the_list_of_disagreements_is_decided_and_right() -> None:
    """Each known disagreement names a statement, who is right, why, and what should change."""
    names = {s.id for s in (*PUBLISHED, *PRACTISED)}
    names |= {t.id for t in TOLD} | {look.id for look in LOOKED_AT}

    assert set(KNOWN) | set(MENDED) <= names
    assert not set(KNOWN) & set(MENDED)
    for name, known in (*KNOWN.items(), *MENDED.items()):
        assert known.right in ("tool", "statement", "both"), name
        assert known.disagrees, name
        assert known.because, name
        assert bool(known.change) is (known.right != "tool"), name


def test_there_is_enough_guidance_from_enough_sources(base: Base) -> None:
    """At least 60 statements from at least 15 published sources, each source known by its id."""
    used = {source for s in PUBLISHED for source in s.sources}
    used |= {source for look in LOOKED_AT for source in look.sources}

    assert len(PUBLISHED) >= 60
    assert len({s.id for s in (*PUBLISHED, *PRACTISED)}) == len(PUBLISHED) + len(PRACTISED)
    assert used <= set(own_sources()) | set(base.sources)
    assert not used & set(UNSOURCED)
    assert len(used) >= 15


def test_what_is_practised_claims_no_source() -> None:
    """A practitioner's word is common practice and says so."""
    assert {s.sources for s in PRACTISED} == {("common-practice",)}


def test_a_panel_washed_cold_takes_time_to_come_up_and_a_warm_one_none() -> None:
    """Washed cold, even a dry skin needs its minutes, more in a bay hardly warmer; warm, none.

    The practitioner speaks of a long time and means a wet car; the measure says that it is dry.
    """
    cold, cool_bay = minutes_to_twenty(start=10, air=22), minutes_to_twenty(start=10, air=20.5)
    warm = minutes_to_twenty(start=24, air=22)

    assert cold.low > 8
    assert cool_bay.low > 1.5 * cold.low
    assert warm.high == 0


def minutes_to_twenty(start: float, air: float) -> Quantity:
    """Minutes until 2 mm of dry steel stand at 20 °C, air at both faces."""
    given: dict[str, Quantity | str] = {
        "material": "steel",
        "thickness_mm": exact(2),
        "start_c": exact(start),
        "target_c": exact(20),
        "air_temp_c": exact(air),
        "sides": "both",
    }
    value = evaluate(MEASURES["warming_minutes"], given).value
    assert isinstance(value, Quantity)
    return value


def test_tension_stands_across_an_edge_pulled_toward_and_not_along() -> None:
    """Ten percent toward the edge strains it across; the same along the edge does not at all."""
    across = evaluate(
        MEASURES["tension_across_edge"], {"stretch_percent": exact(10), "pull_angle_deg": exact(90)}
    )
    along = evaluate(
        MEASURES["tension_across_edge"], {"stretch_percent": exact(10), "pull_angle_deg": exact(0)}
    )

    assert across.value == exact(10)
    assert along.value == exact(0)


def test_the_readme_tells_every_disagreement() -> None:
    """Each statement on which the tool disagrees, or did, has its row in the README."""
    readme = (DATA.parent / "README.md").read_text(encoding="utf-8")
    rows = set(re.findall(r"^\| `([a-z_]+)`:", readme, re.MULTILINE))
    count = (
        f"{len(PUBLISHED)} statements of {len({s for p in PUBLISHED for s in p.sources})} published"
    )

    assert rows == set(KNOWN) | set(MENDED)
    assert count in readme
