"""What people typed, made safe to show."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.typed import clean


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("van\x1b[31m red\x00", "van[31m red"),
        ("two\nlines\tand  blanks ", "two lines and blanks"),
        ("an old\rMac's line\x0band page", "an old Mac's line and page"),
        ("left\u200e right\u200f arabic\u061c", "left right arabic"),
        ("\u202eover\u2066ride\u2069", "override"),
        ("in\u200bvi\u2060si\ufeffble", "invisible"),
        ("half \ud83d", "half"),
        ("\U0001f468\u200d\U0001f527 at work", "\U0001f468\u200d\U0001f527 at work"),
    ],
)
def test_what_steers_or_is_not_seen_is_taken_out(typed: str, shown: str) -> None:
    """Control characters, marks of direction, widthless ones; joiners stay, letters need them."""
    assert clean(typed) == shown


@given(st.text(max_size=60))
def test_clean_text_is_one_line_and_stays_as_it_is(text: str) -> None:
    """Nothing is left that breaks a line, and cleaning twice changes no more."""
    once = clean(text)

    assert len(once.splitlines()) <= 1
    assert clean(once) == once
