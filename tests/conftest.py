"""What all tests share: the shipped base, and a machine on which nothing of the developer shows."""

from __future__ import annotations

import gc
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from diagnose.knowledge.base import Base
from diagnose.reasoning.diagnose import Reasoner
from tests.examples import LARGE, SMALL
from tests.shipped import shipped_base

ROOT = Path(__file__).resolve().parent.parent

settings.register_profile(
    "seeded",
    derandomize=True,
    deadline=None,
    max_examples=SMALL,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.register_profile("many", settings.get_profile("seeded"), max_examples=LARGE)
settings.load_profile("seeded")


def pytest_addoption(parser: pytest.Parser) -> None:
    """How large the campaigns of faults and mutated inputs are."""
    parser.addoption(
        "--campaign",
        choices=("small", "large"),
        default="small",
        help="size of the campaigns: kills, cut files, flipped bits, mutated rules and cases",
    )


def pytest_configure(config: pytest.Config) -> None:
    """A large campaign draws more examples, too; garbage is looked for less often than usual."""
    gc.set_threshold(50_000, 20, 50)
    if config.getoption("--campaign") == "large":
        settings.load_profile("many")


@pytest.fixture(scope="session")
def campaign(request: pytest.FixtureRequest) -> int:
    """How many tries the commonest fault of a campaign has."""
    return 400 if request.config.getoption("--campaign") == "large" else 30


@pytest.fixture(scope="session")
def base() -> Base:
    """The shipped rule base."""
    found = shipped_base()
    # What lives as long as the run is not gone through again with every collection.
    gc.collect()
    gc.freeze()
    return found


@pytest.fixture(scope="session")
def reasoner(base: Base) -> Reasoner:
    """A reasoner on the shipped base, its engines kept for the whole run."""
    return Reasoner(base)


@pytest.fixture(scope="session")
def of_the_run(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of this run of the tests, one for all of its workers."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


@pytest.fixture(autouse=True)
def _elsewhere(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, of_the_run: Path) -> None:
    """Home, settings, colours, width and language of whoever runs the tests do not count.

    Rule bases found sound are kept for the run, so that a command reads the shipped one quickly.
    """
    for name in list(os.environ):
        if name.startswith(("XDG_", "LC_", "COLUMNS", "LINES", "FORCE_COLOR", "NO_COLOR")):
            monkeypatch.delenv(name)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(of_the_run / "cache"))
    monkeypatch.setenv("LANG", "C.UTF-8")
    monkeypatch.setenv("TZ", "UTC")
