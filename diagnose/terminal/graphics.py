"""Whether this terminal shows pictures; to be asked before the screens start."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from importlib.util import find_spec

from textual.widget import Widget

SWITCH = "DIAGNOSE_PICTURES"
"""'1' asks the terminal whatever its name is, '0' never does."""

_NAMES = ("kitty", "ghostty", "wezterm", "foot", "mlterm", "iterm", "contour", "konsole")
"""Terminals that are known to show pictures; others are not asked, since one that does not know
the question may print it."""


def pictures(environment: Mapping[str, str] = os.environ) -> type[Widget] | None:
    """The widget that shows pictures in this terminal; None where it shows none.

    Asks the terminal on its own line, so that it must not be called while screens are shown.
    """
    if not _worth_asking(environment) or not (sys.stdin.isatty() and sys.stdout.isatty()):
        return None
    if find_spec("textual_image") is None:
        return None
    from textual_image.renderable import Image as Found
    from textual_image.renderable import SixelImage, TGPImage
    from textual_image.widget import Image

    return Image if Found in (SixelImage, TGPImage) else None


def _worth_asking(environment: Mapping[str, str]) -> bool:
    switch = environment.get(SWITCH, "")
    if switch in ("0", "1"):
        return switch == "1"
    told = f"{environment.get('TERM', '')} {environment.get('TERM_PROGRAM', '')}".casefold()
    return any(name in told for name in _NAMES)
