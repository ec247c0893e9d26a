"""Photos from the camera: made ready apart from the cases, then written down with the case."""

from __future__ import annotations

from io import BytesIO

from diagnose.records.case.journal import EventKind, live
from diagnose.records.case.photos import BadPhoto, Photo, keep, place, prepare
from diagnose.records.store.paths import photo_folder
from diagnose.serve.acts import Sent
from diagnose.serve.desk import Desk, Work
from diagnose.typed import clean

MOST_PIXELS = {"JPEG": 64_000_000, "PNG": 16_000_000, "WEBP": 16_000_000}
"""Pixels as they arrive. A JPEG is unpacked at a fraction of its size, the others at all of it."""

LONGEST_SIDE = 2000
"""Pixels of the longer side as kept: the half of a phone's, which is unpacked at half the size."""

CAPTION = 120


def ready(content: bytes, most_bytes: int) -> Photo:
    """A photo turned upright, freed of all but its pixels, and shrunk; raises BadPhoto."""
    if not content:
        raise BadPhoto("No photo came along: take one, or choose one that is on the phone")
    if len(content) > most_bytes:
        raise BadPhoto(f"The photo is larger than {most_bytes // 1_000_000} MB: take a smaller one")
    _bounded(content)
    return prepare(content, "This photo", LONGEST_SIDE)


def _bounded(content: bytes) -> None:
    """Refuse by its head what would take too much memory when unpacked."""
    from PIL import Image

    try:
        with Image.open(BytesIO(content), formats=tuple(MOST_PIXELS)) as image:
            most = MOST_PIXELS[image.format or "PNG"]
            large = image.width * image.height > most
    except Exception:
        return
    if large:
        raise BadPhoto(f"The photo has more than {most // 1_000_000} million pixels: shrink it")


def add(sent: Sent, photo: Photo, most: int) -> Work:
    """Write a photo down with its case, or with the complaint that is asked about; BadPhoto."""
    work = sent.open()
    if not work.case_id:
        raise BadPhoto("Say first what is wrong; then the photo has a case to belong to")
    taken = [e for e in live(work.journal.events()) if e.kind is EventKind.PHOTO_ADDED]
    if len(taken) >= most and not work.counted(sent.mark):
        raise BadPhoto(f"There are {most} photos already: take one away first")
    caption = clean(sent.one("caption"))[:CAPTION]
    complaint = work.dialogue.complaint
    number = complaint.number if complaint and sent.one("of") != "car" else None
    keep(photo_folder(sent.desk.records), photo)
    return sent.desk.act(
        sent.visitor,
        sent.case_id,
        sent.mark,
        lambda work: work.journal.add(
            EventKind.PHOTO_ADDED, key=photo.hash, text=caption, complaint=number
        ),
    )


def remove(sent: Sent) -> Work:
    """A photo counts no more."""
    work = sent.open()
    number = sent.one("remove")
    taken = {
        str(e.number): e.number
        for e in live(work.journal.events())
        if e.kind is EventKind.PHOTO_ADDED
    }
    if number not in taken:
        return work
    return sent.desk.act(
        sent.visitor,
        sent.case_id,
        sent.mark,
        lambda work: work.journal.add(EventKind.UNDONE, undoes=taken[number]),
    )


def content(work: Work, of_content: str, desk: Desk) -> bytes | None:
    """The bytes of a photo of this case; None for any other."""
    events = live(work.journal.events())
    if of_content not in {e.key for e in events if e.kind is EventKind.PHOTO_ADDED}:
        return None
    try:
        return place(photo_folder(desk.records), of_content).read_bytes()
    except OSError:
        return None
