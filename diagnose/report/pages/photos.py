"""Photos of a case with marks on them, as pictures that need no other file.

A photo stands in an SVG document as a data URI, under numbered rings; the same document serves
every format. Whether number plates or people show in it is for whoever hands it over to judge.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from xml.sax.saxutils import escape

from diagnose.records.case.journal import Event, EventKind, live
from diagnose.records.case.photos import place, prepare
from diagnose.report.formats.blocks import Figure

Spot = tuple[float, float]
"""A marked place as shares of a photo's width and height from its upper left corner."""

LONGEST_SIDE = 1400
"""Pixels of the longer side as shown: enough for print at the width of a page."""

QUALITY = 82


@dataclass(frozen=True, slots=True)
class Shown:
    """A photo to show: JPEG, PNG or WebP bytes; `complaint` None for the whole car."""

    content: bytes
    caption: str = ""
    complaint: int | None = None
    spots: tuple[Spot, ...] = ()


@dataclass(frozen=True, slots=True)
class Lost:
    """A photo of the record whose file is not there or is not what it was."""

    caption: str
    complaint: int | None


def photos_of(events: Iterable[Event], folder: Path) -> tuple[Shown | Lost, ...]:
    """The photos of a journal from the folder that keeps them, in the order of their adding.

    Marks are read from an event's data: `spots`, a list of [x, y] as shares of one.
    """
    return tuple(_read(e, folder) for e in live(events) if e.kind is EventKind.PHOTO_ADDED)


def _read(event: Event, folder: Path) -> Shown | Lost:
    try:
        content = place(folder, event.key).read_bytes()
    except OSError:
        content = b""
    if hashlib.sha256(content).hexdigest() != event.key:
        return Lost(event.text, event.complaint)
    return Shown(content, event.text, event.complaint, _spots(event))


def _spots(event: Event) -> tuple[Spot, ...]:
    return tuple((float(x), float(y)) for x, y in event.data.get("spots", ()))


def figure(shown: Shown, number: int) -> Figure:
    """A photo with its marks; raises BadPhoto for what is no picture."""
    from PIL import Image

    upright = prepare(shown.content, f"photo {number}")
    with Image.open(BytesIO(upright.data)) as image:
        image.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        target = BytesIO()
        image.save(target, "JPEG", quality=QUALITY)
        width, height = image.size
    told = _told(shown, number)
    svg = _svg(target.getvalue(), (width, height), shown.spots, told)
    return Figure(svg, told, told, width, height, share=0.6 if width >= height else 0.36)


def _told(shown: Shown, number: int) -> str:
    of = f", complaint {shown.complaint}" if shown.complaint else ""
    caption = f": {shown.caption}" if shown.caption else ""
    marks = len(shown.spots)
    marked = f" ({marks} marked place{'s' if marks > 1 else ''})" if marks else ""
    return f"Photo {number}{of}{caption}{marked}"


def _svg(jpeg: bytes, size: tuple[int, int], spots: tuple[Spot, ...], told: str) -> str:
    width, height = size
    data = base64.b64encode(jpeg).decode()
    rings = "".join(_ring(n, spot, size) for n, spot in enumerate(spots, 1))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}"><title>{escape(told)}</title>'
        f'<image width="{width}" height="{height}" href="data:image/jpeg;base64,{data}"/>'
        f"{rings}</svg>"
    )


def _ring(number: int, spot: Spot, size: tuple[int, int]) -> str:
    """A ring in black within white, so that it shows on any photo, with its number beside."""
    width, height = size
    reach = max(size) / 28
    x, y = (min(1.0, max(0.0, s)) * span for s, span in zip(spot, (width, height), strict=True))
    side = 1 if x < width - 3 * reach else -1
    ring = f'<circle cx="{x:.0f}" cy="{y:.0f}" r="{reach:.0f}" fill="none" stroke='
    at = x + side * reach * 1.7
    return (
        f'{ring}"white" stroke-width="{reach / 3:.1f}"/>{ring}"black" '
        f'stroke-width="{reach / 7:.1f}"/><circle cx="{at:.0f}" cy="{y:.0f}" r="{reach * 0.7:.0f}" '
        f'fill="white" stroke="black" stroke-width="{reach / 9:.1f}"/><text x="{at:.0f}" '
        f'y="{y + reach * 0.35:.0f}" font-size="{reach:.0f}" text-anchor="middle" '
        f'font-family="sans-serif" font-weight="bold">{number}</text>'
    )
