"""What a change does: who moved among the worked cases, and how large the change is."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.soundness.walk import NAMED
from diagnose.rulebook.change.difference import difference
from diagnose.rulebook.change.impact import Impact, ImpactWanted
from diagnose.rulebook.change.impact import compare as compared
from diagnose.rulebook.change.kept import KeptResults
from diagnose.rulebook.change.revision import NoRevisionError, taken_out
from diagnose.rulebook.change.telling import data, text
from diagnose.rulebook.change.version import read_cases
from diagnose.rulebook.change.watch import stamp, watch
from tests.rulebook.frame import framed

CASE = """
case: CASE
title: An edge
grade: plain
vehicle: van
complaints:
  - symptom: lifting
    panel: front_door_left
    answers: {lines: seen, adhesive: clean, cut: gapes}
    outcome:
      cause: pulled
      confirmed_by: It gaped when it was cut.
      remedy: renew
      payer: installer
lesson: Pull along the edge.
"""

AGAINST = """
causes:
  - id: pulled
    responsibility: {payer: owner}
    signs:
      - {when: {adhesive: clean, lines: seen}, speaks: against, strength: decisive,
         because: it is said, source: common-practice}
"""


def compare(old: Base, new: Base, folder: Path, band: float, **wanted: bool) -> Impact:
    """The impact over the cases of one folder."""
    return compared(old, new, [folder], ImpactWanted(band, **wanted))


CHANGES = [
    ("", "none", ""),
    ("causes:\n  - {id: pulled, plainly: Somebody pulled.}", "patch", "worded otherwise (plainly)"),
    ("payers:\n  - {id: aunt, name: Aunt, carries: all, source: memory}", "minor", "aunt is new"),
    ("causes:\n  - {id: pulled, behind: {lifting: rare}}", "minor", "changed in behind"),
    ("causes:\n  - {id: pulled, remedies: {renew: 50}}", "minor", "changed in remedies"),
    (
        "checks:\n  - {id: adhesive, answers: {wet: null, damp: {says: damp, usual: 15}}}",
        "major",
        "no longer the answer wet",
    ),
]


@pytest.mark.parametrize(("change", "size", "reason"), CHANGES)
def test_a_change_has_a_size_and_a_reason(change: str, size: str, reason: str) -> None:
    """Words are a patch, what weighs or is added is minor, what others rely on is major."""
    found = difference(framed(), framed(change), NAMED)

    assert found.size == size
    assert any(reason in r for r in found.reasons) or not reason


def test_what_is_gone_is_major() -> None:
    """The same change read backwards: an entry that others may name has disappeared."""
    more = "payers:\n  - {id: aunt, name: Aunt, carries: all, source: memory}"

    found = difference(framed(more), framed(), NAMED)

    assert found.size == "major"
    assert found.reasons == ("major: payer aunt is gone",)


@pytest.fixture
def cases(tmp_path: Path) -> Path:
    """A folder with two worked cases and one that cannot be read."""
    for name in ("first", "second"):
        (tmp_path / f"{name}.yaml").write_text(CASE.replace("CASE", name))
    (tmp_path / "broken.yaml").write_text("case: broken\ncomplaints: 5\n")
    return tmp_path


def test_the_same_base_moves_nobody(cases: Path) -> None:
    """Comparing a base with itself says so."""
    found = compare(framed(), framed(), cases, 0.0)

    assert found.complaints == 2
    assert found.moved == ()
    assert found.difference.size == "none"
    assert found.told is None
    assert "0 of 2 complaints moved" in text(found)
    assert "none was run" in text(found)


def test_words_alone_run_nothing(cases: Path) -> None:
    """Where only what people read has changed, no case is run."""
    change = "causes:\n  - {id: pulled, plainly: Somebody pulled., prevention: Do not pull.}"

    found = compare(framed(), framed(change), cases, 0.0)

    assert (found.touched, found.difference.size) == (0, "patch")


def test_a_changed_rule_tells_who_moved(cases: Path) -> None:
    """A sign made to speak against the cause turns both cases, and says what became of them."""
    found = compare(framed(), framed(AGAINST), cases, 0.1)

    assert [m.case for m in found.moved] == ["first", "second"]
    said = " ".join(found.moved[0].what)
    assert "leads: Pulled to the edge [pulled] →" in said
    assert "(no longer right)" in said
    assert "confirmed cause:" in said
    told = found.told
    assert told is not None
    assert (told[0].leading, told[1].leading) == (1.0, 0.0)
    assert json.loads(json.dumps(data(found)))["suggests"] == "minor"


def test_a_small_move_stays_within_the_band(cases: Path) -> None:
    """A probability that moves by less than the band is not told; by more, it is."""
    change = "causes:\n  - {id: pulled, behind: {lifting: very_common}}"

    def told(band: float) -> list[str]:
        moved = compare(framed(), framed(change), cases, band).moved
        return [w for m in moved for w in m.what if w.startswith("confirmed cause")]

    assert told(0.5) == []
    assert len(told(0.0)) == 2


def test_unreadable_cases_are_named(cases: Path) -> None:
    """A case that cannot be read is told with its place and does not stop the others."""
    found = read_cases(framed(), cases)

    assert [c.id for c in found.cases] == ["first", "second"]
    assert any(p.spot.file == "broken.yaml" for p in found.problems)


def test_no_cases_are_no_crash(tmp_path: Path) -> None:
    """With an empty folder only the size of the change is told."""
    found = compare(framed(), framed(), tmp_path, 0.1)

    assert "0 of 0 complaints moved" in text(found)


def test_only_what_a_change_can_touch_is_run(cases: Path) -> None:
    """A change behind another symptom leaves these cases alone; one of a check they ask does not."""
    elsewhere = "causes:\n  - {id: gritty, behind: {bumps: rare}}"
    slower = "checks:\n  - {id: lines, minutes: 30}"

    assert compare(framed(), framed(elsewhere), cases, 0.0).touched == 0
    found = compare(framed(), framed(slower), cases, 0.0)
    assert (found.touched, found.symptoms) == (2, ("lifting",))


def test_a_case_that_only_the_new_base_reads_otherwise_is_run(cases: Path) -> None:
    """An answer that is gone leaves its cases out, with the reason; the others are compared."""
    other = (cases / "first.yaml").read_text().replace("first", "third")
    (cases / "third.yaml").write_text(other.replace("adhesive: clean", "adhesive: wet"))
    change = "checks:\n  - {id: adhesive, answers: {wet: null, damp: {says: damp, usual: 15}}}"

    found = compare(framed(), framed(change), cases, 0.0)

    assert found.complaints == 2
    assert any("third.yaml" in str(p) and "wet" in p.sentence for p in found.unreadable)


def test_a_case_in_words_that_only_the_new_rules_have_is_tried(cases: Path) -> None:
    """Its author sees how it fares; a case that the new rules cannot read is told as left out."""
    (cases / "own.yaml").write_text(CASE.replace("CASE", "own").replace("clean", "damp"))
    change = "checks:\n  - {id: adhesive, answers: {wet: null, damp: {says: damp, usual: 15}}}"

    found = compare(framed(), framed(change), cases, 0.0)
    words = text(found)

    assert [(f.case, f.cause, f.leading) for f in found.fresh] == [("own", "pulled", "pulled")]
    assert "Only the new rules have the words of these:" in words
    assert "own (lifting): its cause pulled leads with" in words
    assert words.startswith("Left out, for the new rules cannot read them:\n  broken.yaml:")
    assert data(found)["only_new"][0]["case"] == "own"


def test_why_a_case_moved_is_told(cases: Path) -> None:
    """Each case names the statement that did it, in decibans and in the words of the rule."""
    found = compare(framed(), framed(AGAINST), cases, 0.1)

    reason = found.moved[0].why[0]
    assert (reason.cause, round(reason.decibans)) == ("pulled", -22)
    said = " ".join(text(found).split())
    assert "speaks 22.0 dB (decisive) against Pulled to the edge, was 0 dB for" in said
    assert "it is said" in said
    assert data(found)["moved"][0]["why"][0]["cause"] == "pulled"


def test_questions_that_change_by_what_a_case_did_not_tell(cases: Path) -> None:
    """Where nothing that a case told weighs otherwise, what changed its questions is named."""
    change = """
causes:
  - id: dirty_edge
    remedies: {relay: null}
    shows:
      - {check: feel, of_100: {hard: 99}, because: grit is in it, source: common-practice}
"""
    found = compare(framed(), framed(change), cases, 0.5, asking=True)

    assert [m.case for m in found.moved] == ["first", "second"]
    assert found.moved[0].old.asked != found.moved[0].new.asked
    said = " ".join(text(found).split())
    assert (
        "because Dirt left at the edge shows Feel otherwise, which this case did not tell" in said
    )


def test_scores_are_explained(cases: Path) -> None:
    """Every score has its meaning in the same line."""
    said = text(compare(framed(), framed(AGAINST), cases, 0.1, asking=True))

    assert "All answers told, over 2 complaints that can be touched:" in said
    assert "100.0% →   0.0%  a confirmed cause leads" in said
    assert "less is better" in said
    assert "checks are asked (median)" in said


SHARES = ["rare", "occasional", "very_common"]


def test_a_side_that_was_run_is_read_again(cases: Path, tmp_path: Path) -> None:
    """Kept results give the same impact as running, and what cannot be read is run anew."""
    cache = tmp_path / "cache"
    for share in SHARES:
        new = framed(f"causes:\n  - {{id: pulled, behind: {{lifting: {share}}}}}")
        fresh = compared(framed(), new, [cases], ImpactWanted(0.0))
        for _ in range(2):
            assert compared(framed(), new, [cases], ImpactWanted(0.0), KeptResults(cache)) == fresh
    for file in cache.glob("*.json"):
        file.write_text("{")
    assert compared(framed(), new, [cases], ImpactWanted(0.0), KeptResults(cache)) == fresh
    assert len(list(cache.glob("*.json"))) == 1 + len(SHARES)


def test_a_case_told_in_two_folders_counts_once(cases: Path) -> None:
    """Folders are read one after another; a second case of one id is named and left out."""
    found = read_cases(framed(), cases, cases)

    assert [c.id for c in found.cases] == ["first", "second"]
    assert sum("already" in p.sentence for p in found.problems) == 2


def test_each_save_is_shown_once(tmp_path: Path) -> None:
    """It shows at the start and after a file was saved, came or went, and not in between."""
    file = tmp_path / "a.yaml"
    file.write_text("first")
    shown: list[int] = []
    saves = iter(["", "", "second one", "", "gone", ""])

    def wait() -> None:
        match next(saves, None):
            case None:
                raise KeyboardInterrupt
            case "gone":
                file.unlink()
            case text if text:
                file.write_text(text)

    watch([tmp_path], lambda: shown.append(len(stamp([tmp_path]))), wait)

    assert shown == [1, 1, 0]


def _git(folder: Path, *words: str) -> None:
    its = ["git", "-c", "user.name=x", "-c", "user.email=x@example.org", "-C", str(folder)]
    subprocess.run([*its, *words], check=True, capture_output=True)


def test_a_revision_is_taken_out_of_git(tmp_path: Path) -> None:
    """The folder as committed comes out; the working tree stays as it is."""
    if shutil.which("git") is None:
        pytest.skip("git is not installed")
    rules = tmp_path / "work" / "rules"
    rules.mkdir(parents=True)
    (rules / "a.yaml").write_text("first")
    _git(rules, "init", "-q")
    _git(rules, "add", ".")
    _git(rules, "commit", "-qm", "first")
    (rules / "a.yaml").write_text("second")

    with taken_out("HEAD", rules) as folder:
        assert (folder / "a.yaml").read_text() == "first"
    assert not folder.exists()
    assert (rules / "a.yaml").read_text() == "second"
    for wrong in ("nonsense", "--output=x"):
        with pytest.raises(NoRevisionError, match="neither a folder nor a git revision"):
            taken_out(wrong, rules).__enter__()
