"""What a shop with ten thousand cases waits for: lists, searches, statistics.

Run: python -m tests.benchmarks.records --cases 10000
The worked cases, taken in again and again under other ids and dates, with what the tool might have
concluded before each outcome. Seconds in one process (best of three, wall and processor) and of
the whole command, beside the bounds that they should keep.
"""

from __future__ import annotations

import argparse
import random
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.load import load
from diagnose.records import tables
from diagnose.records.case.journal import Event, EventKind
from diagnose.records.experience.sign_worth import sign_records
from diagnose.records.experience.statistics import statistics
from diagnose.records.store.database import transaction
from diagnose.records.store.exchange import import_cases
from diagnose.records.store.store import Store
from diagnose.records.store.summary import Filter

ROOT = Path(__file__).resolve().parents[2]
AT = datetime(2024, 1, 1, 8, tzinfo=UTC)
LIST, STATISTICS = 0.2, 1.0
"""Seconds that a list or a search, and the statistics, may take."""


def again(journal: tuple[Event, ...], number: int, chance: random.Random) -> Iterator[Event]:
    """A journal some hours later, with a conclusion before each outcome."""
    later = timedelta(hours=2 * number)
    events = []
    for event in journal:
        if event.key == "seen_on":
            continue
        if event.kind is EventKind.CLOSED:
            sure = chance.uniform(0.3, 0.99)
            cause = event.data["cause"] if chance.random() < sure else "laid_cold"
            data = {"cause": cause, "probability": sure}
            events.append(replace(event, kind=EventKind.CONCLUDED, text="", data=data))
        events.append(event)
    for count, event in enumerate(events, 1):
        yield replace(event, number=count, at=event.at + later)


def fill(base: Base, path: Path, cases: int) -> None:
    """Write so many cases in one transaction, which is fast, and not how records grow."""
    chance = random.Random(1)
    with Store.open(path.with_name("worked.sqlite3")) as worked, Store.open(path) as store:
        import_cases(worked, [ROOT / "cases"], base, AT)
        journals = [(case_id, worked.events(case_id)) for case_id in worked.ids()]
        with transaction(store._connection, store.path):
            for number in range(cases):
                case_id, journal = journals[number % len(journals)]
                store._add(f"{case_id}_{number}", tuple(again(journal, number, chance)))


def seconds(work: Callable[[], object], runs: int = 3) -> tuple[float, float]:
    """The shortest of some runs: wall and processor."""
    found = []
    for _ in range(runs):
        start, used = time.perf_counter(), time.process_time()
        work()
        found.append((time.perf_counter() - start, time.process_time() - used))
    return min(wall for wall, _ in found), min(used for _, used in found)


def page(base: Base, store: Store) -> str:
    """What `diagnose cases statistics` shows."""
    signs = sign_records(base, store.known_complaints(Filter()))
    return tables.statistics_page(statistics(store.outcomes(Filter()), 1, signs), base, 80)


def row(name: str, bound: float | None, measured: tuple[float, ...]) -> str:
    """A line of the table."""
    held = f"{bound:8.1f}" if bound else " " * 8
    return f"{name:44}{held}" + "".join(f"{value:10.3f}" for value in measured)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=10_000)
    args = parser.parse_args()
    base = load(ROOT / "rules")
    with TemporaryDirectory() as name:
        path = Path(name) / "records.sqlite3"
        fill(base, path, args.cases)
        print(f"{args.cases:,} cases, {path.stat().st_size / 1e6:.0f} MB")
        print(f"{'in one process':44}{'bound s':>8}{'wall s':>10}{'cpu s':>10}")
        print(row("open (pages checked)", None, seconds(lambda: Store.open(path).close())))
        with Store.open(path) as store:
            searches = {
                "list all": Filter(),
                "one symptom and panel": Filter(symptom="edge_lifting", panel="roof"),
                "one lot": Filter(lot="L-2207"),
                "one installer in one month": Filter(
                    installer="Quay Print and Wrap", month="2024-03"
                ),
                "a word that many have": Filter(text="door"),
                "a word that none has": Filter(text="zebra"),
            }
            for says, wanted in searches.items():
                print(row(says, LIST, seconds(lambda wanted=wanted: store.list(wanted))))
            print(
                row(
                    "statistics with signs, as a page",
                    STATISTICS,
                    seconds(lambda: page(base, store)),
                )
            )
        print(f"{'whole command':44}{'':8}{'wall s':>10}")
        command = [sys.executable, "-m", "diagnose.cli", "cases"]
        for words in (["list"], ["list", "--text", "zebra"], ["statistics"]):
            whole = [*command, *words, "--records", str(path)]
            took = seconds(
                lambda whole=whole: subprocess.run(whole, check=True, capture_output=True)
            )
            print(row(" ".join(["cases", *words]), None, took[:1]))


if __name__ == "__main__":
    main()
