"""The engine derives what a plain loop over the same layers derives: in a trace, in a conclusion."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from hypothesis import given, settings

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import known
from diagnose.knowledge.model.conditions import Values
from diagnose.reasoning import conclusion
from diagnose.reasoning.conclusion import Concluder
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence import chain
from diagnose.reasoning.evidence.chain import Chain
from diagnose.reasoning.evidence.tables import tables
from diagnose.reasoning.evidence.weigh import weigh
from tests.examples import examples
from tests.reasoning.generated import bases, rows
from tests.reasoning.plain_loop import PlainLoop
from tests.reasoning.test_matrix import SMALL
from tests.worked_cases import read_all


@contextmanager
def plainly() -> Iterator[None]:
    """Chains and conclusions that are made now run on the loop."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(chain, "Machine", PlainLoop)
        patch.setattr(conclusion, "Machine", PlainLoop)
        yield


def test_every_worked_case_follows_from_the_loop_as_from_the_engine(
    base: Base, reasoner: Reasoner
) -> None:
    """Every ninth complaint: the same firings, values, statements, remedies, cautions, payers."""
    with plainly():
        judge = Reasoner(base)
        complaints = [
            AnsweredComplaint(complaint.symptom, case.answers(complaint))
            for case in read_all(base)
            for complaint in case.complaints
        ][::9]
        expected = [(judge.trace(c), judge.diagnose(c).conclusion) for c in complaints]
    fired = 0
    for complaint, (trace, concluded) in zip(complaints, expected, strict=True):
        found = reasoner.diagnose(complaint)
        assert found.trace == trace
        assert found.conclusion == concluded
        fired += len(trace.firings)

    assert len(complaints) > 20
    assert fired > 20 * len(complaints)


@settings(SMALL, max_examples=examples(20))
@given(bases(), rows())
def test_generated_bases_follow_from_the_loop_as_from_the_engine(
    base: Base, lines: list[Values]
) -> None:
    """Findings upon findings, refuted and not, with whatever is known."""
    with plainly():
        judge, judge_of_what_follows = Chain(base, "s"), Concluder(base, "s")
    engine, follows = Chain(base, "s"), Concluder(base, "s")
    table = tables(base, "s")
    for line in lines:
        trace = engine.run(known(line))
        assert trace == judge.run(known(line))
        differential = weigh(base, table, trace)
        assert follows.run(trace, differential) == judge_of_what_follows.run(trace, differential)
