"""What a person's own words say, with the words of the shipped base."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN
from diagnose.knowledge.words.proposal import Understood
from diagnose.knowledge.words.understanding import Understanding
from diagnose.knowledge.words.vocabulary import NOT
from diagnose.measures.quantity import Quantity

DAY = date(2026, 11, 29)


@pytest.fixture(scope="module")
def understanding(base: Base) -> Understanding:
    """The words of the shipped base."""
    return Understanding(base)


def answers(understood: Understood) -> dict[str, object]:
    """Answers by check."""
    return {proposal.subject: proposal.value for proposal in understood.answers}


def test_a_sentence_gives_symptom_place_and_answers_with_their_words(
    understanding: Understanding,
) -> None:
    """What an installer says at the car, in one line."""
    found = understanding.read(
        "front bumper, film pops out of the fog lamp pocket, three weeks old, came with the first"
        " hot days",
        DAY,
    )
    symptom, place = found.symptoms[0], found.places[0]

    assert (symptom.value, symptom.words, symptom.sure) == ("recess_pop_out", "film pops out", True)
    assert (place.value, place.words) == ("front_bumper", "front bumper … fog lamp pocket")
    assert answers(found)["first_seen"] == "weeks"
    assert answers(found)["zone"] == "concave_recess"
    age = answers(found)["age_months"]
    assert isinstance(age, Quantity)
    assert age.low == pytest.approx(21 / 30.4, abs=0.01)


@pytest.mark.parametrize(
    ("said", "symptom"),
    [
        ("film popped out of the recess", "recess_pop_out"),
        ("the edge is curling", "edge_lifting"),
        ("edges of the left front door are curling", "edge_lifting"),
        ("lifting along the edge", "edge_lifting"),
        ("the laminate lifts along the rear door edge", "laminate_delamination"),
        ("clear layer lifts at the edge of the bonnet", "laminate_delamination"),
        ("white patches under the film", "silvering"),
        ("the letters have shrunk", "edge_retreat"),
        ("paint came off with the film", "paint_lifting"),
        ("you can still see the old name in the paint", "ghosting"),
        ("glue stays on the paint", "adhesive_residue"),
        ("clear layer is peeling off the print", "laminate_delamination"),
        ("the old film comes off in tiny bits", "film_breakup"),
        ("bonnet is a different shade from the wings", "colour_mismatch"),
        ("wraping is full of bubbels", "air_bubbles"),
        ("cuts in the paint since the wrap is off", "knife_cuts"),
    ],
)
def test_a_symptom_is_known_by_plain_words(
    understanding: Understanding, said: str, symptom: str
) -> None:
    """Other forms, other words, other order, and slips of the keyboard."""
    assert understanding.read(said).symptoms[0].value == symptom


@pytest.mark.parametrize(
    ("said", "place", "sure"),
    [
        ("left front door", "front_door_left", True),
        ("front door, left", "front_door_left", True),
        ("hood", "bonnet", True),
        ("fender on the right", "front_wing_right", True),
        ("nearside wing", "front_wing_left", True),
        ("rear left fender", "rear_quarter_left", True),
        ("trunk lid", "boot_lid", True),
        ("rocker panel", "sill_left", False),
        ("all panels, worst on the roof", "roof", True),
    ],
)
def test_a_place_is_known_in_any_order_and_in_either_english(
    understanding: Understanding, said: str, place: str, sure: bool
) -> None:
    """A place that has two sides is not sure where none is told; a near one goes before all."""
    found = understanding.read(said).places[0]

    assert (found.value, found.sure) == (place, sure)


@pytest.mark.parametrize(
    ("said", "check", "value"),
    [
        ("no post-heat", "post_heat_record", "not_done"),
        ("not sure whether it was post-heated", "post_heat_record", UNKNOWN),
        ("I don't know how it is washed", "wash_method", UNKNOWN),
        ("seen after 3 days", "first_seen", "within_72h"),
        ("came up after two weeks", "first_seen", "weeks"),
        ("peeled two and a half years later", "first_seen", "years"),
        ("laid 18 months ago", "age_months", Quantity(18, 18)),
        ("the wrap is under a year old", "age_months", Quantity(0, 12)),
        ("a couple of years old", "age_months", Quantity(24, 24)),
        ("2 to 3 years old", "age_months", Quantity(24, 36)),
        ("18 months to 2 years old", "age_months", Quantity(18, 24)),
        ("edge lifting, new", "age_months", Quantity(0, 1)),
        ("laid in May", "age_months", Quantity(6.0, 7.0)),
        ("recess 2 cm deep", "recess_depth_mm", Quantity(20, 20)),
        ("humidity 65 %", "humidity_percent", Quantity(65, 65)),
        ("washed with a jet wash", "wash_method", "pressure_lance"),
        ("parked in full sun", "parking", "open_hot_sun"),
        ("the panel was resprayed", "paint_history", "refinished"),
        ("printed but never laminated", "laminate_pair", "no_laminate"),
    ],
)
def test_an_answer_is_read_with_its_number_its_unit_or_its_doubt(
    understanding: Understanding, said: str, check: str, value: object
) -> None:
    """Negation, 'not sure', numbers, units, ages and months."""
    assert answers(understanding.read(said, DAY))[check] == value


@pytest.mark.parametrize(
    ("said", "never"),
    [
        ("no bubbles", ("symptom", "air_bubbles")),
        ("not a single bubble", ("symptom", "air_bubbles")),
        ("bubbles: none", ("symptom", "air_bubbles")),
        ("not at the corner", ("zone", "corner")),
        ("it wasn't washed with a pressure washer", ("wash_method", "pressure_lance")),
        ("never parked in the sun", ("parking", "open_hot_sun")),
        ("the paint did not come off", ("failure_locus", "inside_paint")),
    ],
)
def test_what_is_denied_is_not_proposed(
    understanding: Understanding, said: str, never: tuple[str, str]
) -> None:
    """A 'no' before the words, within them, or as their answer."""
    found = understanding.read(said)
    named = {("symptom", s.value) for s in found.symptoms}

    assert never not in named | {(p.subject, p.value) for p in found.answers}


def test_how_old_a_wrap_is_does_not_say_when_the_fault_was_seen(
    understanding: Understanding,
) -> None:
    """A van two years old may have come back in its first week: the time is no more than a hint."""
    found = understanding.read("van, two years old, the edge of the rear door lifts", DAY)
    seen = [p for p in found.answers if p.subject == "first_seen"]

    assert answers(found)["age_months"] == Quantity(24.0, 24.0)
    assert not any(p.sure for p in seen)


def test_a_number_that_stands_alone_may_be_the_age(understanding: Understanding) -> None:
    """'Edge lifting, three weeks': of the wrap, or of the fault; so it is never sure."""
    found = {p.subject: p for p in understanding.read("edge lifting, three weeks").answers}

    assert found["age_months"].sure is False
    assert "age_months" not in answers(understanding.read("new paint on the bonnet"))


@pytest.mark.parametrize(
    "said",
    [
        "perhaps silicone from the trim dressing",
        "looks like somebody used a tyre dressing",
        "tyre dressing, or only water and nothing but water",
    ],
)
def test_what_is_only_like_something_is_never_sure(understanding: Understanding, said: str) -> None:
    """A guess, and words that say two things."""
    found = {p.subject: p for p in understanding.read(said).answers}

    assert found["chemicals"].sure is False


def test_what_finds_no_home_is_kept_in_the_words_of_the_person(
    understanding: Understanding,
) -> None:
    """Each clause of which nothing was understood, as it was written."""
    found = understanding.read("Edge lifting, customer pays by instalments; he was  very cross.")

    assert found.kept == ("customer pays by instalments", "he was very cross")


CLAUSES = (
    "edge lifting at the door return",
    "washed with a pressure washer",
    "three weeks old",
    "adhesive is oily",
    "parked in the sun",
    "no post-heat",
)


@given(st.permutations(CLAUSES))
def test_the_order_of_statements_does_not_matter(
    understanding: Understanding, clauses: list[str]
) -> None:
    """The same statements in another order say the same."""
    found, first = (understanding.read(", ".join(c)) for c in (clauses, CLAUSES))

    assert answers(found) == answers(first)
    assert found.symptoms[0].value == first.symptoms[0].value


@st.composite
def sentences(draw: st.DrawFn, base: Base) -> str:
    """Phrases of the base and other words, in any order."""
    phrases = [p for c in base.checks.values() for a in c.answers.values() for p in a.phrases]
    phrases += [p for s in base.symptoms.values() for p in (s.name, *s.also_called)]
    fillers = st.sampled_from(["no", "not sure", "the", "12 mm", "two weeks", "but", "xyzzy", "?"])
    parts = draw(st.lists(st.sampled_from(phrases) | fillers, min_size=1, max_size=8))
    return draw(st.sampled_from([" ", ", "])).join(parts)


@given(st.data())
def test_every_proposal_has_its_words_in_the_sentence(
    base: Base, understanding: Understanding, data: st.DataObject
) -> None:
    """Nothing is proposed that the person did not say."""
    text = data.draw(sentences(base))
    found = understanding.read(text, DAY)

    for proposal in (*found.symptoms, *found.places, *found.answers):
        assert proposal.spans
        for span in proposal.spans:
            assert 0 <= span.start < span.end <= len(text)
        for words in proposal.words.split(" … "):
            assert words in " ".join(text.split())


def test_a_denied_phrase_does_not_say_what_it_says(
    base: Base, understanding: Understanding
) -> None:
    """'Without' before a phrase of the base never proposes its answer; every fifth is tried."""
    phrases = [
        (phrase, check.id, value)
        for check in base.checks.values()
        for value, answer in check.answers.items()
        for phrase in answer.phrases
    ]
    meant = understanding.vocabulary.meant
    for phrase, check, value in phrases[::5]:
        if meant(f"without {phrase}")[0] != NOT:
            continue  # 'not only' and the like deny nothing
        found = understanding.read(f"without {phrase}").answers
        said = {(p.subject, p.value) for p in found if "without" not in p.words}

        assert (check, value) not in said, phrase


@given(st.text(max_size=200))
def test_any_text_is_read(understanding: Understanding, text: str) -> None:
    """Whatever is pasted, something comes of it and nothing breaks."""
    found = understanding.read(text, DAY)

    assert all(p.words for p in (*found.symptoms, *found.places, *found.answers))
