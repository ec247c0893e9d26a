"""Counts that go between shops, causes on the rise, and what outcomes say of the rules."""

from __future__ import annotations

import json
import random
import shlex
import shutil
import subprocess
from dataclasses import replace
from itertools import permutations
from pathlib import Path

import pytest

from diagnose.cli import main
from diagnose.commands import DONE, MISUSE, Misuse
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.experience import Experience
from diagnose.knowledge.reading.load import load, read_texts
from diagnose.measures.quantity import Quantity
from diagnose.records.command import Arguments, run
from diagnose.records.experience.chance import excess, interval
from diagnose.records.experience.counting import counts
from diagnose.records.experience.drift import LEVEL, RisingCause, rise_words, rises
from diagnose.records.experience.shared import exported, others, set_weight, sources, take_in
from diagnose.records.experience.sign_worth import SignRecord, sign_records
from diagnose.records.store.store import Store
from diagnose.records.store.summary import ClosedComplaint, KnownComplaint
from diagnose.rulebook.change.outcomes import (
    difference,
    findings,
    for_additions,
    proposals,
    report,
    way_to_take,
)
from tests.shipped import shipped_base
from tests.small import REST, SCALES, small


@pytest.fixture(scope="module")
def base() -> Base:
    """The small base."""
    return small()


def _closed(
    number: int, cause: str, symptom: str = "lifting", **values: str
) -> list[KnownComplaint]:
    return [KnownComplaint(f"{cause}{n}", 1, symptom, cause, values) for n in range(number)]


def _ended(number: int, cause: str, month: str = "2026-01", **more) -> list[ClosedComplaint]:
    plain = ("bonnet", more.pop("film", ""), "", "", cause, f"{month}-09")
    return [
        ClosedComplaint(f"{cause}-{month}-{n}", 1, month, "lifting", *plain, **more)
        for n in range(number)
    ]


# Between shops


def test_what_goes_out_holds_no_case_and_no_small_count(base: Base) -> None:
    """Counts by symptom, cause and answer; under five they are joined or left out."""
    closed = [
        *_closed(9, "pulled", adhesive="clean"),
        *_closed(3, "pulled", adhesive="dirty"),
        *_closed(2, "pulled", adhesive="wet"),
        *_closed(4, "cold", adhesive="clean"),
    ]
    text = exported(base, counts(base, closed, "2026-03-01"), "Mill Yard")
    data = json.loads(text)

    assert data["causes"] == {"lifting": {"pulled": 14}}
    assert data["answers"] == [
        ["lifting", "pulled", "adhesive", ["clean"], 9],
        ["lifting", "pulled", "adhesive", ["dirty", "wet"], 5],
    ]
    for word in ("pulled0", "2026", "cold"):
        assert word not in text


def test_order_does_not_matter_and_the_same_file_counts_once(base: Base, tmp_path: Path) -> None:
    """Three files of two shops, in every order and twice over, come to the same experience."""
    texts = [
        exported(base, counts(base, _closed(8, "pulled", cut="gapes")), "Mill Yard"),
        exported(base, counts(base, _closed(20, "pulled", cut="gapes")), "Mill Yard"),
        exported(base, counts(base, _closed(6, "cold", cut="closed")), "Quay"),
    ]
    marks = set()
    for number, order in enumerate(permutations(texts)):
        with Store.open(tmp_path / f"{number}.sqlite3") as store:
            for text in (*order, *order):
                take_in(store, text, 0.5, "file")
            marks.add(Experience(others(base, store)).mark)
            assert [(s.shop, s.cases) for s in sources(store)] == [("Mill Yard", 20), ("Quay", 6)]
    assert len(marks) == 1


def test_another_shop_can_be_set_to_nothing(base: Base, store: Store) -> None:
    """With a weight of 0 it counts for nothing; a weight beyond 1 is refused."""
    take_in(store, exported(base, counts(base, _closed(8, "pulled", cut="gapes")), "Quay"), 1, "f")
    assert Experience(others(base, store))
    set_weight(store, "Quay", 0)
    assert not Experience(others(base, store))
    for shop, weight in (("Quay", 2), ("Nowhere", 1)):
        with pytest.raises(Misuse):
            set_weight(store, shop, weight)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"format": "other"}', "no json"])
def test_a_file_that_holds_no_counts_is_refused(store: Store, text: str) -> None:
    """One sentence, and nothing is kept."""
    with pytest.raises(Misuse, match="holds no counts"):
        take_in(store, text, 1, "file.json")
    assert sources(store) == ()


def test_counts_are_given_and_taken_by_commands(base: Base, path: Path, tmp_path, at) -> None:
    """Out under a name, in at half the weight, and listed."""
    file = tmp_path / "counts.json"
    Store.open(path).close()
    assert run(Arguments("experience", path, export_to=file), base, at)[0] == MISUSE
    out = run(Arguments("experience", path, export_to=file, name="Quay"), base, at)
    assert out == (DONE, f"no count in these records comes to 5: {file} holds none")
    code, text = run(Arguments("experience", path, import_from=(file,)), base, at)
    assert (code, text) == (DONE, "Quay: 0 cases, each for 0.5")
    file.write_bytes(b"PK\x03\x04\xf9\xff")
    code, text = run(Arguments("experience", path, import_from=(file,)), base, at)
    assert (code, "it is not UTF-8 text" in text) == (MISUSE, True)


def test_a_symptom_without_a_count_is_not_named(base: Base) -> None:
    """That the shop had a case or two of it is nobody else's business."""
    assert json.loads(exported(base, counts(base, _closed(4, "pulled")), "Quay"))["causes"] == {}


@pytest.mark.parametrize("number", ["-5", "1e999", "NaN"])
def test_counts_that_are_none_are_refused(store: Store, base: Base, number: str) -> None:
    """A count below nothing would take away what others counted."""
    text = exported(base, counts(base, _closed(8, "pulled", cut="gapes")), "Quay")
    with pytest.raises(Misuse, match="holds no counts"):
        take_in(store, text.replace("8", number, 1).replace(": 8", f": {number}"), 1, "f")


# On the rise


def test_the_exact_test_is_fishers() -> None:
    """The lady tasting tea: all four of four is one in seventy."""
    assert excess(4, 4, 4, 8) == pytest.approx(1 / 70)
    assert excess(0, 4, 4, 8) == pytest.approx(1)


def test_a_cause_that_rises_is_said_with_its_cases() -> None:
    """Cold made 2 of 40 before and 9 of 12 of late."""
    past = [*_ended(38, "pulled", "2025-05"), *_ended(2, "cold", "2025-05")]
    late = [*_ended(9, "cold", "2026-01"), *_ended(3, "pulled", "2026-01"), *_ended(1, "pulled", "2026-02"),
            *_ended(1, "pulled", "2026-03")]  # fmt: skip
    found = rises([*past, *late])

    assert [(r.by, r.cause, r.count, r.of) for r in found] == [("month", "cold", 9, 14)]
    assert "cold-2026-01-0" in found[0].cases


def test_one_cause_at_several_places_of_a_car_came_once() -> None:
    """Five places of one car, and of another, make no rise; nine cars do."""
    past = _ended(40, "pulled", "2025-05")
    places = [
        replace(outcome, case_id=f"car {n % 2}")
        for n, outcome in enumerate(_ended(10, "cold", "2026-01", film="F"))
    ]
    assert rises([*past, *places]) == ()
    (film, *_) = rises([*past, *_ended(9, "cold", "2026-01", film="F")])
    assert (film.cause, film.count) == ("cold", 9)


def test_a_chance_is_told_as_people_say_it() -> None:
    """No power of ten: once in so many, to two digits, and no closer than a million."""
    rise = RisingCause("lot", "L 7", "cold", 9, 9, 0, 40, 9.3e-5, ("car 1", "car 2"))
    assert rise_words(rise, "Too cold") == (
        "Too cold has become more frequent, lot L 7: 9 of 9, else 0 of 40 (by chance once in"
        " 11,000). Cases: car 1, car 2."
    )
    rare = rise_words(replace(rise, chance=2e-16), "Too cold")
    assert "by chance less than once in 1,000,000" in rare


def test_false_alarms_keep_to_their_rate() -> None:
    """Four hundred shops in which nothing changed: alarms in at most five of a hundred."""
    chance = random.Random(7)
    causes = ("a", "b", "c", "d")
    alarms = 0
    for _ in range(400):
        outcomes = [
            replace(outcome, case_id=f"case {n}")
            for n in range(60)
            for outcome in _ended(
                1,
                chance.choices(causes, (50, 30, 15, 5))[0],
                f"2025-{1 + n // 5:02}",
                film=chance.choice(("A", "B", "C")),
            )
        ]
        alarms += bool(rises(outcomes))

    assert alarms / 400 <= LEVEL


# What outcomes say of the rules


def test_intervals_are_wilsons() -> None:
    """None of ten is still up to 28 in a hundred; nothing known is everything possible."""
    assert interval(0, 10) == pytest.approx((0.0, 0.2775), abs=1e-3)
    assert interval(0, 0) == (0.0, 1.0)


def test_outcomes_tell_what_is_wrong_in_the_rules(base: Base) -> None:
    """What ended as not listed, remedies that do not hold, checks that tell nothing, rule-outs."""
    closed = [
        *_closed(12, "pulled", adhesive="dirty", care="given"),
        *_closed(1, "cold", adhesive="wet"),
    ]
    ends = [*_ended(3, "unlisted"), *_ended(12, "pulled", remedy="renew", held=False)]
    found = {f.kind: f for f in findings(base, sign_records(base, closed), ends, closed)}

    assert found["not listed"].words == "Lifting: 3 of 15 (7% to 45%)"
    assert found["remedy"].count == 0
    assert found["remedy"].of == 12
    assert "Care sheet" in found["told nothing"].says
    assert "Too cold is ruled out by adhesive (wet)" in found["ruled out"].says
    assert found["misled"].count == 12


def test_of_signs_that_misled_the_costliest_are_shown(base: Base) -> None:
    """By the decibans that they took from the truth in all; of the others only how many."""
    cheap = [SignRecord(f"s{n}", f"sign {n}", "cold", 0, 40, -10.0, 9.0) for n in range(14)]
    dear = SignRecord("s", "dear sign", "cold", 1, 11, -90.0, 8.0)
    found = list(findings(base, [*cheap, dear], (), ()))
    told = report({"misled": found}, "").splitlines()

    assert told[1] == "  dear sign – Too cold, expected 4.0 times: 11 of 12 (65% to 99%)"
    assert told[-1] == "  and 3 more that cost less in all"
    assert len(told) == 14


def test_a_sign_of_a_rare_cause_does_not_mislead_by_being_met_elsewhere(base: Base) -> None:
    """Seen with another cause in 30 of 40, where 28 were to be expected: no word of it."""
    rare = SignRecord("s", "sign of what is rare", "cold", 10, 30, -60.0, 12.0)

    assert list(findings(base, [rare], (), ())) == []


def test_what_a_measure_is_reckoned_from_told_something() -> None:
    """No answer of the stated life moves a cause by itself; the age against it does."""
    base = shipped_base()
    values = {"stated_life_months": Quantity(84, 84), "age_months": Quantity(20, 20)}
    closed = [KnownComplaint(f"c{n}", 1, "chalking", "old_age", values) for n in range(12)]
    told = [f.says for f in findings(base, (), (), closed) if f.kind == "told nothing"]

    assert base.checks["stated_life_months"].name not in told


def test_a_change_is_proposed_as_a_difference_of_the_files(tmp_path: Path) -> None:
    """Judged 90 of 100 gape, counted 2 of 20: the number in the file would be 12."""
    (tmp_path / "small.yaml").write_text(REST)
    (tmp_path / "scales.yaml").write_text(SCALES)
    base = small()
    closed = [*_closed(2, "pulled", cut="gapes"), *_closed(18, "pulled", cut="closed")]
    learned = base.learned(Experience((counts(base, closed),)))
    found = list(proposals(learned))
    change = difference(tmp_path, found)

    assert [(p.cause, p.check, p.label, p.judged) for p in found] == [
        ("pulled", "cut", "gapes", 90)
    ]
    assert "-      - {check: cut, of_100: {gapes: 90}, because: it was under pull" in change
    assert "+      - {check: cut, of_100: {gapes: 12}, because: it was under pull" in change


def test_a_proposed_change_can_be_taken(tmp_path: Path) -> None:
    """The shipped rules with the change in them are sound: every row still adds up to a hundred.

    Forty doors, each lifted along the gap in the first weeks with clean adhesive: a row of which
    one number grows leaves less for the others, and what is written once for two symptoms is held
    to the doors of both.
    """
    values = {
        "zone": "panel_gap_return", "adhesive_side": "bright_and_clean", "first_seen": "weeks",
        "thumb_relay": "does_not_stick", "edge_finish": "wrapped_round_return",
    }  # fmt: skip
    cause = "edges_and_gaps_not_cleaned"
    symptoms = ("edge_lifting", "corner_lifting")
    closed = [c for symptom in symptoms for c in _closed(20, cause, symptom, **values)]
    learned = shipped_base().learned(Experience((counts(shipped_base(), closed),)))
    found = list(proposals(learned))

    assert len({(p.check, p.label, p.line) for p in found}) == len(found) > 8
    change = difference(shipped("rules"), found)
    folder = tmp_path / "rules"
    shutil.copytree(shipped("rules"), folder)
    subprocess.run(["git", "apply"], cwd=folder, input=change, text=True, check=True)
    assert load(folder).version != shipped_base().version


def test_what_is_told_of_a_written_change_takes_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The lines typed as they stand make rules that are sound, beside those as they were."""
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "own rules"
    folder.mkdir()
    (folder / "small.yaml").write_text(REST)
    (folder / "scales.yaml").write_text(SCALES)
    closed = [*_closed(2, "pulled", cut="gapes"), *_closed(18, "pulled", cut="closed")]
    base = load(folder)
    found = list(proposals(base.learned(Experience((counts(base, closed),)))))
    (tmp_path / "the change").write_text(difference(folder, found))
    told = report({}, "change", "", way_to_take(folder, Path("the change"), shipped=False))
    _, copy, patch, impact = told.splitlines()
    subprocess.run(["sh", "-ec", f"{copy}\n{patch}"], check=True, capture_output=True)

    old, new = shlex.split(impact)[-2:]
    cause, stood = load(Path(new)).causes["pulled"], load(Path(old)).causes["pulled"]
    assert next(e for e in cause.shows if e.check == "cut").of_100 == {"gapes": 12}
    assert next(e for e in stood.shows if e.check == "cut").of_100 == {"gapes": 90}


def test_rows_of_the_shipped_rules_are_proposed_as_changes_of_the_folder() -> None:
    """Under a folder of additions no file of its own has the row: it is told, and no patch."""
    reading = read_texts({
        "shipped:small.yaml": REST,
        "shipped:scales.yaml": SCALES,
        "additions.yaml": "changes: {causes: {cold: {prevention: Heat it.}}}",
    })  # fmt: skip
    assert reading.base is not None
    closed = [*_closed(2, "pulled", cut="gapes"), *_closed(18, "pulled", cut="closed")]
    found = list(proposals(reading.base.learned(Experience((counts(reading.base, closed),)))))

    assert difference(Path("nowhere"), found) == ""
    assert "pulled, cut: gapes 90 → 12 of 100 (shipped:small.yaml:" in for_additions(found)


def test_the_command_says_that_nothing_is_known_yet(path: Path, capsys) -> None:
    """A shop without closed cases is told so."""
    Store.open(path).close()
    change = path.with_name("change.diff")
    assert main(["rules", "outcomes", "--records", str(path), "--patch", str(change)]) == 0
    assert "Nothing yet" in capsys.readouterr().out
    assert not change.exists()
