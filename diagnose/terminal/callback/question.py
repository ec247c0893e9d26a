"""A check as a question: its answers, how things stand, and everything one key away."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input

from diagnose.dialogue.step import Step
from diagnose.dialogue.words import (
    answers_listed,
    cautions,
    cautions_named,
    how_done,
    number_asked,
    told,
    why_asked,
    worth_words,
)
from diagnose.knowledge.logic.answers import BadAnswer, parse, says
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import NOTHING, ChoiceKind, Kind, NumberKind, SeveralKind
from diagnose.terminal.callback.standing import StandingFrame
from diagnose.terminal.frame import Listed, Typed
from diagnose.terminal.picture import Picture, sentence
from diagnose.terminal.widgets import PICKS, Cautions, Choice, Choices, Words

NUMBER, ALL = "+number", "+all"


def _is_word(kind: Kind, value: str) -> bool:
    return isinstance(kind, NumberKind) and value in kind.words


class Together(Choice, inherit_bindings=False):
    """One of several that can be right together: a key or pointing ticks it, Enter takes all."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "choose", show=False),
        Binding("enter", "all", show=False),
    ]

    class Taken(Message):
        """What is ticked is all; where nothing is, this alone."""

        def __init__(self, choice: Together) -> None:
            super().__init__()
            self.choice = choice

    def action_all(self) -> None:
        """Take all that is ticked."""
        self.post_message(self.Taken(self))


class QuestionScreen(StandingFrame):
    """One question. `again`: an earlier answer is being changed."""

    acts: ClassVar[tuple[Listed, ...]] = (
        ("u", "Unsure", "unknown"),
        ("n", "Not here", "aside"),
        ("w", "Why ask", "why"),
        ("h", "How", "how"),
        ("b", "Back", "back"),
        ("m", "More", "more"),
    )
    spare: ClassVar[tuple[Listed, ...]] = (
        ("y", "Why this", "cause"),
        ("x", "Changes", "change"),
        ("d", "All", "causes"),
        ("+", "Or also", "tick"),
        ("a", "Another", "another"),
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("u", "unknown", show=False),
        Binding("n", "aside", show=False),
        Binding("w", "why", show=False),
        Binding("h", "how", show=False),
        Binding("plus", "tick", show=False),
        Binding("b", "back", show=False),
        Binding("escape", "back", show=False),
    ]

    def __init__(self, step: Step, again: bool = False) -> None:
        super().__init__()
        assert step.check is not None
        self.check: Check = step.check
        self._question = step.question
        self._between = step.between
        self._again = again

    def body(self) -> Iterable[Widget]:
        """The question and its answers; beside it how things stand and how the hand moves."""
        with Horizontal(id="body"):
            with Vertical(id="main"):
                yield Words(self.check.ask, id="ask")
                if self._question:
                    yield Words(f"It {worth_words(self._question)}.", classes="note dim")
                yield Choices(*self._before(), *self._answers())
            with Vertical(id="beside"):
                bars = self.bars()
                bars.set_class(bool(sentence(self.check.id)), "-shared")
                yield bars
                yield Picture(self.check.id)
        yield self.lead()

    def _before(self) -> Iterable[Widget]:
        """What must be known before the check is done."""
        if self._between:
            yield Words(self._between, classes="note")
        lines = cautions(self.face.base, self.check)
        if lines:
            yield Cautions(
                [f"! {line}" for line in lines], f"! {cautions_named(self.face.base, self.check)}"
            )
        yield from self.doubt_choices()

    def _answers(self) -> Iterable[Widget]:
        given = {c.id: a for c, a in self.dialogue.answered()}.get(self.check.id)
        if self._again and given is not None:
            yield Words(f"Answered before: {says(self.check, given)}", classes="note dim")
        kind = self.check.kind
        if isinstance(kind, NumberKind):
            yield Words(number_asked(kind), classes="note")
            yield Typed(
                begins=lambda c: c in "0123456789.,+-<>~",
                placeholder="type the number",
                id="number",
            )
            yield Words("", id="wrong", classes="caution")
            yield Choice("Take this number", NUMBER, key="⏎")
            for place, (word, its) in enumerate(kind.words.items(), 10):
                yield Choice(f"{word} ({kind.says(its)})", word, key=PICKS[place])
        if isinstance(kind, SeveralKind):
            yield Words("More than one can be so: tick each, then Enter.", classes="note")
        for place, (label, words) in enumerate(answers_listed(self.check).items()):
            one = Together if label in kind.labels and isinstance(kind, SeveralKind) else Choice
            yield one(words, label, key=PICKS[place] if place < len(PICKS) else "")
        if isinstance(kind, SeveralKind):
            yield Choice("That is all", ALL, key="⏎")

    def first(self) -> None:
        """The line for a number, or the first answer."""
        line = self.query(Typed)
        if line:
            line.first().focus(scroll_visible=False)
            return
        answers = [c for c in self.query(Choice) if c.value in self.check.answers]
        if answers:
            answers[0].focus(scroll_visible=False)

    def chosen(self, choice: Choice) -> None:
        """An answer was chosen."""
        kind = self.check.kind
        if choice.value == NUMBER:
            self._number(self.query_one(Typed).value)
        elif choice.value == ALL:
            self._all(self._ticked())
        elif isinstance(kind, SeveralKind) and choice.value == NOTHING:
            self._say(kind.together(self.check.id, []))
        elif choice.value not in self.check.answers and not _is_word(kind, choice.value):
            super().chosen(choice)
        elif isinstance(kind, SeveralKind):
            choice.tick()
        elif isinstance(kind, ChoiceKind):
            self._say(kind.together(self.check.id, [*self._ticked(), choice.value]))
        else:
            self._number(choice.value)

    @on(Together.Taken)
    def taken(self, message: Together.Taken) -> None:
        """What is ticked is all; where nothing is, the one that Enter was pressed on."""
        message.stop()
        self._all(self._ticked() or [message.choice.value])

    def _all(self, ticked: list[str]) -> None:
        """Take what is ticked; where nothing is, point to the line that says so."""
        if ticked:
            self._say(self.check.kind.together(self.check.id, ticked))
        else:
            next(c for c in self.query(Choice) if c.value == NOTHING).focus()

    def _ticked(self) -> list[str]:
        return [choice.value for choice in self.query(Choice) if choice.ticked]

    def action_tick(self) -> None:
        """Mark the answer as one of several that it may be; Enter on the last takes them all."""
        choice = self.focused
        if isinstance(choice, Choice) and choice.value in self.check.answers:
            choice.tick()

    @on(Input.Submitted, "#number")
    def entered(self, message: Input.Submitted) -> None:
        """Enter takes the number."""
        message.stop()
        self._number(message.value)

    def _number(self, text: str) -> None:
        try:
            self._say(parse(self.check, text))
        except BadAnswer as error:
            self.query_one("#wrong", Words).say(f"! {told(self.check, error)}")
            self.query_one(Typed).focus()

    def _say(self, answer: object) -> None:
        name = self.check.id
        self.face.act(lambda dialogue: dialogue.answer(name, answer))  # type: ignore[arg-type]

    def action_unknown(self) -> None:
        """Tried, and could not tell."""
        self.face.act(lambda dialogue: dialogue.could_not_tell(self.check.id))

    def action_aside(self) -> None:
        """It cannot be checked here."""
        self.face.act(lambda dialogue: dialogue.cannot_here(self.check.id))

    def action_why(self) -> None:
        """Why is this asked."""
        self.tell("Why is this asked?", why_asked(self.face.base, self.check, self._question))

    def action_how(self) -> None:
        """How is it done."""
        lines = (*how_done(self.check), *cautions(self.face.base, self.check))
        self.tell(f"How: {self.check.name}", lines, self.check.id)

    def action_back(self) -> None:
        """Undo the last entry; from a changed answer, leave it as it was."""
        if self._again:
            self.dismiss()
        else:
            self.face.undo()
