"""Shop arithmetic: film for a remedy, repair or replace, chance or a bad lot, the wash jet."""

import math

from diagnose.measures.model import Bands, CannotSay, Input, Maturity, Measure, refuse_outside
from diagnose.measures.quantity import exact

__all__ = ["MEASURES", "film_usage_m", "jet_pressure", "lot_suspicion", "repair_first"]

ACROSS = Input("across_m", "m", 0.02, 12, "size of the piece across the roll")
ALONG = Input("along_m", "m", 0.02, 12, "size of the piece along the roll")
ROLL = Input("roll_m", "m", 0.3, 2.2, "width of the roll")
BLEED = Input("bleed_m", "m", 0, 0.3, "surplus on each side")
OVERLAP = Input("overlap_m", "m", 0, 0.1, "overlap of two drops")
WASTE = Input("waste_percent", "%", 0, 100, "waste on top")
TRY = Input("repair_h", "h", 0.05, 100, "hours to try the repair")
REPLACE = Input("replace_h", "h", 0.1, 200, "hours to replace the piece")
ODDS = Input("success_percent", "%", 0, 100, "how often such a repair holds", natural=True)
FAULTS = Input("faulty_jobs", "", 1, 1000, "jobs of this lot with the same fault", whole=True)
JOBS = Input("jobs", "", 1, 1000, "jobs done with this lot", whole=True)
USUAL = Input(
    "usual_percent", "%", 0, 100, "share of jobs with this fault in general", natural=True
)
PRESSURE = Input("pressure_bar", "bar", 5, 400, "pressure of the washer")
FLOW = Input("flow_l_min", "l/min", 2, 40, "water of the washer")
DISTANCE = Input(
    "lance_distance_mm",
    "mm",
    20,
    2000,
    "distance of the nozzle from the film",
    checks=("lance_distance_mm",),
)
FAN = Input("fan_deg", "°", 10, 90, "angle of the fan nozzle")


def film_usage_m(
    across_m: float,
    along_m: float,
    roll_m: float,
    bleed_m: float,
    overlap_m: float,
    waste_percent: float,
) -> float:
    """Metres of film from the roll for a piece: drops · (H + 2b) · (1 + waste).

    One drop where W + 2b fits the roll R, else ⌈(W + 2b − o)/(R − o)⌉. All in m, waste in percent.
    Exact for straight drops. Metallic film is not turned to save film: along is along. Raises
    OutOfRange. Geometry; bleed 50 mm and waste 10 to 20 % are common practice.
    """
    refuse_outside(
        (ACROSS, across_m),
        (ALONG, along_m),
        (ROLL, roll_m),
        (BLEED, bleed_m),
        (OVERLAP, overlap_m),
        (WASTE, waste_percent),
    )
    wide = across_m + 2 * bleed_m
    # a hair less, so that a width that fits exactly does not cost a drop by rounding
    drops = max(1, math.ceil((wide - overlap_m) / (roll_m - overlap_m) - 1e-9))
    return drops * (along_m + 2 * bleed_m) * (1 + waste_percent / 100)


def repair_first(repair_h: float, replace_h: float, success_percent: float) -> float:
    """Hours that trying the repair first saves on average: q·R − r; below 0 it costs.

    r hours of repair, R of replacement, q how often the repair holds. Trying first takes
    r + (1 − q)·R on average. Travel and the owner's time are not in it. As good as q. Raises
    OutOfRange. Order of repairs after Kalagnanam & Henrion (1988).
    """
    refuse_outside((TRY, repair_h), (REPLACE, replace_h), (ODDS, success_percent))
    return success_percent / 100 * replace_h - repair_h


def lot_suspicion(faulty_jobs: float, jobs: float, usual_percent: float) -> float:
    """Chance in percent that as many or more jobs of a lot fail alike by accident.

    Σ from k to n of C(n, i)·p^i·(1 − p)^(n − i). Exact for independent jobs. Raises OutOfRange,
    CannotSay for more faults than jobs. Binomial distribution.
    """
    refuse_outside((FAULTS, faulty_jobs), (JOBS, jobs), (USUAL, usual_percent))
    if faulty_jobs > jobs:
        raise CannotSay("more jobs are faulty than were done: count again.")
    share, count = usual_percent / 100, int(jobs)
    return 100 * math.fsum(
        math.comb(count, i) * share**i * (1 - share) ** (count - i)
        for i in range(int(faulty_jobs), count + 1)
    )


def jet_pressure(
    pressure_bar: float, flow_l_min: float, lance_distance_mm: float, fan_deg: float
) -> float:
    """Mean pressure in kPa of a flat wash fan on the film: ρ·Q·v / (w·h).

    v = √(2p/ρ), w = 2D·tan(fan/2), h a tenth of w, ρ 1000 kg/m³. An order of size: it falls with
    the square of the distance. Raises OutOfRange. Momentum of a jet; h from memory.
    """
    refuse_outside(
        (PRESSURE, pressure_bar),
        (FLOW, flow_l_min),
        (DISTANCE, lance_distance_mm),
        (FAN, fan_deg),
    )
    speed = math.sqrt(2 * pressure_bar * 1e5 / 1000)
    wide = 2 * lance_distance_mm / 1000 * math.tan(math.radians(fan_deg) / 2)
    return 1000 * flow_l_min / 60000 * speed / (wide * wide / 10) / 1000


_REPAIR = Bands(
    (
        (0.0, "Replace at once: trying the repair costs more than it saves."),
        (0.5, "Hardly worth a second visit."),
    ),
    "Try the repair first.",
)
_LOT = Bands(
    (
        (1.0, "Hardly an accident: look at the roll, keep a sample, write to the maker."),
        (5.0, "Unlikely by accident: keep a sample of the roll and watch the next jobs."),
    ),
    "May well be accident: no ground to suspect the lot from the count alone.",
)
_JET = Bands(
    (
        (5.0, "As gentle as washing at 300 mm (1 ft) or more is."),
        (
            50.0,
            "Enough to lift an edge that is not bonded well: keep off to 300 mm (1 ft) or more.",
        ),
    ),
    "Enough to lift sound edges and to drive water under them.",
)

MEASURES = (
    Measure(
        id="film_usage_m",
        name="Film needed for a piece",
        function=film_usage_m,
        inputs=(
            ACROSS.rises(),
            ALONG.rises(),
            ROLL.falls().defaulting(exact(1.52)),
            BLEED.rises().defaulting(exact(0.05)),
            OVERLAP.rises().defaulting(exact(0.013)),
            WASTE.rises().defaulting(exact(10)),
        ),
        unit="m",
        says=lambda value: "From one roll and lot, so that colour and direction agree.",
        error_bound="exact for straight drops",
        source="geometry; bleed and waste are common practice, no source",
        maturity=Maturity.COMMON_PRACTICE,
        example=(("across_m", "1.75"), ("along_m", "2.1")),
        example_result=4.84,
    ),
    Measure(
        id="repair_first",
        name="Hours saved by trying the repair first",
        function=repair_first,
        inputs=(TRY.falls(), REPLACE.rises(), ODDS.rises()),
        unit="h",
        says=_REPAIR,
        error_bound="as good as the odds, which are judgement",
        source="order of repairs after Kalagnanam & Henrion 1988",
        maturity=Maturity.SOURCED,
        example=(("repair_h", "0.5"), ("replace_h", "3"), ("success_percent", "60")),
        example_result=1.3,
    ),
    Measure(
        id="lot_suspicion",
        name="Chance that several equal faults are an accident",
        function=lot_suspicion,
        inputs=(FAULTS.falls(), JOBS.rises(), USUAL.rises()),
        unit="%",
        says=_LOT,
        error_bound="exact for jobs that do not share installer, bay or car",
        source="binomial distribution",
        maturity=Maturity.CHECKED,
        example=(("faulty_jobs", "3"), ("jobs", "5"), ("usual_percent", "5")),
        example_result=0.1158,
    ),
    Measure(
        id="jet_pressure",
        name="Pressure of a wash jet on the film",
        function=jet_pressure,
        inputs=(
            PRESSURE.rises(),
            FLOW.rises().defaulting(exact(8)),
            DISTANCE.falls(),
            FAN.falls().defaulting(exact(40)),
        ),
        unit="kPa",
        says=_JET,
        error_bound="an order of size",
        source="momentum of a jet; distances from washing advice in the trade",
        maturity=Maturity.SOURCED,
        caution="A jet injures skin and eyes: never point it at a person or hold a hand before it.",
        example=(("pressure_bar", "100"), ("lance_distance_mm", "150")),
        example_result=15.8,
    ),
)
