"""Photos are kept upright, without metadata, small, and only if they are photos."""

import struct
import zlib
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from diagnose.records.case import photos
from diagnose.records.case.photos import BadPhoto, Photo, prepare, read_photo
from tests.examples import examples

ORIENTATION, GPS, DESCRIPTION = 0x0112, 0x8825, 0x010E


def _picture(
    kind: str = "JPEG", size: tuple[int, int] = (60, 40), orientation: int = 1, **more
) -> bytes:
    """A picture that is red on its left half, with a place and a comment in its metadata."""
    image = Image.new("RGB", size, "white")
    image.paste("red", (0, 0, size[0] // 2, size[1]))
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[DESCRIPTION] = "Port Alder, bay three"
    exif.get_ifd(GPS).update({1: "N", 2: (54.0, 1.0, 2.0)})
    target = BytesIO()
    image.save(target, kind, exif=exif, **more)
    return target.getvalue()


def _opened(photo: Photo) -> Image.Image:
    return Image.open(BytesIO(photo.data))


@pytest.mark.parametrize(
    ("orientation", "size", "red_at"),
    [
        (1, (60, 40), (5, 20)),
        (3, (60, 40), (55, 20)),
        (6, (40, 60), (20, 5)),
        (8, (40, 60), (20, 55)),
    ],
)
def test_a_photo_is_turned_upright(
    orientation: int, size: tuple[int, int], red_at: tuple[int, int]
) -> None:
    """However the phone was held, the kept pixels stand upright by themselves."""
    photo = prepare(_picture(orientation=orientation, quality=95), "a.jpg")
    red, green, _ = _opened(photo).convert("RGB").getpixel(red_at)

    assert (photo.width, photo.height) == size
    assert (red > 200, green < 90) == (True, True)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_no_metadata_is_kept(kind: str) -> None:
    """Neither place nor comment nor profile of the original is in the kept file."""
    content = _picture(kind, **({"comment": b"a secret"} if kind == "JPEG" else {}))
    photo = prepare(content, "a")

    assert b"Port Alder" in content
    assert b"Port Alder" not in photo.data
    assert b"a secret" not in photo.data
    assert dict(_opened(photo).getexif()) == {}
    assert _opened(photo).format == "JPEG"


def test_a_large_photo_is_made_smaller() -> None:
    """The longer side is limited, the shape stays."""
    photo = prepare(_picture(size=(4800, 1200)), "a.jpg")

    assert (photo.width, photo.height) == (2400, 600)


def test_what_is_transparent_becomes_white() -> None:
    """A cut-out picture stands on white, not on black."""
    target = BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(target, "PNG")
    photo = prepare(target.getvalue(), "a.png")

    assert _opened(photo).getpixel((10, 10)) == (255, 255, 255)


def test_the_name_is_the_hash_of_the_content(tmp_path: Path) -> None:
    """The same picture is kept once, found by its hash, and its damage is noticed."""
    photo = prepare(_picture(), "a.jpg")
    again = prepare(_picture(), "b.jpg")
    kept = photos.keep(tmp_path / "photos", photo)
    assert photos.keep(tmp_path / "photos", again) == kept
    assert [path.name for path in kept.parent.iterdir()] == [f"{photo.hash}.jpg"]
    assert sha256(kept.read_bytes()).hexdigest() == photo.hash
    assert photos.sound(kept.parent, photo.hash)
    kept.write_bytes(b"another")
    assert not photos.sound(kept.parent, photo.hash)
    photos.remove(kept.parent, (photo.hash, "ab" * 32))
    assert list(kept.parent.iterdir()) == []


def _png_that_claims(width: int, height: int) -> bytes:
    """A few bytes that say to be a picture of that size."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(kind + data))
        return struct.pack(">I", len(data)) + kind + data + check

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(bytes(1000)))
        + chunk(b"IEND", b"")
    )


BAD = {
    "letter": (b"Dear customer, the film lifts.", "is no JPEG, PNG or WebP picture"),
    "empty": (b"", "is no JPEG, PNG or WebP picture"),
    "cut": (_picture(size=(600, 400))[:2500], "is damaged"),
    "bomb": (_png_that_claims(30_000, 30_000), "million pixels"),
    "large": (_png_that_claims(10_000, 9_000), "million pixels"),
    "hollow": (_png_that_claims(500, 500), "is damaged"),
    "svg": (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is no JPEG, PNG or WebP picture"),
    "heavy": (b"\xff\xd8\xff" + bytes(photos.LARGEST_BYTES), "is larger than 40 MB"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_is_no_sound_photo_is_refused_with_a_sentence(name: str) -> None:
    """A damaged, huge or hostile file costs nothing but a sentence with its name."""
    content, sentence = BAD[name]
    with pytest.raises(BadPhoto, match=sentence) as caught:
        prepare(content, "bay.jpg")

    assert str(caught.value).startswith("bay.jpg ")
    assert "\n" not in str(caught.value)


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    """So is one that is a folder."""
    for path in (tmp_path / "nothing.jpg", tmp_path):
        with pytest.raises(BadPhoto, match="cannot be read"):
            read_photo(path)


@settings(max_examples=examples(80))
@given(st.integers(0, 10_000), st.integers(0, 255), st.sampled_from(["JPEG", "PNG", "WEBP"]))
def test_a_damaged_byte_never_breaks_the_reading(at: int, value: int, kind: str) -> None:
    """One wrong byte anywhere gives a photo or a sentence, nothing else."""
    content = bytearray(_picture(kind))
    content[at % len(content)] = value
    outcome = _photo_or_sentence(bytes(content))

    assert isinstance(outcome, Photo) or outcome.startswith("a ")


def _photo_or_sentence(content: bytes) -> Photo | str:
    try:
        return prepare(content, "a")
    except BadPhoto as error:
        return str(error)
