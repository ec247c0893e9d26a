"""A line to search in with the list of what is found; symptoms, places and terms use it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from diagnose.dialogue.search import Find, SearchItem, search
from diagnose.terminal.frame import Typed
from diagnose.typed import clean


class Listing(OptionList):
    """The list: the first touch marks an entry, a touch on the marked one takes it."""

    async def _on_click(self, event: events.Click) -> None:
        event.prevent_default()
        touched = event.style.meta.get("option")
        if touched is None or self.get_option_at_index(touched).disabled:
            return
        if touched == self.highlighted:
            self.action_select()
        else:
            self.highlighted = touched


class Finder(Vertical):
    """Search over items; the arrows move in the list while the line has the keys."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "list('cursor_up')", show=False, priority=True),
        Binding("down", "list('cursor_down')", show=False, priority=True),
        Binding("pageup", "list('page_up')", show=False, priority=True),
        Binding("pagedown", "list('page_down')", show=False, priority=True),
    ]

    @dataclass
    class Marked(Message):
        """An item is marked; None where nothing is found."""

        item: SearchItem | None

    @dataclass
    class Taken(Message):
        """An item is taken."""

        item: SearchItem

    def __init__(
        self,
        items: Sequence[SearchItem],
        placeholder: str,
        nothing: str,
        find: Find = search,
        *,
        id: str | None = None,
    ) -> None:
        super().__init__(id=id)
        self._find = find
        self._items = {item.id: item for item in items}
        self._placeholder = placeholder
        self._nothing = nothing
        self.marked: SearchItem | None = None

    def compose(self) -> ComposeResult:
        """The line and the list."""
        yield Typed(placeholder=self._placeholder, id="search")
        listing = Listing(id="found", markup=False)
        listing.can_focus = False
        yield listing

    def on_mount(self) -> None:
        """Begin with everything listed."""
        self._list("")
        self.query_one(Input).focus()

    @property
    def listing(self) -> Listing:
        """The list."""
        return self.query_one(Listing)

    def mark(self, item_id: str) -> None:
        """Mark an item, listing everything again where the search hides it."""
        if item_id not in self._items:
            return
        if not any(o.id == item_id for o in self.listing.options):
            with self.prevent(Input.Changed):
                self.query_one(Input).value = ""
            self._list("")
        self.listing.highlighted = self.listing.get_option_index(item_id)

    def take(self) -> None:
        """Take what is marked."""
        if self.marked:
            self.post_message(self.Taken(self.marked))

    def action_list(self, action: str) -> None:
        """Move in the list."""
        getattr(self.listing, f"action_{action}")()

    @on(Input.Changed)
    def _searched(self, message: Input.Changed) -> None:
        message.stop()
        self._list(message.value)

    @on(Input.Submitted)
    def _entered(self, message: Input.Submitted) -> None:
        message.stop()
        self.take()

    @on(OptionList.OptionHighlighted)
    def _highlighted(self, message: OptionList.OptionHighlighted) -> None:
        # What the message says may be out of date: more may have been typed since it was sent.
        message.stop()
        self._mark(self._highlighted_item())

    @on(OptionList.OptionSelected)
    def _selected(self, message: OptionList.OptionSelected) -> None:
        message.stop()
        if message.option_id in self._items:
            self.post_message(self.Taken(self._items[message.option_id]))

    def _list(self, text: str) -> None:
        found = self._find(list(self._items.values()), text)
        self.listing.clear_options()
        grouped = not text.strip()
        self.listing.add_options(_options(found, grouped) or [_said(self._nothing)])
        first = next((n for n, o in enumerate(self.listing.options) if not o.disabled), None)
        self.listing.highlighted = first
        self._mark(self._highlighted_item())

    def _highlighted_item(self) -> SearchItem | None:
        option = self.listing.highlighted_option
        return self._items.get(option.id or "") if option else None

    def _mark(self, item: SearchItem | None) -> None:
        self.marked = item
        self.post_message(self.Marked(item))


def _options(items: Sequence[SearchItem], grouped: bool) -> list[Option]:
    found: list[Option] = []
    group = ""
    for item in items:
        if grouped and item.group != group:
            group = item.group
            found.append(_said(group.upper()))
        found.append(Option(Content(clean(item.name)), id=item.id))
    return found


def _said(words: str) -> Option:
    return Option(Content(words), disabled=True)
