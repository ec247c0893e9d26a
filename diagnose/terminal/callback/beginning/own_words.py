"""The first line: what is wrong, in own words; and what was read out of it, to be confirmed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from diagnose.dialogue.own_words import ReadText, SaidLine, said_of
from diagnose.dialogue.search import named_symptom
from diagnose.terminal.callback.change import ChangeScreen
from diagnose.terminal.frame import Frame, Listed, Typed
from diagnose.terminal.widgets import PICKS, Choice, Choices, Words

TAKE = "take"

SAYS = (
    "Say it in your own words, where it is too. Such as: front bumper, film pops out of the"
    " recess, three weeks old, no bubbles."
)


class WordsScreen(Frame):
    """One line to say it in; an empty one goes to the list of symptoms."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", show=False)]
    acts: ClassVar[tuple[Listed, ...]] = (("Esc", "Back", "back"), ("f1", "Help", "app.help"))

    def head(self) -> str:
        """Which step this is."""
        return "What is wrong with the wrap?"

    def body(self) -> Iterable[Widget]:
        """What to say, the line, and what Enter does."""
        yield Words(SAYS, classes="note")
        yield Typed(placeholder="In your own words", id="said")
        yield Choice("Choose from a list", TAKE, key="⏎", id="take")

    def first(self) -> None:
        """The line has the keys; what reads it is made ready meanwhile."""
        self.query_one(Input).focus()
        self.face.warm_words()

    @on(Input.Changed)
    def typed(self, message: Input.Changed) -> None:
        """Say what Enter would do."""
        said = bool(message.value.strip())
        self.query_one("#take", Choice).say("Read this" if said else "Choose from a list")

    @on(Input.Submitted)
    def submitted(self, message: Input.Submitted) -> None:
        """Read it, or go to the list."""
        self._take(message.value)

    def chosen(self, choice: Choice) -> None:
        """The same by pointing."""
        self._take(self.query_one(Input).value)

    def _take(self, text: str) -> None:
        symptom = named_symptom(self.face.base, self.face.search, text) if text.strip() else ""
        if symptom:
            self.face.act(lambda dialogue: dialogue.name_symptom(symptom))
            self.face.warm(symptom)
        elif text.strip():
            self.face.act(lambda dialogue: dialogue.opening.tell(text))
        else:
            self.face.act(lambda dialogue: dialogue.opening.skip_words())

    def action_back(self) -> None:
        """Back to the complaint before, or to the start."""
        self.face.leave_symptom()


class ConfirmScreen(Frame):
    """Each thing that the words may say, with the words; ticked ones are taken."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,b", "back", show=False),
        Binding("c", "change", show=False),
        Binding("g", "take", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (
        ("g", "Go on", "take"),
        ("c", "Change", "change"),
        ("b", "Say again", "back"),
        ("f1", "Help", "app.help"),
    )

    def __init__(self, found: ReadText) -> None:
        super().__init__()
        self._found = found
        self._last: int | None = None

    def head(self) -> str:
        """What this is."""
        return "Read out of your words: is it right?"

    def body(self) -> Iterable[Widget]:
        """What was said, the lines, what found no home, and the way on."""
        found = self._found
        kept = [f"Kept in your words: {'; '.join(found.kept)}"] if found.kept else []
        nothing = [] if found.lines else ["Nothing of it is known here: choose from the list."]
        choices = [
            Choice(_words(line), str(n), key=PICKS[n] if n < len(PICKS) else "")
            for n, line in enumerate(found.lines)
        ]
        for choice, line in zip(choices, found.lines, strict=True):
            choice.ticked = line.taken
        yield Choices(
            Words(f"“{found.text}”", classes="note"),
            *choices,
            *(Words(line, classes="note dim") for line in (*nothing, *kept)),
        )
        yield Choice("Go on with what is ticked", TAKE, key="⏎", id="take")

    def first(self) -> None:
        """Enter goes on; the arrows lead to the lines."""
        self.query_one("#take", Choice).focus(scroll_visible=False)

    def chosen(self, choice: Choice) -> None:
        """Strike a line or take it, or go on."""
        if choice.value == TAKE:
            self.action_take()
        else:
            # The focus stays: Enter after a number goes on, and does not turn the line back.
            self._last = int(choice.value)
            self._show(self._found.turned(int(choice.value)))

    def _show(self, found: ReadText) -> None:
        self._found = found
        for choice, line in zip(self.query_one(Choices).choices, found.lines, strict=True):
            choice.ticked = line.taken
            choice.say(_words(line))

    def action_take(self) -> None:
        """Go on with what is ticked."""
        found = self._found
        self.face.act(lambda dialogue: dialogue.confirm(found))

    def action_change(self) -> None:
        """Another value for the line that is focused, or else for the one touched last."""
        focused = self.focused
        choices = self.query_one(Choices).choices
        number = choices.index(focused) if focused in choices else self._last
        if number is not None:
            self.app.push_screen(ChangeScreen(self._found.lines[number], self._putter(number)))

    def _putter(self, number: int) -> Callable[[object], None]:
        def put(value: object) -> None:
            self._show(self._found.put(self.face.base, number, value))  # type: ignore[arg-type]

        return put

    def action_back(self) -> None:
        """Say it again; what was said stays in the journal."""
        self.face.undo()


def _words(line: SaidLine) -> str:
    return said_of(line)
