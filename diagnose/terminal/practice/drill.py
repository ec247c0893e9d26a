"""A reverse drill: choose, see at once what was right and why."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from diagnose.practice import wording
from diagnose.practice.drills import drill as drills
from diagnose.practice.drills.drill import Drill
from diagnose.report.drawings import SYMPTOM_SCENES
from diagnose.terminal.frame import Listed, ReadingScreen
from diagnose.terminal.picture import Picture
from diagnose.terminal.practice.frame import PracticeFrame
from diagnose.terminal.widgets import Choice, Choices, Words

DONE = "+done"


class MarkingScreen(Words):
    """What was right and why; it comes into view as soon as it has its height, and not before."""

    def on_resize(self) -> None:
        """Laid out: with words, or in a room of another size."""
        if self.words and self.size.height:
            self.scroll_visible(animate=False, top=True)


class DrillScreen(PracticeFrame):
    """One drill."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,m", "close", show=False),
        Binding("d", "describe", show=False),
        Binding("n", "next", show=False),
        Binding("s", "finish", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (("n", "Another", "next"), ("m", "Menu", "close"))

    def __init__(self, drill: Drill) -> None:
        super().__init__()
        self._drill = drill
        self._picked: set[str] = set()
        self._done = False

    def head(self) -> str:
        """What kind of drill it is."""
        names = {
            drills.SIGNS: "Drill: signs of a cause",
            drills.APART: "Drill: two causes",
            drills.DRAWING: "Drill: a drawing",
            drills.FIRST: "Drill: the first looks",
            drills.TO_DO: "Drill: what would you do",
        }
        return names[self._drill.kind]

    def body(self) -> Iterable[Widget]:
        """The question, the options; a drawing where it is about one."""
        drill = self._drill
        yield Words(drill.ask, id="ask")
        with Horizontal(id="body"), Vertical(id="main"):
            if drill.kind == drills.DRAWING:
                yield Picture(drill.about[0], id="riddle")
            yield Choices(
                *(
                    Choice(self._words(o.id, o.says), o.id, key=str(n))
                    for n, o in enumerate(drill.options, 1)
                ),
                *([Choice("Done", DONE, key="s")] if drill.several else []),
                MarkingScreen(id="marked", classes="note"),
            )

    def _words(self, option: str, says: str) -> str:
        if not self._drill.several:
            return says
        return f"[{'x' if option in self._picked else ' '}] {says}"

    def chosen(self, choice: Choice) -> None:
        """Mark an option, or take it where only one is right."""
        if self._done:
            return
        if choice.value == DONE:
            self.action_finish()
        elif self._drill.several:
            self._picked ^= {choice.value}
            says = {o.id: o.says for o in self._drill.options}[choice.value]
            choice.say(self._words(choice.value, says))
        else:
            self._picked = {choice.value}
            self.action_finish()

    def action_finish(self) -> None:
        """Mark it and tell why; once only."""
        if self._done or not (self._picked or self._drill.several):
            return
        self._done = True
        marking = self.desk.mark(self._drill, self._picked)
        lines = wording.marking_lines(self.room.base, self._drill, marking)
        words = self.query_one("#marked", MarkingScreen)
        words.say(["", *lines, "", "n: another one"])
        if self._drill.kind == drills.DRAWING and marking.wrong:
            self._beside(marking.wrong[0], words)

    def _beside(self, chosen: str, words: Words) -> None:
        """What was chosen, drawn under the words, to be held against the riddle above."""
        scene = SYMPTOM_SCENES.get(chosen)
        if scene:
            says = {o.id: o.says for o in self._drill.options}[chosen]
            told = [f"What you chose would be drawn so: {says}.", scene.description]
            choices = self.query_one(Choices)
            choices.mount(Words(told, id="chosen", classes="note"), after=words)
            choices.mount(Picture(chosen, id="chosen_drawing"), after="#chosen")

    def action_next(self) -> None:
        """Another drill of the kind."""
        self.dismiss()
        self.room.do(self._drill.kind)

    def action_describe(self) -> None:
        """The drawing in a sentence, for who cannot see it."""
        scene = SYMPTOM_SCENES.get(self._drill.about[0])
        if self._drill.kind == drills.DRAWING and scene:
            self.app.push_screen(ReadingScreen("The drawing in words", [scene.description]))
