"""What the tests of records share."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.records.store.store import Store
from tests.records.small_base import small_base


@pytest.fixture(scope="session")
def base() -> Base:
    """A rule base of a few entries."""
    return small_base()


@pytest.fixture
def at() -> datetime:
    """A moment at which things happen."""
    return datetime(2026, 3, 2, 8, 30, tzinfo=UTC)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """The place of a records file that is not there yet."""
    return tmp_path / "records.sqlite3"


@pytest.fixture
def store(path: Path):
    """An open, empty store."""
    with Store.open(path) as opened:
        yield opened
