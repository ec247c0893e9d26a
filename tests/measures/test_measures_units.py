"""What a person types and what a person reads."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.measures.quantity import Quantity
from diagnose.measures.units import SPELLINGS, SYSTEMS, BadReading, convert, parse, plain, show
from tests.examples import examples

SEEDED = settings(derandomize=True, max_examples=examples(100))
UNITS = st.sampled_from(sorted(SPELLINGS))


@pytest.mark.parametrize(
    ("text", "unit", "low", "high"),
    [
        ("22", "°C", 22, 22),
        ("72 °F", "°C", 22.2222, 22.2222),
        ("72f", "°C", 22.2222, 22.2222),
        ("-40 F", "°C", -40, -40),
        ("−5", "°C", -5, -5),
        ("295.15 K", "°C", 22, 22),
        ("5 °F", "K", 2.77778, 2.77778),
        ("20..22", "°C", 20, 22),
        ("22 to 20 °C", "°C", 20, 22),
        ("68 °F .. 72 °F", "°C", 20, 22.2222),
        ("-5..-2", "°C", -5, -2),
        ("20–22 °C", "°C", 20, 22),
        ("20-22", "°C", 20, 22),
        ("-5", "°C", -5, -5),
        ("21 ± 0.5", "°C", 20.5, 21.5),
        ("21 +- 0.5 °C", "°C", 20.5, 21.5),
        ("70 +/- 1 °F", "°C", 20.5556, 21.6667),
        ("70 °F ± 1", "°C", 20.5556, 21.6667),
        ("60 %", "%", 60, 60),
        ("0.5 in", "mm", 12.7, 12.7),
        ('.5"', "mm", 12.7, 12.7),
        ("3 mil", "µm", 76.2, 76.2),
        ("80 \u03bcm", "µm", 80, 80),
        ("4 ft", "m", 1.2192, 1.2192),
        ("2 years", "months", 24, 24),
        ("2 days", "h", 48, 48),
        ("1500 psi", "bar", 103.421, 103.421),
        ("1 lbf/in", "N/25 mm", 4.37817, 4.37817),
        ("38 dyn/cm", "mN/m", 38, 38),
        ("2.1 gal/min", "l/min", 7.94936, 7.94936),
        ("100 in²", "dm²", 6.4516, 6.4516),
        ("1.5", "", 1.5, 1.5),
        ("60 % RH", "% RH", 60, 60),
    ],
)
def test_readings_as_people_write_them(text: str, unit: str, low: float, high: float) -> None:
    """Plain numbers, ranges and tolerances, metric or US, with or without the unit."""
    read = parse(text, unit)

    assert (read.low, read.high) == pytest.approx((low, high), rel=1e-5)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("", "°C"), ("12 loads", "% RH"), ("warm", "°C"), ("°C", "°C"), ("22 mm", "°C"), ("1,5", "mm"), ("5-7-9", "mm"),
        ("1/2 in", "mm"), ("5 ft 3 in", "mm"), ("20 °C to 70 °F", "°C"), ("1e3", "mm"),
        ("nan", "mm"), ("inf", "mm"), ("20..", "mm"), ("..20", "mm"), ("± 5", "mm"),
        ("20 ±", "mm"), ("=1+1", "mm"), ("1" * 61, "mm"), ("7 %", ""), ("20 .. 21 ± 1", "mm"),
    ],
)  # fmt: skip
def test_what_is_no_reading_is_refused_with_the_way_to_write_one(text: str, unit: str) -> None:
    """Never a guess: the sentence quotes what was typed and shows the ways to write it."""
    said = f"'{plain(text)}' is not a reading" if text else "nothing is entered"
    with pytest.raises(BadReading, match=re.escape(f"{said}: write a number, a range (20..22)")):
        parse(text, unit)


@SEEDED
@given(UNITS, st.floats(-1e4, 1e4), st.floats(0, 1e3), st.data())
def test_every_spelling_keeps_the_order_of_a_range(
    unit: str, low: float, width: float, data: st.DataObject
) -> None:
    """No unit turns a range round or loses an end."""
    spelling = data.draw(st.sampled_from(sorted(SPELLINGS[unit])))

    read = parse(f"{low:.6f} .. {low + width:.6f} {spelling}", unit)

    assert read.low <= read.high


@SEEDED
@given(UNITS, st.floats(-1e4, 1e4), st.floats(0, 1e3), st.sampled_from(SYSTEMS))
def test_a_number_survives_the_way_out_and_back(
    unit: str, low: float, width: float, system: str
) -> None:
    """What is shown in US units and typed again is the same quantity."""
    value = Quantity(low, low + width)
    shown = convert(value, unit, system)
    name = show(value, unit, system).removeprefix(show(shown, "", "metric")).strip()

    back = parse(f"{shown.low:.9f} .. {shown.high:.9f} {name}", unit)

    assert back.low == pytest.approx(value.low, rel=1e-6, abs=1e-4)
    assert back.high == pytest.approx(value.high, rel=1e-6, abs=1e-4)


@pytest.mark.parametrize(
    ("value", "unit", "system", "text"),
    [
        (Quantity(22, 22), "°C", "metric", "22 °C"),
        (Quantity(22, 22), "°C", "us", "71.6 °F"),
        (Quantity(20, 22), "°C", "us", "68 to 71.6 °F"),
        (Quantity(3, 3), "K", "us", "5.4 °F"),
        (Quantity(12.7, 12.7), "mm", "us", "0.5 in"),
        (Quantity(1234.4, 1234.4), "mm", "metric", "1234 mm"),
        (Quantity(0.0123456, 0.0123456), "mm", "metric", "0.0123 mm"),
        (Quantity(0, 0), "%", "metric", "0 %"),
        (Quantity(-0.04, 0.04), "mm", "metric", "-0.04 to 0.04 mm"),
        (Quantity(1.2, 1.2), "", "us", "1.2"),
        (Quantity(-1e-12, 1.2), "K", "metric", "0 to 1.2 K"),
    ],
)
def test_results_as_people_read_them(value: Quantity, unit: str, system: str, text: str) -> None:
    """Three digits that count, the reader's own unit, one number where the ends agree."""
    assert show(value, unit, system) == text


@pytest.mark.parametrize("text", ["\x1b[2J", "\x9b31m", "a\rb", "x\u202ey", "\x00", "z" * 500])
def test_typed_text_cannot_steer_a_terminal(text: str) -> None:
    """Escape and direction signs are replaced, long text is cut."""
    shown = plain(text)

    assert shown.removesuffix("…").isprintable()
    assert len(shown) <= 61
