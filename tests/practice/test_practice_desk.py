"""The desk keeps what is under way, writes down what is done, and forgets on demand."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from random import Random

import pytest

from diagnose.practice.items.bank import Bank
from diagnose.practice.progress.apprentice import ApprenticeDesk
from diagnose.practice.progress.apprentice_records import BadName, Book, names, plain_name
from diagnose.practice.progress.plan import EmptyBank
from diagnose.practice.session.judge import Judge
from diagnose.practice.session.session import Session
from diagnose.records.store.store import Store

from .players import START, expert


def desk_of(
    bank: Bank, judge: Judge, store: Store, name: str = "Ada", seed: int = 1
) -> ApprenticeDesk:
    """A desk with a clock that stands still."""
    return ApprenticeDesk(judge, bank, Book(store, name), lambda: START, Random(seed))


def decide(judge: Judge, session: Session) -> Session:
    return expert(judge, session, Random(1))


def test_a_case_is_gone_on_with(bank: Bank, judge: Judge, store: Store) -> None:
    """A case left in the middle is there again, with all looks, in a new start of the program."""
    desk = desk_of(bank, judge, store)
    session = desk.begin()
    check = next(c for c in session.item.record if c not in session.item.given)
    looked = session.look(judge.base, check)
    desk.keep(looked)
    again = desk_of(bank, judge, store, seed=99)
    assert again.begin() == looked


def test_a_finished_case_is_written_down_once(bank: Bank, judge: Judge, store: Store) -> None:
    """After the decision the attempt stands in the book, and nothing is under way."""
    desk = desk_of(bank, judge, store)
    attempt, score = desk.finish(decide(judge, desk.begin()))
    again = desk_of(bank, judge, store)
    assert again.progress.attempts == (attempt,)
    assert attempt.points == pytest.approx(score.total)
    assert again.begun() is None
    assert again.begin().item.id != attempt.item


def test_a_session_cut_off_after_its_attempt_is_not_played_again(
    bank: Bank, judge: Judge, store: Store
) -> None:
    """Where the program ended between the two entries, the decided case does not come back."""
    desk = desk_of(bank, judge, store)
    session = desk.begin()
    before = store.kept("practice", "Ada")["now:session"]
    desk.finish(decide(judge, session))
    store.keep("practice", "Ada", "now:session", before)
    assert desk_of(bank, judge, store).begun() is None


def test_apprentices_do_not_see_each_other(bank: Bank, judge: Judge, store: Store) -> None:
    """Each has their own progress; erasing one leaves the other."""
    for name in ("Ada", "Ben"):
        desk = desk_of(bank, judge, store, name)
        desk.finish(decide(judge, desk.begin()))
    assert names(store) == ("Ada", "Ben")
    assert Book(store, "Ada").erase() > 0
    assert names(store) == ("Ben",)
    assert Book(store, "Ada").progress().attempts == ()
    assert len(Book(store, "Ben").progress().attempts) == 1


def test_export_has_everything(bank: Bank, judge: Judge, store: Store) -> None:
    """What is exported is all that is kept."""
    desk = desk_of(bank, judge, store)
    attempt, _ = desk.finish(decide(judge, desk.begin()))
    found = desk.book.export()
    assert found["apprentice"] == "Ada"
    assert found["kept"]["attempt:000001"]["item"] == attempt.item


@pytest.mark.parametrize("text", ["", "   ", "x" * 61, "A\x1b[2Jda"])
def test_a_name_that_cannot_be(text: str) -> None:
    """A name is short, on one line, of letters that can be shown."""
    with pytest.raises(BadName, match="an apprentice's name"):
        plain_name(text)


def test_a_name_in_one_form() -> None:
    """Spaces around and between do not make another apprentice."""
    assert plain_name("  Ada   of the  Bay ") == "Ada of the Bay"


def test_an_exam_is_gone_on_with_and_has_a_result(bank: Bank, judge: Judge, store: Store) -> None:
    """An exam left after three cases goes on with the fourth; its result has all ten."""
    desk = desk_of(bank, judge, store)
    exam = desk.begin_exam()
    assert desk.last_result() is None
    for _ in range(3):
        session = desk.exam_case(exam)
        assert session is not None
        desk.finish(decide(judge, session), exam.id)
    desk = desk_of(bank, judge, store, seed=50)
    assert desk.begin_exam() == exam
    assert desk.last_result() is None
    seen = 3
    while (session := desk.exam_case(exam)) is not None:
        assert session.item.id == exam.items[seen]
        desk.keep(session, exam.id)
        assert desk.exam_case(exam) == session
        desk.finish(decide(judge, session), exam.id)
        seen += 1
    result = desk.exam_result(exam)
    assert len(result.rows) == seen == 10
    assert desk.exam_begun() is None
    assert desk.last_result() == result


def test_a_case_of_an_exam_is_not_taken_for_practice(
    bank: Bank, judge: Judge, store: Store
) -> None:
    """A case begun in an exam is gone on with there only."""
    desk = desk_of(bank, judge, store)
    exam = desk.begin_exam()
    session = desk.exam_case(exam)
    assert session is not None
    desk.keep(session, exam.id)
    assert desk.begun() is None
    assert desk.begun(exam.id) == session


def test_drills_are_written_down(bank: Bank, judge: Judge, store: Store) -> None:
    """A drill is an attempt of its own; it is no case, and it moves its card."""
    desk = desk_of(bank, judge, store)
    drill = desk.drill("signs")
    marking = desk.mark(drill, drill.right)
    assert marking.share == 1
    again = desk_of(bank, judge, store)
    assert [a.kind for a in again.progress.attempts] == ["signs"]
    assert again.progress.cases == ()
    assert set(again.progress.cards) == {f"cause:{drill.about[0]}"}


def test_an_empty_bank_is_told(judge: Judge, store: Store, bank: Bank) -> None:
    """Without cases, or without cases of the grade, that is told."""
    with pytest.raises(EmptyBank, match="there is no case of grade plain"):
        desk_of(Bank(()), judge, store).begin()


def test_a_chosen_grade_is_kept_to(bank: Bank, judge: Judge, store: Store) -> None:
    """With a grade chosen, every case is of it."""
    desk = ApprenticeDesk(judge, bank, Book(store, "Ada"), lambda: START, Random(1), "treacherous")
    for _ in range(4):
        session = desk.begin()
        assert session.item.grade == "treacherous"
        desk.finish(decide(judge, session))


def test_progress_outlives_the_program(tmp_path: Path, bank: Bank, judge: Judge) -> None:
    """Everything is in the records' file."""
    path = tmp_path / "other.sqlite3"
    with Store.open(path) as store:
        desk = desk_of(bank, judge, store)
        desk.finish(decide(judge, desk.begin()))
    with Store.open(path) as store:
        assert len(Book(store, "Ada").progress().attempts) == 1


def test_nothing_of_an_erased_apprentice_is_left_on_the_disk(
    tmp_path: Path, bank: Bank, judge: Judge
) -> None:
    """Neither the file, its log nor a backup has the name or the attempts any more."""
    path = tmp_path / "records.sqlite3"
    with Store.open(path) as store:
        desk = desk_of(bank, judge, store, "Wilhelmina")
        desk.finish(decide(judge, desk.begin()))
        old, bare = (tmp_path / f"{path.name}.before-version-{n}" for n in (3, 2))
        for backup, statement in ((old, ""), (bare, "DROP TABLE kept")):
            with closing(sqlite3.connect(backup)) as copy:
                store._connection.backup(copy)
                copy.executescript(f"PRAGMA secure_delete = ON; {statement}; VACUUM;")
        assert b"Wilhelmina" in old.read_bytes()
        desk.book.erase()
        left = [p for p in tmp_path.iterdir() if p.is_file() and b"Wilhelmina" in p.read_bytes()]
    assert left == []
