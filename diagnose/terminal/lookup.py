"""Looking up any symptom, cause, check or remedy of the rule base."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget

from diagnose.dialogue.search import SearchItem, symptom_item
from diagnose.dialogue.words import cautions, how_done
from diagnose.knowledge.base import Base
from diagnose.terminal.finder import Finder
from diagnose.terminal.frame import Drawn, Frame, Listed
from diagnose.terminal.widgets import Choice

SYMPTOM, CAUSE, CHECK, REMEDY = "Symptoms", "Causes", "Checks", "Remedies"


class LookupScreen(Frame):
    """Search over everything."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "close", show=False)]
    acts: ClassVar[tuple[Listed, ...]] = (("Esc", "Back", "close"), ("↑↓", "Move", "next"))

    def head(self) -> str:
        """The title."""
        return "Look up a symptom, cause, check or remedy"

    def body(self) -> Iterable[Widget]:
        """The search, and a target for what is marked."""
        items = list(terms(self.face.base))
        yield Finder(items, "Type a word, or move with ↑↓", "Nothing found.", self.face.search)
        yield Choice("Read", "take", key="⏎", id="take")

    def first(self) -> None:
        """The search has the keys."""

    @on(Finder.Marked)
    def marked(self, message: Finder.Marked) -> None:
        """Name what is marked."""
        take = self.query_one("#take", Choice)
        take.display = message.item is not None
        if message.item:
            take.say(f"Read: {message.item.name}")

    @on(Finder.Taken)
    def taken(self, message: Finder.Taken) -> None:
        """Show it."""
        item = message.item
        section, _, name = item.id.partition(" ")
        self.app.push_screen(Drawn(item.name, list(described(self.face.base, section, name)), name))

    def chosen(self, choice: Choice) -> None:
        """Take the marked one."""
        self.query_one(Finder).take()

    def action_next(self) -> None:
        """Mark the next one."""
        self.query_one(Finder).action_list("cursor_down")


def terms(base: Base) -> Iterator[SearchItem]:
    """Everything that can be looked up."""
    for s in base.symptoms.values():
        yield replace(symptom_item(s), id=f"symptom {s.id}", group=SYMPTOM)
    for c in base.causes.values():
        yield SearchItem(f"cause {c.id}", c.name, CAUSE, f"{c.name} {c.plainly}".casefold())
    for k in base.checks.values():
        yield SearchItem(f"check {k.id}", k.name, CHECK, f"{k.name} {k.ask} {k.tool}".casefold())
    for r in base.remedies.values():
        yield SearchItem(f"remedy {r.id}", r.name, REMEDY, f"{r.name} {r.applies}".casefold())


def described(base: Base, section: str, name: str) -> Iterator[str]:
    """What the rule base says of one entry, line by line."""
    match section:
        case "symptom":
            yield from _symptom(base, name)
        case "cause":
            yield from _cause(base, name)
        case "check":
            yield from _check(base, name)
        case _:
            yield from _remedy(base, name)


def _symptom(base: Base, name: str) -> Iterator[str]:
    symptom = base.symptoms[name]
    yield symptom.look
    yield f"Shows up: {symptom.appears}"
    yield f"Where: {symptom.where}"
    if symptom.also_called:
        yield f"Also called: {', '.join(symptom.also_called)}"
    for other in symptom.confused_with:
        yield f"Not {base.symptoms[other.symptom].name.lower()}: {other.tells}"
    for normal in symptom.normal:
        yield f"No fault: {normal.seen}, {normal.normal_when}"
    yield "Causes behind it:"
    for cause in base.behind(name):
        yield f"  {cause.name} ({base.scales.how_often(cause.behind[name])})"


def _cause(base: Base, name: str) -> Iterator[str]:
    cause = base.causes[name]
    yield cause.plainly
    yield cause.mechanism
    yield f"Origin: {cause.origin.words}"
    yield f"Prevention: {cause.prevention}"
    for sign in base.signs(cause):
        yield f"  {sign.speaks} ({sign.strength}): {sign.because}"
    for remedy, percent in cause.remedies.items():
        yield f"Remedy: {base.remedies[remedy].name} (ends the matter in {percent:g} of 100)"
    for never in cause.never:
        yield f"! Never: {base.remedies[never.remedy].name}. {never.because}"


def _check(base: Base, name: str) -> Iterator[str]:
    check = base.checks[name]
    yield check.ask
    yield from (f"! {line}" for line in cautions(base, check))
    yield from how_done(check)
    yield from (f"  {answer.says}" for answer in check.answers.values())


def _remedy(base: Base, name: str) -> Iterator[str]:
    remedy = base.remedies[name]
    yield remedy.applies
    for caution in remedy.cautions:
        yield f"! Caution: {base.cautions[caution].say}"
    if remedy.warning:
        yield f"! Mind: {remedy.warning}"
    yield from (f"{number}. {step}" for number, step in enumerate(remedy.steps, 1))
    if remedy.tools:
        yield f"With: {', '.join(remedy.tools)}."
    yield f"Look again: {remedy.look_again}"
