"""What is read out of a remark, and how little it weighs."""

from __future__ import annotations

from collections.abc import Sequence
from math import log10

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.claims.decision.weighing import Weighed, Weighing
from diagnose.claims.mapping.remarks import (
    SUFFIX,
    Remarks,
    in_remark,
    mixing,
    tables_with_remarks,
    with_remarks,
)
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Values
from diagnose.reasoning.evidence.chain import Chain
from diagnose.reasoning.evidence.columns import columns, with_measures
from diagnose.reasoning.evidence.matrix import Matrix
from diagnose.reasoning.evidence.state import State
from diagnose.reasoning.evidence.weigh import weigh
from tests.reasoning.generated import bases, rows
from tests.reasoning.test_matrix import drawn


@pytest.fixture(scope="module")
def remarks(base: Base) -> Remarks:
    """The phrases of the shipped base."""
    return Remarks(base)


@pytest.mark.parametrize(
    ("remark", "answers"),
    [
        ("Customer kept the box label.", {"lot_label": "label_photographed"}),
        ("KEPT THE BOX LABEL", {"lot_label": "label_photographed"}),
        ("he never kept the box label", {}),
        ("no, he kept the box label", {"lot_label": "label_photographed"}),
        ("kept the box label; box is gone", {}),
        ("kept the box labels", {"lot_label": "label_photographed"}),
        ("unkept the box label", {}),
        ("nothing to report", {}),
        ("", {}),
    ],
)
def test_a_phrase_is_read_unless_it_is_negated_or_contradicted(
    remarks: Remarks, remark: str, answers: dict[str, str]
) -> None:
    """Whole words in any case; 'no' before it turns it, a stop between ends the 'no'."""
    found = remarks.read(remark).answers

    assert {c: w for c, w in found.items() if c == "lot_label"} == answers


def test_a_symptom_is_read_by_what_it_is_also_called(base: Base, remarks: Remarks) -> None:
    """The words at the counter name the symptom; 'no' before them does not."""
    for symptom in base.symptoms.values():
        assert symptom.id in remarks.read(f"Seen: {symptom.name}").symptoms
    assert remarks.read("full of tunnels").symptoms == ("tunnelling",)
    assert remarks.read("no tunnelling").symptoms == ()
    assert remarks.read("The clear layer is peeling").symptoms == ("laminate_delamination",)
    assert remarks.read("The clear layer isn't peeling").symptoms == ()


@pytest.mark.parametrize(
    "remark",
    [
        "bubbles: none, edges fine",
        "Bubbles? No.",
        "hardly any bubbles",
        "free of bubbles",
        "customer denies that there were bubbles",
        "no sign of creases or bubbles anywhere on the panel",
        "neither creases nor bubbles",
    ],
)
def test_other_ways_to_say_no(remarks: Remarks, remark: str) -> None:
    """An answer after the word, a 'hardly', a denial, a 'no' for a list."""
    said = remarks.read(remark)

    assert said.symptoms == ()
    assert "bump_place" not in said.answers


@pytest.mark.parametrize(
    ("remark", "check", "answer"),
    [
        ("Edge up again, no post heat.", "post_heat_record", "not_done"),
        ("was never post-heated", "post_heat_record", "not_done"),
        ("it grows every week", "course", "growing"),
        ("gone by itself after three days", "course", "shrinking"),
        ("the adhesive was oily", "adhesive_side", "oily_or_waxy"),
        ("never washed", "wash_method", "never"),
    ],
)
def test_what_shops_write(remarks: Remarks, remark: str, check: str, answer: str) -> None:
    """Short remarks of a shop; a 'no' that belongs to the phrase is no negation of it."""
    assert remarks.read(remark).answers[check] == answer


FACTORS = st.lists(st.floats(0, 150), min_size=1, max_size=5)


@given(FACTORS)
def test_nothing_read_from_a_remark_weighs_more_than_barely(factors: list[float]) -> None:
    """The mixed weights stay within the word, and reach it where the full ones are over it."""
    share = mixing(factors, 2.5)
    weights = [10 * log10(1 - share + share * f) for f in factors]

    assert 0 < share <= 1
    assert max(map(abs, weights)) <= 2.5 + 1e-9
    if share < 1:
        assert max(map(abs, weights)) == pytest.approx(2.5)


def test_a_remarks_table_is_still_a_distribution(base: Base) -> None:
    """For every symptom, check and cause: the probabilities of the answers sum to one.

    Of answers that can be right together those of yes and no do.
    """
    spoken = with_remarks(base)
    summed = 0
    for symptom in base.symptoms:
        table = tables_with_remarks(spoken, symptom)
        for name, its in table.rows.items():
            if not name.endswith(SUFFIX):
                continue
            for row in its:
                if row is not None:
                    yes = 10 ** (np.array(row.decibans) / 10) * np.array(row.usual)
                    no = 10 ** (np.array(row.absent or 0.0) / 10) * (1 - np.array(row.usual))
                    sums = yes + no if row.absent else np.array([yes.sum()])

                    assert sums == pytest.approx(np.ones(len(sums)), abs=1e-9)
                    barely = base.scales.strengths["barely"] + 1e-9
                    assert max(map(abs, (*row.decibans, *row.absent))) <= barely
                    summed += 1
    assert summed > 100


def said(base: Base, lines: list[Values]) -> list[Values]:
    """The rows with every second choice moved from its column into the remark."""
    found = []
    for line in lines:
        moved = {}
        for number, (name, value) in enumerate(sorted(line.items())):
            speaks = in_remark(name) in base.checks and number % 2
            moved[in_remark(name) if speaks else name] = value
        found.append(moved)
    return found


def same(base: Base, symptom: str, lines: list[Values]) -> None:
    """Chain with weigh and the matrix give the same probabilities for rows with remarks."""
    table = tables_with_remarks(base, symptom)
    scores = Matrix(base, table).score(with_measures(base, columns(base, lines)))
    chain = Chain(base, symptom)
    for number, line in enumerate(lines):
        differential = weigh(base, table, chain.run(line))
        for place, cause in enumerate(table.causes):
            expected = differential.of(cause.id).probability

            assert scores.probabilities[number, place] == pytest.approx(expected, abs=1e-9)


@given(bases(), rows())
def test_chain_and_matrix_treat_remarks_the_same(base: Base, lines: list[Values]) -> None:
    """On drawn bases, answers moved into the remark: the two evaluators agree."""
    spoken = with_remarks(base)
    same(spoken, "s", said(spoken, lines))


def test_chain_and_matrix_treat_remarks_the_same_on_the_shipped_base(base: Base) -> None:
    """On the shipped base as well."""
    spoken = with_remarks(base)
    same(spoken, "tunnelling", said(spoken, drawn(base, 4, 3, 0.4)))


def test_a_remark_rules_nothing_out(base: Base) -> None:
    """What would rule a cause out as an answered check only weighs as a remark."""
    spoken = with_remarks(base)
    tried = 0
    for cause in base.causes.values():
        symptom = next(iter(cause.behind))
        for check in base.checks.values():
            row = base.rows(cause, symptom).get(check.id)
            for code in row.ruled_out if row and in_remark(check.id) in spoken.checks else ():
                word = list(check.answers)[code]
                matrix = Matrix(spoken, tables_with_remarks(spoken, symptom))
                place = [c.id for c in base.behind(symptom)].index(cause.id)
                answered = matrix.score(columns(spoken, [{check.id: word}]))
                read = matrix.score(columns(spoken, [{in_remark(check.id): word}]))
                tried += 1

                assert answered.out[0, place]
                assert not read.out[0].any()
        if tried > 20:
            break
    assert tried


def test_a_decline_never_rests_on_a_remark(base: Base) -> None:
    """How sure the payer is for a decline is never more than what the columns alone say."""
    spoken = with_remarks(base)
    lines = said(spoken, drawn(base, 40, 17, 0.3))
    weighing = Weighing(spoken, "edge_lifting")

    def weigh(rows: Sequence[Values]) -> Weighed:
        return weighing.weigh(State(spoken, with_measures(spoken, columns(spoken, rows))), {})

    weighed = weigh(lines)
    plain = [{n: v for n, v in line.items() if not n.endswith(SUFFIX)} for line in lines]
    alone = weigh(plain)

    assert (weighed.plain <= alone.plain + 1e-12).all()
    assert (weighed.plain < weighed.paying - 1e-6).any()
