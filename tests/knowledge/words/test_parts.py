"""Stems, clauses, numbers and slips, each by itself."""

from __future__ import annotations

from datetime import date

import pytest

from diagnose.knowledge.base import Base
from diagnose.knowledge.words.amounts import AmountReader
from diagnose.knowledge.words.days import DayReader
from diagnose.knowledge.words.lexicon import ways
from diagnose.knowledge.words.places import places_called
from diagnose.knowledge.words.proposal import TextSpan, quoted
from diagnose.knowledge.words.spelling import Meant, Spelling
from diagnose.knowledge.words.stem import stem
from diagnose.knowledge.words.vocabulary import Vocabulary


@pytest.fixture(scope="module")
def vocabulary(base: Base) -> Vocabulary:
    """The shipped words."""
    return Vocabulary(base.words)


@pytest.mark.parametrize(
    ("forms", "same"),
    [
        (("lift", "lifts", "lifted", "lifting"), True),
        (("bubble", "bubbles", "bubbled", "bubbling"), True),
        (("trim", "trimmed", "trimming"), True),
        (("peel", "peeled", "peeling"), True),
        (("dry", "dries", "dried"), True),
        (("patch", "patches"), True),
        (("glass", "gloss"), False),
        (("edge", "egg"), False),
        (("gas", "gash"), False),
    ],
)
def test_endings_do_not_matter(forms: tuple[str, ...], same: bool) -> None:
    """Plural, past and '-ing' are one word; words that are only alike are not."""
    assert (len({stem(word) for word in forms}) == 1) == same


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("torn", "tearing", True),
        ("hood", "bonnet", True),
        ("came away", "let go", True),
        ("shrunk back", "drawn back", True),
        ("glue", "adhesive", True),
        ("stripes", "strips", False),
        ("wrapped", "film", False),
    ],
)
def test_words_that_mean_the_same_are_one(
    vocabulary: Vocabulary, one: str, other: str, same: bool
) -> None:
    """Irregular forms, trade words of two countries, and words of several parts."""
    assert (vocabulary.meant(one) == vocabulary.meant(other)) == same


def test_a_clause_ends_at_a_stop_and_keeps_its_place(vocabulary: Vocabulary) -> None:
    """Commas, 'but' and a dash end a clause; its words say where they stand."""
    text = "Edge up - not dirty, but dry"
    clauses = vocabulary.clauses(text)

    assert [text[c.start : c.end].strip() for c in clauses] == ["Edge up", "not dirty", "dry"]
    assert text[clauses[2].words[0].start :] == "dry"


@pytest.mark.parametrize(
    ("text", "low", "high", "unit"),
    [
        ("2 cm", 2, 2, "cm"),
        ("2.5 weeks", 2.5, 2.5, "weeks"),
        ("2,5 weeks", 2.5, 2.5, "weeks"),
        ("three days", 3, 3, "days"),
        ("a couple of days", 2, 2, "days"),
        ("half an hour", 0.5, 0.5, "hour"),
        ("two and a half years", 2.5, 2.5, "years"),
        ("18 to 24 months", 18, 24, "months"),
        ("18-24 months", 18, 24, "months"),
        ("less than 3 hours", 0, 3, "hours"),
        ("-5 °C", -5, -5, "°c"),
        ("5 deg C", 5, 5, "°c"),
        ("45 degrees F", 45, 45, "°f"),
        ("8 degrees", 8, 8, "degrees"),
        ("6 yrs", 6, 6, "yrs"),
        ("a quarter inch", 0.25, 0.25, "inch"),
        ("65 %", 65, 65, "%"),
        ('1½"', 1.5, 1.5, '"'),
        ("a 7-year-old wrap", 7, 7, "year"),
    ],
)
def test_numbers_are_read_in_digits_and_words(
    base: Base, vocabulary: Vocabulary, text: str, low: float, high: float, unit: str
) -> None:
    """With ranges, halves, 'less than', and the unit after them."""
    found = [a for a in AmountReader(base.words, vocabulary).read(text) if a.unit]

    assert [(a.low, a.high, a.unit) for a in found] == [(low, high, unit)]


@pytest.mark.parametrize(
    ("said", "first", "last", "sure"),
    [
        ("in May", date(2026, 5, 1), date(2026, 5, 31), True),
        ("in December", date(2025, 12, 1), date(2025, 12, 31), True),
        ("in November", date(2026, 11, 1), date(2026, 11, 29), True),
        ("Feb 2024", date(2024, 2, 1), date(2024, 2, 29), True),
        ("05/2025", date(2025, 5, 1), date(2025, 5, 31), True),
        ("12 October", date(2026, 10, 12), date(2026, 10, 12), True),
        ("the 3rd of December", date(2025, 12, 3), date(2025, 12, 3), True),
        ("Oct. 12th, 2025", date(2025, 10, 12), date(2025, 10, 12), True),
        ("14.11.", date(2026, 11, 14), date(2026, 11, 14), True),
        ("21/11/26", date(2026, 11, 21), date(2026, 11, 21), True),
        ("11/21/2025", date(2025, 11, 21), date(2025, 11, 21), True),
        ("7/8/26", date(2026, 8, 7), date(2026, 8, 7), False),
        ("10/12/26", date(2026, 10, 12), date(2026, 10, 12), True),
        ("2024-06-01", date(2024, 6, 1), date(2024, 6, 1), True),
        ("2024-06", date(2024, 6, 1), date(2024, 6, 30), True),
        ("yesterday", date(2026, 11, 28), date(2026, 11, 28), True),
        ("last week", date(2026, 11, 16), date(2026, 11, 26), True),
        ("in spring 2023", date(2023, 3, 1), date(2023, 5, 31), True),
        ("last winter", date(2025, 12, 1), date(2026, 2, 28), True),
    ],
)
def test_days_are_read_as_they_are_written(
    base: Base, said: str, first: date, last: date, sure: bool
) -> None:
    """Said on 29 November: without a year the latest that has begun; two ways to read are unsure."""
    found = list(DayReader(base.words).read(said, date(2026, 11, 29)))

    assert [(d.first, d.last, d.sure) for d in found] == [(first, last, sure)]


@pytest.mark.parametrize(
    "said",
    ["it may have been laid badly", "1/4 inch", "31.2.2026", "3.5 mm", "12/2030", "fell off"],
)
def test_what_is_no_day_is_none(base: Base, said: str) -> None:
    """'May' that is no month, fractions, numbers, days that do not exist or have not come."""
    assert not list(DayReader(base.words).read(said, date(2026, 11, 29)))


WANTED = {"bubble": "bubbl", "bubbles": "bubbl", "silicone": "silicon", "recess": "recess"}


@pytest.mark.parametrize(
    ("word", "stem_", "slips"),
    [
        ("bubbels", "bubbl", 1),
        ("bubles", "bubbl", 1),
        ("recces", "", 0),
        ("silcone", "silicon", 1),
        ("xyzzy", "", 0),
        ("double", "", 0),
        ("bumble", "", 0),
    ],
)
def test_a_slip_is_mended_where_the_word_is_not_known(word: str, stem_: str, slips: int) -> None:
    """One slip in a word of six letters; a word that stands in the rules is right as it is."""
    spelling = Spelling({"bumbl", "doubl"}, WANTED, {})

    assert spelling.near(word, stem(word)) == (Meant(stem_, slips) if stem_ else None)


@pytest.mark.parametrize(
    ("word", "stem_"),
    [("crk", "crack"), ("hndl", "handl"), ("lft", "lift"), ("flt", ""), ("cr", ""), ("crook", "")],
)
def test_a_word_without_its_vowels_is_the_one_with_its_consonants(word: str, stem_: str) -> None:
    """Of several that have them the one which far more phrases speak of; else none."""
    often = {"crack": 9, "handl": 3, "lift": 20, "left": 4, "flat": 5, "float": 4}
    wanted = {"crack": "crack", "handle": "handl", "lift": "lift", "left": "left",
              "flat": "flat", "float": "float"}  # fmt: skip
    near = Spelling((), wanted, often).near(word, stem(word))

    assert near == (Meant(stem_, 0) if stem_ else None)


def test_a_stroke_gives_two_ways_to_say_a_phrase() -> None:
    """Words with a stroke between stand for one another; a fraction does not."""
    assert list(ways("glue/gum left on paint")) == ["glue left on paint", "gum left on paint"]
    assert list(ways("1/2 inch")) == ["1/2 inch"]


def test_other_words_for_a_place_carry_its_side(base: Base) -> None:
    """The words of the rules name a panel with its side, as a clerk's column has it."""
    called = places_called(base.words)

    assert "hood" in called["bonnet"]
    assert "fender left" in called["front_wing_left"]


@pytest.mark.parametrize(
    ("spans", "words"),
    [
        ([(0, 11), (2, 11)], "3 weeks old"),
        ([(13, 18), (0, 7)], "3 weeks … gloss"),
        ([(0, 7), (2, 11)], "3 weeks old"),
    ],
)
def test_words_that_were_read_are_told_once(spans: list[tuple[int, int]], words: str) -> None:
    """Stretches that overlap are one, in the order of the text."""
    assert quoted("3 weeks old, gloss", [TextSpan(*span) for span in spans]) == words
