"""How a complaint begins: in own words that are read and confirmed, or from the list."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from types import MappingProxyType

from diagnose.dialogue.journals import Journal
from diagnose.dialogue.own_words import PLACE, SYMPTOM, ReadText, reading
from diagnose.dialogue.step import Stage
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer
from diagnose.knowledge.words.understanding import Understanding
from diagnose.records.case.journal import Event, EventKind, live

TOLD, NOT_UNDERSTOOD = "told", "not_understood"
"""The facts that hold what a person said in own words, and what of it found no home."""

_NOTHING: Mapping[str, Answer] = MappingProxyType({})


class Opening:
    """What is chosen of a complaint before it is one; what was told lies in the journal.

    `symptom`: chosen, its place not told; `listed`: own words confirmed or passed over; `panel` and
    `answers`: what they gave so far.
    """

    def __init__(
        self, base: Base, journal: Journal, understanding: Callable[[], Understanding] | None
    ) -> None:
        """`understanding` gives what reads own words, where it is made already."""
        self._base = base
        self._journal = journal
        self._making = understanding or (lambda: Understanding(base))
        self._reading: ReadText | None = None
        self.clear()

    def clear(self) -> None:
        """Nothing is chosen any more."""
        self.symptom = ""
        self.wait()

    def wait(
        self, listed: bool = False, panel: str = "", answers: Mapping[str, Answer] = _NOTHING
    ) -> None:
        """What own words gave waits for the symptom, or nothing does."""
        self.listed, self.panel, self.answers = listed, panel, answers

    @property
    def stage(self) -> Stage:
        """What is wanted: own words first, then what they left open."""
        if self.symptom:
            return Stage.PANEL
        if self.listed:
            return Stage.SYMPTOM
        return Stage.CONFIRM if self.text() else Stage.WORDS

    @cached_property
    def understanding(self) -> Understanding:
        """What reads a person's own words; made when first asked for, which takes a moment."""
        return self._making()

    def text(self) -> str:
        """What was told since the last complaint was begun."""
        for event in reversed(live(self._journal.events())):
            if event.kind is EventKind.COMPLAINED:
                return ""
            if event.kind is EventKind.NOTED and event.key == TOLD:
                return event.text.rpartition("\n")[2]
        return ""

    @property
    def vehicle(self) -> str:
        """What is on record of the kind of vehicle: as written down, else in what was told."""
        facts = self._journal.case.facts
        return facts.get("vehicle") or facts.get(TOLD, "")

    def proposed(self) -> ReadText:
        """What the words told last may say, to be confirmed."""
        text = self.text()
        if self._reading is None or self._reading.text != text:
            day = self._journal.events()[-1].at.date()
            self._reading = reading(self._base, text, self.understanding.read(text, day))
        return self._reading

    def places(self) -> tuple[str, ...]:
        """The places that the words told last may mean: a rear door, of whichever side."""
        return self._said(PLACE)

    def symptoms(self) -> tuple[str, ...]:
        """The symptoms that the words told last may mean, the likeliest first."""
        return self._said(SYMPTOM)

    def _said(self, subject: str) -> tuple[str, ...]:
        lines = self.proposed().lines if self.text() else ()
        return tuple(dict.fromkeys(str(line.value) for line in lines if line.subject == subject))

    def tell(self, text: str) -> None:
        """A person says in own words what is wrong; it is written down before it is read."""
        self._note(TOLD, (" ".join(text.split()),))

    def skip_words(self) -> None:
        """Go to the list of symptoms; what was told stays told."""
        self.listed = True

    def confirm(self, confirmed: ReadText) -> None:
        """Keep what is confirmed, and in the person's words what found no home."""
        if confirmed.kept:
            self._note(NOT_UNDERSTOOD, confirmed.kept)
        self.wait(True, confirmed.panel, confirmed.answers)

    def _note(self, fact: str, lines: Sequence[str]) -> Event:
        """Further lines of a fact."""
        before = self._journal.case.facts.get(fact, "")
        text = "\n".join([*(before.split("\n") if before else []), *lines])
        return self._journal.add(EventKind.NOTED, key=fact, text=text)
