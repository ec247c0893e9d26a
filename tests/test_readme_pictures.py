"""The pictures that README shows are there, small, and of today's program."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import unquote

from PIL import Image, ImageChops, ImageStat

from diagnose.knowledge.base import Base
from tests.page_one import DOTS_PER_INCH, PICTURE, ROOT, given, mark, picture, written_mark

_SHOWN = re.compile(r"!\[([^\]]+)\]\(([^)]+)\)")
QUESTION = "tests/terminal/__snapshots__/test_pictures/"


def shown() -> dict[Path, str]:
    """The pictures of README, each with the words for whoever cannot see it."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    return {ROOT / unquote(path): words for words, path in _SHOWN.findall(readme)}


def test_the_readme_shows_a_question_and_a_page() -> None:
    """Both lie in the project, under 100 kB, with words in their place; nothing is fetched."""
    pictures = shown()

    assert len(pictures) == 2
    assert PICTURE in pictures
    for path, words in pictures.items():
        assert path.is_file()
        assert path.stat().st_size < 100_000
        assert len(words.split()) > 5


def test_the_question_is_the_screen_that_the_tests_hold() -> None:
    """It is the very file that the test of the screens compares with what is drawn."""
    (question,) = (path for path in shown() if path.suffix == ".svg")

    assert question.parent == ROOT / QUESTION
    assert question.name == "test_the_screen_looks_as_it_was_seen[question-80x24].svg"


def test_the_page_says_what_the_program_says_today(base: Base) -> None:
    """Its words, drawings and layout are those of now: else `python -m tests.snapshot --picture`."""
    assert written_mark() == mark(given(base))


def test_the_page_looks_as_it_is_set_today(base: Base) -> None:
    """Another version of the typesetter may round dots, and no more than that."""
    now = picture(given(base))
    with Image.open(PICTURE) as there:
        kept = there.convert("L")

    assert kept.size == now.size
    assert kept.width == round(210 / 25.4 * DOTS_PER_INCH)
    assert ImageStat.Stat(ImageChops.difference(kept, now)).mean[0] < 4
