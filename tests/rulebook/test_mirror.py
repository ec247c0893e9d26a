"""Rows that one can read: of a cause, of a symptom's causes, and the most usual cars of causes."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import portions
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.rulebook.change.replay import Replay
from diagnose.rulebook.judgement.usual import all_won, won_at
from diagnose.rulebook.judgement.usual_told import losers_text, played, text
from diagnose.rulebook.pages.entries import page
from diagnose.rulebook.pages.page import Block, CellTable, plain
from diagnose.rulebook.pages.render import text as page_text
from diagnose.rulebook.pages.rows import tells
from diagnose.rulebook.pages.wording import Library
from tests.rulebook.frame import framed
from tests.rulebook.test_rules_command import Captured, _run, rules

__all__ = ["rules"]

AT_LIFTING = """
causes:
  - id: dirty_edge
    shows:
      - {check: lines, of_100: {seen: 40}, at: [lifting], because: dirt draws lines there,
         source: common-practice}
"""


def _table(base: Base, entry: str, title: str) -> list[list[str]]:
    blocks = [b for b in page(Library(base), entry).blocks if b.title.startswith(title)]
    assert len(blocks) == 1
    assert isinstance(blocks[0].body, CellTable)
    return [[plain(cell) for cell in row] for row in blocks[0].body.rows]


def test_a_row_of_a_cause_is_shown_whole() -> None:
    """Named and unnamed answers with their percent, a bar, the usual share and decibans."""
    table = _table(framed(), "dirty_edge", "Adhesive [adhesive]")

    assert [row[0] for row in table] == ["clean", "dirty", "wet"]
    shares = [float(row[1]) for row in table]
    assert sum(shares) == pytest.approx(100, abs=1.5)
    assert table[1][4].startswith("+")
    assert table[1][5] == "there is dirt"
    assert table[0][5] == "(not named)"
    assert table[0][4].startswith("−")
    assert len(table[1][2]) == round(shares[1] / 5)


def test_a_row_that_stands_at_one_symptom_is_shown_there() -> None:
    """Such a row has a table of its own that names the symptom."""
    table = _table(framed(AT_LIFTING), "dirty_edge", "Lines [lines] at Lifting")

    assert table[0][:2] == ["seen", "40"]


def test_the_causes_of_a_symptom_stand_by_answers() -> None:
    """Each check has a table of causes; what tells most comes first, silence is a dot."""
    base = framed()
    library = Library(base)
    telling = tells(library, base.symptoms["lifting"])
    table = _table(base, "lifting", "Adhesive [adhesive]")

    assert [bits for _, bits in telling] == sorted((b for _, b in telling), reverse=True)
    assert {row[0] for row in table} == {"(usual)", "Pulled to the edge", "Dirt left at the edge"}
    assert [row[0] for row in table if row[2].endswith("−")] == ["Pulled to the edge"]
    lines = _table(base, "lifting", "Lines [lines]")
    assert [row[1:] for row in lines if row[0] == "Dirt left at the edge"] == [["·", "·"]]


def test_fewer_tables_name_the_checks_left_out() -> None:
    """What is not shown of a symptom is named, with the option that shows it."""
    found = page(Library(framed()), "lifting", most=1)

    assert sum(isinstance(b.body, CellTable) for b in found.blocks) == 1
    assert "--all" in page_text(found)


def test_tables_are_drawn_in_columns_at_any_width() -> None:
    """Wide heads become letters that are told first; nothing is wider than asked, nothing lost."""
    found = page(Library(framed()), "lifting")

    for width in (40, 60, 100):
        said = page_text(found, width)
        assert max(map(len, said.splitlines())) <= width
        assert "Dirt left" in said
    wide = CellTable(
        ("Cause", "clean as new", "dirty all over"), ((("pulled",), ("12",), ("88+",)),)
    )
    said = page_text(replace(found, blocks=(Block("Rows", wide),)), 30)
    assert "a clean as new, b dirty all\n  over\nCause    a  b\npulled  12  88+" in said


def test_the_most_usual_car_shows_what_most_cars_show(base: Base) -> None:
    """Every answer of a usual car that a row of its cause names likeliest is taken, or barred.

    Of answers that can be right together those that more cars show than do not.
    """
    replay = Replay(base)
    for symptom in list(base.symptoms)[::9]:
        for won in won_at(replay, symptom):
            cause = base.causes[won.car.cause]
            rows = base.rows(cause, symptom)
            taken = 0
            for name in won.car.own:
                observable = base.observables[name]
                shares = portions(rows[name], base.usual(name, symptom))
                codes = observable.kind.codes(won.car.answers[name])
                assert all(shares[code] > 0 for code in codes)
                together = isinstance(observable.kind, SeveralKind)
                likely = [code for code, share in enumerate(shares) if share > 0.5]
                most = likely if together else [shares.index(max(shares))]
                taken += list(codes) == most
            assert taken >= 0.7 * len(won.car.own)
            assert not any(o.when.holds(won.car.answers) for o in base.rule_outs(cause, symptom))
            assert won.car.answers.items() >= base.symptoms[symptom].shows.items()


def test_a_usual_car_is_played() -> None:
    """It tells what is shown, what decides, what is asked, and how that ends."""
    base = framed()
    cases = played(Replay(base), "dirty_edge")

    assert [c.won.car.symptom for c in cases] == ["lifting", "bumps"]
    said = " ".join(text(base, cases).split())
    assert "At Lifting [lifting] it wins" in said
    assert "It shows: Adhesive “dirty”" in said
    assert "What decides:" in said
    assert "Care sheet “given”; Adhesive “dirty” Then:" in said


OPENED = """
causes:
  - id: pulled
    shows:
      - {check: ink, of_100: {other: 95}, because: such ink is stiff, source: common-practice}
      - {check: printed, of_100: {print: 35}, because: prints are stiff, source: common-practice}
"""


def test_what_opens_a_check_is_settled_before_it() -> None:
    """Most cars with the cause are not printed, so no ink is told, however sure that would be."""
    (won,) = won_at(Replay(framed(OPENED)), "lifting", ["pulled"])

    assert won.car.answers["printed"] == "plain"
    assert "ink" not in won.car.answers


def test_causes_that_lose_their_own_case_are_a_table() -> None:
    """A cause that shows less of its mark than another one loses, and the table says to whom."""
    weaker = """
causes:
  - id: twin
    name: Dirt of another hand
    plainly: Another hand left it.
    origin: technique
    mechanism: Dirt keeps it off.
    behind: {lifting: occasional}
    shows: [{check: adhesive, of_100: {dirty: 40}, because: some dirt, source: common-practice}]
    remedies: {renew: 90}
    responsibility: {payer: installer, because: workmanship}
    prevention: Clean.
    source: common-practice
"""
    base = framed(weaker)
    every = all_won(Replay(base))

    assert {w.car.cause for w in every if not w.wins} >= {"twin"}
    said = losers_text(base, every)
    assert "twin" in said
    assert f"of {len(every)} most usual cars are won by their own cause" in said


def test_the_command_plays_usual_cars(rules: Path, capsys: Captured) -> None:
    """One cause in words, all as data, and a slip with a guess."""
    assert _run("usual", "dirty_edge", "--rules", rules) == 0
    assert "At Lifting [lifting]" in capsys.readouterr().out
    assert _run("usual", "--rules", rules, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert {(f["symptom"], f["cause"]) for f in found} >= {("lifting", "pulled")}
    assert _run("usual", "dirty_egde", "--rules", rules) == 2
    assert "did you mean dirty_edge?" in capsys.readouterr().err
    assert _run("usual", "dirty_edge", "--rules", rules, "--json") == 0
    assert [f["asked"][-1:] for f in json.loads(capsys.readouterr().out)] == [
        ["adhesive"],
        ["adhesive"],
    ]


SEVERAL = """
checks:
  - {id: tools, name: Tools, ask: Which were used?, how: Ask., tool: question, minutes: 1,
     place: at_car, harm: none, scope: complaint, source: common-practice, several: true,
     answers: {blade: {says: a blade, usual: 30}, heat: {says: heat, usual: 50},
               wax: {says: wax, usual: 5}}}
causes:
  - id: pulled
    shows:
      - {check: tools, of_100: {blade: 80, heat: 90}, because: it was warmed and cut,
         source: common-practice}
"""


def test_answers_that_are_right_together_are_shown_together() -> None:
    """Each has a number of its own in the row; the most usual car has all that most have."""
    base = framed(SEVERAL)

    table = _table(base, "pulled", "Tools [tools]")
    assert [row[1] for row in table] == ["80", "90", "5"]
    (won,) = won_at(Replay(base), "lifting", ["pulled"])
    assert str(won.car.answers["tools"]) == "blade and heat"
    assert "Tools “a blade and heat”" in " ".join(
        text(base, played(Replay(base), "pulled")).split()
    )
