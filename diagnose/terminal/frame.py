"""What all screens share: the line on top, the acts at the bottom, the keys that always work."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar, cast

from textual import events
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input

from diagnose.terminal.widgets import PICKS, Acts, Choice, Choices, Words

if TYPE_CHECKING:
    from diagnose.dialogue.dialogue import Dialogue
    from diagnose.terminal.face import Face

Listed = tuple[str, str, str]
"""An act: its key, its name, its action."""


class Frame(Screen[None]):
    """A screen with a line on top, a body and acts at the bottom.

    A subclass says `head`, `acts` and `body`, and what `chosen` does with a choice.
    """

    AUTO_FOCUS = ""
    acts: ClassVar[tuple[Listed, ...]] = ()
    spare: ClassVar[tuple[Listed, ...]] = ()
    """Acts whose keys work at any size, and which are to be touched where there is room."""

    @property
    def face(self) -> Face:
        """The app, as screens see it."""
        return cast("Face", self.app)

    @property
    def dialogue(self) -> Dialogue:
        """The dialogue under way."""
        return self.face.dialogue

    def head(self) -> str:
        """The line on top."""
        return "Callback"

    def body(self) -> Iterable[Widget]:
        """What stands between."""
        return ()

    def compose(self) -> ComposeResult:
        """The line on top, the body, the acts; laid out for the size from the first moment."""
        for points, length in (
            (self.app.HORIZONTAL_BREAKPOINTS, self.app.size.width),
            (self.app.VERTICAL_BREAKPOINTS, self.app.size.height),
        ):
            reached = [name for least, name in points or () if length >= least]
            self.add_class(*reached[-1:])
        yield Words(self.head(), id="head")
        yield from self.body()
        yield Acts(self.acts, self.spare)

    def on_mount(self) -> None:
        """Begin at the first choice, without hiding what stands before it."""
        self.first()

    def first(self) -> None:
        """Focus what is to be used first."""
        for choice in self.query(Choice):
            choice.focus(scroll_visible=False)
            return

    def on_key(self, event: events.Key) -> None:
        """A digit, or a letter after the tenth, chooses the choice that it stands before."""
        if event.character and event.character in PICKS:
            for choice in self.query(Choice):
                if choice.key == event.character:
                    event.stop()
                    choice.action_choose()
                    return

    def on_choice_chosen(self, message: Choice.Chosen) -> None:
        """Pass a choice on."""
        message.stop()
        self.chosen(message.choice)

    def chosen(self, choice: Choice) -> None:
        """A choice was made."""

    def action_move(self, step: int) -> None:
        """Arrows reach the choices even when nothing is focused."""
        for choices in self.query(Choices):
            choices.action_move(step)

    def action_close(self) -> None:
        """Back to the screen below."""
        self.dismiss()


class ReadingScreen(Frame):
    """Words to read, above the screen that goes on when it is closed."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,b,enter", "close", show=False)]
    acts: ClassVar[tuple[Listed, ...]] = (("b", "Back", "close"), ("t", "Colours", "app.colours"))

    def __init__(self, title: str, lines: Iterable[str]) -> None:
        super().__init__()
        self._title = title
        self._lines = list(lines)

    def head(self) -> str:
        """The title."""
        return self._title

    def body(self) -> Iterable[Widget]:
        """The words, scrolled by arrows and by the wheel."""
        with_words = VerticalScroll(Words(self._lines, id="words", classes="note"), id="text")
        yield with_words

    def first(self) -> None:
        """The text takes the keys."""
        self.query_one("#text").focus()


_EDITING = {
    key: binding.action
    for binding in Input.BINDINGS
    if isinstance(binding, Binding) and binding.action != "submit"
    for key in binding.key.split(",")
}
"""What moves in a line or takes something out of it, by key."""


class Typed(Input):
    """A line to type in; letters that cannot begin an answer go on as keys of the screen.

    Keys that edit act here at once. As bindings they would act only when they had come up to the
    screen, behind letters that were typed after them.
    """

    def __init__(
        self,
        *,
        begins: Callable[[str], bool] = lambda character: True,
        placeholder: str = "",
        value: str = "",
        id: str | None = None,
    ) -> None:
        super().__init__(value=value, placeholder=placeholder, id=id, select_on_focus=False)
        self.cursor_blink = False
        self._begins = begins

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether the key is typed here."""
        if character is None or not character.isprintable():
            return False
        return bool(self.value) or self._begins(character)

    async def _on_key(self, event: events.Key) -> None:
        if event.key in _EDITING:
            event.stop()
            event.prevent_default()
            await self.run_action(_EDITING[event.key])
        elif event.is_printable and not self.check_consume_key(event.key, event.character):
            event.prevent_default()


class Drawn(ReadingScreen):
    """Words to read, with a drawing where there is one."""

    def __init__(self, title: str, lines: Iterable[str], drawing: str) -> None:
        super().__init__(title, lines)
        self._drawing = drawing

    def body(self) -> Iterable[Widget]:
        """The words, then the drawing with its sentence."""
        from diagnose.terminal.picture import Picture, sentence

        said = sentence(self._drawing) if self._drawing else ""
        parts: list[Widget] = [Words(self._lines, id="words", classes="note")]
        if said:
            parts += [Picture(self._drawing, id="drawn"), Words(said, classes="note dim")]
        yield VerticalScroll(*parts, id="text")


class Aside(Drawn):
    """One of the four questions answered; the others are one key away here too."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "below('why')", show=False),
        Binding("h", "below('how')", show=False),
        Binding("y", "below('cause')", show=False),
        Binding("x", "below('change')", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (
        ("w", "Why ask", "below('why')"),
        ("h", "How", "below('how')"),
        ("y", "Why this", "below('cause')"),
        ("x", "Changes", "below('change')"),
        ("b", "Back", "close"),
    )

    def action_below(self, action: str) -> None:
        """Close this, then do something on the screen below."""
        self.app.call_later(do_below, self.app, action)


async def do_below(app: App[object], action: str) -> None:
    """Close the screen on top, then do something on the one below."""
    below = app.screen_stack[-2]
    await app.pop_screen()
    await below.run_action(action)
