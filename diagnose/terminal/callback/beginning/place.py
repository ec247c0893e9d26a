"""Where it is: the place by name, or by pointing at the car."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from diagnose.dialogue.search import place_items
from diagnose.report.drawings.vehicles import VEHICLES, vehicle_class
from diagnose.terminal.callback.beginning.carmap import CarMap
from diagnose.terminal.finder import Finder
from diagnose.terminal.frame import Frame, Listed
from diagnose.terminal.widgets import Choice


class PlaceScreen(Frame):
    """Choose the panel."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", show=False),
        Binding("left", "turn(-1)", show=False, priority=True),
        Binding("right", "turn(1)", show=False, priority=True),
        Binding("f2", "vehicle", show=False),
    ]
    acts: ClassVar[tuple[Listed, ...]] = (
        ("Esc", "Back", "back"),
        ("→", "Turn", "turn(1)"),
        ("f2", "Body", "vehicle"),
    )

    def head(self) -> str:
        """What was chosen, and what is asked."""
        symptom = self.face.base.symptoms[self.dialogue.symptom or ""]
        return f"Where on the vehicle? {symptom.name}"

    def body(self) -> Iterable[Widget]:
        """The car on one side, the list on the other, the choice below."""
        items = place_items(self.face.base, self.dialogue.opening.places())
        body = vehicle_class(self.dialogue.opening.vehicle)
        with Horizontal(id="body"):
            with Vertical(id="car"):
                yield CarMap("left", body)
                yield CarMap("top", body, id="above")
            hint = "Point at the car, or type"
            nothing = "No place is called that."
            yield Finder(items, hint, nothing, self.face.search, id="places")
        yield Choice("Here", "take", key="⏎", id="take")

    def first(self) -> None:
        """The search has the keys."""

    @on(Finder.Marked)
    def marked(self, message: Finder.Marked) -> None:
        """Show the place on the car."""
        item = message.item
        self.query_one("#take", Choice).display = item is not None
        if item:
            self.query_one("#take", Choice).say(f"Here: {item.name}")
            self.query(CarMap).first().mark(item.id)
            self.query_one("#above", CarMap).panel = item.id

    @on(CarMap.Pointed)
    def pointed(self, message: CarMap.Pointed) -> None:
        """Mark in the list what was pointed at."""
        self.query_one(Finder).mark(message.panel)

    @on(Finder.Taken)
    def taken(self, message: Finder.Taken) -> None:
        """It is here."""
        panel = message.item.id
        self.face.act(lambda dialogue: dialogue.say_panel(panel))

    def chosen(self, choice: Choice) -> None:
        """Take the marked place."""
        self.query_one(Finder).take()

    def action_turn(self, step: int) -> None:
        """Look at the car from the next side."""
        self.query(CarMap).first().turn(step)

    def action_vehicle(self) -> None:
        """Another kind of body."""
        for car in self.query(CarMap):
            car.vehicle = VEHICLES[(VEHICLES.index(car.vehicle) + 1) % len(VEHICLES)]

    def action_back(self) -> None:
        """Back to the symptom."""
        self.face.undo()
