"""A page as data, and what makes HTML of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from diagnose.report.formats.blocks import whole_percent
from diagnose.typed import seen

KINDS = {".css": "text/css", ".js": "text/javascript"}


@dataclass(frozen=True, slots=True)
class Page:
    """A template with what it shows."""

    template: str
    values: Mapping[str, Any] = field(default_factory=dict)
    status: int = 200


@dataclass(frozen=True, slots=True)
class Go:
    """Another page instead, with a note that it shows (a key of its template)."""

    path: str


def html(page: Page, **more: Any) -> str:
    """The page as text; every word in it is escaped and free of control characters."""
    return _templates().get_template(page.template).render(**page.values, **more)


@cache
def _templates() -> Environment:
    made = Environment(
        loader=PackageLoader("diagnose.serve", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_plain,
    )
    made.globals["static"] = lambda name: f"/static/{name}?{version(name)}"
    made.filters["percent"] = whole_percent
    return made


def _plain(value: Any) -> Any:
    return seen(value) if isinstance(value, str) and not isinstance(value, Markup) else value


@cache
def static(name: str) -> bytes:
    """A file that every page uses; FileNotFoundError where there is none of that name."""
    if name == "report.css":
        return (files("diagnose.report.formats") / "pages.css").read_bytes()
    if name not in ("site.css", "frame.css", "page.js"):
        raise FileNotFoundError(name)
    return (files("diagnose.serve") / "static" / name).read_bytes()


@cache
def version(name: str) -> str:
    """Changes with the content of a file, so that browsers may keep it."""
    return sha256(static(name)).hexdigest()[:12]
