"""The callback line by line: for pipes, dumb terminals and screen readers.

The same dialogue as on the screens. An answer is its number, its words, a number with its unit, or
one of the letters that every prompt names.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TextIO

from diagnose.knowledge.answers import BadAnswer, parse, says
from diagnose.knowledge.model import Check, Symptom
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.verify import near
from diagnose.reasoning import explain
from diagnose.reasoning.question import STOP_WORDS, Question
from diagnose.report.text import clean
from diagnose.terminal.dialogue import Dialogue, Stage, Step
from diagnose.terminal.words import HARM, KEYS, how_done, pick, symptom_words, told, why_asked


class Leave(Exception):
    """The person leaves; everything is kept."""


class Plain:
    """Runs a dialogue over two streams."""

    def __init__(self, dialogue: Dialogue, source: TextIO, out: TextIO, prompt: bool) -> None:
        self._dialogue = dialogue
        self._source = source
        self._out = out
        self._prompt = prompt

    def run(self) -> None:
        """Ask until concluded; raises Leave where the person goes or the input ends."""
        while True:
            step = self._dialogue.step()
            if step.stage is Stage.CONCLUDED:
                return
            self._stages()[step.stage](step)

    def _stages(self) -> dict[Stage, Callable[[Step], None]]:
        return {
            Stage.SYMPTOM: self._symptom,
            Stage.PANEL: self._panel,
            Stage.CHECK: self._check,
            Stage.ENOUGH: self._enough,
        }

    # Saying and hearing

    def say(self, words: str = "") -> None:
        """One line out, its indentation kept."""
        indent = words[: len(words) - len(words.lstrip(" "))]
        print(indent + clean(words), file=self._out)

    def hear(self, prompt: str) -> str:
        """One line in, without control characters."""
        if self._prompt:
            print(prompt, end=" ", file=self._out, flush=True)
        line = self._source.readline()
        if not line:
            raise Leave
        return clean(line)

    def _listed(self, words: Sequence[str]) -> None:
        for number, item in enumerate(words, 1):
            self.say(f"  {number:2}. {item}")

    # Stages

    def _symptom(self, step: Step) -> None:
        symptoms = list(self._dialogue.base.symptoms.values())
        self.say(
            "What is wrong with the wrap? A number, a word (such as 'peeling'), or q to leave."
        )
        self._by_group(symptoms)
        found = symptoms
        while True:
            text = self.hear("Symptom:")
            if text == "q":
                raise Leave
            chosen = pick(text, [s.id for s in found], [s.name for s in found])
            matching = [s for s in symptoms if text and text.casefold() in symptom_words(s)]
            if chosen or len(matching) == 1:
                self._dialogue.say_symptom(chosen or matching[0].id)
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
            if panel:
                self._dialogue.say_panel(panel)
                return
            self.say(f"No place is called '{text}'{near(text, set(names))}.")

    def _check(self, step: Step) -> None:
        check = step.check
        assert check is not None
        self._standing()
        self._ask(check)
        while True:
            text = self.hear("Answer:")
            if text.casefold() in dict(KEYS) and text.casefold() not in check.answers:
                if self._key(text.casefold(), check, step.question):
                    return
                continue
            try:
                labels = list(check.answers)
                words = [a.says for a in check.answers.values()]
                chosen = pick(text, labels, words) if labels else None
                self._dialogue.answer(check.id, chosen or parse(check, text))
                self._contradictions()
                return
            except BadAnswer as error:
                self.say(f"{told(check, error)}.")

    def _ask(self, check: Check) -> None:
        self.say()
        self.say(f"{check.ask}")
        if check.harm != "none":
            self.say(f"  Mind: {HARM[check.harm]}")
        for caution in check.cautions:
            self.say(f"  Caution: {self._dialogue.base.cautions[caution].say}")
        if check.number:
            number = check.number
            self.say(f"  A number in {number.unit}, {number.low:g} to {number.high:g}.")
        self._listed([a.says for a in check.answers.values()])
        self.say("  " + ", ".join(f"{key} {words}" for key, words in KEYS))

    def _key(self, key: str, check: Check, question: Question | None) -> bool:
        """Act on a letter; True where the question is done with."""
        if key == "w":
            for line in why_asked(self._dialogue.base, check, question):
                self.say(line)
            return False
        if key == "h":
            for line in how_done(check):
                self.say(line)
            return False
        acts: dict[str, Callable[[], object]] = {
            "u": lambda: self._dialogue.could_not_tell(check.id),
            "n": lambda: self._dialogue.cannot_here(check.id),
            "b": self._dialogue.undo,
            "c": self._change,
            "s": self._dialogue.conclude,
        }
        if key == "q":
            raise Leave
        acts[key]()
        return True

    def _change(self) -> None:
        answered = self._dialogue.answered()
        if not answered:
            self.say("Nothing is answered yet.")
            return
        self._listed([f"{check.name}: {says(check, answer)}" for check, answer in answered])
        text = self.hear("Which one? (Enter: none)")
        chosen = pick(text, [c.id for c, _ in answered], [c.name for c, _ in answered])
        if chosen:
            self._dialogue.take_back(chosen)
            self._check(Step(Stage.CHECK, self._dialogue.base.checks[chosen]))

    def _enough(self, step: Step) -> None:
        assert step.stop is not None
        self._standing()
        self.say()
        self.say(STOP_WORDS[step.stop])
        more = step.stop != "nothing_tells"
        self.say("  s conclude, b back, c change an answer" + (", g ask on" if more else "") + ".")
        acts: dict[str, Callable[[], object]] = {
            "": self._dialogue.conclude,
            "s": self._dialogue.conclude,
            "b": self._dialogue.undo,
            "c": self._change,
            "g": self._dialogue.go_on,
        }
        while True:
            text = self.hear("Conclude?").casefold()
            if text == "q":
                raise Leave
            if text in acts:
                acts[text]()
                return

    def _standing(self) -> None:
        """The three likeliest causes, with numbers."""
        diagnosis = self._dialogue.diagnosis()
        if diagnosis is None:
            return
        shown = [s for s in diagnosis.differential.standings if not s.ruled_out][:3]
        parts = [f"{s.cause.name} {s.probability:.0%}" for s in shown]
        parts.append(f"not listed {diagnosis.differential.unlisted:.0%}")
        self.say("Stands at: " + "; ".join(parts))

    def _contradictions(self) -> None:
        diagnosis = self._dialogue.diagnosis()
        if diagnosis is None:
            return
        for because, answers in explain.contradictions(self._dialogue.base, diagnosis.trace):
            seen = "; ".join(f"{name}: {words}" for name, words in answers)
            self.say(f"! Two answers do not fit together ({seen}). {because}")
        for symptom, tells, _ in explain.looks_like(self._dialogue.base, diagnosis):
            name = self._dialogue.base.symptoms[symptom].name
            self.say(f"! This may rather be {name.lower()}: {tells}")
