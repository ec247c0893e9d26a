"""All causes of the complaint with their shares; each tells why it stands where it does."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget

from diagnose.dialogue.words import NOT_LISTED, why_one
from diagnose.reasoning.evidence.weigh import Standing
from diagnose.report.formats.blocks import whole_percent
from diagnose.terminal.frame import Frame, Listed, ReadingScreen
from diagnose.terminal.widgets import Choice, Choices, Words


class CausesScreen(Frame):
    """The whole differential."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,b,d", "close", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (("b", "Back", "close"), ("⏎", "Why", "why"))

    def head(self) -> str:
        """The title."""
        return "How it stands: choose a cause to see why"

    def body(self) -> Iterable[Widget]:
        """One choice for each cause, likeliest first; what is ruled out says so."""
        diagnosis = self.dialogue.diagnosis()
        assert diagnosis is not None
        differential = diagnosis.differential
        choices = [_choice(s) for s in differential.standings]
        alive = sum(1 for s in differential.standings if not s.ruled_out)
        said = Words([f"    {NOT_LISTED}: {whole_percent(differential.unlisted)}"], classes="note")
        yield Choices(*choices[:alive], said, *choices[alive:])

    def chosen(self, choice: Choice) -> None:
        """Why it stands there."""
        diagnosis = self.dialogue.diagnosis()
        assert diagnosis is not None
        standing = diagnosis.differential.of(choice.value)
        lines = why_one(self.face.base, standing, diagnosis.trace.values)
        self.app.push_screen(ReadingScreen(f"Why, why not: {standing.cause.name}", lines))

    def action_why(self) -> None:
        """Why the focused one stands there."""
        if isinstance(self.focused, Choice):
            self.chosen(self.focused)


def _choice(standing: Standing) -> Choice:
    if standing.ruled_out:
        return Choice(f"ruled out: {standing.cause.name}", standing.cause.id)
    return Choice(standing.cause.name, standing.cause.id, share=standing.probability)
