"""A report handed over: printed, or written to a file in the format that was asked for."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from diagnose.files import safe_name, write
from diagnose.knowledge.base import Base
from diagnose.report.content.data import Report
from diagnose.report.formats.plain import words
from diagnose.report.formats.registry import FORMATS, Format, by_ending
from diagnose.report.lines.short import short
from diagnose.report.pages.audience import Audience
from diagnose.report.pages.command import made
from diagnose.report.pages.photos import Lost, Shown
from diagnose.report.style import WIDTH, Style


def hand_over(
    options: argparse.Namespace,
    report: Report,
    base: Base,
    photos: Sequence[Shown | Lost] = (),
    customer: Sequence[tuple[str, str]] = (),
    *,
    piped: bool = False,
) -> None:
    """Print the report, in short or whole, or write it. Raises files.CannotWrite.

    Pages go to a file of the case's name where no file is named; `piped`: to the standard output,
    which leads into a file or another program and holds nothing else.
    """
    output: Path | None = options.output
    if _in_short(options):
        name = getattr(options, "file", report.case)
        further = f"diagnose case {name} --full prints everything behind it"
        print(words(short(report, further), Style(False, WIDTH)), end="")
        return
    kind = FORMATS[options.format] if options.format else _by_ending(output)
    content = made(kind.name, options, report, base, photos, customer)
    if output is None and not kind.pages:
        print(content.decode(), end="")
        return
    if output is None and piped:
        sys.stdout.buffer.write(content)
        return
    path = output or Path(safe_name(report.case, kind.endings[0]))
    write(path, content, options.overwrite)
    print(f"Written to {path}.", file=sys.stderr)


def _in_short(options: argparse.Namespace) -> bool:
    """Whether the conclusion alone is printed: where no file, reader or more of it is named."""
    named = options.full or options.output or options.format or options.what_if
    return not named and options.audience == Audience.FILE.value


def _by_ending(output: Path | None) -> Format:
    return (by_ending(output) if output else None) or FORMATS["text"]
