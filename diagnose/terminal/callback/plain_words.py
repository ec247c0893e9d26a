"""The first line of a plain callback: own words, read, and confirmed line by line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.own_words import PLACE, SYMPTOM, ReadText, SaidLine, said_of
from diagnose.dialogue.search import Search, SearchItem, named_symptom, place_items, symptom_item
from diagnose.dialogue.words import heard, pick, told
from diagnose.knowledge.logic.answers import BadAnswer

OPENING = (
    "What is wrong, and where? Say it in your own words, such as: front bumper, film pops out of"
    " the recess, three weeks old.",
    "  Enter: choose from a list; q to leave",
)

KEYS = (
    "  Enter takes what is marked x; a number strikes a line or takes it; c and a number changes"
    " it; b says it again; q leaves"
)


@dataclass(frozen=True, slots=True)
class PlainWords:
    """Asks for own words and has what was read confirmed; `hear` raises where the person leaves."""

    dialogue: Dialogue
    say: Callable[[str], None]
    hear: Callable[[str], str]
    search: Search

    def ask(self) -> None:
        """One line of own words, the name of a symptom, or nothing for the list."""
        for line in OPENING:
            self.say(line)
        text = self.hear("What is wrong?")
        if not text:
            self.dialogue.opening.skip_words()
        elif symptom := self._named(text):
            taken = self.dialogue.base.symptoms[symptom]
            self.say(f"{taken.name}: {taken.look}")
            self.dialogue.name_symptom(symptom)
        else:
            self.dialogue.opening.tell(text)

    def _named(self, text: str) -> str:
        """The symptom that a number or a word alone names, ''."""
        base = self.dialogue.base
        ids = list(base.symptoms)
        return pick(text, ids, ids) or named_symptom(base, self.search, text)

    def confirm(self) -> None:
        """What was read, until it is confirmed or said again."""
        found = self.dialogue.opening.proposed()
        if not found.lines:
            self.say(
                "Nothing of that is known here; it is kept in your words. Choose from the list."
            )
            self.dialogue.confirm(found)
            return
        while True:
            self._show(found)
            text = self.hear("Right?").casefold().strip()
            if not text:
                self.dialogue.confirm(found)
                return
            if text == "b":
                self.dialogue.undo()
                return
            found = self._turned(found, text)

    def _show(self, found: ReadText) -> None:
        self.say("Read out of your words:")
        for number, line in enumerate(found.lines, 1):
            self.say(f"  {number:2}. [{'x' if line.taken else ' '}] {said_of(line)}")
        if found.kept:
            self.say(f"  Kept in your words: {'; '.join(found.kept)}")
        self.say(KEYS)

    def _turned(self, found: ReadText, text: str) -> ReadText:
        digits = text.removeprefix("c").strip()
        if not (digits.isascii() and digits.isdigit() and 1 <= int(digits) <= len(found.lines)):
            self.say(f"'{text}' is none of the lines above.")
            return found
        number = int(digits) - 1
        if not text.startswith("c"):
            return found.turned(number)
        return self._changed(found, number)

    def _changed(self, found: ReadText, number: int) -> ReadText:
        base, line = self.dialogue.base, found.lines[number]
        if line.subject in (SYMPTOM, PLACE):
            items = self._items(line)
            picked = self._picked(items)
            return found.put(base, number, picked) if picked else found
        check = base.checks[line.subject]
        self.say(check.ask)
        for at, answer in enumerate(check.answers.values(), 1):
            self.say(f"  {at:2}. {answer.says}")
        while True:
            text = self.hear("Answer (Enter: as it was):")
            if not text:
                return found
            try:
                return found.put(base, number, heard(check, text))
            except BadAnswer as error:
                self.say(told(check, error))

    def _items(self, line: SaidLine) -> Sequence[SearchItem]:
        base = self.dialogue.base
        if line.subject == PLACE:
            return place_items(base)
        return [symptom_item(s) for s in base.symptoms.values()]

    def _picked(self, items: Sequence[SearchItem]) -> str:
        while True:
            text = self.hear("Which (Enter: as it was)?")
            if not text:
                return ""
            one = self.search.one(items, text)
            if one:
                return one.id
            found = self.search(items, text)
            self.say(
                "  " + "; ".join(i.name for i in found[:8]) if found else "Nothing is so called."
            )
