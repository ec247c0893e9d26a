"""A command watched with all the processes that it starts: time of processors, and memory."""

from __future__ import annotations

import os
import subprocess
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

EVERY = 0.05
"""Seconds between two looks."""


@dataclass(frozen=True)
class Run:
    """Seconds by the clock and of the processors; the peak in MB of all processes together.

    Memory that processes share counts once (PSS). What a process does after the last look at it,
    at most 50 ms, is not seen.
    """

    seconds: float
    spent: float
    peak: float
    printed: str


def watched(command: Sequence[str], environment: Mapping[str, str]) -> Run:
    """Run a command to its end; raises where it fails."""
    start, spent, peak = time.perf_counter(), dict[int, float](), 0.0
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        while process.poll() is None:
            its = _processes(process.pid)
            spent |= its
            peak = max(peak, sum(map(_memory, its)))
            time.sleep(EVERY)
        seconds = time.perf_counter() - start
        printed = process.stdout.read() if process.stdout else ""
    if process.returncode not in (0, 1):
        raise RuntimeError(f"{command[0]} ended with {process.returncode}")
    return Run(seconds, sum(spent.values()), peak, printed)


def _processes(first: int) -> dict[int, float]:
    """A process and all below it, each with the seconds of processors that it has taken."""
    ticks = os.sysconf("SC_CLK_TCK")
    below: dict[int, list[int]] = {}
    taken: dict[int, float] = {}
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            _, _, rest = path.read_text().rpartition(")")
        except OSError:
            continue
        fields = rest.split()
        pid = int(path.parent.name)
        below.setdefault(int(fields[1]), []).append(pid)
        taken[pid] = (int(fields[11]) + int(fields[12])) / ticks
    found: dict[int, float] = {}
    left = [first]
    while left:
        pid = left.pop()
        found[pid] = taken.get(pid, 0.0)
        left += below.get(pid, [])
    return found


def _memory(pid: int) -> float:
    """Megabytes of a process, what it shares in parts; 0 where it has ended."""
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1000
