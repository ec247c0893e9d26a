"""A row's grounds, payer and decision: as chain and weigh would have it, and defensible."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from diagnose.claims.classify import Classifier
from diagnose.claims.decision.grounds import MOST_FOR
from diagnose.claims.decision.questions import LAID, SEEN, WHERE
from diagnose.claims.mapping.recognise import Recogniser
from diagnose.claims.run import run
from diagnose.claims.table.source import Piece
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, parse
from diagnose.knowledge.logic.dates import dated
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.columns import Columns, KeptMeasures, Where, columns
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.tables import tables
from diagnose.reasoning.evidence.weigh import weigh
from diagnose.reasoning.explanation.explain import Reason, reasons
from diagnose.reasoning.questions.choose import entropy
from tests.claims.tables import COMPLETE, every, job, made_up, write_csv
from tests.examples import examples

SURE = COMPLETE | {
    "first_seen": "within_72h",
    "install_panel_temp_c": "6",
    "thumb_relay": "holds",
    "relief_cut": "neither_gapes",
    "handover_photos": "fault_already_there",
}
"""A panel that was too cold: the shop's, but for what the terms exclude."""


def days_of(row: Mapping[str, object]) -> dict[str, str]:
    """The days of a row, as the facts of a case have them."""
    return {n: str(row[n])[:10] for n in ("laid_on", "handed_on", "seen_on") if row.get(n)}


def decided(base: Base, tmp_path: Path, *rows: dict[str, str]) -> list[dict[str, object]]:
    """The decided rows."""
    run(job(base, write_csv(tmp_path / "in.csv", rows), tmp_path / "out.parquet"))
    return pl.read_parquet(tmp_path / "out.parquet").rows(named=True)


def test_grounds_are_those_of_the_chain(base: Base, reasoner: Reasoner, tmp_path: Path) -> None:
    """For each row: the causes, their percent, and the strongest signs with weight and source."""
    frame = made_up(base, 90, seed=8, filled=0.5)
    frame.write_parquet(tmp_path / "in.parquet")
    run(job(base, tmp_path / "in.parquet", tmp_path / "out.parquet"))
    found = pl.read_parquet(tmp_path / "out.parquet").rows(named=True)
    compared = 0
    for row, cells in zip(found, frame.rows(named=True), strict=True):
        answers = {
            c: parse(base.checks[c], str(v))
            for c, v in cells.items()
            if c in base.checks and v is not None
        }
        answers = dated(base.checks, days_of(cells), answers)
        trace = reasoner.trace(AnsweredComplaint(cells["symptom"], answers))
        differential = weigh(base, tables(base, cells["symptom"]), trace)
        leading = differential.standings[0]

        assert row["cause_1_percent"] == pytest.approx(100 * leading.probability, abs=0.051)
        if row["cause_1"] != leading.cause.name:
            continue
        expected = [r for r in reasons(base, leading, trace.values) if r.counted and r.decibans > 0]
        shown = [row[f"sign_for_{n}"] for n in range(1, MOST_FOR + 1)]
        for text, reason in zip(shown, expected, strict=False):
            assert f"{reason.decibans:+.1f} dB" in text
            compared += 1
        for text, reason in zip(shown, expected, strict=False):
            if not reason.silent and abs(reason.decibans) not in _tied(expected):
                assert str(text).startswith(reason.because.rstrip("."))
                assert all(source in str(text) for source in reason.source)
    assert compared > 30


def _tied(found: list[Reason]) -> set[float]:
    """Weights that several reasons have, which may stand in either order."""
    sizes = [abs(reason.decibans) for reason in found]
    return {size for size in sizes if sizes.count(size) > 1}


def test_an_installers_fault_within_the_terms(base: Base, tmp_path: Path) -> None:
    """Post-heat below, cut that gapes, seen within weeks: clear, and the terms answer for it."""
    row = COMPLETE | {
        "first_seen": "weeks",
        "post_heat_record": "not_done",
        "relief_cut": "parallel_cut_gapes",
        "handover_photos": "fault_already_there",
        "film_listed_for_use": "listed",
        "risk_waiver": "none",
        "repair_history": "none",
        "care_sheet": "handed_over",
    }
    found = decided(base, tmp_path, row)[0]

    assert found["payer"] == base.payers["installer"].name
    assert found["age_months_at_claim"] == 1
    assert found["terms"] == "Terms of 2024"
    assert found["sign_for_1"]
    assert found["decision"] in ("accept", "ask", "inspect")


@pytest.mark.parametrize("panel", ["front_door_left", ""])
def test_nothing_is_declined_on_an_unknown(base: Base, tmp_path: Path, panel: str) -> None:
    """With only a symptom and an empty day of laying no claim is declined."""
    rows = [
        {"symptom": symptom, "panel": panel, "laid_on": "", "seen_on": "2025-04-01"}
        for symptom in base.symptoms
    ]
    found = decided(base, tmp_path, *rows)

    assert {row["decision"] for row in found} <= {"ask", "inspect"}


def test_a_decline_still_holds_whatever_the_open_papers_say(base: Base, tmp_path: Path) -> None:
    """Every declined row names what is definite: an exclusion, the months, or a clear payer."""
    frame = made_up(base, examples(4000), seed=3)
    frame.write_parquet(tmp_path / "in.parquet")
    run(job(base, tmp_path / "in.parquet", tmp_path / "out.parquet"))
    found = pl.read_parquet(tmp_path / "out.parquet")
    declined = found.filter(pl.col("decision") == "decline").cast({pl.Categorical: pl.String})
    clear = base.scales.leads_clearly_percent
    excluded = declined["because"].str.starts_with("Excluded by")
    past_all = declined["because"].str.starts_with("Older than")

    assert declined.height > 20
    assert declined["contradictions"].is_null().all()
    assert declined.filter(~excluded)["age_months_at_claim"].is_not_null().sum() > 0
    rest = declined.filter(~excluded & ~past_all)
    mine = rest["because"].str.starts_with("Past the months") * rest["payer_percent"]
    assert (rest["not_answered_percent"] + mine >= clear - 0.11).all()
    assert declined["terms"].is_not_null().all()


@pytest.mark.parametrize(
    ("change", "decision", "says"),
    [
        ({"film_listed_for_use": "surface_excluded"}, "decline", "Excluded by Terms of 2024"),
        ({"laid_on": "2025-03-01", "seen_on": "2031-03-01"}, "decline", "Older than the longest"),
        ({"laid_on": "2019-03-01"}, "ask", "No terms of this policy"),
        ({"laid_on": ""}, "ask", "The day of laying decides"),
        ({"laid_on": "2025-03-01", "seen_on": "2025-02-01"}, "ask", "Days that cannot be"),
        ({"ink_kind": "latex", "film_finish": "gloss"}, "inspect", "cannot both be right"),
        (
            {"symptom": "", "remark": "the film is full of tunnels"},
            "ask",
            "stands in the remark only",
        ),
    ],
)
def test_one_change_and_what_becomes_of_the_row(
    base: Base, tmp_path: Path, change: dict[str, str], decision: str, says: str
) -> None:
    """What is definite decides; what is missing is asked for; what cannot be is looked at."""
    found = decided(base, tmp_path, COMPLETE | change)[0]

    assert found["decision"] == decision
    assert says in str(found["because"])


def test_what_is_asked_for_tells_most(base: Base, tmp_path: Path) -> None:
    """The bits beside the first check are the expected drop in entropy, tried answer by answer."""
    symptom = min(base.symptoms, key=lambda s: len(tables(base, s).extras))
    found = decided(base, tmp_path, COMPLETE | {"seen_on": "", "symptom": symptom})[0]
    check = next(c for c in base.checks.values() if c.ask == found["ask_for_1"])
    matrix = Matrix(base, tables(base, symptom))
    now = matrix.score(columns(base, [{}])).probabilities
    tried = [{check.id: word} for word in check.answers]
    assert tried, "the first check has answers"
    after = matrix.score(columns(base, tried)).probabilities
    table = tables(base, symptom)
    shares = np.array(base.usual(check.id, symptom))
    likely = np.repeat(shares[:, None], len(table.causes) + 1, axis=1)
    for place, row in enumerate(table.rows[check.id]):
        if row is not None:
            likely[:, place] *= 10 ** (np.array(row.decibans) / 10)
            likely[list(row.ruled_out), place] = 0.0
    chances = likely @ now[0]
    told = base.scales.told_percent[check.place] / 100
    bits = (entropy(now)[0] - chances @ entropy(after)) * told

    assert found["ask_for_1_bits"] == pytest.approx(bits, abs=0.011)
    order = [found[f"ask_for_{n}_bits"] for n in (1, 2, 3)]
    assert order == sorted(order, reverse=True)


def test_answered_and_tried_checks_are_not_asked_for(base: Base, tmp_path: Path) -> None:
    """What is answered, or was tried and could not be told, is not asked again."""
    first = decided(base, tmp_path, COMPLETE)[0]
    check = next(c for c in base.checks.values() if c.ask == first["ask_for_1"])
    (tmp_path / "again").mkdir()
    again = decided(base, tmp_path / "again", COMPLETE | {check.id: "unknown"})[0]

    assert first["ask_for_1"] not in [again[f"ask_for_{n}"] for n in (1, 2, 3)]


def test_a_letter_to_the_shop_asks_first_for_what_the_decision_hangs_on(
    base: Base, tmp_path: Path
) -> None:
    """Questions as a shop can answer them, all at once, and none of them twice."""
    undated, sure, signed = decided(
        base,
        tmp_path,
        COMPLETE | {"laid_on": "", "seen_on": "", "panel": ""},
        SURE | {"claim": "C-2"},
        SURE | {"claim": "C-3", "risk_waiver": "none", "repair_history": "unknown"},
    )
    ask = {check: base.checks[check].ask for check in base.checks}

    assert undated["ask_first"] == f"{LAID} {SEEN} {WHERE}"
    assert ask["age_months"] not in [undated[f"ask_for_{n}"] for n in (1, 2, 3)]
    assert sure["decision"] == "ask"
    assert sure["ask_first"] == ask["risk_waiver"]
    assert ask["risk_waiver"] not in [sure[f"ask_for_{n}"] for n in (1, 2, 3)]
    # Of a listing, and of who laid it again, the example terms pay where nobody knows.
    assert signed["ask_first"] is None
    assert signed["decision"] == "accept"


def test_what_was_asked_in_vain_is_not_asked_again(base: Base, tmp_path: Path) -> None:
    """All three exclusions tried and not to be told: someone has to look, a letter brings nothing."""
    tried = dict.fromkeys(("risk_waiver", "film_listed_for_use", "repair_history"), "unknown")
    found = decided(base, tmp_path, SURE | tried)[0]

    assert found["ask_first"] is None
    assert found["decision"] == "inspect"
    assert "Not known whether an exclusion" in str(found["because"])


def test_film_laid_on_fresh_paint_is_the_shops_and_its_terms_answer_for_it(
    base: Base, tmp_path: Path
) -> None:
    """The cause lies in the paint, the fault in laying too soon: no decline for its class."""
    row = COMPLETE | {
        "symptom": "gas_blisters",
        "paint_history": "refinished",
        "paint_age_days": "10",
        "pin_prick": "gas_returns",
        "risk_waiver": "none",
        "first_seen": "weeks",
    }
    found = decided(base, tmp_path, row)[0]

    assert found["payer"] == base.payers["installer"].name
    assert found["cause_class"] == "substrate"
    assert found["months_covered"] == 24
    assert found["decision"] != "decline"


def test_who_else_may_pay_is_named_with_the_question_that_settles_it(
    base: Base, tmp_path: Path
) -> None:
    """Fresh paint that gasses: the shop's that laid on it, unless it was dried too cold or is old."""
    row = {"symptom": "gas_blisters", "paint_history": "refinished", "pin_prick": "gas_returns"}
    found = decided(base, tmp_path, COMPLETE | row)[0]

    assert found["payer"] == base.payers["installer"].name
    assert found["decision"] == "ask"
    assert base.payers["refinisher"].name in str(found["because"])
    assert base.checks["paint_age_days"].ask in str(found["ask_first"])


def test_a_follow_up_waits_for_the_answer_that_opens_it(base: Base, tmp_path: Path) -> None:
    """How wide the cut gapes is asked of a cut that gapes, not beside 'does it gape'."""
    tried = {name: "unknown" for name in base.checks if name not in ("relief_cut", "relief_gap_mm")}
    left = tried | {"symptom": COMPLETE["symptom"]}
    cut, gapes = decided(base, tmp_path, left, left | {"relief_cut": "both_gape"})
    wide = base.checks["relief_gap_mm"].ask

    asked = [cut[f"ask_for_{n}"] for n in (1, 2, 3)]
    assert base.checks["relief_cut"].ask in asked
    assert wide not in asked
    assert wide in [gapes[f"ask_for_{n}"] for n in (1, 2, 3)]


def test_a_number_in_the_grounds_stands_between_both_its_ends(base: Base, tmp_path: Path) -> None:
    """'Three years and more' with the age as 36 to 60 months, not 'under 60'."""
    row = {"symptom": "rust_blisters", "laid_on": "2022-02-01"}
    found = decided(base, tmp_path, COMPLETE | row)[0]
    signs = " ".join(str(found[f"sign_for_{n}"]) for n in (1, 2, 3))

    assert "Age of the wrap: 36 to 60 months" in signs


def test_a_remark_is_marked_and_never_against_a_column(base: Base, tmp_path: Path) -> None:
    """The column says cast; the remark says calendered: the remark is told and not used."""
    remark = "monomeric, kept the box label"
    with_column, without = decided(
        base,
        tmp_path,
        COMPLETE | {"film_class": "cast_pvc", "remark": remark},
        COMPLETE | {"film_class": "", "remark": remark},
    )
    name = base.checks["film_class"].name

    assert f"{name}: monomeric calendered vinyl (not used" in str(with_column["from_remark"])
    assert "(not used" not in str(without["from_remark"])
    assert "read from the remark" not in str(with_column["sign_for_1"])
    assert f"{name}: monomeric" in str(without["from_remark"])


@pytest.mark.parametrize(
    ("cell", "unit", "low", "high"),
    [
        ("20", "", 20, 20),
        ("68 °F", "", 20, 20),
        ("68", "°F", 20, 20),
        ("18..22", "", 18, 22),
        ("59-68", "°F", 15, 20),
        ("59 to 68", "°F", 15, 20),
        ("68 ± 9", "°F", 15, 25),
        ("20,5", "", 20.5, 20.5),
        ("21 ± 0.5", "", 20.5, 21.5),
    ],
)
def test_numbers_in_the_clerks_ways(
    base: Base, cell: str, unit: str, low: float, high: float
) -> None:
    """Units, ranges, tolerances and decimal commas."""
    from diagnose.claims.mapping.mapping import Column, Mapped

    its = Mapped((Column("t", "install_panel_temp_c", {}, unit), Column("s", "symptom")))
    frame = pl.DataFrame({"row": [1], "t": [cell], "s": ["fading"]})
    claims, aside = Recogniser(base, its).read(Piece(0, frame))
    ends = claims.columns.numbers["install_panel_temp_c"]

    assert aside == ()
    assert [ends[0][0], ends[1][0]] == pytest.approx([low, high])


@pytest.mark.parametrize("cell", ["1,200", "nan", "inf", "20 bananas", "1e400", "--3"])
def test_a_number_that_is_none_is_a_cell_not_known(base: Base, cell: str) -> None:
    """A thousands comma could be a decimal one, the rest is no number; the row goes on."""
    from diagnose.claims.mapping.mapping import Column, Mapped

    its = Mapped((Column("t", "install_panel_temp_c"), Column("s", "symptom")))
    frame = pl.DataFrame({"row": [1], "t": [cell], "s": ["fading"]})
    claims, aside = Recogniser(base, its).read(Piece(0, frame))

    assert aside == ()
    assert np.isnan(claims.columns.numbers["install_panel_temp_c"][0][0])
    assert claims.notes[0].startswith(f"t '{cell}': ")


def test_a_cell_may_name_one_of_several_answers(
    base: Base, reasoner: Reasoner, tmp_path: Path
) -> None:
    """'a or b' weighs as in the callback; a word for a number is its range; what is none is told."""
    rows = [
        COMPLETE | {"film_finish": "matte or satin", "install_panel_temp_c": "cold"},
        COMPLETE | {"film_finish": "satin | gloss", "install_panel_temp_c": "8 to 16"},
        COMPLETE | {"film_finish": "matte"},
        COMPLETE | {"film_finish": "matte or wood"},
    ]
    found = decided(base, tmp_path, *rows)

    assert found[3]["not_read"].startswith("film_finish 'matte or wood': is no answer")
    for row, cells in zip(found[:3], rows, strict=False):
        answers = {c: parse(base.checks[c], v) for c, v in cells.items() if c in base.checks}
        answers = dated(base.checks, days_of(cells), answers)
        told = reasoner.differential(AnsweredComplaint("edge_lifting", answers))

        assert row["cause_1_percent"] == pytest.approx(
            100 * told.standings[0].probability, abs=0.051
        )


def test_unknown_is_no_evidence(base: Base) -> None:
    """'unknown' in a number's column is an answer that was tried, not a fault."""
    assert parse(base.checks["install_panel_temp_c"], "unknown") is UNKNOWN


def test_a_classifier_gives_a_row_the_same_alone_and_in_a_crowd(base: Base, tmp_path: Path) -> None:
    """No row's result hangs on its neighbours."""
    frame = made_up(base, 300, seed=2, every=every())
    frame.write_parquet(tmp_path / "in.parquet")
    its = job(base, tmp_path / "in.parquet", tmp_path / "out.parquet")
    engine: Classifier = its.classifier()
    piece = next(its.table.pieces(1000))
    crowd = engine.decide(piece).frame
    for row in (0, 17, 299):
        alone = engine.decide(Piece(0, piece.frame.slice(row, 1))).frame

        assert alone.rows() == crowd.slice(row, 1).rows()


def test_what_one_thread_measures_is_not_taken_from_it_by_another(
    base: Base, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When too much is kept, another thread begins anew and leaves alone what is in use."""
    from diagnose.claims import classify

    frame = made_up(base, 60, seed=5, filled=0.9, every=every())
    frame.write_parquet(tmp_path / "in.parquet")
    its = job(base, tmp_path / "in.parquet", tmp_path / "out.parquet")
    engine, piece = its.classifier(), next(its.table.pieces(1000))
    measuring, calls = classify.with_measures, []

    def interrupted(base: Base, columns: Columns, kept: KeptMeasures, where: Where) -> Columns:
        """Reckons, while a second thread decides the same piece and finds too much kept."""
        calls.append(kept)
        found = measuring(base, columns, kept, where)
        if len(calls) == 1:
            before = dict(kept)
            engine.decide(piece)

            assert before
            assert kept == before
        return found

    monkeypatch.setattr(classify, "with_measures", interrupted)
    monkeypatch.setattr(classify, "MEASURED", 0)
    engine.decide(piece)

    assert len(calls) == 2
    assert calls[1] is not calls[0]


def test_nothing_is_asked_of_an_exclusion_that_does_not_bear_on_the_fault(
    base: Base, tmp_path: Path
) -> None:
    """A waiver of edges and recesses is no matter where there is grit under the film."""
    edge, grit = decided(
        base, tmp_path, SURE, SURE | {"claim": "C-2", "symptom": "grit_bumps", "adhesive_side": ""}
    )
    waiver = base.checks["risk_waiver"].ask

    assert waiver in str(edge["ask_first"])
    assert waiver not in str(grit["ask_first"])
