"""Screens end with their terminal, whoever started them."""

from __future__ import annotations

import signal


def ends_with_terminal() -> None:
    """Leave when the terminal is closed.

    A program started where hang-ups are ignored (nohup, some service managers) inherits that, and
    its screens would go on drawing and listening on a terminal that is gone.
    """
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, signal.SIG_DFL)
