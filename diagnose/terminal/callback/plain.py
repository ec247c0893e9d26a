"""The callback line by line: for pipes, dumb terminals and screen readers.

The same dialogue as on the screens. An answer is its number, its words, a number with its unit, or
one of the letters that every prompt names.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import TextIO, assert_never

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.elsewhere import entered_elsewhere
from diagnose.dialogue.search import Search, in_groups, place_items, symptom_item
from diagnose.dialogue.step import Stage, Step
from diagnose.dialogue.words import (
    KEYS,
    answers_listed,
    cautions,
    doubts,
    enough_words,
    heard,
    how_done,
    later_words,
    number_asked,
    pick,
    several_asked,
    taken_back,
    told,
    what_changes,
    why_asked,
    why_cause,
    worth_words,
)
from diagnose.knowledge.logic.answers import BadAnswer, says
from diagnose.knowledge.model import Check, Symptom
from diagnose.knowledge.model.kinds import NumberKind, SeveralKind
from diagnose.knowledge.panels import PANELS
from diagnose.near import near
from diagnose.records.store.database import StoreError
from diagnose.report.formats.blocks import whole_percent
from diagnose.terminal.callback.plain_words import PlainWords
from diagnose.terminal.lines import hear, say

RATHER = ("r", "it is rather that")
"""The letter by which a complaint becomes the symptom that it may rather be, and its words."""


class Leave(Exception):
    """The person leaves; everything is kept."""


class Plain:
    """Runs a dialogue over two streams."""

    def __init__(self, dialogue: Dialogue, source: TextIO, out: TextIO) -> None:
        self._dialogue = dialogue
        self._source = source
        self._out = out
        self._said: set[tuple[str, str, str]] = set()
        self._lettered: Sequence[tuple[str, str]] = ()
        self._changing = ""

    def run(self) -> None:
        """Ask until concluded; raises Leave where the person goes or the input ends."""
        while True:
            self._news()
            step = self._dialogue.step()
            if step.stage is Stage.CONCLUDED:
                return
            try:
                self._at(step)
            except StoreError as error:
                # Nothing was entered: it is asked again, for there may be room by then.
                self.say(str(error))

    def _news(self) -> None:
        """Say what another program entered on this case, before the next question."""
        told = entered_elsewhere(self._dialogue.base, self._dialogue.news())
        if told:
            self.say(told)

    def _at(self, step: Step) -> None:
        """Do what the dialogue waits for."""
        match step.stage:
            case Stage.WORDS:
                self._own().ask()
            case Stage.CONFIRM:
                self._own().confirm()
            case Stage.SYMPTOM:
                self._symptom(step)
            case Stage.PANEL:
                self._panel(step)
            case Stage.CHECK:
                self._check(step)
            case Stage.ENOUGH:
                self._enough(step)
            case Stage.CONCLUDED:
                return
            case _:
                assert_never(step.stage)

    # Saying and hearing

    def say(self, words: str = "") -> None:
        """One line out."""
        say(self._out, words)

    def hear(self, prompt: str) -> str:
        """One line in; raises Leave where the input ends."""
        line = hear(self._source, self._out, prompt)
        if line is None:
            raise Leave
        return line

    def _listed(self, words: Sequence[str]) -> None:
        for number, item in enumerate(words, 1):
            self.say(f"  {number:2}. {item}")

    # Stages

    def _own(self) -> PlainWords:
        return PlainWords(self._dialogue, self.say, self._leaving, self._search)

    def _leaving(self, prompt: str) -> str:
        """One line in; raises Leave also where the person says so."""
        text = self.hear(prompt)
        if text == "q":
            raise Leave
        return text

    @cached_property
    def _search(self) -> Search:
        return Search(lambda: self._dialogue.opening.understanding)

    def _symptom(self, step: Step) -> None:
        symptoms = in_groups(self._dialogue.base)
        self.say(
            "What is wrong with the wrap? A number, a word (such as 'peeling'), or q to leave."
        )
        self._by_group(symptoms)
        said = self._dialogue.opening.symptoms()
        if said:
            at = {s.id: f"{n}. {s.name}" for n, s in enumerate(symptoms, 1)}
            self.say("As you said: " + "; ".join(at[name] for name in said))
        items = {s.id: symptom_item(s) for s in symptoms}
        found = symptoms
        while True:
            text = self.hear("Symptom:")
            if text == "q":
                raise Leave
            if not text:
                continue
            chosen = pick(text, [s.id for s in found], [s.name for s in found])
            matching = [
                self._dialogue.base.symptoms[i.id] for i in self._search(list(items.values()), text)
            ]
            if chosen or len(matching) == 1:
                taken = self._dialogue.base.symptoms[chosen or matching[0].id]
                self.say(f"{taken.name}: {taken.look}")
                self._dialogue.say_symptom(taken.id)
                return
            if matching:
                found = matching
                self._listed([f"{s.name}: {s.look}" for s in found])
            else:
                names = {s.name.casefold() for s in symptoms}
                self.say(f"Nothing is called '{text}'{near(text.casefold(), names)}.")

    def _by_group(self, symptoms: Sequence[Symptom]) -> None:
        group = ""
        for number, symptom in enumerate(symptoms, 1):
            if symptom.group != group:
                group = symptom.group
                self.say(group)
            self.say(f"  {number:2}. {symptom.name}")

    def _panel(self, step: Step) -> None:
        names = list(PANELS.values())
        self.say("Where on the vehicle? A number or a name; b to go back.")
        said = self._dialogue.opening.places()
        if said:
            meant = (f"{list(PANELS).index(panel) + 1}. {PANELS[panel]}" for panel in said)
            self.say("As you said: " + "; ".join(meant) + ". Or:")
        numbered = [f"{number}. {name}" for number, name in enumerate(names, 1)]
        for start in range(0, len(numbered), 4):
            self.say("  " + "; ".join(numbered[start : start + 4]))
        while True:
            text = self.hear("Place:")
            if text == "q":
                raise Leave
            if text == "b":
                self._dialogue.undo()
                return
            panel = pick(text, list(PANELS), names)
            places = place_items(self._dialogue.base)
            one = None if panel else self._search.one(places, text)
            if panel or one:
                self._dialogue.say_panel(panel or (one.id if one else ""))
                return
            found = self._search(places, text)
            if found:
                self.say("Which of them: " + "; ".join(item.name for item in found) + "?")
            else:
                self.say(f"No place is called '{text}'{near(text, set(names))}.")

    def _check(self, step: Step) -> None:
        check = step.check
        assert check is not None
        self._standing()
        keys = (*KEYS, RATHER) if step.rather else KEYS
        if step.between:
            self.say(f"! {step.between}")
        self._ask(check, keys)
        if step.question:
            self.say(f"  It {worth_words(step.question)}.")
        while True:
            text = self.hear("Answer:")
            if text == "?":
                self._letters(keys)
                self.say(f"  {several_asked(check.kind)}")
                continue
            if text.casefold() in dict(keys) and text.casefold() not in check.answers:
                if self._key(text.casefold(), check, step):
                    return
                continue
            try:
                self._dialogue.answer(check.id, heard(check, text))
                self._contradictions()
                return
            except BadAnswer as error:
                self.say(told(check, error))

    def _ask(self, check: Check, keys: Sequence[tuple[str, str]]) -> None:
        self.say()
        self.say(f"{check.ask}")
        for line in cautions(self._dialogue.base, check):
            self.say(f"  {line}")
        if isinstance(check.kind, NumberKind):
            self.say(f"  {number_asked(check.kind)}")
        self._listed(list(answers_listed(check).values()))
        if isinstance(check.kind, SeveralKind):
            self.say(f"  {several_asked(check.kind)}")
        if self._lettered == keys:
            self.say(f"  ? lists the letters: {', '.join(key for key, _ in keys)}")
        else:
            self._letters(keys)

    def _letters(self, keys: Sequence[tuple[str, str]]) -> None:
        """What every letter does; told again only where other letters are in use."""
        self._lettered = keys
        self.say("  " + ", ".join(f"{key} {words}" for key, words in keys))

    def _key(self, key: str, check: Check, step: Step) -> bool:
        """Act on a letter; True where the question is done with."""
        told = self._told_by(key, check, step)
        if told is not None:
            for line in told:
                self.say(line)
            return False
        acts: dict[str, Callable[[], object]] = {
            "u": lambda: self._dialogue.could_not_tell(check.id),
            "n": lambda: self._cannot_here(check),
            "b": self._back,
            "c": self._change,
            "s": self._dialogue.conclude,
            "a": self._dialogue.another_complaint,
            "r": lambda: self._rather(step),
        }
        if key == "q":
            raise Leave
        acts[key]()
        return True

    def _cannot_here(self, check: Check) -> None:
        if self._changing:
            self._dialogue.take_back(check.id)
        self._dialogue.cannot_here(check.id)

    def _back(self) -> None:
        """Take back the last entry, and say which it was; what was to be changed stays as it is."""
        event = None if self._changing else self._dialogue.undo()
        if event is not None:
            self.say(taken_back(self._dialogue.base, event))

    def _told_by(self, key: str, check: Check | None, step: Step) -> Sequence[str] | None:
        """What a letter tells; None for a letter that does something."""
        base, diagnosis = self._dialogue.base, self._dialogue.diagnosis()
        if check and key == "w":
            return why_asked(base, check, step.question)
        if check and key == "h":
            return how_done(check)
        if diagnosis and key == "y":
            return why_cause(base, diagnosis)
        if diagnosis and key == "x":
            return what_changes(base, diagnosis)
        if key == "l":
            return self._dialogue.like()
        return None

    def _rather(self, step: Step) -> None:
        """It is another symptom: that one, or one of several."""
        symptoms = [self._dialogue.base.symptoms[symptom] for symptom, _, _ in step.rather]
        chosen: str | None = symptoms[0].id
        if len(symptoms) > 1:
            self._listed([f"{s.name}: {s.look}" for s in symptoms])
            text = self.hear("Which one is it? (Enter: none)")
            chosen = pick(text, [s.id for s in symptoms], [s.name for s in symptoms])
        if chosen:
            self._dialogue.rather(chosen)
            self.say(f"Now it is: {self._dialogue.base.symptoms[chosen].name}. The answers stay.")

    def _change(self) -> None:
        answered = self._dialogue.answered()
        if not answered:
            self.say("Nothing is answered yet.")
            return
        self._listed([f"{check.name}: {says(check, answer)}" for check, answer in answered])
        text = self.hear("Which one? (Enter: none)")
        chosen = pick(text, [c.id for c, _ in answered], [c.name for c, _ in answered])
        if chosen:
            self._again(self._dialogue.base.checks[chosen])

    def _again(self, check: Check) -> None:
        """Ask for another answer; the one that is there stays until there is."""
        self._changing = check.id
        try:
            self._check(Step(Stage.CHECK, check))
        finally:
            self._changing = ""

    def _enough(self, step: Step) -> None:
        assert step.stop is not None
        diagnosis = self._dialogue.diagnosis()
        assert diagnosis is not None
        self._standing()
        self.say()
        for line in enough_words(self._dialogue.base, diagnosis, step.stop):
            self.say(line)
        for line in later_words(self._dialogue.base, diagnosis):
            self.say(line)
        acts = self._ways(step)
        self.say("  " + ", ".join(f"{key} {words}" for key, (words, _) in acts.items()))
        while True:
            text = self.hear("Conclude?").casefold() or "s"
            if text == "q":
                raise Leave
            told = self._told_by(text, None, step)
            for line in told or ():
                self.say(line)
            if text in acts and told is None:
                acts[text][1]()
                return

    def _ways(self, step: Step) -> dict[str, tuple[str, Callable[[], object]]]:
        """What can be done once enough is known: letter, words, act."""
        ways: dict[str, tuple[str, Callable[[], object]]] = {
            "s": ("conclude", self._dialogue.conclude),
            "a": (
                "conclude, and another complaint on this vehicle",
                self._dialogue.another_complaint,
            ),
            "y": ("why this cause", lambda: None),
            "x": ("what would change it", lambda: None),
            "l": ("closed cases like this one", lambda: None),
            "b": ("back", self._back),
            "c": ("change an answer", self._change),
        }
        if step.more:
            ways["g"] = ("ask on", self._dialogue.go_on)
        if step.rather:
            ways[RATHER[0]] = (RATHER[1], lambda: self._rather(step))
        return ways

    def _standing(self) -> None:
        """The three likeliest causes, with numbers."""
        diagnosis = self._dialogue.diagnosis()
        if diagnosis is None:
            return
        shown = [s for s in diagnosis.differential.standings if not s.ruled_out][:3]
        parts = [f"{s.cause.name} {whole_percent(s.probability)}" for s in shown]
        parts.append(f"not listed {whole_percent(diagnosis.differential.unlisted)}")
        self.say("Stands at: " + "; ".join(parts))

    def _contradictions(self) -> None:
        diagnosis = self._dialogue.diagnosis()
        if diagnosis is None:
            return
        for doubt in doubts(self._dialogue.base, diagnosis):
            seen = "; ".join(f"{name}: {words}" for _, name, words in doubt.answers)
            about = (diagnosis.complaint.symptom, doubt.id, seen)
            if about not in self._said:
                self._said.add(about)
                way = "r, if it is" if doubt.symptom else "c, to change one of them"
                self.say(f"! {doubt.says} ({seen}; {way})")
