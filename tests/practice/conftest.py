"""The shipped worked cases as a bank, with one judge for the whole run."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.practice.command import read_cases
from diagnose.practice.items.bank import Bank
from diagnose.practice.session.judge import Judge
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.store.store import Store

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def judge(reasoner: Reasoner) -> Judge:
    """A judge that keeps its matrices for the whole run."""
    return Judge(reasoner)


@pytest.fixture(scope="session")
def bank(base: Base) -> Bank:
    """All worked cases."""
    cases, problems = read_cases(ROOT / "cases", base)
    assert problems == ()
    return Bank.of(base, cases)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """New records."""
    with Store.open(tmp_path / "records.sqlite3") as opened:
        yield opened
