"""The formats there are. A new one is a line here, and a module of its name beside this one.

The module has `render(document, paper)`, which makes the bytes of a file; it is imported only when
a document is wanted in that format, so that no other pays for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

from diagnose.report.formats.blocks import Document, Paper


@dataclass(frozen=True, slots=True)
class Format:
    """A format by its name, in words, with the endings of its files.

    `pages`: laid out for paper, with pictures, and so never printed to a terminal; `needs`: the
    package without which none can be made, where there is one.
    """

    name: str
    words: str
    endings: tuple[str, ...]
    pages: bool = False
    needs: str = ""

    def can_be_made(self) -> bool:
        """Whether what it needs is installed."""
        return not self.needs or find_spec(self.needs) is not None

    def render(self, document: Document, paper: Paper = Paper.A4) -> bytes:
        """The document as the bytes of a file; raises files.CannotWrite where none can be made."""
        made: bytes = import_module(f"{__package__}.{self.name}").render(document, paper)
        return made


FORMATS = {
    its.name: its
    for its in (
        Format("text", "Plain text", (".txt",)),
        Format("markdown", "Markdown", (".md",)),
        Format("json", "JSON, for other programs", (".json",)),
        Format("html", "A page for a browser", (".html", ".htm"), pages=True),
        Format("pdf", "PDF", (".pdf",), pages=True, needs="typst"),
    )
}
"""All formats by name."""


def by_ending(path: Path) -> Format | None:
    """The format that a file's ending names; None where it names none."""
    ending = path.suffix.lower()
    return next((its for its in FORMATS.values() if ending in its.endings), None)
