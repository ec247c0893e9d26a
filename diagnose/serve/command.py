"""Running the server from the command line."""

from __future__ import annotations

import gc
import logging
import sys
from collections.abc import Callable

from aiohttp import web

from diagnose.reasoning.diagnose import Reasoner
from diagnose.serve.server import Serving
from diagnose.serve.settings import LOOPBACK, Settings, own_address

SWITCH_SECONDS = 0.0005
"""How long one thread may hold the interpreter while another waits."""

HERE = """\
Open {url} in a browser on this machine.
Only this machine can open it; for phones start it with --network.
Ctrl-C ends it; every answer is kept."""

NETWORK = """\
On this network: every phone that scans a code below comes in, and is known
again for 30 days. What goes between phone and computer is not encrypted:
whoever controls this network can read it. Use it on a network of your own,
not in one for guests.
Ctrl-C ends it; every answer is kept."""


def _show(words: str) -> None:
    """To the terminal, or at once into the log of whatever started it."""
    print(words, flush=True)


def run(settings: Settings, reasoner: Reasoner, show: Callable[[str], object] = _show) -> None:
    """Serve until Ctrl-C; `show` gets the address, and the code to scan with each new secret.

    Raises OSError where the port is taken or the secret of the pages cannot be kept.
    """
    logging.basicConfig(level=logging.WARNING, format="%(message)s")
    address = own_address() if settings.network else LOOPBACK
    url = f"http://{address}:{settings.port}/"

    def renewed(secret: str) -> None:
        show(code(f"{url}enter/{secret}"))

    serving = Serving(settings, reasoner, renewed)
    # A report that is being made lets those who ask the next question in between sooner.
    sys.setswitchinterval(SWITCH_SECONDS)
    # The rule base stays as long as the server: the collector need not look through it again.
    gc.collect()
    gc.freeze()
    show(NETWORK if settings.network else HERE.format(url=url))
    web.run_app(
        serving.application(),
        host=settings.host,
        port=settings.port,
        print=None,
        access_log=None,
        handle_signals=True,
    )


def code(url: str) -> str:
    """A QR code of an address for the terminal, with the address in words."""
    import io

    import segno

    out = io.StringIO()
    segno.make(url, error="m").terminal(out, compact=True)
    return (
        f"{out.getvalue()}Scan this with the phone, or open\n{url}\n"
        "It lets in one phone; the next code shows when it was used. Ctrl-C ends it."
    )
