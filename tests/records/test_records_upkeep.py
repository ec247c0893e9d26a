"""Records as a shop owner keeps them: closing, looking again, photos, backups, who can read them."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
from PIL import Image

from diagnose.commands import DONE, MISUSE, PROBLEM
from diagnose.knowledge.base import Base
from diagnose.measures.quantity import Quantity
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case import photos
from diagnose.records.case.complaints import complaints_of
from diagnose.records.case.journal import EventKind, Outcome
from diagnose.records.command import Arguments, run
from diagnose.records.store.paths import photo_folder
from diagnose.records.store.store import Store
from tests.small import small

AT = datetime(2026, 3, 2, 8, 30, tzinfo=UTC)
PROVED = Outcome("pulled", "relief cut gaped")


@pytest.fixture(scope="module")
def base() -> Base:
    """The small base: pulled and dirty edges behind lifting, dirt behind bumps."""
    return small()


@pytest.fixture
def case_id(path: Path) -> str:
    """One open case of a lifting edge at the bonnet, with a photo."""
    with Store.open(path) as store:
        found = store.begin(AT)
        store.append(found, AT, EventKind.COMPLAINED, key="lifting", text="bonnet")
        store.append(found, AT, EventKind.ANSWERED, key="cut", answer="gapes", complaint=1)
        content = BytesIO()
        Image.new("RGB", (40, 30), "grey").save(content, "JPEG")
        photo = photos.prepare(content.getvalue(), "edge.jpg")
        photos.keep(photo_folder(path), photo)
        store.append(found, AT, EventKind.PHOTO_ADDED, key=photo.hash, text="edge", complaint=1)
    return found


@pytest.fixture
def do(base: Base, path: Path) -> Callable[..., tuple[int, str]]:
    """Do an action on the records."""

    def act(action: str, *cases: str, at: datetime = AT, **more) -> tuple[int, str]:
        return run(Arguments(action, more.pop("records", path), cases, **more), base, at)

    return act


# Closing


@pytest.mark.parametrize("cost", [-5.0, float("inf"), float("nan")])
def test_a_cost_is_an_amount(do, case_id: str, cost: float) -> None:
    """Less than nothing is a slip, and closes nothing."""
    code, text = do("close", case_id, outcome=replace(PROVED, cost=cost))

    assert code == MISUSE
    assert "is no cost" in text


def test_a_cause_that_does_not_lie_behind_the_symptom_is_asked_back(
    do, base: Base, case_id: str, path: Path
) -> None:
    """A slip of the list, or something new: a person says which."""
    with Store.open(path) as store:
        store.append(case_id, AT, EventKind.COMPLAINED, key="bumps", text="roof")
    code, text = do("close", case_id, complaint=2, outcome=PROVED)
    assert code == MISUSE
    assert "Pulled to the edge does not lie behind bumps" in text
    assert do("close", case_id, complaint=2, outcome=PROVED, yes=True)[0] == DONE


def test_an_outcome_that_a_rule_rules_out_is_put_before_a_person(do, case_id: str, path) -> None:
    """Wet adhesive rules the cold bay out; who closes with it is told, and may insist."""
    with Store.open(path) as store:
        store.append(case_id, AT, EventKind.ANSWERED, key="adhesive", answer="wet", complaint=1)
    cold = replace(PROVED, cause="cold")
    code, text = do("close", case_id, outcome=cold)

    assert code == MISUSE
    assert "Too cold is ruled out by adhesive (wet): that is something else" in text
    assert "--yes" in text
    code, text = do("close", case_id, outcome=cold, yes=True)
    assert code == DONE
    assert "ruled out" in text


def test_a_closed_case_says_how_it_is_opened_again(do, case_id: str) -> None:
    """Who wants to close twice is told of reopen."""
    do("close", case_id, outcome=PROVED)
    code, text = do("close", case_id, outcome=PROVED)

    assert code == MISUSE
    assert "'diagnose cases reopen'" in text


# Looking again


def test_held_is_said_weeks_later_without_opening_the_case(do, case_id: str, path: Path) -> None:
    """The case stays closed, its cause and cost stay, and the later word counts."""
    do("close", case_id, outcome=replace(PROVED, remedy="relay", cost=80.0))
    later = AT + timedelta(days=30)
    assert do("held", case_id, at=later, outcome=Outcome("", "", held=True))[0] == DONE
    with Store.open(path) as store:
        assert store.case(case_id).closed
        assert store.outcomes()[0].held is True
        assert store.outcomes()[0].cost == 80.0
    assert do("held", case_id, at=later, outcome=Outcome("", "", held=False))[0] == DONE
    with Store.open(path) as store:
        assert store.outcomes()[0].held is False
        assert store.case(case_id).complaint(1).outcome.held is False


def test_what_is_due_for_a_look_is_listed(do, case_id: str) -> None:
    """Two weeks after closing it stands in the list, until somebody has looked."""
    do("close", case_id, outcome=replace(PROVED, remedy="relay"))
    soon, later = AT + timedelta(days=3), AT + timedelta(days=20)
    assert case_id not in do("due", at=soon)[1]
    text = do("due", at=later)[1]
    assert case_id in text
    assert "Re-lay" in text
    assert "in 72 h" in text
    do("held", case_id, at=later, outcome=Outcome("", "", held=True))
    assert case_id not in do("due", at=later)[1]


def test_a_second_repair_is_due_for_a_look_of_its_own(do, case_id: str) -> None:
    """That the first one held, or did not, says nothing of what was done when it came back."""
    later, last = AT + timedelta(days=20), AT + timedelta(days=60)
    do("close", case_id, outcome=replace(PROVED, remedy="relay"))
    do("held", case_id, at=later, outcome=Outcome("", "", held=False))
    do("reopen", case_id, at=later)
    do("close", case_id, at=later, outcome=replace(PROVED, remedy="relay"))
    assert case_id in do("due", at=last)[1]


# Files


def test_a_slip_in_the_name_of_the_records_makes_no_file(do, case_id: str, tmp_path: Path) -> None:
    """Reading what is not there is refused, and nothing is made."""
    typo = tmp_path / "recrods.sqlite3"
    for action in ("list", "check", "statistics", "due", "words"):
        code, text = do(action, records=typo)
        assert code == MISUSE
        assert "no records at" in text
    assert not typo.exists()


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_only_the_owner_can_read_records_and_photos(case_id: str, path: Path) -> None:
    """Names and plates are nobody else's business on a shared computer."""
    files = [path, *photo_folder(path).iterdir(), photo_folder(path)]
    assert len(files) == 3
    for file in files:
        assert stat.S_IMODE(file.stat().st_mode) & 0o077 == 0


def test_check_says_which_photos_are_gone(do, case_id: str, path: Path) -> None:
    """All sound is said only where the photos are there too."""
    assert do("check")[1].endswith("1 case and 1 photo, all sound")
    gone = next(photo_folder(path).glob("*.jpg"))
    gone.unlink()
    code, text = do("check")

    assert code == PROBLEM
    assert case_id in text
    assert gone.name in text


def test_a_rescue_takes_the_photos_along(do, case_id: str, path: Path, tmp_path: Path) -> None:
    """The new file has its own folder of photos; one that is gone is said to be lost."""
    target = tmp_path / "saved.sqlite3"
    code, text = do("rescue", paths=(target,))
    assert code == DONE
    assert "1 photo" in text
    assert do("check", records=target)[0] == DONE

    next(photo_folder(path).glob("*.jpg")).unlink()
    code, text = do("rescue", paths=(tmp_path / "again.sqlite3",))
    assert code == PROBLEM
    assert f"lost: case {case_id}: the photo" in text


def test_a_backup_can_be_checked_and_restored(do, case_id: str, path: Path, tmp_path: Path) -> None:
    """One file holds all; elsewhere it becomes the same records and photos."""
    packed, target = tmp_path / "all.zip", tmp_path / "elsewhere" / "records.sqlite3"
    assert do("backup", paths=(packed,)) == (DONE, f"1 case and 1 photo are now in {packed}")
    code, text = do("restore", paths=(packed,), only_check=True)
    assert (code, text) == (DONE, f"{packed}: 1 case and 1 photo, all sound")
    assert do("restore", paths=(packed,), records=target)[0] == DONE
    assert do("check", records=target)[0] == DONE
    with Store.open(path) as one, Store.open(target) as other:
        assert one.events(case_id) == other.events(case_id)
    code, text = do("restore", paths=(packed,), records=target)
    assert code == MISUSE
    assert "exists already" in text
    assert do("backup", paths=(packed,))[0] == MISUSE


def test_a_backup_says_what_was_gone_when_it_was_made(
    do, case_id: str, path: Path, tmp_path: Path
) -> None:
    """By the case, when it is made, looked through and restored."""
    packed, target = tmp_path / "all.zip", tmp_path / "elsewhere.sqlite3"
    next(photo_folder(path).glob("*.jpg")).unlink()
    code, text = do("backup", paths=(packed,))
    assert (code, f"case {case_id}: a photo was gone already" in text) == (PROBLEM, True)
    for asked in ({"only_check": True}, {"records": target}):
        code, text = do("restore", paths=(packed,), **asked)
        assert code == DONE
        assert f"case {case_id}: a photo was gone when the backup was made" in text


def test_a_damaged_backup_restores_nothing(do, case_id: str, tmp_path: Path) -> None:
    """A photo that is not as it was written is named."""
    packed, bad = tmp_path / "all.zip", tmp_path / "bad.zip"
    do("backup", paths=(packed,))
    with ZipFile(packed) as old, ZipFile(bad, "w") as new:
        for name in old.namelist():
            new.writestr(name, b"other" if name.endswith(".jpg") else old.read(name))
    code, text = do("restore", paths=(bad,), only_check=True)
    assert code == PROBLEM
    assert "is not as it was written" in text
    assert do("restore", paths=(bad,), records=tmp_path / "new.sqlite3")[0] == MISUSE
    assert not (tmp_path / "new.sqlite3").exists()
    (tmp_path / "no.zip").write_bytes(b"no zip")
    assert do("restore", paths=(tmp_path / "no.zip",), only_check=True)[0] == MISUSE


# Statistics


def test_statistics_say_only_what_they_name(do, case_id: str) -> None:
    """Nothing carried most often with 0 carried, and one complaint is said to be too few."""
    do("close", case_id, outcome=replace(PROVED, cause="dirty_edge"))
    text = do("statistics")[1]

    assert " 0 carried" not in text.partition("signs that carried")[2]
    assert "one more can turn every figure" in text


# Other rules


def test_answers_of_other_rules_are_kept_and_are_no_evidence(
    do, base: Base, case_id: str, path: Path
) -> None:
    """A case kept with rules of one's own is shown and reasoned with others, without a traceback."""
    with Store.open(path) as store:
        height = Quantity(110, 110)
        for key, answer in (("scratch_height_cm", height), ("cut", "splits")):
            store.append(case_id, AT, EventKind.ANSWERED, key=key, answer=answer, complaint=1)
        case = store.case(case_id)
    text = do("show", case_id)[1]
    found = Reasoner(base).car(complaints_of(base, case)).diagnoses[0]

    assert "scratch_height_cm: 110 (not in these rules)" in text
    assert found.differential.of("pulled").probability > 0
    assert not found.trace.values.keys() & {"scratch_height_cm", "cut"}
