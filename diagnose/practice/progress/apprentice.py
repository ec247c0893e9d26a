"""The apprentice's desk: takes the next case, keeps what is under way, writes down what is done.

Both faces (screens and plain lines) use it. The clock and the randomness come from outside.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from random import Random

from diagnose.practice.drills import drill as drills
from diagnose.practice.drills.drawing import drawing_drill
from diagnose.practice.drills.drill import Drill, Marking
from diagnose.practice.drills.first import first_drill
from diagnose.practice.drills.to_do import to_do_drill
from diagnose.practice.items.bank import Bank, PracticeItem
from diagnose.practice.progress import exam
from diagnose.practice.progress.apprentice_records import Book
from diagnose.practice.progress.due_drills import due_apart, due_signs, reviews
from diagnose.practice.progress.exam import Exam, Result
from diagnose.practice.progress.first_week import Week, first_week, rests_today
from diagnose.practice.progress.plan import next_item
from diagnose.practice.progress.progress import Attempt, Progress, finished
from diagnose.practice.progress.schedule import due
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.score import Score
from diagnose.practice.session.session import Session, session_data, session_from
from diagnose.practice.session.variants import NoItem, find

SESSION, EXAM = "session", "exam"


class ApprenticeDesk:
    """One apprentice with a bank of cases and a book to write in."""

    def __init__(
        self,
        judge: Judge,
        bank: Bank,
        book: Book,
        clock: Callable[[], datetime],
        random: Random,
        grade: str | None = None,
    ) -> None:
        self.judge = judge
        self.bank = bank
        self.book = book
        self.grade = grade
        self.clock = clock
        self._random = random
        self.progress: Progress = book.progress()
        self._week: Week | None = None

    # Cases

    def begun(self, exam_id: str = "") -> Session | None:
        """The case that was begun and not decided, of an exam or of none."""
        data = self.book.under_way(SESSION)
        if not data or data["exam"] != exam_id or data["number"] != len(self.progress.attempts):
            return None
        try:
            return session_from(data, find(self.bank, self.judge.base, data["item"]))
        except NoItem:
            return None

    def begin(self) -> Session:
        """The case begun before, or the one that serves best now; raises EmptyBank."""
        return self.begun() or self.start(self.fresh())

    def fresh(self) -> Session:
        """The case that serves best now, nothing written down yet; raises EmptyBank."""
        now = self.clock()
        chosen = next_item(self.bank, self.judge, self.progress, now, self._random, self.grade)
        return Session(chosen.item)

    def start(self, session: Session) -> Session:
        """Keep a fresh case as begun."""
        self.keep(session)
        return session

    def keep(self, session: Session, exam_id: str = "") -> None:
        """Keep a session as it stands; safe on the disk when this returns."""
        begun = {"number": len(self.progress.attempts), "exam": exam_id}
        self.book.keep_under_way(SESSION, {**session_data(session), **begun})

    def finish(self, session: Session, exam_id: str = "") -> tuple[Attempt, Score]:
        """Write down a decided session."""
        attempt, score = finished(self.judge, session, self.progress, self.clock(), exam_id)
        self._write(attempt)
        self.book.keep_under_way(SESSION, None)
        return attempt, score

    def before(self) -> PracticeItem | None:
        """The item of the case finished before the last one; None where it is gone."""
        try:
            return find(self.bank, self.judge.base, self.progress.cases[-2].item)
        except (IndexError, NoItem):
            return None

    def _write(self, attempt: Attempt) -> None:
        self.book.add(attempt)
        self.progress = self.progress.with_(attempt)

    # The first week

    def week(self) -> Week:
        """The first week as it stands."""
        if self._week is None:
            self._week = first_week(self.bank, self.judge, self.progress)
        return self._week.after(self.progress)

    def week_case(self) -> Session | None:
        """The next case of the first week, or the one begun; None when its day or all is done."""
        week = self.week()
        begun = self.begun()
        if begun is not None and week.next is not None and begun.item.id == week.next.id:
            return begun
        if week.next is None or rests_today(week, self.progress, self.clock()):
            return None
        return self.start(Session(week.next))

    # Exams

    def exam_begun(self) -> Exam | None:
        """The exam that was begun and not finished."""
        data = self.book.under_way(EXAM)
        return Exam.of(data) if data else None

    def begin_exam(self) -> Exam:
        """The exam begun before, or a new one."""
        return self.exam_begun() or self.start_exam(self.fresh_exam())

    def fresh_exam(self) -> Exam:
        """A new exam, nothing written down yet."""
        return exam.draw(self.bank, self.judge, self._random, self.clock().isoformat())

    def start_exam(self, made: Exam) -> Exam:
        """Keep a new exam as begun."""
        self.book.keep_under_way(EXAM, made.data())
        return made

    def exam_case(self, under_way: Exam) -> Session | None:
        """The next case of an exam; None when all are done. One that is gone is passed over."""
        begun = self.begun(under_way.id)
        if begun is not None:
            return begun
        done = {a.item for a in self.progress.attempts if a.exam == under_way.id}
        for item_id in under_way.items:
            if item_id not in done:
                try:
                    return Session(find(self.bank, self.judge.base, item_id))
                except NoItem:
                    continue
        return None

    def exam_result(self, under_way: Exam) -> Result:
        """The result so far; an exam whose cases are all done is closed by this."""
        if self.exam_case(under_way) is None:
            self.book.keep_under_way(EXAM, None)
        attempts = self.progress.attempts
        return exam.result(self.book.name, under_way, attempts, self.judge.base.version)

    def last_result(self) -> Result | None:
        """The result of the exam finished last."""
        taken = list(dict.fromkeys(a.exam for a in self.progress.attempts if a.exam))
        begun = self.exam_begun()
        done = [exam_id for exam_id in taken if begun is None or exam_id != begun.id]
        return self.exam_result_of(done[-1]) if done else None

    def exam_result_of(self, exam_id: str) -> Result:
        """The result of an exam by its id."""
        attempts = self.progress.attempts
        named = Exam(exam_id, tuple(a.item for a in attempts if a.exam == exam_id))
        return exam.result(self.book.name, named, attempts, self.judge.base.version)

    # Drills

    def drill(self, kind: str, drawn: Iterable[str] = ()) -> Drill:
        """A drill of a kind, about what is due where something is; raises NoDrill."""
        wanted = due(self.progress.cards, self.clock())
        base, random = self.judge.base, self._random
        match kind:
            case drills.DRAWING:
                return drawing_drill(base, drawn, random)
            case drills.SIGNS:
                return due_signs(self.judge, wanted, random)
            case drills.FIRST:
                return first_drill(base, random)
            case drills.TO_DO:
                return to_do_drill(base, random)
            case _:
                return due_apart(self.judge, wanted, random)

    def mark(self, drill: Drill, chosen: Iterable[str]) -> Marking:
        """Mark a drill and write it down."""
        marking = drills.mark(drill, chosen)
        self._write(
            Attempt(
                at=self.clock().isoformat(),
                kind=drill.kind,
                item="|".join(drill.about),
                points=100 * marking.share,
                reviews=reviews(drill, marking),
            )
        )
        return marking
