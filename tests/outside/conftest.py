"""What the tests against outside judges share."""

from __future__ import annotations

from collections.abc import Callable, Generator
from functools import cache

import pytest

from diagnose.knowledge.base import Base
from diagnose.reasoning.conclusion import Concluder
from tests.outside.fetch import ALL_JUDGES


@pytest.fixture(scope="session")
def concluder(base: Base) -> Callable[[str], Concluder]:
    """The conclusions of a symptom of the shipped base, made once."""
    return cache(lambda symptom: Concluder(base, symptom))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Where all judges must be there, a test that skips has failed."""
    report = yield
    if ALL_JUDGES and report.skipped:
        report.outcome = "failed"
        report.longrepr = f"a judge is absent: {report.longrepr}"
    return report
