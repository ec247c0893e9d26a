"""Running the server from the command line."""

from __future__ import annotations

import logging
from collections.abc import Callable

from aiohttp import web

from diagnose.serve.server import Serving
from diagnose.serve.settings import LOOPBACK, Settings, own_address


def run(settings: Settings, show: Callable[[str], object] = print) -> None:
    """Serve until Ctrl-C; `show` gets the address, and the code to scan with each new secret.

    Raises OSError where the port is taken.
    """
    logging.basicConfig(level=logging.WARNING, format="%(message)s")
    address = own_address() if settings.network else LOOPBACK
    url = f"http://{address}:{settings.port}/"

    def renewed(secret: str) -> None:
        show(code(f"{url}enter/{secret}"))

    if not settings.network:
        show(f"Open {url} in a browser on this machine. Ctrl-C ends it; every answer is kept.")
    web.run_app(
        Serving(settings, renewed).application(),
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
        f"{out.getvalue()}\nScan this with the phone, or open {url}\n"
        "It lets in one phone; the next code shows when it was used. Ctrl-C ends it.\n"
    )
