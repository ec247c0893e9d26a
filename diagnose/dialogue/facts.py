"""The facts of vehicle and film that a person may write down at the car, beside the answers."""

from __future__ import annotations

from datetime import date

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.dates import DATES, days_of
from diagnose.knowledge.words.days import DayReader

FIELDS = (
    ("vehicle", "Vehicle", "kind and colour, no plate"),
    ("film", "Film", "kind, finish, maker's article"),
    ("lot", "Lot", "as printed on the core or box"),
    ("installer", "Installer", "who laid it"),
    ("laid_on", DATES["laid_on"], "like 14 March 2026, or 2026-03"),
    ("handed_on", DATES["handed_on"], "like 2026-03-16"),
    ("seen_on", DATES["seen_on"], "like 2026-05-02"),
    ("place", "Shop or bay", "where it was laid"),
    ("remark", "Remark", "in the customer's words"),
)
"""Key, name, and what is to be written, for each fact."""


def as_fact(base: Base, key: str, value: str, today: date) -> str:
    """A fact as it is kept: a date year first, however it was typed, if it can be but one."""
    if key not in DATES or days_of(value):
        return value
    read = list(DayReader(base.words).read(value, today))
    if (
        len(read) != 1
        or not read[0].sure
        or value.strip(" .") != value[read[0].start : read[0].end]
    ):
        return value
    first, last = read[0].first, read[0].last
    written = (first.isoformat(), f"{first:%Y-%m}", f"{first:%Y}")
    return next((w for w in written if (d := days_of(w)) and d[0] == first and d[1] >= last), value)


def wrong_fact(key: str, value: str) -> str:
    """What is wrong with a fact as typed, ''."""
    if key in DATES and value and not days_of(value):
        return f"'{value}' is no date: write year-month-day, like 2026-03-14"
    return ""
