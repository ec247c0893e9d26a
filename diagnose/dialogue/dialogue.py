"""The callback's dialogue: what to ask next, and what an answer does. No screen, no input.

Every act is an event appended to a journal before anything else happens, so that nothing entered is
lost; the state is always the fold of the journal. Both faces (screens and plain lines) use this.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from diagnose.dialogue.alike import Alike, Past
from diagnose.dialogue.journals import Journal
from diagnose.dialogue.opening import TOLD, Opening
from diagnose.dialogue.own_words import ReadText
from diagnose.dialogue.pending import Pending
from diagnose.dialogue.step import Stage, Step
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.words import UNLISTED
from diagnose.knowledge.words.understanding import Understanding
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import CarDiagnosis, Diagnosis
from diagnose.reasoning.explanation.explain import looks_like
from diagnose.reasoning.questions.question import Asked, Stop, askable
from diagnose.records.case.complaints import complaints_of, known_part
from diagnose.records.case.journal import (
    Case,
    Complaint,
    Event,
    EventKind,
    last_undoable,
    live,
)

PAUSE = 14
"""Checks of a complaint after which it is said where it stands, before more is asked."""


_REOPENING = (
    EventKind.COMPLAINED,
    EventKind.ANSWERED,
    EventKind.TAKEN_BACK,
    EventKind.SET_ASIDE,
    EventKind.UNDONE,
)
"""What makes a conclusion out of date."""


class Dialogue:
    """A callback under way on one case."""

    def __init__(
        self,
        reasoner: Reasoner,
        journal: Journal,
        understanding: Callable[[], Understanding] | None = None,
        past: Past | None = None,
    ) -> None:
        """`understanding` gives what reads own words, where it is made already.

        `past` gives closed complaints of the shop, which may be of another mind than the answers.
        """
        self._reasoner = reasoner
        self._alike = Alike(self.base, past)
        self._journal = journal
        self.opening = Opening(self.base, journal, understanding)
        self._number: int | None = None
        self._going_on = False
        self._pause = PAUSE
        self._car: tuple[int, CarDiagnosis] | None = None
        if self.case.complaints:
            self._number = self.case.complaints[-1].number

    # What stands

    @property
    def base(self) -> Base:
        """The rule base in use."""
        return self._reasoner.base

    @property
    def case(self) -> Case:
        """The case as it stands, but for complaints of symptoms that these rules do not have."""
        return known_part(self.base, self._journal.case)

    @property
    def complaint(self) -> Complaint | None:
        """The complaint being asked about."""
        # One that another program took back is no more.
        return next((c for c in self.case.complaints if c.number == self._number), None)

    @property
    def symptom(self) -> str | None:
        """The symptom chosen while its place is still to be told, or that of the complaint."""
        return self.opening.symptom or (self.complaint.symptom if self.complaint else None)

    def events(self) -> Sequence[Event]:
        """The journal."""
        return self._journal.events()

    def news(self) -> Sequence[Event]:
        """What another program entered on this case since this was last asked."""
        return self._journal.news()

    def car(self) -> CarDiagnosis:
        """The diagnosis of all complaints, reckoned once after each event."""
        count = len(self._journal.events())
        if self._car is None or self._car[0] != count:
            told = complaints_of(self.base, self.case)
            each = zip(told, self.case.complaints, strict=True)
            asked = (replace(a, told_before=self._told_before(c)) for a, c in each)
            self._car = (count, self._reasoner.car(tuple(asked)))
        return self._car[1]

    def _told_before(self, complaint: Complaint) -> frozenset[str]:
        """What is known without having been asked of a complaint: of the car, or in own words."""
        return frozenset(self.case.answers(complaint)) - self._asked_of(complaint.number)

    def diagnosis(self) -> Diagnosis | None:
        """The diagnosis of the complaint being asked about."""
        if self.complaint is None:
            return None
        place = self.case.complaints.index(self.complaint)
        return self.car().diagnoses[place]

    def like(self) -> tuple[str, ...]:
        """Closed cases that are most like the complaint being asked about, in words."""
        diagnosis = self.diagnosis()
        return self._alike.like(diagnosis, self.case.id) if diagnosis else ()

    def read_past(self) -> None:
        """Read closed complaints of the symptom, in the thread that their store belongs to."""
        if self.complaint is not None:
            self._alike.past(self.complaint.symptom)

    def answered(self) -> tuple[tuple[Check, Answer], ...]:
        """The answers of this complaint and of the vehicle, in the order given."""
        if self.complaint is None:
            return ()
        answers = self.case.answers(self.complaint)
        order = {e.key: e.number for e in self._journal.events() if e.kind is EventKind.ANSWERED}
        names = sorted((n for n in answers if n in self.base.checks), key=lambda n: order.get(n, 0))
        return tuple((self.base.checks[n], answers[n]) for n in names)

    # What stands in no event

    def pending(self) -> Pending:
        """What was chosen and stands in no event yet."""
        opening = self.opening
        return Pending(
            self._number,
            opening.symptom,
            opening.listed,
            opening.panel,
            opening.answers,
            self._going_on,
            self._pause,
        )

    def resume(self, pending: Pending) -> None:
        """Go on from what was pending; a complaint that is gone meanwhile is passed over."""
        numbers = [c.number for c in self.case.complaints]
        last = numbers[-1] if numbers else None
        self._number = pending.number if pending.number in (None, *numbers) else last
        self.opening.symptom = pending.symptom
        self.opening.wait(pending.listed, pending.panel, pending.answers)
        self._going_on = pending.going_on
        self._pause = pending.pause or PAUSE

    # What comes next

    def step(self) -> Step:
        """What the dialogue waits for now."""
        if self.complaint is None or self.opening.symptom:
            return Step(self.opening.stage)
        diagnosis = self.diagnosis()
        assert diagnosis is not None
        rather = looks_like(self.base, diagnosis)
        if self._concluded() and not self._going_on:
            return Step(Stage.CONCLUDED, rather=rather)
        first = self._intake(diagnosis)
        if first is not None:
            return Step(Stage.CHECK, check=first, rather=rather)
        choice = diagnosis.choice
        between = self._alike.deciding(diagnosis) if self._count() < self._pause else None
        if between is not None:
            question, words = between
            check = self.base.checks[question.asks[0]]
            return Step(Stage.CHECK, check, question, rather=rather, between=words)
        if not choice.questions or (choice.stop is not None and not self._going_on):
            return self._enough(diagnosis, rather)
        if self._count() >= self._pause:
            return Step(Stage.ENOUGH, stop=Stop.MANY_ASKED, more=True, rather=rather)
        question = choice.questions[0]
        check = self.base.checks[question.asks[0]]
        return Step(Stage.CHECK, check, question, rather=rather)

    def _enough(self, diagnosis: Diagnosis, rather: tuple[tuple[str, str, str], ...]) -> Step:
        """Before stopping in doubt, the check that tells the symptom from its look-alikes."""
        choice = diagnosis.choice
        stop = choice.stop or Stop.NOTHING_TELLS
        doubtful = stop in (Stop.NOTHING_FITS, Stop.NOTHING_TELLS) and not self._tells_nothing()
        if doubtful and self._count() < self._pause:
            check = self._look_alike(diagnosis)
            if check is not None:
                return Step(Stage.CHECK, check, rather=rather)
        return Step(Stage.ENOUGH, stop=stop, more=bool(choice.questions), rather=rather)

    def _tells_nothing(self) -> bool:
        """Whether a person could tell none of what was asked of this complaint."""
        assert self.complaint is not None
        answers = self.case.answers(self.complaint)
        asked = [answer for name, answer in answers.items() if name not in self.base.intake]
        return bool(asked) and all(answer is UNKNOWN for answer in asked)

    def _look_alike(self, diagnosis: Diagnosis) -> Check | None:
        asked = _asked(diagnosis)
        leading = diagnosis.differential.leading
        if leading and leading.probability >= self.base.scales.probable_percent / 100:
            return None
        symptom = diagnosis.differential.symptom
        for other in self.base.symptoms[symptom].confused_with:
            check = self.base.checks.get(other.check or "")
            seen = check and check.harm == "none" and self.base.is_seen_at(check, symptom)
            if check and seen and askable(self.base, check, asked):
                return check
        return None

    def _intake(self, diagnosis: Diagnosis) -> Check | None:
        asked = _asked(diagnosis)
        for name in self.base.intake:
            if askable(self.base, self.base.checks[name], asked):
                return self.base.checks[name]
        return None

    def _count(self) -> int:
        """Checks tried since this complaint began; what was told in own words was not asked."""
        assert self._number is not None
        return len(self._asked_of(self._number) - set(self.base.intake))

    def _asked_of(self, number: int) -> frozenset[str]:
        events = live(self._journal.events())
        begun = next(
            (e.number for e in events if e.kind is EventKind.COMPLAINED and e.complaint == number),
            len(events),
        )
        return frozenset(
            e.key
            for e in events
            if e.number > begun
            and e.kind in (EventKind.ANSWERED, EventKind.SET_ASIDE)
            and not e.data.get(TOLD)
        )

    def _concluded(self) -> bool:
        """Whether this complaint was concluded after its last answer."""
        for event in reversed(self._journal.events()):
            if event.kind is EventKind.CONCLUDED and event.complaint == self._number:
                return True
            if event.kind in _REOPENING and event.complaint in (None, self._number):
                return False
        return False

    # What a person does

    def name_symptom(self, symptom: str) -> None:
        """The name of a symptom instead of own words."""
        self.opening.skip_words()
        self.say_symptom(symptom)

    def confirm(self, confirmed: ReadText) -> None:
        """Take what is confirmed; where symptom or place are still open, they are asked for."""
        self.opening.confirm(confirmed)
        if confirmed.symptom:
            self.say_symptom(confirmed.symptom)

    def say_symptom(self, symptom: str) -> None:
        """What is wrong; where the place is known already, the complaint begins."""
        self.opening.symptom = symptom
        if self.opening.panel:
            self.say_panel(self.opening.panel)

    def say_panel(self, panel: str) -> None:
        """Where the chosen symptom is."""
        assert self.opening.symptom
        event = self._journal.add(EventKind.COMPLAINED, key=self.opening.symptom, text=panel)
        self._number, self._going_on = event.complaint, False
        answers = self.opening.answers
        self.opening.clear()
        for check, answer in answers.items():
            self._answered(check, answer, data={TOLD: True})

    def rather(self, symptom: str) -> None:
        """It is another symptom at the same place; the answers stay."""
        complaint = self.complaint
        assert complaint is not None
        self._journal.add(
            EventKind.COMPLAINED, key=symptom, text=complaint.panel, complaint=complaint.number
        )

    def another_complaint(self) -> None:
        """Another complaint on the same vehicle; the one at hand is concluded as it stands."""
        if self.complaint is not None and not self._concluded():
            self.conclude()
        self._number, self._going_on = None, False
        self.opening.clear()

    def look_at(self, number: int) -> None:
        """Go to another complaint of this case."""
        self._number, self._going_on = self.case.complaint(number).number, False
        self.opening.symptom = ""

    def note(self, fact: str, text: str) -> None:
        """Write down a fact of the case (one of FACTS), as typed."""
        self._journal.add(EventKind.NOTED, key=fact, text=text)

    def answer(self, check: str, answer: Answer) -> None:
        """An answer, first or changed."""
        self._answered(check, answer)

    def _answered(self, check: str, answer: Answer, **more: Any) -> None:
        of_vehicle = self.base.checks[check].scope == "vehicle"
        complaint = None if of_vehicle else self._number
        self._journal.add(EventKind.ANSWERED, key=check, answer=answer, complaint=complaint, **more)

    def could_not_tell(self, check: str) -> None:
        """Tried, and could not tell."""
        self.answer(check, UNKNOWN)

    def cannot_here(self, check: str) -> None:
        """The check cannot be done here; it is not asked again now."""
        self._journal.add(EventKind.SET_ASIDE, key=check, complaint=self._number)

    def take_back(self, check: str) -> None:
        """An answer is withdrawn; the check is open again."""
        of_vehicle = self.base.checks[check].scope == "vehicle"
        complaint = None if of_vehicle else self._number
        self._journal.add(EventKind.TAKEN_BACK, key=check, complaint=complaint)

    def undo(self) -> Event | None:
        """Take back the last thing entered; returns what it was."""
        if self.opening.symptom:
            self.opening.symptom = ""
            return None
        if self.complaint is None and self.opening.listed:
            self.opening.clear()
            return None
        event = last_undoable(self._journal.events())
        if event is None:
            return None
        self._journal.add(EventKind.UNDONE, undoes=event.number)
        while event.data.get(TOLD) and (before := last_undoable(self._journal.events())):
            # What was read out of words was taken in one act, and is taken back as one.
            event = before
            self._journal.add(EventKind.UNDONE, undoes=event.number)
        complaints = self.case.complaints
        if self._number and self._number not in {c.number for c in complaints}:
            self._number = None
            # Back to the place, unless it was read out of words, which are then before us again.
            self.opening.symptom = "" if self.opening.text() else event.key
        self._going_on = False
        return event

    def go_on(self) -> None:
        """Keep asking although there is a reason to stop, or although it is concluded.

        After a pause the reasons to stop hold as before, and the next pause is as far away.
        """
        if self.step().stop is Stop.MANY_ASKED:
            self._pause = self._count() + PAUSE
        else:
            self._going_on = True

    def conclude(self) -> None:
        """Stop asking and conclude."""
        diagnosis = self.diagnosis()
        leading = diagnosis.differential.leading if diagnosis else None
        data = {
            "cause": leading.cause.id if leading else UNLISTED,
            "probability": round(leading.probability, 6) if leading else 0.0,
            "rules": self.base.version,
            **({"experience": self.base.experience.mark} if self.base.experience else {}),
        }
        self._journal.add(EventKind.CONCLUDED, complaint=self._number, data=data)
        self._going_on = False


def _asked(diagnosis: Diagnosis) -> Asked:
    """What is known, with what the symptom shows by itself, and what need not be asked again."""
    asked = diagnosis.complaint.asked
    return replace(asked, values=diagnosis.trace.values)
