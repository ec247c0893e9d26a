"""Faults put upon a records file, counted: kills, cut files, flipped bits, full disks.

Run by itself it prints the fault table: python -m tests.records.faults --tries 3000
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import select
import shutil
import signal
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from diagnose.records.case.journal import EventKind
from diagnose.records.store.database import NoCase, StoreError
from diagnose.records.store.store import Store
from diagnose.records.store.summary import Filter
from diagnose.records.store.wal import log_of

AT = datetime(2026, 3, 1, 9, tzinfo=UTC)
FILE = "records.sqlite3"
Acknowledged = dict[tuple[str, int], str]


@dataclass
class Row:
    """One line of the fault table. `lost` counts acknowledged events gone without a word."""

    fault: str
    tries: int = 0
    events: int = 0
    said: int = 0
    lost: int = 0
    notes: Counter[str] = field(default_factory=Counter)


def write_until_killed(path: Path, pipe: int, name: str) -> None:
    """Open cases and answer questions, telling each event through the pipe once it is saved."""
    with Store.open(path) as store:
        for count in range(1_000_000):
            if count % 7 == 0:
                case_id = store.begin(AT)
                _tell(pipe, case_id, 1, "")
                store.append(case_id, AT, EventKind.COMPLAINED, key="edge_lifting", text="bonnet")
                _tell(pipe, case_id, 2, "edge_lifting")
            key = f"{name}_{count}"
            event = store.append(
                case_id, AT, EventKind.ANSWERED, key=key, answer="yes", complaint=1
            )
            _tell(pipe, case_id, event.number, key)


def _tell(pipe: int, case_id: str, number: int, key: str) -> None:
    os.write(pipe, f"{case_id} {number} {key}\n".encode())


def _start(path: Path, name: str) -> tuple[int, int]:
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            write_until_killed(path, writing, name)
        except BaseException as error:  # told by the exit code; the parent counts it
            os.write(2, f"{error!r}\n".encode())
        os._exit(1)
    os.close(writing)
    return child, reading


def _end(child: int, reading: int) -> tuple[Acknowledged, bool]:
    """Kill a writer; what it had acknowledged, and whether it was still at work."""
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    with os.fdopen(reading, "rb") as file:
        lines = file.read().decode().split("\n")[:-1]
    told = [line.split(" ") for line in lines]
    acknowledged = {(case_id, int(number)): key for case_id, number, key in told}
    return acknowledged, os.WIFSIGNALED(status)


def missing(path: Path, acknowledged: Acknowledged) -> int:
    """How many acknowledged events are not there as they were; raises what the store says."""
    with Store.open(path) as store:
        found = {
            (case_id, event.number): event.key
            for case_id in store.ids()
            for event in store.events(case_id)
        }
        listed = {case.id for case in store.list()}
        listed &= {case.id for case in store.list(Filter(text="bonnet"))} | _bare(store)
        listed &= {case.id for case in store.list(Filter(symptom="edge_lifting"))} | _bare(store)
    return sum(found.get(key) != text or key[0] not in listed for key, text in acknowledged.items())


def _bare(store: Store) -> set[str]:
    """Cases that were cut off before they had a complaint."""
    return {case_id for case_id in store.ids() if not store.case(case_id).complaints}


def kills(tries: int, seed: int, writers: int = 1, batch: int = 25) -> Row:
    """SIGKILL at a random moment, while the file is made, opened and written; then go on."""
    what = "program" if writers == 1 else f"{writers} programs on one file"
    row = Row(f"{what} killed at a random moment")
    chance = random.Random(seed)
    with TemporaryDirectory() as name:
        path, acknowledged = Path(name) / FILE, Acknowledged()
        for count in range(tries):
            if count % batch == 0:
                shutil.rmtree(name)
                Path(name).mkdir()
                acknowledged = {}
            running = [_start(path, f"w{count}_{writer}") for writer in range(writers)]
            if chance.random() < 0.5:
                # Half of the kills are to hit the writing, however slow the opening was.
                select.select([reading for _, reading in running], [], [], 5)
            time.sleep(chance.random() ** 2 * 0.06)
            for child, reading in running:
                told, at_work = _end(child, reading)
                acknowledged |= told
                row.events += len(told)
                row.notes["writer failed by itself"] += not at_work
            row.tries += 1
            row.lost += missing(path, acknowledged)
    return row


def sample(path: Path, cases: int = 12) -> Acknowledged:
    """A records file of some cases, and what it acknowledged."""
    acknowledged: Acknowledged = {}
    with Store.open(path) as store:
        for _ in range(cases):
            case_id = store.begin(AT)
            acknowledged[case_id, 1] = ""
            store.append(case_id, AT, EventKind.COMPLAINED, key="edge_lifting", text="bonnet")
            acknowledged[case_id, 2] = "edge_lifting"
            for count in range(20):
                event = store.append(
                    case_id, AT, EventKind.ANSWERED, key=f"check_{count}", answer="yes", complaint=1
                )
                acknowledged[case_id, event.number] = event.key
    return acknowledged


def _harmed(
    fault: str, tries: int, seed: int, harm: Callable[[Path, random.Random], object]
) -> Row:
    row = Row(fault)
    chance = random.Random(seed)
    with TemporaryDirectory() as name:
        whole = Path(name) / "whole"
        acknowledged = sample(whole)
        for _ in range(tries):
            path = Path(name) / FILE
            shutil.copyfile(whole, path)
            harm(path, chance)
            _judge(row, path, acknowledged)
            for left in path.parent.glob(f"{FILE}*"):
                left.unlink()
    return row


def _judge(row: Row, path: Path, acknowledged: Acknowledged) -> None:
    row.tries += 1
    row.events += len(acknowledged)
    before = path.read_bytes()
    try:
        row.lost += missing(path, acknowledged)
    except (StoreError, NoCase) as error:
        row.said += 1
        row.notes["said, but the file was changed"] += path.read_bytes() != before
        row.notes["said without the file's name"] += str(path) not in str(error)


def cut(tries: int, seed: int) -> Row:
    """The file ends too early."""
    return _harmed(
        "file cut at a random length",
        tries,
        seed,
        lambda path, chance: os.truncate(path, chance.randrange(path.stat().st_size)),
    )


def flip(path: Path, chance: random.Random) -> None:
    """Turn one random bit of a file."""
    content = bytearray(path.read_bytes())
    content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
    path.write_bytes(content)


def flips(tries: int, seed: int) -> Row:
    """One bit of the file is wrong."""
    return _harmed("one bit of the file flipped", tries, seed, flip)


def head_flips(tries: int, seed: int) -> Row:
    """One bit of the first hundred bytes is wrong."""

    def harm(path: Path, chance: random.Random) -> None:
        content = bytearray(path.read_bytes())
        content[chance.randrange(100)] ^= 1 << chance.randrange(8)
        path.write_bytes(content)

    return _harmed("one bit of the file's head flipped", tries, seed, harm)


def log_flips(tries: int, seed: int) -> Row:
    """One bit of the log of a program that was killed is wrong."""
    row = Row("one bit of the write-ahead log flipped")
    chance = random.Random(seed)
    with TemporaryDirectory() as name:
        path, kept = Path(name) / FILE, Path(name) / "kept"
        child, reading = _start(path, "log")
        time.sleep(0.3)
        acknowledged, _ = _end(child, reading)
        shutil.copyfile(path, kept)
        shutil.copyfile(log_of(path), log_of(kept))
        for _ in range(tries):
            for left in path.parent.glob(f"{FILE}*"):
                left.unlink()
            shutil.copyfile(kept, path)
            shutil.copyfile(log_of(kept), log_of(path))
            flip(log_of(path), chance)
            row.tries += 1
            row.events += len(acknowledged)
            _judge_log(row, path, acknowledged)
    return row


def _judge_log(row: Row, path: Path, acknowledged: Acknowledged) -> None:
    try:
        with Store.open(path) as store:
            torn = store.torn
        gone = missing(path, acknowledged)
    except StoreError:
        row.said += 1
        return
    if torn:
        row.said += 1
        row.notes["said that the last entry may be missing"] += 1
        gone -= min(gone, 1)
    row.lost += gone


def clock_set_back(tries: int, seed: int) -> Row:
    """The clock jumps about; the order of a journal is that of entering."""
    row = Row("clock set back or forward between entries")
    chance = random.Random(seed)
    for _ in range(tries):
        with TemporaryDirectory() as name, Store.open(Path(name) / FILE) as store:
            case_id = store.begin(AT)
            keys = [f"check_{count}" for count in range(8)]
            for key in keys:
                at = AT + timedelta(days=chance.randrange(-9000, 9000))
                store.append(case_id, at, EventKind.ANSWERED, key=key, answer="yes")
            row.tries += 1
            row.events += len(keys)
            row.lost += [e.key for e in store.events(case_id)][1:] != keys
    return row


def full_disk(tries: int, seed: int) -> Row:
    """No more bytes can be written beyond a random size; then there is room again."""
    row = Row("disk full (limit on file size)")
    chance = random.Random(seed)
    for _ in range(tries):
        with TemporaryDirectory() as name:
            path = Path(name) / FILE
            acknowledged = sample(path, 1)
            told, said = _write_in_little_room(path, chance.randrange(40_000, 400_000))
            row.tries += 1
            row.events += len(told)
            row.said += said
            row.notes["did not say so"] += not said
            row.lost += missing(path, acknowledged | told)
    return row


def _write_in_little_room(path: Path, room: int) -> tuple[Acknowledged, bool]:
    """Write in a child that may write no file larger than `room`, and whether it said so."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))
        try:
            write_until_killed(path, writing, "full")
        except StoreError as error:
            os._exit(0 if "make room" in str(error) else 2)
        os._exit(3)
    os.close(writing)
    with os.fdopen(reading, "rb") as file:
        lines = file.read().decode().split("\n")[:-1]
    _, status = os.waitpid(child, 0)
    told = {(line.split()[0], int(line.split()[1])): line.split(" ")[2] for line in lines}
    return told, os.waitstatus_to_exitcode(status) == 0


HEAD = f"{'fault':50}{'tries':>8}{'events':>10}{'said':>8}{'lost':>6}  notes"


def line(row: Row) -> str:
    """A row of the fault table as text."""
    notes = ", ".join(f"{note}: {count}" for note, count in row.notes.items() if count)
    counts = f"{row.tries:8}{row.events:10}{row.said:8}{row.lost:6}"
    return f"{row.fault:50}{counts}  {notes}".rstrip()


def main() -> None:
    """Print the fault table of a run."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tries", type=int, default=3000)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    half, few = max(1, args.tries // 2), max(1, args.tries // 10)
    harms: tuple[Callable[[], Row], ...] = (
        lambda: kills(args.tries, args.seed),
        lambda: kills(few, args.seed, writers=2),
        lambda: cut(half, args.seed),
        lambda: flips(args.tries, args.seed),
        lambda: head_flips(half, args.seed),
        lambda: log_flips(few, args.seed),
        lambda: full_disk(few, args.seed),
        lambda: clock_set_back(few, args.seed),
    )
    print(HEAD)
    for harm in harms:
        print(line(harm()), flush=True)


if __name__ == "__main__":
    main()
