"""The first page of a report as README shows it; made anew by `python -m tests.snapshot`.

The picture carries a mark of all that the page says and of how it is laid out, so that a test can
tell that it is out of date without asking how this version of typst rounds its dots.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from datetime import datetime
from importlib.resources import files
from io import BytesIO
from pathlib import Path

import typst
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from diagnose.knowledge.base import Base
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.casefile import read_case
from diagnose.report.content.whole import whole
from diagnose.report.formats.pdf import _data
from diagnose.report.pages import Audience, Paper, Setting
from diagnose.report.pages.compose import document
from diagnose.report.plan_command import plain_terms

ROOT = Path(__file__).resolve().parents[1]
PICTURE = ROOT / "tests" / "data" / "report_first_page.png"
CASE = "door_return_after_wash"
DOTS_PER_INCH, GREYS = 84, 16
MARK = "made-of"

_MADE, _START = datetime(2026, 11, 25, 9, 0), datetime(2026, 11, 30, 8, 0)


def given(base: Base) -> str:
    """What the page is set from; its foot names no version, which would change with any rule."""
    path = ROOT / "cases" / f"{CASE}.yaml"
    found, problems = read_case(path.name, path.read_text(encoding="utf-8"), base)
    assert found is not None, problems
    report = whole(Reasoner(base), found.case, _MADE, "0.1.0", plain_terms(base, _START))
    page = document(report, Setting(Audience.CUSTOMER))
    return json.dumps(_data(replace(page, foot=f"Case {CASE}"), Paper.A4), ensure_ascii=False)


def mark(data: str) -> str:
    """A short mark of the page's words, drawings and layout."""
    return hashlib.sha256(_template() + data.encode()).hexdigest()[:16]


def picture(data: str) -> Image.Image:
    """The first page in greys."""
    drawn = typst.compile(
        _template(),
        sys_inputs={"document": data},
        format="png",
        ppi=DOTS_PER_INCH,
        ignore_system_fonts=True,
    )
    first = drawn[0] if isinstance(drawn, list) else drawn
    return Image.open(BytesIO(first)).convert("L")


def write(base: Base) -> None:
    """Write the picture anew, small and with its mark; nothing is written that is there already."""
    data = given(base)
    if PICTURE.exists() and written_mark() == mark(data):
        return
    info = PngInfo()
    info.add_text(MARK, mark(data))
    few = picture(data).quantize(GREYS)
    few.save(PICTURE, pnginfo=info, optimize=True)


def written_mark() -> str:
    """The mark of the picture that lies there."""
    with Image.open(PICTURE) as there:
        return str(there.info.get(MARK, ""))


def _template() -> bytes:
    return files("diagnose.report.formats").joinpath("pages.typ").read_bytes()
