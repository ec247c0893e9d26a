"""What the screens of a callback under way share: how things stand, and the ways aside."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget
from textual.widgets import Static

from diagnose.dialogue.words import complaint_words, doubts, shares, what_changes, why_cause
from diagnose.reasoning.diagnosis import Diagnosis
from diagnose.terminal.face import Open
from diagnose.terminal.frame import Aside, Frame
from diagnose.terminal.widgets import Choice, ShareBars, bar, short

DOUBT = "+doubt "
"""Before the id of what does not fit, in the value of its choice."""


class Lead(Static):
    """The leading cause in two lines, where there is no room for bars; touch shows all."""

    def __init__(self, name: str, share: float) -> None:
        super().__init__(id="lead", markup=False)
        self._name, self._share = name, share

    def render(self) -> Content:
        """The name, then the bar."""
        width = max(12, self.size.width)
        tail = "  y why  x change  d all"
        lines = (short(f"Leads: {self._name}", width), bar(self._share, width - len(tail)) + tail)
        return Content("\n".join(lines))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Two lines."""
        return 2

    async def on_click(self, event: events.Click) -> None:
        """Show all causes."""
        event.stop()
        self.screen.call_later(self.screen.run_action, "causes")


class StandingFrame(Frame):
    """A screen of a callback under way."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "cause", show=False),
        Binding("x", "change", show=False),
        Binding("d", "causes", show=False),
        Binding("l", "like", show=False),
        Binding("c", "answers", show=False),
        Binding("s", "conclude", show=False),
        Binding("a", "another", show=False),
        Binding("v", "facts", show=False),
        Binding("m", "more", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
    ]

    @property
    def diagnosis(self) -> Diagnosis:
        """The diagnosis of the complaint at hand."""
        found = self.dialogue.diagnosis()
        assert found is not None
        return found

    def head(self) -> str:
        """The complaint at hand."""
        complaint = self.dialogue.complaint
        return complaint_words(self.face.base, complaint) if complaint else ""

    def bars(self) -> ShareBars:
        """The differential as bars."""
        return ShareBars(
            "Causes (y why, x change, d all)", shares(self.diagnosis.differential, 9), id="stands"
        )

    def lead(self) -> Lead:
        """The differential in a line or two."""
        return Lead(*shares(self.diagnosis.differential, 1)[0])

    def doubt_choices(self) -> Iterable[Widget]:
        """A choice for each thing that does not fit."""
        for doubt in doubts(self.face.base, self.diagnosis):
            yield Choice(f"{doubt.short} (look)", f"{DOUBT}{doubt.id}", key="!", classes="doubt")

    def chosen(self, choice: Choice) -> None:
        """Look at what does not fit."""
        for doubt in doubts(self.face.base, self.diagnosis):
            if choice.value == f"{DOUBT}{doubt.id}":
                self.post_message(Open(doubt))

    def tell(self, title: str, lines: Sequence[str], drawing: str = "") -> None:
        """Show words, with a drawing where there is one."""
        self.app.push_screen(Aside(title, lines, drawing))

    def action_cause(self) -> None:
        """Why this cause."""
        self.tell("Why this cause?", why_cause(self.face.base, self.diagnosis))

    def action_change(self) -> None:
        """What would change it."""
        self.tell("What would change it?", what_changes(self.face.base, self.diagnosis))

    def action_like(self) -> None:
        """Closed cases that are most like this one."""
        self.tell("Like this one", self.dialogue.like())

    def action_causes(self) -> None:
        """All causes with their shares."""
        self.post_message(Open("causes"))

    def action_answers(self) -> None:
        """The answers so far, each to be changed."""
        self.post_message(Open("answers"))

    def action_conclude(self) -> None:
        """Stop asking and conclude."""
        self.face.act(lambda dialogue: dialogue.conclude())

    def action_another(self) -> None:
        """Another complaint on the same vehicle; this one is concluded as it stands."""
        self.face.act(lambda dialogue: dialogue.another_complaint())

    def action_facts(self) -> None:
        """Facts of the vehicle."""
        self.post_message(Open("facts"))

    def action_more(self) -> None:
        """Everything else that can be done here."""
        self.post_message(Open("more"))
