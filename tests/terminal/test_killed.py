"""The screens in a real terminal: killed, closed and interrupted, nothing is lost."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.records.store.store import Store

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 40.0
"""Seconds after which a screen that does not come has failed."""


class Terminal:
    """A terminal of 80 by 24 with the callback in it."""

    def __init__(self, records: Path) -> None:
        self.pid, self._line = pty.fork()
        if self.pid == 0:  # pragma: no cover (the child)
            os.chdir(ROOT)
            os.environ["TERM"] = "xterm-256color"
            program = [sys.executable, "-m", "diagnose.cli", "callback", "--records", str(records)]
            os.execv(sys.executable, program)
        fcntl.ioctl(self._line, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self._seen = ""

    def wait_for(self, words: str) -> None:
        """Read until the words were drawn since the last time."""
        end = time.monotonic() + PATIENCE
        while words not in self._seen:
            left = end - time.monotonic()
            assert left > 0, f"'{words}' did not come: {self._seen[-2000:]}"
            if select.select([self._line], [], [], left)[0]:
                self._seen += os.read(self._line, 65536).decode("utf-8", "replace")
        self._seen = ""

    def press(self, keys: str) -> None:
        """Press keys."""
        os.write(self._line, keys.encode())

    def end(self, how: signal.Signals | None) -> int:
        """Send a signal, or close the terminal; the exit code."""
        if how is None:
            os.close(self._line)
        else:
            os.kill(self.pid, how)
        return self.left()

    def left(self) -> int:
        """Wait until it has left, reading what it still draws; the exit code."""
        end = time.monotonic() + PATIENCE
        while True:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                return os.waitstatus_to_exitcode(status)
            assert time.monotonic() < end, "it does not leave"
            try:
                if select.select([self._line], [], [], 0.1)[0]:
                    os.read(self._line, 65536)
            except OSError:
                os.sched_yield()


@pytest.fixture
def _started_where_hang_ups_are_ignored() -> Iterator[None]:
    """As under nohup: what is started inherits it."""
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    yield
    signal.signal(signal.SIGHUP, before)


@pytest.mark.parametrize(
    "how", [signal.SIGKILL, signal.SIGHUP, None], ids=("kill", "hup", "closed")
)
@pytest.mark.usefixtures("_started_where_hang_ups_are_ignored")
def test_whatever_ends_the_screens_no_answer_is_lost(
    tmp_path: Path, how: signal.Signals | None
) -> None:
    """Killed or closed at a question, the answers before it are there at the next start."""
    records = tmp_path / "records.sqlite3"
    first = Terminal(records)
    first.wait_for("New callback")
    first.press("1")
    first.wait_for("What is wrong with the wrap?")
    first.press("edge lifting")
    first.wait_for("Read this")
    first.press("\r")
    first.wait_for("Where on the vehicle? Edge lifting")
    first.press("\r")
    first.wait_for("What finish has the film?")
    first.press("1")
    first.wait_for("How many months ago")
    first.end(how)

    with Store.open(records) as store:
        unfinished = store.unfinished()
        assert unfinished
        assert unfinished.circumstances == {"film_finish": "gloss"}
    again = Terminal(records)
    again.wait_for("Go on: Edge lifting")
    again.press("\r")
    again.wait_for("How many months ago")
    again.press("\x03")
    assert again.left() == 0
