"""The plan on the command line: the shop's file, sizes, start, suppositions."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from diagnose.commands import Misuse, has_problems
from diagnose.files import text_of
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.shop import Shop, closed_days
from diagnose.knowledge.reading.shop import read_shop
from diagnose.reasoning.correction.roll import Size
from diagnose.records.case.journal import Case
from diagnose.report.content.plan_data import PlanTerms


def terms_of(
    base: Base, case: Case, options: argparse.Namespace, now: datetime
) -> PlanTerms | None:
    """What the options say that a plan is reckoned with. Raises Misuse.

    None where no shop's file is given and the example does not fit a rule base of one's own.
    """
    start = _start(options.start, now.replace(tzinfo=None))
    terms = plain_terms(base, start, options.shop) if options.shop else example_terms(base, start)
    return terms and replace(
        terms,
        sizes=_sizes(options.size, [c.number for c in case.complaints]),
        vehicle=options.vehicle or "",
        suppose=tuple(options.what_if),
    )


def example_terms(base: Base, start: datetime) -> PlanTerms | None:
    """The example's terms; None where the example does not fit this rule base."""
    try:
        return plain_terms(base, start)
    except Misuse:
        return None


def plain_terms(base: Base, start: datetime, file: Path | None = None) -> PlanTerms:
    """What a plan is reckoned with where nothing else is said: a shop's file, else the example.

    Raises Misuse.
    """
    shop = read_file(file or shipped("rules") / "shop" / "example_shop.yml", base)
    return PlanTerms(shop, start, closed_days(shop, range(start.year, start.year + 3)))


def read_file(path: Path, base: Base) -> Shop:
    """A shop's figures from a file; Misuse with every problem."""
    name, text = text_of(path)
    reading = read_shop(name, text, base)
    if reading.content is None:
        raise has_problems(name, reading.problems)
    return reading.content


def _start(text: str | None, now: datetime) -> datetime:
    if not text:
        return now.replace(second=0, microsecond=0)
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise Misuse(f"'{text}' is no moment: write it as 2026-11-30T08:00") from None


_SIZE = re.compile(r"(\d+)=(\d+(?:\.\d+)?)[x×*](\d+(?:\.\d+)?)")


def _sizes(texts: Sequence[str], numbers: Sequence[int]) -> dict[int, Size]:
    found: dict[int, Size] = {}
    for text in texts:
        parts = _SIZE.fullmatch(text.replace(" ", ""))
        if not parts:
            raise Misuse(f"'{text}' is no size: write --size 1=0.75x1.15, in metres")
        number, size = int(parts[1]), (float(parts[2]), float(parts[3]))
        if number not in numbers:
            listed = ", ".join(map(str, numbers))
            raise Misuse(f"there is no complaint {number}: this case has {listed}")
        if not all(0.02 <= side <= 12 for side in size):
            raise Misuse(f"'{text}': each side must be 0.02 to 12 m; is it in metres?")
        found[number] = size
    return found
