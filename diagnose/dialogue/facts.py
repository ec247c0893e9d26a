"""The facts of vehicle and film that a person may write down at the car, beside the answers."""

from __future__ import annotations

from diagnose.knowledge.logic.dates import DATES, days_of

FIELDS = (
    ("vehicle", "Vehicle", "kind and colour, no plate"),
    ("film", "Film", "kind, finish, maker's article"),
    ("lot", "Lot", "as printed on the core or box"),
    ("installer", "Installer", "who laid it"),
    ("laid_on", DATES["laid_on"], "like 2026-03-14, or 2026-03"),
    ("handed_on", DATES["handed_on"], "like 2026-03-16"),
    ("seen_on", DATES["seen_on"], "like 2026-05-02"),
    ("place", "Shop or bay", "where it was laid"),
    ("remark", "Remark", "in the customer's words"),
)
"""Key, name, and what is to be written, for each fact."""


def wrong_fact(key: str, value: str) -> str:
    """What is wrong with a fact as typed, ''."""
    if key in DATES and value and not days_of(value):
        return f"'{value}' is no date: write year-month-day, like 2026-03-14"
    return ""
