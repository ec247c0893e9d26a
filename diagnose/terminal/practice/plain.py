"""The practice line by line: for pipes, dumb terminals and screen readers.

Same desk as on the screens. A check is done by its number, its name or a word of it; letters do the
rest, and every prompt names them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TextIO

from diagnose.dialogue.words import cautions, how_done, pick
from diagnose.knowledge.model import Check
from diagnose.near import near
from diagnose.practice import progress_words, wording
from diagnose.practice.drills import drill as drills
from diagnose.practice.drills.drill import Drill, NoDrill
from diagnose.practice.exam_page import text as exam_text
from diagnose.practice.progress.apprentice import ApprenticeDesk
from diagnose.practice.progress.exam import Exam
from diagnose.practice.progress.plan import EmptyBank
from diagnose.practice.session.belief import BadBelief, read_belief
from diagnose.practice.session.feedback import feedback
from diagnose.practice.session.session import Decision, NotNow, Session, offered, remedies_offered
from diagnose.reasoning.explanation.explain import cause_name
from diagnose.report.drawings import SYMPTOM_SCENES, as_text
from diagnose.terminal.callback.plain import Leave
from diagnose.terminal.lines import hear, say

KEYS = (
    ("l", "list the checks"),
    ("k", "what is known"),
    ("d", "list the causes"),
    ("b", "say what you believe"),
    ("c", "commit: cause, first remedy, payer"),
    ("h", "how a check is done"),
    ("p", "how points are given"),
    ("q", "leave; go on later"),
)

NO_REMEDY = "no remedy yet"

_HARMED = {
    "minor": " This leaves a slight mark on film or paint.",
    "destructive": " This destroys film or paint at that place.",
}

MENU = (
    ("case", "Next case"),
    ("week", "First week: five cases a day"),
    *((kind, f"Drill: {asks}") for kind, asks in drills.NAMES.items()),
    ("exam", "Exam of ten cases"),
    ("progress", "Progress"),
)


class PlainPractice:
    """Runs a desk over two streams."""

    def __init__(self, desk: ApprenticeDesk, source: TextIO, out: TextIO) -> None:
        self._desk = desk
        self._base = desk.judge.base
        self._source = source
        self._out = out
        self._warned: set[str] = set()

    def run(self, action: str | None) -> None:
        """Do one thing, or offer all of them until the person leaves; raises Leave."""
        acts = self._acts()
        if action is not None:
            acts[action]()
            return
        while True:
            self.say("Practice. What next? q to leave.")
            self.say(progress_words.stand(self._desk.progress, self._desk.clock()))
            self._listed([words for _, words in MENU])
            text = self.hear("Number:")
            if text == "q":
                raise Leave
            chosen = pick(text, [a for a, _ in MENU], [words for _, words in MENU])
            if chosen:
                acts[chosen]()
            else:
                self.say(f"'{text}' is none of these.")

    def _acts(self) -> dict[str, Callable[[], None]]:
        return {
            "case": self.case,
            "week": self.week,
            "exam": self.exam,
            "progress": self.progress,
            **{kind: lambda kind=kind: self.drill(kind) for kind in drills.KINDS},  # type: ignore[misc]
        }

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

    # A case

    def case(self) -> None:
        """Practise one case and hear what it teaches."""
        try:
            session = self._desk.begin()
        except EmptyBank as error:
            self.say(f"{error}.")
            return
        self._teach(session)

    def week(self) -> None:
        """The next case of the first week, after where it stands."""
        session = self._desk.week_case()
        week = self._desk.week()
        for line in progress_words.week_plan(self._base, week):
            self.say(line)
        if session is not None:
            self.say(f"{progress_words.week_head(week)}.")
            self._teach(session)
        else:
            self.say(progress_words.RESTS if week.next else progress_words.WEEK_DONE)

    def _teach(self, session: Session) -> None:
        decided = self._play(session, "")
        self._desk.finish(decided)
        self.say("Reckoning what your path told…")
        found = feedback(self._desk.judge, decided, self._desk.before())
        for line in wording.feedback_lines(self._base, found):
            self.say(line)
        for check in found.drawn:
            self._describe(check)
        self.say()

    def _play(self, session: Session, exam_id: str) -> Session:
        """Look, believe, decide."""
        self._open(session)
        while session.decision is None:
            text = self.hear("Check or letter:")
            session = self._act(session, text)
            self._desk.keep(session, exam_id)
        return session

    def _open(self, session: Session) -> None:
        item = session.item
        self.say()
        self.say(f"A {item.grade} case.")
        for line in wording.opening(self._base, item):
            self.say(line)
        self._describe(item.symptom)
        if session.looks:
            self._known(session)
        self.say(
            "Do a check by its name or a word of it. " + ", ".join(f"{k} {w}" for k, w in KEYS)
        )

    def _describe(self, drawing: str) -> None:
        """The sentence in place of a drawing."""
        sentence = as_text(drawing)
        if sentence:
            self.say(f"[Drawing: {sentence}]")

    def _act(self, session: Session, text: str) -> Session:
        acts: dict[str, Callable[[Session], Session]] = {
            "l": self._list_checks,
            "k": self._known,
            "d": self._list_causes,
            "b": self._believe,
            "c": self._commit,
            "h": self._how,
            "p": self._points,
        }
        if text == "q":
            raise Leave
        if text.casefold() in acts:
            return acts[text.casefold()](session)
        return self._look(session, text) if text else session

    def _look(self, session: Session, text: str) -> Session:
        check = self._check_meant(session, text)
        if check is None:
            return session
        try:
            session = session.look(self._base, check)
        except NotNow as error:
            self.say(f"{error}.")
            return session
        found = self._base.checks[check]
        self.say(f"{found.name}: {wording.look_words(self._base, session.item, check)}")
        harm = _HARMED.get(found.harm, "")
        self.say(f"  {found.minutes:g} min, {session.minutes(self._base):g} in all.{harm}")
        self._beware(found)
        return session

    def _beware(self, check: Check) -> None:
        """What to beware of: a new caution with its first sentence, one told before by its name."""
        named = self._base.cautions
        for caution in [c for c in check.cautions if c not in self._warned]:
            self._warned.add(caution)
            first = named[caution].say.partition(". ")[0].removesuffix(".")
            self.say(f"  Caution at a real car, {named[caution].name.lower()}: {first}.")
        if check.cautions:
            names = "; ".join(named[c].name.lower() for c in check.cautions)
            self.say(f"  Beware of: {names} (h tells all of it).")

    def _check_meant(self, session: Session, text: str) -> str | None:
        """The check that a number, a name or a word means; says what fits where several do."""
        listed = self._grouped(session)
        names = {name: check.name for name, check in self._base.checks.items()}
        chosen = pick(text, listed, [names[c] for c in listed])
        if chosen:
            return chosen
        everything = list(names)
        if not text.isdigit() and (chosen := pick(text, everything, list(names.values()))):
            return chosen
        folded = text.casefold()
        fitting = wording.with_word(self._base, listed, folded)
        if len(fitting) == 1:
            return fitting[0]
        if fitting:
            self.say("Several checks fit; say more of the name:")
            self._say_grouped(fitting, listed)
        else:
            known = {name.casefold() for name in names.values()}
            self.say(f"No check is called '{text}'{near(folded, known)}.")
        return None

    def _grouped(self, session: Session) -> list[str]:
        """The checks on offer in the order in which they are listed and numbered."""
        return wording.by_place(self._base, offered(self._desk.judge, session))

    def _list_checks(self, session: Session) -> Session:
        listed = self._grouped(session)
        self._say_grouped(listed, listed)
        self.say("A word, such as 'edge', lists the checks that speak of it.")
        return session

    def _say_grouped(self, shown: Sequence[str], listed: Sequence[str]) -> None:
        """Checks under the place where they are done, with their numbers."""
        place = ""
        for check in shown:
            if self._base.checks[check].place != place:
                place = self._base.checks[check].place
                self.say(f"  {wording.PLACES[place]}")
            self.say(f"  {listed.index(check) + 1:3}. {wording.check_line(self._base, check)}")

    def _known(self, session: Session) -> Session:
        for line in wording.looked(self._base, session):
            self.say(f"  {line}")
        return session

    def _causes(self, session: Session) -> list[str]:
        return list(self._desk.judge.causes(session.item.symptom))

    def _list_causes(self, session: Session) -> Session:
        self._listed([cause_name(self._base, c) for c in self._causes(session)])
        return session

    def _how(self, session: Session) -> Session:
        check = self._check_meant(session, self.hear("Which check?"))
        if check:
            found = self._base.checks[check]
            for line in (*how_done(found), *cautions(self._base, found)):
                self.say(f"  {line}")
        return session

    def _points(self, session: Session) -> Session:
        self.say(f"  {wording.SCORING}")
        return session

    def _believe(self, session: Session) -> Session:
        self._list_causes(session)
        self.say("One cause, or several with their percent, such as: 3 70, 5 20. The rest goes to")
        self.say("the others by how common they are. One cause alone is 100 percent.")
        causes = self._causes(session)
        names = [cause_name(self._base, c) for c in causes]
        usual = self._desk.judge.usual(session.item.symptom)
        while True:
            text = self.hear("Belief (Enter: leave it):")
            if not text:
                return session
            try:
                belief = read_belief(text, lambda word: _meant(word, causes, names), usual)
            except BadBelief as error:
                self.say(f"{error}.")
                continue
            self.say(f"  {wording.belief_words(self._base, belief)}")
            return session.think(belief)

    def _commit(self, session: Session) -> Session:
        """Decide; causes keep the numbers by which they were believed."""
        if session.belief is None or session.thoughts[-1].after < len(session.looks):
            self.say("First, what you believe now.")
            session = self._believe(session)
            if session.belief is None:
                return session
            session = session.think(session.belief)
        assert session.belief is not None
        belief = session.belief
        causes = self._causes(session)
        named = [cause_name(self._base, c) for c in causes]
        self.say(f"You believe: {wording.belief_words(self._base, belief)}.")
        most = max(causes, key=lambda c: belief[c])
        cause = self._choose("Cause", causes, named, most)
        remedies = remedies_offered(self._base, session.item)
        names = [self._base.remedies[r].name for r in remedies]
        chosen = self._choose("First remedy", ["none", *remedies], [NO_REMEDY, *names])
        remedy = "" if chosen == "none" else chosen
        payers = list(self._base.payers)
        payer = self._choose("Payer", payers, [self._base.payers[p].name for p in payers])
        return session.commit(Decision(cause, remedy, payer))

    def _choose(self, what: str, ids: Sequence[str], names: Sequence[str], most: str = "") -> str:
        """One of a list; Enter takes the one that is believed `most`, where one is."""
        self._listed(names)
        by_enter = " (Enter: what you believe most)" if most else ""
        while True:
            text = self.hear(f"{what}{by_enter}:")
            if text == "q":
                raise Leave
            if not text and most:
                return most
            chosen = _meant(text, ids, names)
            if chosen:
                return chosen
            known = {name.casefold() for name in names}
            self.say(f"No {what.lower()} is called '{text}'{near(text.casefold(), known)}.")

    # An exam

    def exam(self) -> None:
        """Ten cases without feedback between, then the result."""
        under_way = self._desk.begin_exam()
        while (session := self._desk.exam_case(under_way)) is not None:
            self._say_place(under_way)
            self._desk.finish(self._play(session, under_way.id), under_way.id)
        result = self._desk.exam_result(under_way)
        self.say()
        for line in exam_text(self._base, result).splitlines():
            self.say(line)

    def _say_place(self, under_way: Exam) -> None:
        done = sum(a.exam == under_way.id for a in self._desk.progress.attempts)
        self.say()
        self.say(f"Exam: case {done + 1} of {len(under_way.items)}.")

    # Drills and progress

    def drill(self, kind: str) -> None:
        """One drill."""
        try:
            drill = self._desk.drill(kind, SYMPTOM_SCENES)
        except NoDrill as error:
            self.say(f"{error}.")
            return
        self.say()
        self.say(drill.ask)
        if kind == drills.DRAWING:
            self.say(f"[Drawing: {SYMPTOM_SCENES[drill.about[0]].description}]")
        self._listed([option.says for option in drill.options])
        marking = self._desk.mark(drill, self._picked(drill))
        for line in wording.marking_lines(self._base, drill, marking):
            self.say(f"  {line}")
        if kind == drills.DRAWING and marking.wrong:
            chosen = SYMPTOM_SCENES.get(marking.wrong[0])
            if chosen:
                self.say(f"  [What you chose would be drawn so: {chosen.description}]")

    def _picked(self, drill: Drill) -> list[str]:
        ids = [option.id for option in drill.options]
        names = [option.says for option in drill.options]
        prompt = "Numbers, with commas between:" if drill.several else "Number:"
        while True:
            text = self.hear(prompt)
            if text == "q":
                raise Leave
            parts = [part for part in text.split(",") if part.strip()] if drill.several else [text]
            chosen = [pick(part, ids, names) for part in parts]
            if chosen and None not in chosen:
                return [c for c in chosen if c]
            self.say(f"'{text}' is none of these: say numbers from 1 to {len(ids)}.")

    def progress(self) -> None:
        """How the apprentice stands."""
        lines = progress_words.progress_lines(self._base, self._desk.progress, self._desk.clock())
        for line in lines:
            self.say(line)


_WORD = 3
"""Letters from which a part of a name may stand for it."""


def _meant(text: str, ids: Sequence[str], names: Sequence[str]) -> str | None:
    """What a number or a name means, or a part of a name that no other has."""
    chosen = pick(text, ids, names)
    part = text.casefold().strip()
    if chosen or len(part) < _WORD or not any(map(str.isalpha, part)):
        return chosen
    fitting = [found for found, name in zip(ids, names, strict=True) if part in name.casefold()]
    return fitting[0] if len(fitting) == 1 else None
