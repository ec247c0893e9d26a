"""Options of pages on the command line; light, so that no other command pays for them."""

from __future__ import annotations

import argparse


def add_page_options(parser: argparse.ArgumentParser) -> None:
    """Whom pages are for, their paper and units, and whether a file may be overwritten."""
    parser.add_argument(
        "--for",
        dest="audience",
        choices=("customer", "maker", "file"),
        default="file",
        help="who reads it: leaves out what is not theirs",
    )
    parser.add_argument("--paper", choices=("a4", "letter"), default="a4", help="of html and pdf")
    parser.add_argument(
        "--units", choices=("metric", "us"), default="metric", help="us: inches and °F beside"
    )
    parser.add_argument(
        "--full", action="store_true", help="print the whole report, not the conclusion alone"
    )
    parser.add_argument("--overwrite", action="store_true", help="write over an existing file")
