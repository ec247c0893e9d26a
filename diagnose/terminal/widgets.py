"""The few parts that every screen is made of: choices, acts, bars, words."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import ItemGrid, VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from diagnose.typed import clean

_SIGNS = 4
"""Cells for the sign of the focused choice and the key."""

TALL = 30
"""From so many rows on lines to type in and acts have frames."""

PICKS = "1234567890ijkopz"
"""Keys of the first choices: digits, then letters that do nothing else on any screen."""


class Words(Static):
    """Text that stays text: nothing in it is markup, no control character gets through.

    A line that begins with spaces keeps them, and hangs its further lines under them.
    """

    def __init__(
        self, words: str | Sequence[str] = "", *, id: str | None = None, classes: str = ""
    ) -> None:
        super().__init__(id=id, classes=classes, markup=False)
        self._lines = _cleaned(words)

    def say(self, words: str | Sequence[str]) -> None:
        """Show other words; a sequence is one line each."""
        self._lines = _cleaned(words)
        self.refresh(layout=True)

    @property
    def words(self) -> str:
        """What it says."""
        return "\n".join(self._lines)

    def render(self) -> Content:
        """The words, wrapped."""
        return Content("\n".join(_wrapped(self._lines, self.size.width)))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many lines as the words need."""
        return len(_wrapped(self._lines, width))

    def get_content_width(self, container: Size, viewport: Size) -> int:
        """As wide as there is room."""
        return container.width


class Cautions(Words):
    """What to beware of before a check: whole where the choices below it still show, else named.

    `named` is one line that says where the whole can be read.
    """

    def __init__(self, words: Sequence[str], named: str) -> None:
        super().__init__(words, classes="caution")
        self._whole, self._named = self._lines, _cleaned(named)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many lines as are shown; told while it is laid out, before it is drawn."""
        self._lines = self._whole
        lines = super().get_content_height(container, viewport, width)
        if isinstance(self.parent, Choices) and lines > self.parent.left_beside(self, container):
            self._lines = self._named
            lines = super().get_content_height(container, viewport, width)
        return lines


def _cleaned(words: str | Sequence[str]) -> list[str]:
    return [_line(line) for line in ([words] if isinstance(words, str) else words)]


def _wrapped(lines: Sequence[str], width: int) -> list[str]:
    found: list[str] = []
    for line in lines:
        indent = line[: len(line) - len(line.lstrip(" "))]
        hang = indent + "  " if indent else ""
        found += textwrap.wrap(
            line, max(4, width), subsequent_indent=hang, drop_whitespace=True
        ) or [""]
    return found


def _line(line: str) -> str:
    indent = line[: len(line) - len(line.lstrip(" "))]
    return indent + clean(line)


class Choice(Static, can_focus=True):
    """One thing to choose: a wide target with its key, chosen by Enter, key or pointing.

    `value` is what it stands for; `share` shows a bar under the words. The focused one is marked
    by a sign, not by colour alone.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter,space", "choose", show=False)]

    class Chosen(Message):
        """A choice was made."""

        def __init__(self, choice: Choice) -> None:
            super().__init__()
            self.choice = choice

        @property
        def control(self) -> Choice:
            """The choice that was made."""
            return self.choice

    def __init__(
        self,
        words: str,
        value: str,
        *,
        key: str = "",
        share: float | None = None,
        id: str | None = None,
        classes: str = "",
    ) -> None:
        super().__init__(id=id, classes=classes, markup=False)
        self.words = clean(words)
        self.value = value
        self.key = key
        self.share = share
        self.ticked = False

    def tick(self) -> None:
        """Mark it as one of several, or take the mark off."""
        self.ticked = not self.ticked
        self.refresh()

    def render(self) -> Content:
        """The sign of the focused one, the key, the words, the bar; framed where there is room."""
        width = max(8, self.size.width)
        first, *others = self.lines(width)
        mark = "▶" if self.has_focus else " "
        tick = "✓" if self.ticked else " "
        parts = [Content.assemble(mark, (self.key.rjust(2), "bold"), tick, first)]
        parts += [Content(" " * _SIGNS + line) for line in others]
        spare = self.size.height - len(parts)
        return Content("\n").join(_framed(parts, width, self.has_focus, spare))

    def lines(self, width: int) -> list[str]:
        """The words, and the bar, in lines that fit beside sign and key within a frame."""
        room = max(4, width - _SIGNS - 2)
        lines = textwrap.wrap(self.words, room) or [""]
        return lines if self.share is None else [*lines, bar(self.share, min(room, 40))]

    def say(self, words: str) -> None:
        """Other words."""
        self.words = clean(words)
        self.refresh(layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """The lines of the words, and what the choices have to spare for each."""
        spare = self.parent.spare(container) if isinstance(self.parent, Choices) else 0
        return len(self.lines(width)) + spare

    def on_click(self, event: events.Click) -> None:
        """Chosen by pointing."""
        event.stop()
        self.action_choose()

    def action_choose(self) -> None:
        """Choose this."""
        self.post_message(self.Chosen(self))


def _framed(parts: list[Content], width: int, focused: bool, spare: int) -> list[Content]:
    """Lines in a frame where there are two rows to spare, over a rule where there is one."""
    corners = "┏━┓┃┗┛" if focused else "╭─╮│╰╯"
    if spare == 1:
        return [*parts, Content(corners[1] * width)]
    if spare < 1:
        return parts
    side = corners[3]
    inside = [
        Content.assemble(side, part, " " * max(0, width - 2 - part.cell_length), side)
        for part in parts
    ]
    top = corners[0] + corners[1] * (width - 2) + corners[2]
    return [Content(top), *inside, Content(corners[4] + corners[1] * (width - 2) + corners[5])]


def _height(widget: Widget, room: Size) -> int:
    """Rows that a widget beside the choices takes."""
    if isinstance(widget, Words):
        return widget.get_content_height(room, room, max(4, room.width - 2))
    return 3 if widget.app.size.height >= TALL else 1


class Choices(VerticalScroll, can_focus=False):
    """Choices below one another, each as high as the room allows: three rows, two, or one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page_up", show=False),
        Binding("pagedown", "page_down", show=False),
        Binding("home", "ends(0)", show=False),
        Binding("end", "ends(-1)", show=False),
    ]

    @property
    def choices(self) -> list[Choice]:
        """All choices, in order."""
        return list(self.query(Choice))

    def fit(self) -> None:
        """Lay the choices out anew, after some of them were changed."""
        for choice in self.choices:
            choice.refresh(layout=True)

    def left_beside(self, one: Widget, room: Size) -> int:
        """Rows that are left for a widget where all choices, in their least height, show."""
        lines = sum(len(choice.lines(room.width)) for choice in self.choices)
        others = (w for w in self.children if w is not one and not isinstance(w, Choice))
        return room.height - lines - sum(_height(w, room) for w in others)

    def spare(self, room: Size) -> int:
        """Rows to spare for each choice within a room: two for a frame, one for a rule, or none.

        Told while it is laid out, so that no target moves after it was drawn.
        """
        choices = self.choices
        lines = sum(len(choice.lines(room.width)) for choice in choices)
        others = sum(_height(w, room) for w in self.children if not isinstance(w, Choice))
        left = (room.height - others - lines) // max(1, len(choices))
        return max(0, min(2, left))

    def action_move(self, step: int) -> None:
        """Go to the next or the previous choice; what lies before the first comes into view."""
        choices = self.choices
        focused = self.screen.focused
        if not choices:
            return
        if focused not in choices:
            choices[0].focus()
            return
        place = choices.index(focused) + step
        if place < 0:
            self.scroll_home(animate=False)
        choices[max(0, min(place, len(choices) - 1))].focus()

    def action_ends(self, place: int) -> None:
        """Go to the first or the last choice."""
        if self.choices:
            self.choices[place].focus()


class Act(Static):
    """One thing that can be done on a screen: its key and its name; pointing at it does it."""

    def __init__(self, key: str, words: str, action: str) -> None:
        super().__init__(markup=False)
        self.key, self.words, self.action = key, words, action

    def render(self) -> Content:
        """The key, then what it does."""
        return Content.assemble((f"{self.key}", "bold underline"), " ", self.words)

    async def on_click(self, event: events.Click) -> None:
        """Do it."""
        event.stop()
        self.screen.call_later(self.screen.run_action, self.action)


class Acts(ItemGrid):
    """What can be done on a screen, in as many rows as the width asks for."""

    def __init__(
        self, acts: Sequence[tuple[str, str, str]], spare: Sequence[tuple[str, str, str]] = ()
    ) -> None:
        super().__init__(min_column_width=13)
        self._acts, self._spare = acts, spare

    def compose(self) -> ComposeResult:
        """One target for each act; the spare ones show where the screen is high enough."""
        for key, words, action in self._acts:
            yield Act(key, words, action)
        for key, words, action in self._spare:
            yield Act(key, words, action).add_class("spare")


class ShareBars(Widget):
    """Shares as bars with their numbers, as many as there is room for; the last always."""

    def __init__(
        self, title: str, rows: Sequence[tuple[str, float]], *, id: str | None = None
    ) -> None:
        super().__init__(id=id)
        self._title = title
        self._rows = list(rows)

    def show(self, rows: Sequence[tuple[str, float]]) -> None:
        """Show other shares."""
        self._rows = list(rows)
        self.refresh(layout=True)

    def render(self) -> Content:
        """Two lines for each share: the name, then the bar with its number."""
        width = max(12, self.size.width)
        most = max(1, (self.size.height - 1) // 2)
        rows = self._rows
        if len(rows) > most:
            rows = [*rows[: most - 1], rows[-1]] if most > 1 else rows[:1]
        lines = [Content.styled(self._title, "bold")]
        for name, share in rows:
            lines.append(Content(short(name, width)))
            lines.append(Content(bar(share, width)))
        return Content("\n").join(lines)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Room for the title and two lines for each share."""
        return 1 + 2 * len(self._rows)


def bar(share: float, width: int) -> str:
    """A bar of the given width with its number behind it; it tells by length and by number."""
    number = f"{share:5.0%}"
    if 0 < share < 1 and round(share, 2) in (0, 1):
        number = "  <1%" if share < 1 / 2 else " >99%"
    length = max(4, width - len(number) - 1)
    eighths = round(share * length * 8)
    full, rest = divmod(eighths, 8)
    drawn = "█" * full + (" ▏▎▍▌▋▊▉"[rest] if rest else "")
    return f"{drawn.ljust(length, '·')} {number}"


def short(words: str, width: int) -> str:
    """Words cut to a width, with a sign that they were."""
    return words if len(words) <= width else words[: max(1, width - 1)].rstrip() + "…"
