"""One visitor's screens: a process of their own, watched for idleness."""

from __future__ import annotations

import asyncio
import sys
import time
from asyncio.subprocess import PIPE, Process

from textual_serve.app_service import AppService

from diagnose.serve.settings import Settings

QUIT_SECONDS = 5.0
"""How long a visitor's process may take to leave before it is ended."""


class Session(AppService):
    """The process behind one visitor's page."""

    visitor: str
    settings: Settings
    last_touch: float
    _ending: asyncio.Task[None] | None = None
    _opening: asyncio.Lock

    def for_visitor(self, visitor: str, settings: Settings) -> Session:
        """Say whose it is, before it starts."""
        self.visitor, self.settings = visitor, settings
        self._opening = asyncio.Lock()
        self.touch()
        return self

    def touch(self) -> None:
        """The visitor did something."""
        self.last_touch = time.monotonic()

    @property
    def idle_minutes(self) -> float:
        """Minutes since the visitor did something."""
        return (time.monotonic() - self.last_touch) / 60

    def arguments(self) -> list[str]:
        """The command line of the process; the visitor's id goes by the environment."""
        settings = self.settings
        line = [sys.executable, "-m", "diagnose.serve.visit", str(settings.records)]
        return [*line, str(settings.rules)] if settings.rules else line

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        environment = self._build_environment(width=width, height=height)
        environment["DIAGNOSE_VISITOR"] = "" if self.settings.shared else self.visitor
        self._process = process = await asyncio.create_subprocess_exec(
            *self.arguments(), stdin=PIPE, stdout=PIPE, stderr=PIPE, env=environment
        )
        self._stdin = process.stdin
        return process

    async def start(self, width: int, height: int) -> None:
        """Open the process, unless it was stopped before it began."""
        async with self._opening:
            if self._ending is None:
                await super().start(width, height)

    async def stop(self) -> None:
        """Let the process leave; end it if it does not. Whoever asks waits for the same end.

        The end goes on when one who waits for it is cancelled: no process may be left behind.
        """
        if self._ending is None:
            self._ending = asyncio.create_task(self._end())
        await asyncio.shield(self._ending)

    async def _end(self) -> None:
        async with self._opening:
            pass
        try:
            await asyncio.wait_for(super().stop(), QUIT_SECONDS)
        except (TimeoutError, ConnectionError):
            self._task = None
        process = self._process
        if process is not None and process.returncode is None:
            try:
                await asyncio.wait_for(process.wait(), QUIT_SECONDS)
            except TimeoutError:
                process.kill()
                await process.wait()
