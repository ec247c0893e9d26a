"""Photos, units, small wordings, file names."""

from __future__ import annotations

import string
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from page_samples import Page, pdf_text, report_of, setting, squeezed
from PIL import Image

from diagnose.files import CannotWrite, safe_name, write
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.journal import Event, EventKind
from diagnose.records.case.photos import keep, prepare
from diagnose.report.formats.blocks import percent
from diagnose.report.pages import Audience, render
from diagnose.report.pages.photos import Lost, Shown, figure, photos_of
from diagnose.report.pages.units import with_us
from diagnose.report.pages.wording import day, in_hundred

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def _jpeg(size: tuple[int, int] = (60, 40)) -> bytes:
    target = BytesIO()
    exif = Image.Exif()
    exif[0x010E] = "secret place"
    Image.new("RGB", size, "grey").save(target, "JPEG", exif=exif)
    return target.getvalue()


def test_marks_ring_the_places_of_a_photo() -> None:
    """Each marked place has a ring and a number, and the words say how many there are."""
    shown = figure(Shown(_jpeg(), "left edge", 1, ((0.5, 0.5), (1.0, 0.0))), 2)

    assert shown.alternative == "Photo 2, complaint 1: left edge (2 marked places)"
    assert ">1</text>" in shown.svg
    assert ">2</text>" in shown.svg
    assert 'cx="30" cy="20"' in shown.svg


def test_metadata_of_a_photo_stays_behind() -> None:
    """What a camera wrote beside the picture is not in the pages."""
    import base64
    import re

    data = re.search(r"base64,([^\"]+)", figure(Shown(_jpeg()), 1).svg)

    assert data is not None
    assert b"secret place" in _jpeg()
    assert b"secret place" not in base64.b64decode(data[1])


def test_photos_come_from_the_journal(tmp_path: Path) -> None:
    """Kept photos are shown with caption and marks; one that is gone or changed is told."""
    kept, gone = prepare(_jpeg(), "a"), prepare(_jpeg((50, 50)), "b")
    changed = prepare(_jpeg((30, 50)), "c")
    keep(tmp_path, kept)
    keep(tmp_path, changed).write_bytes(b"other")
    events = [
        Event(
            1,
            NOON,
            EventKind.PHOTO_ADDED,
            kept.hash,
            "edge",
            complaint=1,
            data={"spots": [[0.2, 1]]},
        ),
        Event(2, NOON, EventKind.PHOTO_ADDED, gone.hash, "roof"),
        Event(3, NOON, EventKind.PHOTO_ADDED, changed.hash, "door"),
        Event(4, NOON, EventKind.PHOTO_ADDED, kept.hash, "twice"),
        Event(5, NOON, EventKind.UNDONE, undoes=4),
    ]

    assert photos_of(events, tmp_path) == (
        Shown(kept.data, "edge", 1, ((0.2, 1.0),)),
        Lost("roof", None),
        Lost("door", None),
    )


@pytest.mark.parametrize("kind", ["html", "pdf"])
def test_photos_in_the_pages(reasoner: Reasoner, kind: str) -> None:
    """Photos stand in the file; the maker sees them without what was typed below them."""
    photos = (Shown(_jpeg(), "Mr Gull's edge", 1), Lost("roof", None), Shown(b"GIF89a", "no"))
    report = report_of(reasoner, "door_return_after_wash")
    texts = {}
    for audience in Audience:
        made = render(report, kind, setting(audience, photos=photos))
        texts[audience] = squeezed(Page(made).text if kind == "html" else pdf_text(made))

    assert "MrGull'sedge" in texts[Audience.FILE]
    assert "Photo2(roof)isonrecord,butitsfileisgone" in texts[Audience.FILE]
    assert "Photo3isnotshown:" in texts[Audience.FILE]
    assert "Photo1,complaint1" in texts[Audience.MAKER]
    assert "Gull" not in texts[Audience.MAKER]
    assert "Photo1" not in texts[Audience.CUSTOMER]


@pytest.mark.parametrize(
    ("metric", "both"),
    [
        ("6 mm", "6 mm (0.24 in)"),
        ("15 °C", "15 °C (59 °F)"),
        ("14 to 16 °C", "14 to 16 °C (57.2 to 60.8 °F)"),
        ("-3 °C", "-3 °C (26.6 °F)"),
        ("1.5 K", "1.5 K (2.7 °F)"),
        ("38 mN/m", "38 mN/m (38 dyn/cm)"),
        ("roll 1.37 m: ends", "roll 1.37 m (54 in): ends"),
        ("0.90 × 1.38 m from", "0.90 × 1.38 m (35 × 54 in) from"),
        ("2.50 × 7.00 m from", "2.50 × 7.00 m (8.2 × 23 ft) from"),
        ("1.75 m² of film", "1.75 m² (18.8 ft²) of film"),
        ("no deeper than 15 mm (0.6 in) here", "no deeper than 15 mm (0.6 in) here"),
        ("Seen (Panel when laid: 12 °C)", "Seen (Panel when laid: 12 °C (53.6 °F))"),
        ("a margin of 3 °C is not enough", "a margin of 3 °C is not enough"),
        ("300 mm/min", "300 mm/min"),
        ("4 %", "4 %"),
        ("2 months", "2 months"),
    ],
)
def test_us_units_stand_beside(metric: str, both: str) -> None:
    """Readings and lengths get US units in brackets; differences in prose are left alone."""
    assert with_us(metric) == both


@pytest.mark.parametrize(
    ("moment", "words"),
    [
        ("2026-11-30 08:00", "Mon 30 Nov 2026, 08:00"),
        ("2026-11-30 08:03", "Mon 30 Nov 2026, 08:15"),
        ("2026-11-30 23:52", "Tue 1 Dec 2026, 00:00"),
        ("2026-12-14", "Mon 14 Dec 2026"),
        ("some day", "some day"),
    ],
)
def test_days_in_words(moment: str, words: str) -> None:
    """Dates carry the day of the week, months are words, and a plan is kept to quarter hours."""
    assert day(moment) == words


@pytest.mark.parametrize(
    ("chance", "count", "share"),
    [
        (0.84, "about 84 of 100", "84.0%"),
        (0.999, "more than 99 of 100", "99.9%"),
        (0.99999, "more than 99 of 100", "99.9%"),
        (0.0001, "about 1 of 100", "under 0.1%"),
    ],
)
def test_what_is_nearly_sure_is_not_called_sure(chance: float, count: str, share: str) -> None:
    """Neither all nor none is said of what is only nearly so."""
    assert (count, share) == (in_hundred(chance), percent(chance))


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("2026-11-25-0001", "2026-11-25-0001"),
        ("Driver's door / left", "Driver-s-door-left"),
        ("../../etc/passwd", "etc-passwd"),
        ("..", "case"),
        ("", "case"),
        (".hidden", "hidden"),
        ("C:\\Windows\\x", "C-Windows-x"),
        ("con", "case-con"),
        ("NUL.txt", "case-NUL.txt"),
        ("Tür_übergabe", "Tür-übergabe"),
        ("a" * 200, "a" * 80),
        ("-rf *", "rf"),
        ("a\nb\x00c", "a-b-c"),
    ],
)
def test_safe_names(words: str, name: str) -> None:
    """A name made of typed words names one file and does nothing else."""
    assert safe_name(words, ".pdf") == f"{name}.pdf"


@given(st.text(max_size=300))
def test_every_name_is_safe(words: str) -> None:
    """No path, no option, no hidden file, not too long, and made safe once it stays."""
    name = safe_name(words)

    assert Path(name).name == name
    assert name
    assert name[0] not in "-."
    assert name[-1] not in "-. "
    assert len(f"{name}.html".encode()) < 255
    assert not set(name) & set('/\\:*?"<>|' + string.whitespace)
    assert all(c.isprintable() for c in name)
    assert safe_name(name) == name


def test_a_file_is_not_overwritten_unasked(tmp_path: Path) -> None:
    """An existing file stays until overwriting is asked for; no draft is left behind."""
    path = tmp_path / "report.html"
    write(path, b"first")

    with pytest.raises(CannotWrite, match="exists already"):
        write(path, b"second")
    assert path.read_bytes() == b"first"
    write(path, b"second", overwrite=True)

    assert path.read_bytes() == b"second"
    assert [p.name for p in tmp_path.iterdir()] == ["report.html"]


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    """One sentence says what could not be written."""
    with pytest.raises(CannotWrite, match=r"cannot be written: No such file"):
        write(tmp_path / "no" / "report.pdf", b"x", overwrite=True)
