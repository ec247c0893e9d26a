"""The packages that only some commands need, and what to install where one is absent."""

from __future__ import annotations

EXTRAS = {
    "aiohttp": "serve",
    "dask": "dask",
    "distributed": "dask",
    "fastexcel": "claims",
    "fsrs": "practice",
    "holidays": "plan",
    "itsdangerous": "serve",
    "jinja2": "serve",
    "polars": "claims",
    "segno": "serve",
    "textual_plotext": "practice",
    "xlsxwriter": "claims",
}
"""Of each such module the extra of this package that brings it."""


def missing(module: str | None) -> str | None:
    """A sentence for a module that could not be imported; None if no extra brings it."""
    name = (module or "").partition(".")[0]
    if name not in EXTRAS:
        return None
    return f"{name} is missing: pip install 'diagnose-wraps[{EXTRAS[name]}]'"
