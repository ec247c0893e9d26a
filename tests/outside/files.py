"""Readers of the file formats in which published tables come."""

from __future__ import annotations

import re
from pathlib import Path


def arff(path: Path) -> tuple[dict[str, list[str]], list[dict[str, str]]]:
    """An ARFF file of nominal attributes: the values of each, and the rows; '?' is unknown.

    Names and values come as ids: lower case, digits and single underscores.
    """
    names: dict[str, list[str]] = {}
    rows: list[dict[str, str]] = []
    for line in path.read_text(encoding="latin-1").splitlines():
        text = line.strip()
        if text.lower().startswith("@attribute"):
            name, values = text[len("@attribute") :].strip().split("{")
            names[as_id(name)] = [as_id(v) for v in values.strip("} ").split(",")]
        elif text and not text.startswith(("%", "@")):
            cells = (as_id(cell) for cell in text.split(","))
            rows.append(dict(zip(names, cells, strict=True)))
    return names, rows


def as_id(word: str) -> str:
    """A word of a table as an id of a rule base; the mark of the unknown stays."""
    text = word.strip().strip("'")
    if text == "?":
        return text
    text = re.sub(r"[^a-z0-9]+", "_", text.lower().replace("<", "under ")).strip("_")
    return text if text[:1].isalpha() else f"n_{text}"
