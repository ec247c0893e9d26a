"""Options of a plan on the command line; light, so that no other command pays for them."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_plan_options(parser: argparse.ArgumentParser) -> None:
    """The options of a plan."""
    parser.add_argument(
        "--no-plan",
        dest="plan",
        action="store_false",
        default=True,
        help="leave out what to do first, what it costs and when it is ready",
    )
    parser.add_argument(
        "--shop", type=Path, metavar="FILE", help="your shop's figures; else an example's"
    )
    parser.add_argument(
        "--size",
        action="append",
        default=[],
        metavar="N=AxB",
        help="piece of complaint N: across x along in m",
    )
    parser.add_argument("--vehicle", metavar="WORDS", help="kind of vehicle, such as large van")
    parser.add_argument("--start", metavar="WHEN", help="start, such as 2026-11-30T08:00; else now")
    parser.add_argument(
        "--what-if",
        action="append",
        default=[],
        metavar="X=Y",
        help="labour_rate=80, failed=REMEDY or cause=CAUSE; may be given again",
    )
