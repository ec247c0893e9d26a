"""Measures against values from outside: published rows and judge libraries.

`python tests/outside/measures_table.py` prints each measure with its check and the largest
deviation met; the tests hold the same deviations to their bounds.
"""

import csv
import importlib.util
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise, product
from pathlib import Path

from diagnose.measures.model import CannotSay
from diagnose.measures.quantity import Quantity
from diagnose.measures.registry import MEASURES
from diagnose.measures.subjects.air import dew_point_c, lumped_time
from diagnose.measures.subjects.film import tension_across_edge
from diagnose.measures.subjects.heat import post_heat_reached, true_temp_c
from diagnose.measures.subjects.pockets import gas_growth
from diagnose.measures.subjects.recess import recess_demand_percent
from diagnose.measures.subjects.shop import lot_suspicion

PUBLISHED = Path(__file__).parent / "data" / "measures_published.csv"
ATMOSPHERE_PA = 101_325


@dataclass(frozen=True, slots=True)
class Published:
    """One published value: what goes in, what a source says comes out, how close we have to be."""

    measure: str
    inputs: tuple[tuple[str, float | str], ...]
    expected: float | str
    tolerance: float
    sources: tuple[str, ...]
    detail: str

    @property
    def found(self) -> float | str:
        """What the measure's function gives, assumed values included."""
        assumed = {
            each.name: each.default.middle if isinstance(each.default, Quantity) else each.default
            for each in MEASURES[self.measure].inputs
            if each.default is not None and not MEASURES[self.measure].expand
        }
        return MEASURES[self.measure].function(**{**assumed, **dict(self.inputs)})

    @property
    def deviation(self) -> float:
        """Distance from the published value; a wrong word is infinitely far."""
        if isinstance(self.found, str) or isinstance(self.expected, str):
            return 0.0 if self.found == self.expected else math.inf
        return abs(self.found - self.expected)


def published() -> list[Published]:
    """Read the rows of the table of published values."""
    with PUBLISHED.open(encoding="utf-8", newline="") as lines:
        return [_row(row) for row in csv.DictReader(lines)]


def _row(row: dict[str, str]) -> Published:
    measure = MEASURES[row["measure"]]
    words = {each.name for each in measure.inputs if each.words}
    pairs = (pair.split("=") for pair in row["inputs"].split(";"))
    return Published(
        measure.id,
        tuple((name, value if name in words else float(value)) for name, value in pairs),
        row["expected"] if measure.words else float(row["expected"]),
        float(row["tolerance"]),
        tuple(row["source"].split()),
        row["detail"],
    )


@dataclass(frozen=True, slots=True)
class Judge:
    """A library, or another way to the same number, that judges a measure over its range."""

    measure: str
    says: str
    needs: tuple[str, ...]
    bound: float
    deviations: Callable[[], Iterator[float]]

    @property
    def is_here(self) -> bool:
        """Whether its packages are installed."""
        return all(importlib.util.find_spec(package) for package in self.needs)


def _airs() -> Iterator[tuple[int, int]]:
    return product(range(-20, 51), range(1, 101))


def _against_psychrolib() -> Iterator[float]:
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)
    for air, humidity in _airs():
        expected = psychrolib.GetTDewPointFromRelHum(air, humidity / 100)
        if expected >= 0:
            yield abs(dew_point_c(air, humidity) - expected)


def _against_coolprop() -> Iterator[float]:
    from CoolProp.HumidAirProp import HAPropsSI

    for air, humidity in product(range(0, 51), range(5, 101, 5)):
        expected = HAPropsSI("D", "T", air + 273.15, "P", ATMOSPHERE_PA, "R", humidity / 100)
        if expected >= 273.15:
            yield abs(dew_point_c(air, humidity) + 273.15 - expected)


def _over_water_hpa(celsius: float) -> float:
    """Saturation pressure over water, also below 0 °C: sonntag_1990, formula 2."""
    kelvin = celsius + 273.15
    return math.exp(
        -6096.9385 / kelvin
        + 16.635794
        - 2.711193e-2 * kelvin
        + 1.673952e-5 * kelvin**2
        + 2.433502 * math.log(kelvin)
    )


def _against_sonntag_below_zero() -> Iterator[float]:
    from scipy.optimize import brentq  # type: ignore[import-untyped]

    for air, humidity in _airs():
        try:
            found = dew_point_c(air, humidity)
        except CannotSay:
            continue
        if found < 0:
            wanted = _over_water_hpa(air) * humidity / 100
            expected = brentq(lambda t, wanted=wanted: _over_water_hpa(t) - wanted, -60, 50)
            yield abs(found - expected)


def _planck_band(kelvin: float) -> float:
    """Radiance of a black body from 8 to 14 µm, unscaled, by Planck's law."""
    from scipy.integrate import quad  # type: ignore[import-untyped]

    return 1e6 * float(
        quad(lambda um: um**-5 / math.expm1(14387.769 / (um * kelvin)), 8, 14, epsrel=1e-10)[0]
    )


def _gun_reads(true: float, emissivity: float, room: float) -> float:
    """Find what a gun set to 0.95 shows by Planck's law, in °C."""
    from scipy.optimize import brentq

    mirrored = (1 - emissivity) * _planck_band(room + 273.15)
    seen = emissivity * _planck_band(true + 273.15) + mirrored
    own = seen - 0.05 * _planck_band(room + 273.15)
    return float(brentq(lambda kelvin: 0.95 * _planck_band(kelvin) - own, 150, 600)) - 273.15


def _against_planck() -> Iterator[float]:
    for true, emissivity, room in product(range(0, 181, 15), (0.3, 0.5, 0.8, 0.93), (0, 20, 40)):
        read = _gun_reads(true, emissivity, room)
        if read >= -20:
            yield abs(true_temp_c(read, emissivity, 0.95, room) - true)


def _verdicts_against_planck() -> Iterator[float]:
    """Expect a tenth of a kelvin over the required 90 °C to be reached, a tenth under not."""
    for emissivity, room in product((0.3, 0.6, 0.93), (10, 25, 40)):
        for true, word in ((90.1, "reached"), (89.9, "not_reached")):
            read = _gun_reads(true, emissivity, room)
            said = post_heat_reached(read, emissivity, 0.95, room, 90)
            yield 0.0 if said == word else math.inf


def _against_binomial() -> Iterator[float]:
    from scipy.stats import binom  # type: ignore[import-untyped]

    for jobs, usual in product((1, 5, 12, 40, 200), (0.5, 5, 20, 60)):
        for faulty in range(1, jobs + 1):
            yield abs(lot_suspicion(faulty, jobs, usual) - 100 * binom.sf(faulty - 1, jobs,
                                                                         usual / 100))  # fmt: skip


def _length(line: Callable[[float], float], half: float) -> float:
    """Length of a line from its middle to `half`, in ten thousand straight steps."""
    steps = [half * step / 10_000 for step in range(10_001)]
    points = [(x, line(x)) for x in steps]
    return math.fsum(math.dist(one, other) for one, other in pairwise(points))


def _against_polylines() -> Iterator[float]:
    """Walk along the drawn recess and compare the way with its opening."""
    for width, depth in product((20, 60, 150), (2, 5, 9)):
        radius = (width**2 / 4 + depth**2) / (2 * depth)
        floor = width / 2 - depth / math.tan(math.radians(60))
        lines: dict[str, Callable[[float], float]] = {
            "round": lambda x, r=radius: math.sqrt(max(0.0, r * r - x * x)),  # type: ignore[misc]
            "v": lambda x, d=depth, w=width: 2 * d * x / w,  # type: ignore[misc]
            "trapezoid": lambda x, f=floor: max(0.0, x - f) * math.tan(  # type: ignore[misc]
                math.radians(60)),
        }  # fmt: skip
        for form, line in lines.items():
            walked = 100 * (_length(line, width / 2) / (width / 2) - 1)
            yield abs(recess_demand_percent(form, width, depth, 60, 0) - walked)


def _against_tensors() -> Iterator[float]:
    """Turn the strain tensor with matrices and read its component across the edge."""
    import numpy

    for stretch, angle in product((1, 5, 10, 30), range(0, 91, 5)):
        turn = math.radians(angle)
        pull = numpy.array([math.cos(turn), math.sin(turn)])
        strain = stretch * numpy.outer(pull, pull)
        yield abs(tension_across_edge(stretch, angle) - float(strain[1, 1]))


def _against_real_air() -> Iterator[float]:
    from CoolProp.CoolProp import PropsSI

    for cold, warm in product(range(-20, 41, 10), range(-20, 101, 10)):
        first, then = (PropsSI("D", "T", t + 273.15, "P", ATMOSPHERE_PA, "Air")
                       for t in (cold, warm))  # fmt: skip
        yield abs(gas_growth(cold, warm) - first / then)


def _against_the_differential_equation() -> Iterator[float]:
    """Integrate Newton's law numerically up to the computed time; it has to end at the target."""
    from scipy.integrate import solve_ivp

    for start, target, air in ((5, 18, 21), (-10, 15, 24), (12, 20, 20.5), (25, 199, 200)):
        time = lumped_time(1.0, start, air, target)
        solved = solve_ivp(lambda _, t, air=air: air - t, (0, time), [start], rtol=1e-10)
        yield abs(float(solved.y[0, -1]) - target)


def _against_the_textbook_junction() -> Iterator[float]:
    """incropera_dewitt, example 5.1: 1 s, 25 to 199 °C in gas at 200 °C: 5.2 s."""
    yield abs(lumped_time(1.0, 25, 200, 199) - 5.2)


JUDGES = (
    Judge("dew_point_c", "psychrolib, −20 to 50 °C, 1 to 100 %, dew point from 0 °C",
          ("psychrolib",), 0.02, _against_psychrolib),
    Judge("dew_point_c", "CoolProp, 0 to 50 °C, 5 to 100 %, dew point from 0 °C",
          ("CoolProp",), 0.03, _against_coolprop),
    Judge("dew_point_c", "Sonntag's long form over water, dew point −40 to 0 °C",
          ("scipy",), 0.02, _against_sonntag_below_zero),
    Judge("true_temp_c", "Planck's law 8 to 14 µm by scipy, 0 to 180 °C, emissivity 0.3 to 0.93",
          ("scipy",), 0.1, _against_planck),
    Judge("post_heat_reached", "Planck's law by scipy, 0.1 K over and under the limit",
          ("scipy",), 0.0, _verdicts_against_planck),
    Judge("lot_suspicion", "scipy.stats.binom", ("scipy",), 1e-6, _against_binomial),
    Judge("recess_demand_percent", "length of drawn lines", (), 5e-3, _against_polylines),
    Judge("tension_across_edge", "strain tensor turned by numpy", ("numpy",), 1e-9,
          _against_tensors),
    Judge("gas_growth", "density of real air by CoolProp", ("CoolProp",), 0.002,
          _against_real_air),
    Judge("warming_minutes", "Newton's law integrated by scipy", ("scipy",), 0.01,
          _against_the_differential_equation),
    Judge("warming_minutes", "thermocouple example of a heat transfer textbook", (), 0.05,
          _against_the_textbook_junction),
)  # fmt: skip


def table() -> list[tuple[str, str, int, float, float]]:
    """Give measure, outside check, number of values, largest deviation and bound, row by row."""
    rows = []
    for (measure, bound), values in _published_by_bound().items():
        largest = max(each.deviation for each in values)
        rows.append((measure, "published values", len(values), largest, bound))
    for judge in JUDGES:
        if judge.is_here:
            found = list(judge.deviations())
            rows.append((judge.measure, judge.says, len(found), max(found), judge.bound))
    return sorted(rows, key=lambda row: list(MEASURES).index(row[0]))


def _published_by_bound() -> dict[tuple[str, float], list[Published]]:
    groups: dict[tuple[str, float], list[Published]] = {}
    for each in published():
        groups.setdefault((each.measure, each.tolerance), []).append(each)
    return groups


if __name__ == "__main__":
    for name, check, count, largest, limit in table():
        print(f"{name:<24}{check:<74}{count:>6}{largest:>12.2g}{limit:>9.2g}")
