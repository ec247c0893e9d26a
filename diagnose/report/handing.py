"""A report handed over: printed, or written to a file in the format that was asked for."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path

from diagnose.knowledge.base import Base
from diagnose.report.content.data import Report
from diagnose.report.options import ENDINGS, FORMATS
from diagnose.report.pages.audience import Audience, for_audience
from diagnose.report.pages.files import CannotWrite, safe_name, write
from diagnose.report.pages.photos import Lost, Shown
from diagnose.report.pages.units import Units, with_us
from diagnose.report.text import data, markdown, text

PLAIN = {".md": "markdown", ".json": "json", ".txt": "text"}


class CannotHandOver(Exception):
    """A report that was not written; the message says why and what to do."""


def hand_over(
    options: argparse.Namespace,
    report: Report,
    base: Base,
    photos: Sequence[Shown | Lost] = (),
    customer: Sequence[tuple[str, str]] = (),
) -> None:
    """Print the report, or write it; pages always go to a file. Raises CannotHandOver."""
    output: Path | None = options.output
    kind = options.format or _by_ending(output)
    content = made(kind, options, report, base, photos, customer)
    if output is None and kind not in FORMATS:
        print(content.decode(), end="")
        return
    path = output or Path(safe_name(report.case, f".{kind}"))
    try:
        write(path, content, options.overwrite)
    except CannotWrite as error:
        raise CannotHandOver(str(error)) from None
    print(f"Written to {path}.", file=sys.stderr)


def made(
    kind: str,
    options: argparse.Namespace,
    report: Report,
    base: Base,
    photos: Sequence[Shown | Lost],
    customer: Sequence[tuple[str, str]],
) -> bytes:
    """The bytes of a report in a format, with only what is its reader's.

    Lines for the file are the report itself; for another reader they are the pages in words.
    """
    if kind == "json":
        return as_json(report, Audience(options.audience))
    if kind in FORMATS or options.audience != Audience.FILE:
        return _pages(kind, options, report, base, photos, customer)
    change = with_us if options.units == Units.US else str
    return (
        markdown(report, change) if kind == "markdown" else text(report, change=change)
    ).encode()


def as_json(report: Report, audience: Audience) -> bytes:
    """A report as JSON; it names whom it was cut for, since what is left out is empty in it."""
    cut = {"for": audience.value, **data(for_audience(report, audience))}
    return (json.dumps(cut, ensure_ascii=False, indent=1) + "\n").encode()


def _pages(
    kind: str,
    options: argparse.Namespace,
    report: Report,
    base: Base,
    photos: Sequence[Shown | Lost],
    customer: Sequence[tuple[str, str]],
) -> bytes:
    from diagnose.report.pages.command import pages_of
    from diagnose.report.pages.pdf import CannotPrint

    try:
        return pages_of(report, kind, options, base, photos, customer)  # type: ignore[arg-type]
    except (CannotPrint, ModuleNotFoundError) as error:
        raise CannotHandOver(str(error)) from None


def _by_ending(output: Path | None) -> str:
    return {**PLAIN, **ENDINGS}.get(output.suffix.lower(), "text") if output else "text"
