"""A large shop's records, and how long lists and statistics take: no bound, a printed table.

Run by itself: python -m tests.records.large --cases 10000
"""

import argparse
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import TypeVar

from diagnose.knowledge.base import Base
from diagnose.records import tables
from diagnose.records.case.journal import Event, EventKind
from diagnose.records.experience.statistics import statistics
from diagnose.records.store.database import transaction
from diagnose.records.store.store import Store
from diagnose.records.store.summary import Filter
from tests.records.small_base import small_base

T = TypeVar("T")


@dataclass(frozen=True)
class Measured:
    """Counts that must be right, and times to look at."""

    listed: int
    of_one_lot: int
    closed: int
    times: str


def journal(number: int, at: datetime, chance: random.Random) -> Iterator[Event]:
    """A case of some thirty events; four of five are closed."""
    said: list[dict] = [
        {"kind": EventKind.OPENED},
        {"kind": EventKind.NOTED, "key": "lot", "text": f"L-{number % 200}"},
        {"kind": EventKind.NOTED, "key": "film", "text": f"film {'ABCDEF'[number % 6]}"},
        {"kind": EventKind.NOTED, "key": "installer", "text": f"shop {number % 12}"},
        {
            "kind": EventKind.NOTED,
            "key": "remark",
            "text": "lifts at the door after the first wash",
        },
        {"kind": EventKind.COMPLAINED, "key": "edge_lifting", "text": "bonnet", "complaint": 1},
    ]
    said += [
        {"kind": EventKind.ANSWERED, "key": f"check_{n}", "answer": "yes", "complaint": 1}
        for n in range(20)
    ]
    causes = ("laid_cold", "gap_not_cleaned")
    concluded = {"cause": chance.choice(causes), "probability": chance.random()}
    said.append({"kind": EventKind.CONCLUDED, "complaint": 1, "data": concluded})
    if number % 5:
        data = {"cause": chance.choice(causes), "confirmed_by": "seen", "cost": number % 300}
        said.append({"kind": EventKind.CLOSED, "complaint": 1, "data": data})
    for count, fields in enumerate(said, 1):
        yield Event(count, at + timedelta(hours=2 * number), **fields)


def fill(store: Store, at: datetime, cases: int) -> None:
    """Write cases in one transaction, which is not how a shop's records grow, but fast."""
    chance = random.Random(1)
    with transaction(store._connection, store.path):
        for number in range(cases):
            store._add(f"case_{number}", tuple(journal(number, at, chance)))


def measured(path: Path, at: datetime, base: Base, cases: int) -> Measured:
    """Fill a file and time what a shop does with it."""
    with Store.open(path) as store:
        fill(store, at, cases)
    times: dict[str, float] = {}

    def timed(name: str, work: Callable[[], T]) -> T:
        start = perf_counter()
        done = work()
        times[name] = perf_counter() - start
        return done

    store = timed("open", lambda: Store.open(path))
    with store:
        listed = timed("list all", store.list)
        of_lot = timed("list a lot", lambda: store.list(Filter(lot="L-7")))
        timed("search a text", lambda: store.list(Filter(text="door first wash l-77")))
        timed("search a text that all have", lambda: store.list(Filter(text="door")))
        closed = timed("outcomes", lambda: store.outcomes(Filter()))
        found = timed("statistics", lambda: statistics(closed, 1))
        timed("statistics as text", lambda: tables.statistics_page(found, base))
    shown = ", ".join(f"{name} {seconds:.3f} s" for name, seconds in times.items())
    return Measured(len(listed), len(of_lot), len(closed), f"{cases} cases: {shown}")


def main() -> None:
    """Print the times."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=10_000)
    args = parser.parse_args()
    with TemporaryDirectory() as name:
        at = datetime(2024, 1, 1, tzinfo=UTC)
        found = measured(Path(name) / "records.sqlite3", at, small_base(), args.cases)
        print(found.times)


if __name__ == "__main__":
    main()
