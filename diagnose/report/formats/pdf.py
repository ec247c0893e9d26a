"""Pages as PDF, set by typst: tagged, with real text, fonts within, no system libraries.

The template is fixed and gets the document as data, so nothing in it is ever read as markup.
"""

from __future__ import annotations

import json
import re
from dataclasses import asdict, replace
from datetime import datetime
from importlib.resources import files
from typing import Any, Final, Literal

from diagnose.files import CannotPrint
from diagnose.report.formats.blocks import Bars, Block, Document, Paper
from diagnose.typed import clean

_SIZES = {Paper.A4: "a4", Paper.LETTER: "us-letter"}
_UA: Final[Literal["ua-1"]] = "ua-1"
_NO_LETTER = "could not be displayed with font"


_TRIES: Final[tuple[tuple[bool, Literal["ua-1"] | None], ...]] = (
    (True, _UA),
    (False, _UA),
    (False, None),
)


def render(document: Document, paper: Paper) -> bytes:
    """The document as PDF/UA-1 bytes; the same document gives the same bytes.

    Where the fonts within lack a letter that someone typed, the machine's fonts are asked too, and
    then the same bytes are promised on the same machine only. A letter that no font has shows as
    a box in a PDF that claims no standard. Raises CannotPrint.
    """
    try:
        import typst
    except ImportError:
        raise CannotPrint(
            "PDF needs typst, which is not there: install this program again, or take --format html"
        ) from None
    source = files("diagnose.report.formats").joinpath("pages.typ").read_bytes()
    problem: Exception | None = None
    for own_fonts, standard in _TRIES:
        try:
            data = _set(source, _data(document, paper), own_fonts)
            return typst.compile(
                source,
                sys_inputs=_given(data),
                ignore_system_fonts=own_fonts,
                pdf_standards=standard,
                timestamp=0,
            )
        except typst.TypstError as error:
            problem = error
            if _NO_LETTER not in str(error):
                break
    raise CannotPrint(f"the PDF could not be set: {problem}; take --format html") from problem


_FEW_LINES = 0.22
"""The part of a page up to which what ends there is not worth a page of its own."""


def _set(source: bytes, data: dict[str, Any], own_fonts: bool) -> dict[str, Any]:
    """The data, set closer where that saves a page of a few lines."""
    lone = _lone_ends(source, data, own_fonts)
    if not lone:
        return data
    closer = {**data, "close": True}
    return closer if _lone_ends(source, closer, own_fonts) < lone else data


def _lone_ends(source: bytes, data: dict[str, Any], own_fonts: bool) -> int:
    """How many parts end with a few lines on a page of their own."""
    import typst

    found = typst.query(
        source,
        "<end>",
        field="value",
        sys_inputs=_given(data),
        ignore_system_fonts=own_fonts,
    )
    return sum(page > 1 and down < _FEW_LINES for page, down in json.loads(found))


def _given(data: dict[str, Any]) -> dict[str, str]:
    return {"document": json.dumps(data, ensure_ascii=False)}


def _data(document: Document, paper: Paper) -> dict[str, Any]:
    made = datetime.fromisoformat(document.made)
    return {
        "title": clean(document.title),
        "subject": clean(document.subject),
        "foot": clean(document.foot),
        "paper": _SIZES[paper],
        "close": False,
        "made": [made.year, made.month, made.day, made.hour, made.minute],
        "blocks": list(map(_block, document.blocks)),
    }


def _block(block: Block) -> dict[str, Any]:
    if isinstance(block, Bars):
        block = replace(block, rows=tuple(block.in_words))
    return {"block": type(block).__name__.lower(), **_cleaned(asdict(block))}


def _cleaned(value: Any) -> Any:
    """The words of a block without control characters; pictures as they are."""
    match value:
        case str():
            return _rims_first(value) if value.startswith("<svg") else clean(value)
        case dict():
            return {name: _cleaned(part) for name, part in value.items()}
        case list() | tuple():
            return [_cleaned(part) for part in value]
    return value


_RIM = re.compile(r' stroke="white"[^>]*paint-order="stroke"')
_LABEL = re.compile(r"<text [^>]*paint-order=[^>]*>[^<]*</text>")


def _rims_first(svg: str) -> str:
    """A drawing whose labels are drawn twice: the white rim of all letters, then the letters.

    Rim and letter in one go are set letter by letter, and each rim covers the letter before it.
    """
    return _LABEL.sub(lambda found: _rim(found[0]) + _letters(found[0]), svg)


def _rim(label: str) -> str:
    return label.replace(' paint-order="stroke"', ' fill="white"')


def _letters(label: str) -> str:
    return _RIM.sub("", label)
