"""Texts put together row by row, each set of them once."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from diagnose.claims.decision.weighing import joined

MEMBERS = st.lists(st.sets(st.integers(0, 11)), max_size=70)


@given(MEMBERS)
def test_each_row_has_its_texts_in_their_order(members: list[set[int]]) -> None:
    """However many texts there are: as joined one by one, and nothing where there is none."""
    texts = [f"t{number}" for number in range(len(members))]
    rows = [np.array(sorted(its), dtype=np.intp) for its in members]
    wanted = [
        "; ".join(text for text, its in zip(texts, members, strict=True) if row in its) or None
        for row in range(12)
    ]

    assert joined(rows, texts, 12).to_list() == wanted
    assert joined([], [], 0).to_list() == []
