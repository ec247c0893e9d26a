"""Two blind clerks judge what the program decides: the floors under which it may not fall."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from tests.outside.claims.verdicts import agreed, decided, score, verdicts

pytestmark = pytest.mark.filterwarnings("ignore")


def test_the_clerks_judged_every_claim_and_agree() -> None:
    """A hundred and twenty claims, each judged twice; where they differ the row counts for none."""
    one, other = verdicts("a"), verdicts("b")

    assert len(one) == 120
    assert set(one) == set(other)
    assert len(agreed()) >= 100


def test_the_sheets_as_the_shops_keep_them_are_decided(base: Base, tmp_path: Path) -> None:
    """With the mapping as it is proposed: most rows as the clerks, few of them wrongly paid or not.

    The table is printed by `python -m tests.outside.claims`; what is asked stays about four tenths.
    """
    its = score(dict(decided(base, tmp_path, as_proposed=True)))

    assert its.rows == len(agreed())
    assert its.alike >= 0.55 * its.rows
    assert its.wrong_accepts <= 0.02 * its.rows
    assert its.wrong_declines <= 0.02 * its.rows
    assert its.questions <= 0.42 * its.rows
