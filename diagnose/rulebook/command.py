"""`diagnose rules …`: check, show, usual, atlas and impact."""

from __future__ import annotations

import argparse

from diagnose.commands import Parsers
from diagnose.rulebook.change.command import add_impact, add_outcomes
from diagnose.rulebook.judgement.command import add_check, add_usual
from diagnose.rulebook.pages.command import add_atlas, add_show


def add_parsers(parts: Parsers[argparse.ArgumentParser]) -> None:
    """Add the parts of `rules` that are at home here."""
    add_check(parts)
    add_show(parts)
    add_usual(parts)
    add_atlas(parts)
    add_impact(parts)
    add_outcomes(parts)
