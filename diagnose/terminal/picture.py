"""A drawing on the screen: as a picture where the terminal can, else in half blocks."""

from __future__ import annotations

from functools import lru_cache

from textual.content import Content
from textual.widget import Widget


class Picture(Widget):
    """The drawing of a symptom or a check, as large as there is room; empty where there is none."""

    def __init__(self, drawing_id: str = "", *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._drawing_id = drawing_id

    def show(self, drawing_id: str) -> None:
        """Show another drawing."""
        self._drawing_id = drawing_id
        self.refresh()

    def render(self) -> Content:
        """The drawing within the room, without words."""
        width, height = self.size
        if not self._drawing_id or width < 12 or height < 4:
            return Content("")
        return Content("\n".join(blocks(self._drawing_id, width, height)))


@lru_cache(maxsize=256)
def blocks(drawing_id: str, columns: int, rows: int) -> tuple[str, ...]:
    """The drawing of a symptom or a check in half blocks; nothing where there is none."""
    from diagnose.report.drawings import check_drawing, half_blocks, symptom_drawing

    drawing = symptom_drawing(drawing_id) or check_drawing(drawing_id)
    return tuple(half_blocks(drawing, columns, rows)) if drawing else ()


def sentence(drawing_id: str) -> str:
    """The sentence in place of a drawing; '' where there is none."""
    from diagnose.report.drawings import as_text

    return as_text(drawing_id) or ""
