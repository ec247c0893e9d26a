"""What the apprentice believes: percent for each cause, the rest by how common they are."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import count
from typing import ClassVar, Protocol

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget

from diagnose.dialogue.search import SearchItem
from diagnose.knowledge.model import Cause
from diagnose.practice.session.belief import BadBelief, Belief, spread
from diagnose.practice.session.session import Session
from diagnose.reasoning.explanation.explain import cause_name
from diagnose.terminal.finder import Finder
from diagnose.terminal.frame import Listed
from diagnose.terminal.practice.frame import PracticeFrame
from diagnose.terminal.widgets import Choice, Choices, Words

STEP = 10
"""Percent from one touch to the next."""


class Believed(Protocol):
    """The case that is judged; `given` are the percents that were said last."""

    session: Session
    given: Mapping[str, float]


class BeliefScreen(PracticeFrame):
    """Give percents to causes, then say it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "close", show=False),
        Binding("right,plus,equals_sign", f"give({STEP})", show=False),
        Binding("left,minus", f"give(-{STEP})", show=False),
        Binding("a", "all", show=False),
        Binding("0,delete", "nothing", show=False),
        Binding("s", "say", show=False),
        Binding("f,slash", "find", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (
        ("→", "More", f"give({STEP})"),
        ("←", "Less", f"give(-{STEP})"),
        ("a", "The rest", "all"),
        ("f", "Find", "find"),
        ("s", "Say it", "say"),
        ("Esc", "Back", "close"),
    )

    def __init__(self, case: Believed, then: Callable[[Session], None]) -> None:
        super().__init__()
        self._case = case
        self._then = then
        self._named: dict[str, float] = {}

    @property
    def _usual(self) -> Belief:
        return self.desk.judge.usual(self._case.session.item.symptom)

    def head(self) -> str:
        """What is asked."""
        return "What do you believe it is?"

    def body(self) -> Iterable[Widget]:
        """One line for each cause, under where it comes from, for there may be fifty."""
        yield Words(id="ask")
        yield Choices(*self._lines(), Choice("Say it", "+say", key="s", classes="-strong"))

    def _lines(self) -> Iterator[Widget]:
        numbers = count(1)
        for origin, causes in self._by_origin().items():
            yield Words([origin], classes="note")
            for cause in causes:
                number = next(numbers)
                yield Choice("", cause, key=str(number) if number < 10 else "")

    def _by_origin(self) -> Mapping[str, list[str]]:
        """The causes by their origin, those of an origin in the order of the rule base."""
        known = self.room.base.causes
        found: dict[str, list[str]] = {}
        for cause in self._usual:
            found.setdefault(_origin(known.get(cause)), []).append(cause)
        return found

    def on_mount(self) -> None:
        """Begin with what was said before, or nearly so where the case was left since."""
        belief = self._case.session.belief or {}
        large = {cause: int(100 * p + 1e-6) for cause, p in belief.items()}
        whole = {cause: float(percent) for cause, percent in large.items() if percent >= STEP}
        self._named = dict(self._case.given or whole)
        super().on_mount()
        self.show()

    def show(self) -> None:
        """The percents, given ones as given and the others as the rest falls."""
        belief = self._belief() or self._usual
        for choice in self.query(Choice):
            if choice.value != "+say":
                share = belief[choice.value]
                given = "●" if choice.value in self._named else "·"
                name = cause_name(self.room.base, choice.value)
                choice.say(f"{share:.0%} {given} {name}")
        rest = 100 - sum(self._named.values())
        words = f"● given by you. {rest:g} percent left, · shared by how common they are."
        if not self._named:
            words = "Touch a cause, or → and ←. · is how common each is. Honesty earns most."
        self.query_one("#ask", Words).say(words)
        self.query_one(Choices).fit()

    def _belief(self) -> Belief | None:
        try:
            return spread(self._named, self._usual)
        except BadBelief:
            return None

    def _marked(self) -> str | None:
        focused = self.focused
        if isinstance(focused, Choice) and focused.value != "+say":
            return focused.value
        return None

    def chosen(self, choice: Choice) -> None:
        """A touch gives a step more."""
        if choice.value == "+say":
            self.action_say()
        else:
            choice.focus()
            self._give(choice.value, STEP)

    def action_give(self, percent: int) -> None:
        """Give the marked cause more or less."""
        marked = self._marked()
        if marked:
            self._give(marked, percent)

    def _give(self, cause: str, percent: float) -> None:
        """To the next whole step above or below what stands beside the cause, given or not."""
        others = sum(said for name, said in self._named.items() if name != cause)
        shown = round(100 * (self._belief() or self._usual)[cause])
        whole = shown // STEP if percent > 0 else -(-shown // STEP)
        given = min(STEP * whole + percent, 100 - others)
        if given > 0:
            self._named[cause] = given
        else:
            self._named.pop(cause, None)
        self.show()

    def action_all(self) -> None:
        """All that is left to the marked cause."""
        self.action_give(100)

    def action_nothing(self) -> None:
        """Take back all that was given."""
        self._named.clear()
        self.show()

    def action_find(self) -> None:
        """Find a cause by any word of it, for there may be fifty."""
        self.app.push_screen(FindCause(list(self._usual), self._go_to))

    def _go_to(self, cause: str) -> None:
        for choice in self.query(Choice):
            if choice.value == cause:
                choice.focus()

    def action_say(self) -> None:
        """Say it."""
        belief = self._belief()
        if belief is None:
            self.app.notify("Give at least one cause its percent.", markup=False)
            return
        self._case.given = dict(self._named)
        self.dismiss()
        self._then(self._case.session.think(belief))


class FindCause(PracticeFrame):
    """Find a cause by its name, its id or what it says plainly; it is then the marked one."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "close", show=False)]
    acts: ClassVar[tuple[Listed, ...]] = (("Esc", "Back", "close"), ("⏎", "Go to it", "take"))

    def __init__(self, causes: Sequence[str], then: Callable[[str], None]) -> None:
        super().__init__()
        self._causes = causes
        self._then = then

    def head(self) -> str:
        """What is to be found."""
        return "Which cause?"

    def body(self) -> Iterable[Widget]:
        """The search over all causes of this symptom, by where they come from."""
        items = [self._item(cause) for cause in self._causes]
        yield Finder(items, "Type a word, or move with ↑↓", "No cause of that word.")

    def _item(self, cause: str) -> SearchItem:
        known = self.room.base.causes.get(cause)
        name = cause_name(self.room.base, cause)
        words = f"{name} {cause} {known.plainly if known else ''}".casefold()
        return SearchItem(cause, name, _origin(known), words)

    def first(self) -> None:
        """The search has the keys."""

    def action_take(self) -> None:
        """Take the marked one."""
        self.query_one(Finder).take()

    @on(Finder.Taken)
    def taken(self, message: Finder.Taken) -> None:
        """Mark it where the percents are given."""
        self.dismiss()
        self._then(message.item.id)


def _origin(cause: Cause | None) -> str:
    """Where a cause comes from, as a heading."""
    words = cause.origin.value if cause else "not listed here"
    return words.replace("_", " ").capitalize()
