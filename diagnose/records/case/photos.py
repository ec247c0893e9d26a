"""Photos beside the records: turned upright, without metadata, no larger than needed.

Each is written anew from its pixels, so nothing else of the original file is kept: no place, no
time, no device, no hidden payload. Its name is the hash of its content.
"""

from __future__ import annotations

import os
import re
import warnings
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

from diagnose.commands import Misuse

if TYPE_CHECKING:
    import PIL.Image

LARGEST_BYTES = 40_000_000
MOST_PIXELS = 80_000_000
LONGEST_SIDE = 2400
"""Pixels of the longer side as kept: enough to see an edge in a photo of a whole panel."""

QUALITY = 88
FORMATS = ("JPEG", "PNG", "WEBP")

_NUMBER = re.compile(r"[0-9]+(\.[0-9]+)?|\.[0-9]+")


class BadPhoto(Misuse):
    """A file that cannot be kept as a photo; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo as it is kept: JPEG bytes, their SHA-256 in hex, width and height in pixels."""

    hash: str
    data: bytes
    width: int
    height: int


def spot(text: str) -> tuple[float, float]:
    """A marked place, typed as 0.4,0.25: shares of a photo's width and height; BadPhoto if not.

    They count from the upper left corner of the upright photo.
    """
    numbers = [float(part) for part in text.split(",") if _NUMBER.fullmatch(part.strip())]
    if len(numbers) != 2 or text.count(",") != 1 or max(numbers) > 1:
        raise BadPhoto(
            f"{text!r} is no place on a photo: write --mark 0.4,0.25, shares of its width and"
            " height from the upper left corner, each 0 to 1"
        )
    return numbers[0], numbers[1]


def read_photo(path: Path) -> Photo:
    """Read a picture file; raises BadPhoto."""
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise BadPhoto(f"{path.name} is larger than {LARGEST_BYTES // 1_000_000} MB: shrink it")
        return prepare(path.read_bytes(), path.name)
    except OSError as error:
        raise BadPhoto(f"{path.name} cannot be read: {error.strerror}") from error


def prepare(content: bytes, name: str, longest: int = LONGEST_SIDE) -> Photo:
    """Make a photo of a picture file's content, its longer side so long; raises BadPhoto."""
    if len(content) > LARGEST_BYTES:
        raise BadPhoto(f"{name} is larger than {LARGEST_BYTES // 1_000_000} MB: shrink it first")
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(BytesIO(content), formats=FORMATS) as image:
                _not_too_large(image, name)
                return _photo(image, longest)
    except BadPhoto:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise BadPhoto(_too_large(name)) from error
    except UnidentifiedImageError as error:
        raise BadPhoto(
            f"{name} is no JPEG, PNG or WebP picture: save it as one of these"
        ) from error
    # A decoder that is fed a damaged or hostile file may raise nearly anything.
    except Exception as error:
        raise BadPhoto(
            f"{name} is damaged and cannot be read as a picture: take another"
        ) from error


def _not_too_large(image: PIL.Image.Image, name: str) -> None:
    """Refuse by the size that the head of the file states, before any pixel is unpacked."""
    if image.width * image.height > MOST_PIXELS:
        raise BadPhoto(_too_large(name))


def _too_large(name: str) -> str:
    return f"{name} has more than {MOST_PIXELS // 1_000_000} million pixels: shrink it first"


def _photo(image: PIL.Image.Image, longest: int) -> Photo:
    from PIL import ImageOps

    # Shrunk before it is turned and freed of the rest: whole, a photo is there only once.
    share = min(1.0, longest / max(image.size))
    image.draft("RGB", (round(image.width * share), round(image.height * share)))
    smooth = image.mode in ("RGB", "RGBA", "L", "CMYK")
    small = image if smooth else image.convert("RGBA" if image.has_transparency_data else "RGB")
    small.thumbnail((longest, longest), reducing_gap=None)
    ImageOps.exif_transpose(small, in_place=True)
    upright = _flat(small)
    target = BytesIO()
    upright.save(target, "JPEG", quality=QUALITY, exif=b"", icc_profile=None)
    data = target.getvalue()
    return Photo(sha256(data).hexdigest(), data, upright.width, upright.height)


def _flat(image: PIL.Image.Image) -> PIL.Image.Image:
    """Pixels only, in sRGB, what is transparent on white; nothing else is carried along."""
    from PIL import Image

    if image.mode == "RGB" and not image.has_transparency_data:
        # What else came along lies beside the pixels: without it no copy of them is needed.
        image.info.clear()
        return image
    seen = image.convert("RGBA" if image.has_transparency_data else "RGB")
    clean = Image.new("RGB", seen.size, "white")
    clean.paste(seen, mask=seen.getchannel("A") if seen.mode == "RGBA" else None)
    return clean


def keep(folder: Path, photo: Photo) -> Path:
    """Write a photo into the folder, once."""
    return put(folder, photo.hash, photo.data)


def put(folder: Path, of_content: str, data: bytes) -> Path:
    """Write the bytes of a photo, once; complete before it gets its name; for its owner only."""
    target = place(folder, of_content)
    if target.exists():
        return target
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    draft = folder / f".{of_content}.{uuid4().hex}"
    try:
        with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(target)
    finally:
        draft.unlink(missing_ok=True)
    return target


def place(folder: Path, of_content: str) -> Path:
    """Where the photo of a content hash lies, if it is kept."""
    return folder / f"{of_content}.jpg"


def sound(folder: Path, of_content: str) -> bool:
    """Whether a photo is there and is still what its name says."""
    try:
        return sha256(place(folder, of_content).read_bytes()).hexdigest() == of_content
    except OSError:
        return False


def remove(folder: Path, hashes: tuple[str, ...]) -> None:
    """Delete photos; one that is not there is no fault."""
    for of_content in hashes:
        place(folder, of_content).unlink(missing_ok=True)
