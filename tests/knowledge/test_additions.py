"""A folder that holds only additions and changes: the shipped rules move on under it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.reading import load as loading
from diagnose.knowledge.reading.load import is_additions, load, read, read_texts
from diagnose.knowledge.reading.schema import schema_text
from tests.small import REST, SCALES

OWN = """
causes:
  - id: sign_left
    name: Sign left on
    plainly: A sign stayed on it.
    origin: aftercare
    mechanism: Water creeps under it.
    behind: {lifting: rare}
    shows:
      - {check: lines, of_100: {seen: 60}, because: its rim presses, source: common-practice}
    remedies: {renew: 90}
    responsibility: {payer: owner, because: he put it there}
    prevention: Take it off at night.
    source: common-practice
"""

CHANGES = """
changes:
  causes:
    pulled:
      prevention: Pull along the edge, and warm it.
      behind: {bumps: rare}
      remedies: {relay: ~, renew: 85}
      shows:
        without: [lines]
        more:
          - {check: lines, of_100: {seen: 40}, because: pull lines, source: common-practice}
  remedies:
    relay: {steps: [Warm., Lay., Press.]}
taken_out:
  causes: [solvent_left]
"""


def together(changes: str, own: str = OWN, shipped: str = REST) -> loading.ReadRules:
    """What a folder of additions gives over some shipped rules."""
    under = {"shipped:small.yaml": shipped, "shipped:scales.yaml": SCALES}
    return read_texts({**under, "additions.yaml": changes, "own.yaml": own})


def base_of(changes: str, own: str = OWN) -> Base:
    """The base that it gives; AssertionError with its problems."""
    reading = together(changes, own)
    assert reading.base is not None, "\n".join(map(str, reading.problems))
    return reading.base


def told(problems: tuple[Problem, ...]) -> list[str]:
    """Problems as they are printed."""
    return [str(problem) for problem in problems]


def test_what_is_said_differs_and_all_else_is_as_shipped() -> None:
    """Keys are put over keys, a list is written whole or in part, an entry is taken out."""
    base = base_of(CHANGES)
    pulled = base.causes["pulled"]

    assert pulled.prevention == "Pull along the edge, and warm it."
    assert dict(pulled.behind) == {"lifting": "common", "bumps": "rare"}
    assert dict(pulled.remedies) == {"renew": 85}
    assert [(e.check, dict(e.of_100)) for e in pulled.shows] == [
        ("cut", {"gapes": 90}),
        ("adhesive", {"dirty": 1}),
        ("lines", {"seen": 40}),
    ]
    assert pulled.mechanism == "Tension draws it back."
    assert base.remedies["relay"].steps == ("Warm.", "Lay.", "Press.")
    assert set(base.causes) == {"pulled", "dirty_edge", "cold", "sign_left"}


def test_every_part_stands_where_it_was_written() -> None:
    """Whoever looks up a row is led to the line of the change; the rest to the shipped file."""
    places = base_of(CHANGES).places

    assert str(places.of("causes", "pulled", "shows", 2)) == "additions.yaml:11:13"
    assert str(places.of("causes", "pulled", "prevention")).startswith("additions.yaml:5:")
    assert places.of("causes", "pulled", "shows", 0).file == "shipped:small.yaml"
    assert places.of("causes", "pulled", "shows", 0).line == 1 + REST[
        : REST.index("{check: cut, of_100: {gapes: 90}")
    ].count("\n")
    assert str(places.changed("causes", "pulled")).startswith("additions.yaml:5:")
    assert places.changed("causes", "cold") is None
    assert places.of("causes", "sign_left").file == "own.yaml"


@pytest.mark.parametrize(
    ("changes", "place", "words"),
    [
        ("changes: {causes: {puled: {name: x}}}", "1:20", "did you mean pulled?"),
        ("changes: {cause: {pulled: {name: x}}}", "1:11", "did you mean causes?"),
        ("changes: {causes: {pulled: {why: x}}}", "1:29", "'why' is not known here"),
        ("changes: {causes: {pulled: {shows: cut}}}", "1:29", "'shows' is a list there"),
        ("changes: {causes: {pulled: {behind: 3}}}", "1:29", "'behind' is keys with values"),
        ("changes: {causes: {pulled: {name: [x]}}}", "1:29", "is one word or number there"),
        ("changes: {causes: {pulled: {shows: {without: [care]}}}}", "1:47", "of 'care' (any more)"),
        ("changes: {causes: {pulled: {remedies: {seal: ~}}}}", "1:40", "no 'seal' to take out"),
        ("changes: {causes: {pulled: {id: tugged}}}", "1:20", "keeps its id"),
        ("changes: {causes: [pulled]}", "1:11", "takes ids with what changes"),
        ("taken_out: {causes: [pulledd]}", "1:22", "did you mean pulled?"),
        ("taken_out: {causes: pulled}", "1:13", "takes a list of ids"),
        ("changes: {words: {same: []}}", "1:11", "no 'words' is shipped"),
    ],
)
def test_what_does_not_fit_is_said_with_its_place(changes: str, place: str, words: str) -> None:
    """Each slip, and each thing that the shipped rules no longer have, at its line and column."""
    problems = told(together(changes).problems)

    assert len(problems) == 1, problems
    assert problems[0].startswith(f"additions.yaml:{place}: ")
    assert words in problems[0]


def test_what_no_longer_fits_is_told_all_at_once() -> None:
    """The shipped rules moved on: an entry renamed, a list where a word was, an id now shipped."""
    moved = (
        REST.replace("id: solvent_left", "id: sign_left")
        .replace("steps: [Warm., Lay.]", "steps: [Warm., Lay down.]")
        .replace("id: lines", "id: pull_lines")
        .replace("check: lines", "check: pull_lines")
        .replace("wet, lines: none", "wet, pull_lines: none")
    )
    problems = told(together(CHANGES, OWN, moved).problems)

    assert len(problems) == 4
    assert "own.yaml:3:5: 'sign_left' is shipped: give yours another id" in problems[3]
    assert "no check and no measure is called 'lines' (did you mean pull_lines?)" in problems[1]
    assert "additions.yaml:9:19: nothing in the list is of 'lines' (any more)" in problems[0]
    assert (
        "additions.yaml:15:12: the shipped causes have no 'solvent_left' (any more)"
        in (problems[2])
    )


def test_what_a_shipped_entry_lacks_then_is_mended_in_the_folder() -> None:
    """A remedy that is taken out is still named elsewhere: told at the shipped lines, with how."""
    (problem,) = told(together("taken_out: {remedies: [seal]}").problems)

    assert problem.startswith("shipped:small.yaml:")
    assert "no remedy is called 'seal'" in problem
    assert "change this entry under changes in additions.yaml" in problem
    mended = "changes: {causes: {dirty_edge: {never: {without: [seal]}}}}\n"
    assert "seal" not in base_of(mended + "taken_out: {remedies: [seal]}").remedies


def test_sections_without_ids_are_changed_too() -> None:
    """The numbers behind the words, by name; a second section of them is refused."""
    assert base_of("changes: {scales: {unlisted_percent: 7}}").scales.unlisted_percent == 7
    (problem,) = together("scales: {unlisted_percent: 7}").problems
    assert "'scales' is shipped: put what is to differ under changes" in problem.sentence


def test_an_entry_may_stand_beside_the_changes() -> None:
    """One file is enough: what is new may stand in additions.yaml itself."""
    both = read_texts({
        "shipped:small.yaml": REST,
        "shipped:scales.yaml": SCALES,
        "additions.yml": CHANGES + OWN,
    })  # fmt: skip

    assert both.base is not None
    assert both.base.places.of("causes", "sign_left").file == "additions.yml"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Shipped rules and a folder that adds to them, on the disk."""
    shipped, mine = tmp_path / "shipped", tmp_path / "mine"
    for place in (shipped, mine):
        place.mkdir()
    (shipped / "small.yaml").write_text(REST)
    (shipped / "scales.yaml").write_text(SCALES)
    (mine / "additions.yaml").write_text(CHANGES)
    (mine / "own.yml").write_text(OWN)
    monkeypatch.setattr(loading, "shipped", lambda name: shipped)
    return mine


def test_a_kept_base_is_made_anew_when_the_shipped_rules_move_on(
    folder: Path, tmp_path: Path
) -> None:
    """What is kept is found again with its places, and never used for other shipped rules."""
    first, again = load(folder, tmp_path / "cache"), load(folder, tmp_path / "cache")
    small = folder.parent / "shipped" / "small.yaml"
    small.write_text(REST.replace("name: Too cold", "name: Much too cold"))
    moved = load(folder, tmp_path / "cache")

    assert again.causes == first.causes
    assert str(again.places.of("causes", "pulled", "shows", 2)) == "additions.yaml:11:13"
    assert moved.causes["cold"].name == "Much too cold"
    assert moved.version != first.version == again.version


def test_either_ending_counts_but_terms_and_figures_of_a_shop_do_not(folder: Path) -> None:
    """`own.yml` was read; what lies under shop/ and policies/ is no rule file."""
    for name in ("shop", "policies"):
        (folder / name).mkdir()
        (folder / name / "example.yml").write_text("pieces: {}\n")

    assert "sign_left" in load(folder).causes
    (folder / "more.yml").write_text("causes: 3\n")
    assert [p.spot.file for p in read(folder).problems] == ["more.yml"]


def test_a_folder_of_scraps_is_told_how_it_becomes_one_of_additions(folder: Path) -> None:
    """Without the file that says so it is a rule base of its own, and lacks nearly all."""
    (folder / "additions.yaml").unlink()

    assert not is_additions(folder)
    assert any("additions.yaml" in p.sentence for p in read(folder).problems)


def test_an_editor_completes_and_marks_changes(folder: Path) -> None:
    """The schema of such a folder knows the ids, fields and lists that a change may name."""
    validator = Draft202012Validator(json.loads(schema_text(load(folder), adds=True)))

    def wrong(changes: object) -> int:
        return len(list(validator.iter_errors({"changes": changes})))

    right = {"prevention": "x", "remedies": {"relay": None}, "shows": {"without": ["lines"]}}
    assert wrong({"causes": {"pulled": right}}) == 0
    assert wrong({"causes": {"puled": right}}) == 1
    assert wrong({"causes": {"pulled": {"preventoin": "x"}}}) == 1
    assert wrong({"causes": {"pulled": {"shows": {"mor": []}}}}) == 1
    assert wrong({"cause": {}}) == 1


MOVED = """
whole_cases:
  - {id: solvent_left, source: memory, shares: {lifting: 2}}
  - {id: pulled, source: memory, shares: {lifting: 2}, shows: {lines: seen 2, adhesive: wet 3}}
"""


def test_what_is_taken_out_is_moved_no_more() -> None:
    """A cause leaves what whole complaints moved of it, a check the moves of its answers."""
    base = together("taken_out: {causes: [solvent_left]}", shipped=REST + MOVED).base
    without_lines = together("taken_out: {checks: [lines]}", shipped=REST + MOVED)

    assert base is not None
    assert set(base.whole_cases) == {"pulled"}
    assert base.whole_cases["pulled"].times("lines") == {"seen": 2}
    assert not any("whole_cases" in str(p) for p in without_lines.problems)
