"""No file brings the program down: it is read, or refused in a sentence."""

from __future__ import annotations

from pathlib import Path

from diagnose.knowledge.base import Base
from tests.hostile.mutated import attacks


def test_a_mutated_file_is_read_or_refused_in_a_sentence(
    base: Base, tmp_path: Path, campaign: int
) -> None:
    """Tables of six kinds, mappings, policies, cases and shops, some hundreds of each campaign."""
    found = list(attacks(base, tmp_path, campaign * 5, seed=7))

    assert [f"{kind}: {fell} in {data[:120]!r}" for kind, data, fell in found if fell] == []
    assert len({kind for kind, _, _ in found}) > 8
