"""The formats there are. A new one is a line here, and a module of its name beside this one.

The module has `render(document, paper)`, which makes the bytes of a file; it is imported only when
a document is wanted in that format, so that no other pays for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from diagnose.report.formats.blocks import Document, Paper


@dataclass(frozen=True, slots=True)
class Format:
    """A format by its name, in words, with the endings of its files.

    `pages`: laid out for paper, with pictures, and so never printed to a terminal.
    """

    name: str
    words: str
    endings: tuple[str, ...]
    pages: bool = False

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
        Format("pdf", "PDF", (".pdf",), pages=True),
    )
}
"""All formats by name."""


def by_ending(path: Path) -> Format | None:
    """The format that a file's ending names; None where it names none."""
    ending = path.suffix.lower()
    return next((its for its in FORMATS.values() if ending in its.endings), None)
