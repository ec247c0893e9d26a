"""What kind of value a check has, and all that hangs on it: read, written, said, coded, tested."""

from __future__ import annotations

from typing import Any

import pytest

from diagnose.dialogue.words import answers_listed, heard
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import BadAnswer, misfit, parse, says, write
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.conditions import NoneOf, OneOf, Value
from diagnose.knowledge.model.conditions import parse as condition
from diagnose.knowledge.model.kinds import ChoiceKind, NotOfThisKind, NumberKind, SeveralKind
from diagnose.knowledge.model.values import AllOfThese, OneOfThese
from diagnose.measures.quantity import Quantity
from diagnose.records.case.casefile import read_case
from diagnose.records.case.casewrite import write_case
from diagnose.records.store.rows import (
    answer_from_json,
    answer_to_json,
    values_from_json,
    values_to_json,
)
from tests.small import small

CHOICE = ChoiceKind({"clean": "clean", "dirty": "dust or sand", "wet": "wet"})
TOGETHER = SeveralKind({"fuel": "fuel", "wax": "wax", "birds": "bird lime"})
NUMBER = NumberKind("°C", -10, 60, edges=(10, 18))


def check(name: str) -> Check:
    """A check of the small base."""
    return small().checks[name]


def test_a_check_knows_its_kind() -> None:
    """One with answers is a choice, one with a number has its unit, its range and its bins."""
    assert check("adhesive").kind == ChoiceKind({"clean": "clean", "dirty": "dirty", "wet": "wet"})
    assert check("panel_c").kind == NUMBER


def test_every_observable_of_the_shipped_base_has_a_label_for_each_share(base: Base) -> None:
    """Labels and usual shares stand side by side, whatever the kind."""
    for observable in base.observables.values():
        assert len(observable.kind.labels) == len(observable.labels)
        assert len(observable.shares) in (0, len(observable.labels))


@pytest.mark.parametrize(
    ("name", "text", "value", "written", "words"),
    [
        ("adhesive", "dirty", "dirty", "dirty", "dirty"),
        ("adhesive", " WET ", "wet", "wet", "wet"),
        ("panel_c", "9", Quantity(9, 9), 9, "9 °C"),
        ("panel_c", "9.5", Quantity(9.5, 9.5), 9.5, "9.5 °C"),
        ("panel_c", "8 to 12", Quantity(8, 12), "8..12", "8 to 12 °C"),
        ("panel_c", "50 °F", Quantity(10, 10), 10, "10 °C"),
    ],
)
def test_what_is_read_is_written_and_read_back(
    name: str, text: str, value: Value, written: Any, words: str
) -> None:
    """A value survives a case file, and is said in words with its unit."""
    its = check(name)

    assert parse(its, text) == value
    assert write(value) == written
    assert parse(its, str(written)) == value
    assert says(its, value) == words


@pytest.mark.parametrize("value", ["dirty", Quantity(9, 9), Quantity(8.5, 12)])
def test_a_record_gives_back_what_it_was_given(value: Value) -> None:
    """The store's two ways to write an answer read back equal, without the rule base."""
    assert answer_from_json(answer_to_json(value)) == value
    assert values_from_json(values_to_json({"x": value})) == {"x": value}


def test_a_record_keeps_the_bytes_of_earlier_versions() -> None:
    """An answer on record is written as it always was, or its digest would no longer fit."""
    assert answer_to_json("dirty") == '{"choice":"dirty"}'
    assert answer_to_json(Quantity(1, 2.5)) == '{"low":1,"high":2.5}'
    assert values_to_json({"a": "b", "c": Quantity(1, 2)}) == '{"a":"b","c":[1,2]}'


def test_an_answer_has_one_code_and_a_range_those_of_the_bins_that_it_touches() -> None:
    """The codes of a value are what its tables and arrays are read at."""
    assert [list(CHOICE.codes(v)) for v in ("clean", "wet")] == [[0], [2]]
    assert list(NUMBER.codes(Quantity(9, 9))) == [0]
    assert list(NUMBER.codes(Quantity(10, 10))) == [1]
    assert list(NUMBER.codes(Quantity(9, 30))) == [0, 1, 2]


@pytest.mark.parametrize("kind", [CHOICE, NUMBER])
def test_the_value_of_a_code_has_this_code(kind: ChoiceKind | NumberKind) -> None:
    """What is tried for an answer is that answer and no other."""
    for code in range(len(kind.labels)):
        assert list(kind.codes(kind.value(code))) == [code]
        assert kind.allows(kind.value(code))


def test_answers_are_named_in_quotes_and_bins_by_their_ends() -> None:
    """Bins that lie side by side are one range."""
    assert CHOICE.named([0, 1]) == ["'clean'", "'dust or sand'"]
    assert NUMBER.named([0, 1]) == ["under 18 °C"]
    assert NUMBER.named([0, 2]) == ["under 10 °C", "18 °C and over"]
    assert NUMBER.covers([0, 1, 2]) == "any number"
    assert CHOICE.covers([1]) == "dust or sand"


def test_one_of_a_unit_is_said_in_the_singular_and_a_ratio_has_no_unit() -> None:
    """'1 month', '2 months', '0.5'."""
    months = NumberKind("months")

    assert [months.says(Quantity(n, n)) for n in (1, 2)] == ["1 month", "2 months"]
    assert NumberKind("ratio").says(Quantity(0.5, 0.5)) == "0.5"


def test_a_value_of_another_kind_is_refused() -> None:
    """A number is no answer of a choice, and a word no number."""
    with pytest.raises(NotOfThisKind):
        CHOICE.says(Quantity(1, 1))
    with pytest.raises(NotOfThisKind):
        NUMBER.codes("dirty")
    assert not CHOICE.allows("gone")
    assert not CHOICE.allows(Quantity(1, 1))
    assert not NUMBER.allows("dirty")


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("adhesive", "dity", "did you mean dirty?"),
        ("adhesive", "5", "its answers are clean, dirty, wet, or unknown"),
        ("panel_c", "500", "lies outside -10 to 60 °C"),
        ("panel_c", "warm", "not a reading"),
    ],
)
def test_what_is_no_answer_is_told_with_what_would_be_one(name: str, text: str, said: str) -> None:
    """One sentence, whatever the kind."""
    with pytest.raises(BadAnswer) as refused:
        parse(check(name), text)

    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("when", "said"),
    [
        ({"adhesive": "dirty"}, None),
        ({"adhesive": {"not": "dirty"}}, None),
        ({"panel_c": {"under": 10}}, None),
        ({"dirt": "found"}, None),
        ({"adhesive": {"under": 10}}, "adhesive has answers, not a number"),
        ({"adhesive": "dity"}, "adhesive has no answer 'dity' (did you mean dirty?)"),
        ({"adhesive": ["clean", "dirty", "wet"]}, "every answer of adhesive is named"),
        ({"panel_c": "cold"}, "panel_c is a number: write {under: …}"),
        ({"dirt": "dirty"}, "dirt is a finding: write dirt: found"),
        ({"dirts": "found"}, "is called 'dirts' (did you mean dirt?)"),
    ],
)
def test_a_condition_asks_only_what_its_subject_can_say(when: Any, said: str | None) -> None:
    """Rules, policies and a shop's films are told the same sentence."""
    base = small()
    sentence = misfit(condition(when).tests[0], base.observables, base.findings)

    assert (sentence is None) if said is None else (said in str(sentence))


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("dirty or wet", OneOfThese(("dirty", "wet"))),
        ("wet | dirty", OneOfThese(("dirty", "wet"))),
        ("wet or dust or sand", OneOfThese(("dirty", "wet"))),
        ("clean, or wet", OneOfThese(("clean", "wet"))),
        ("dust or sand", "dirty"),
        ("wet or wet", "wet"),
    ],
)
def test_one_of_several_answers_is_read_from_a_text(text: str, value: Value) -> None:
    """In the check's order; an answer whose own words hold an 'or' stays whole."""
    assert CHOICE.parse("adhesive", text) == value


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("fuel", ("fuel",)),
        ("wax and fuel", ("fuel", "wax")),
        ("Fuel, wax, and bird lime", ("fuel", "wax", "birds")),
        ("fuel + birds", ("fuel", "birds")),
        ("none", ()),
    ],
)
def test_what_is_so_together_is_read_from_a_text(text: str, words: tuple[str, ...]) -> None:
    """With 'and', commas or plus signs; 'none' where nothing is."""
    value = TOGETHER.parse("touched", text)

    assert value == AllOfThese(words)
    assert TOGETHER.of(TOGETHER.codes(value)) == value


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("cold", -10, 11),
        ("Cold", -10, 11),
        ("room temperature", 18, 25),
        ("cold or cool", -10, 17),
        ("5 or 12", 5, 12),
        ("50 °F", 10, 10),
    ],
)
def test_a_word_stands_for_the_range_that_the_check_states(
    base: Base, text: str, low: float, high: float
) -> None:
    """Several with 'or' are the range that holds them all."""
    value = parse(base.checks["install_panel_temp_c"], text)

    assert isinstance(value, Quantity)
    assert (value.low, value.high) == pytest.approx((low, high))


def test_a_word_that_the_check_does_not_know_is_told_those_that_it_knows(base: Base) -> None:
    """The words stand behind the ways to write a number."""
    with pytest.raises(BadAnswer, match=r"Or one of these words: frosty, cold, cool"):
        parse(base.checks["install_panel_temp_c"], "chilly")


@pytest.mark.parametrize(
    ("text", "months"),
    [
        ("3 weeks", 3 * 7 * 12 / 365.25),
        ("18 days", 18 * 12 / 365.25),
        ("2 months", 2),
        ("2 years", 24),
        ("2 to 3 weeks", None),
    ],
)
def test_an_age_is_told_in_the_unit_that_a_person_thinks_in(
    base: Base, text: str, months: float | None
) -> None:
    """Days, weeks and years are as good as months."""
    value = parse(base.checks["age_months"], text)

    assert isinstance(value, Quantity)
    assert (value.low, value.high) == pytest.approx(
        (months, months) if months else (14 * 12 / 365.25, 21 * 12 / 365.25)
    )


@pytest.mark.parametrize(
    "value", [OneOfThese(("dirty", "wet")), AllOfThese(("fuel",)), AllOfThese(())]
)
def test_a_record_gives_back_what_is_known_in_part(value: Value) -> None:
    """Both ways to keep an answer, and both ways to write it in a file."""
    assert answer_from_json(answer_to_json(value)) == value
    assert values_from_json(values_to_json({"x": value})) == {"x": value}


def test_a_case_file_says_several_answers_in_a_list(base: Base) -> None:
    """What is written is read back equal, in the answers as in the journal."""
    text = """
case: either
circumstances: {film_finish: [matte, satin], install_panel_temp_c: [cold, cool]}
complaints:
  - symptom: edge_lifting
    panel: front_door_left
    answers: {first_seen: weeks or months}
"""
    found, wrong = read_case("either.yaml", text, base)
    assert found is not None, wrong
    case = found.case

    assert case.circumstances["film_finish"] == OneOfThese(("satin", "matte"))
    assert case.circumstances["install_panel_temp_c"] == Quantity(-10, 17)
    assert case.complaints[0].answers["first_seen"] == OneOfThese(("weeks", "months"))
    again, wrong = read_case("either.yaml", write_case(found), base)
    assert again is not None, wrong
    assert again.case == case


@pytest.mark.parametrize("said", ["[]", "[matte, true]", "[matte, unknown]", "[matte, wood]"])
def test_a_list_that_is_no_answer_is_told_at_its_place(base: Base, said: str) -> None:
    """Empty, not all words, 'unknown' among them, or a word that is none."""
    text = f"case: either\ncircumstances: {{film_finish: {said}}}\ncomplaints: []\n"
    found, wrong = read_case("either.yaml", text, base)

    assert found is None
    assert [p.spot.line for p in wrong] == [2]


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ("3 weeks", "3 weeks"),
        ("1 week", "1 week"),
        ("18 days", "18 days"),
        ("1 day", "1 day"),
        ("1 month", "1 month"),
        ("1.5 months", "1.5 months"),
        ("14 months", "14 months"),
    ],
)
def test_a_young_age_is_said_as_it_was_told(base: Base, told: str, says: str) -> None:
    """Nobody counts 0.69 months; what is said can be entered again and is the same."""
    kind = base.checks["age_months"].kind
    value = kind.parse("age", told)

    assert kind.says(value) == says
    assert kind.parse("age", kind.says(value)) == value


def test_what_touched_the_film_can_be_several_things(base: Base) -> None:
    """Of the shipped checks where more than one can be true: by number, by words, and nothing."""
    for name in ("chemicals", "events_since", "rust_signs"):
        check = base.checks[name]
        first, second, *_ = check.labels
        last = len(check.labels) + 1

        assert heard(check, "1 and 2") == AllOfThese((first, second))
        assert heard(check, str(last)) == parse(check, "none") == AllOfThese(())
        assert says(check, AllOfThese(())) == list(answers_listed(check).values())[-1]
        assert parse(check, says(check, AllOfThese((first, second)))) == AllOfThese((first, second))


def test_a_condition_asks_whether_nothing_is_so(base: Base) -> None:
    """'none' holds where no answer is right; 'not none' where any is; both are open untold."""
    nothing, anything = OneOf("events_since", ("none",)), NoneOf("events_since", ("none",))
    both = AllOfThese(("collision", "hail_or_storm"))

    assert (nothing.holds(AllOfThese(())), anything.holds(AllOfThese(()))) == (True, False)
    assert (nothing.holds(both), anything.holds(both)) == (False, True)
    assert nothing.holds(None) is anything.holds(None) is None


def test_of_many_answers_pairs_are_looked_at_ahead(base: Base) -> None:
    """Their chances sum to one; three at once have no place among them, and count all the same."""
    check = base.checks["chemicals"]
    three = AllOfThese(check.labels[:3])

    assert len(check.outcomes) == 1 + 10 + 45
    assert sum(base.outcome_shares("chemicals", "staining")) == pytest.approx(1)
    assert check.kind.outcomes_of(three) == ()
    assert check.kind.codes(three) == (0, 1, 2)
