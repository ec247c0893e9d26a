"""The plan as a reader sees it, and on the command line."""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict, replace
from datetime import datetime
from pathlib import Path

import pytest

from diagnose.commands import Misuse
from diagnose.knowledge.base import Base
from diagnose.reasoning.correction.plan import Start, plan_car
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.casefile import read_case
from diagnose.records.case.complaints import complaints_of
from diagnose.report.content.case import build
from diagnose.report.content.data import Report
from diagnose.report.content.plan import build_plan, ending_words, stop_words
from diagnose.report.plan_command import terms_of
from diagnose.report.plan_options import add_plan_options
from tests.lines import markdown, text
from tests.reasoning.plan_cases import diagnosed, pricer, standing
from tests.reasoning.test_plan_shop import EXAMPLE

NOW = datetime(2026, 11, 30, 8, 0, 30)

TWO_DOORS = """
case: two_doors
vehicle: saloon
film: film A
lot: L-2207
circumstances:
  film_finish: gloss
  age_months: 2
complaints:
  - symptom: edge_lifting
    panel: front_door_left
    answers: {first_seen: weeks, relief_cut: parallel_cut_gapes, wrinkle_line: seen,
              adhesive_side: bright_and_clean, thumb_relay: creeps_up, pull_direction: toward_edge}
  - symptom: grit_bumps
    panel: front_door_left
    answers: {bump_feel: hard_point, bump_loupe: dark_or_coloured_speck, pattern: scattered}
"""


def options(*words: str) -> argparse.Namespace:
    """Options as typed."""
    parser = argparse.ArgumentParser()
    add_plan_options(parser)
    return parser.parse_args(list(words))


@pytest.fixture(scope="module")
def kept() -> dict[str, object]:
    """What is diagnosed once for all tests here."""
    return {}


def report(base: Base, reasoner: Reasoner, kept: dict[str, object], *words: str) -> Report:
    """The report of the two doors with a plan."""
    if not kept:
        found, problems = read_case("two_doors.yaml", TWO_DOORS, base)
        assert found is not None, problems
        kept["case"], kept["car"] = found.case, reasoner.car(complaints_of(base, found.case))
    case, car = kept["case"], kept["car"]
    terms = terms_of(base, case, options(*words), NOW)  # type: ignore[arg-type]
    plan = build_plan(base, case, car, terms)  # type: ignore[arg-type]
    return build(base, case, car, "2026-11-30 08:00", "0", plan)  # type: ignore[arg-type]


def test_the_short_conclusion_is_the_plans(
    base: Base, reasoner: Reasoner, kept: dict[str, object]
) -> None:
    """Who reads no further does what the plan does first, and hears the same of the payer."""
    made = report(base, reasoner, kept)
    short, _, _ = text(made, 1000).partition("VEHICLE, FILM AND JOB")

    assert made.plan
    for complaint in made.plan.complaints:
        assert f"Now: {complaint.steps[0].name} (" in short
        assert f"Cost: {complaint.carries.says}" in short


def test_the_report_says_plan_money_and_date(
    base: Base, reasoner: Reasoner, kept: dict[str, object]
) -> None:
    """Steps with cost and dates, the sum, who pays, the sheet, and whose the figures are."""
    said = text(report(base, reasoner, kept), width=0)
    for words in (
        "example figures",
        "ends the matter in",
        "Made up of: work",
        "working days from the start",
        "check again",
        "On average",
        "If it does not hold, then most likely:",
        "Papers asked for",
        "LAYING IT AGAIN",
        "Pull along the edge and not toward it",
        "When the film comes off, look for",
        "rub it with a finger",
    ):
        assert words in said, words


def test_the_correction_stands_in_the_order_of_the_plan(
    base: Base, reasoner: Reasoner, kept: dict[str, object]
) -> None:
    """The remedies described are those of the plan, in its order, before all others."""
    its = report(base, reasoner, kept)
    assert its.plan is not None
    for complaint in its.complaints:
        order = its.plan.of(complaint.number).order
        assert tuple(step.id for step in complaint.correction)[: len(order)] == order


def test_json_holds_all_of_the_plan(
    base: Base, reasoner: Reasoner, kept: dict[str, object]
) -> None:
    """The same numbers as in the text, readable by another program."""
    its = report(base, reasoner, kept, "--what-if", "labour_rate=80")
    read = json.loads(json.dumps(asdict(its)))
    assert its.plan is not None
    assert read["plan"]["expected"] == pytest.approx(its.plan.expected)
    assert read["plan"]["what_if"][0]["words"] == "labour_rate=80"
    assert read["plan"]["what_if"][0]["difference"] > 0


def test_suppositions_are_told_beside_the_plan(
    base: Base, reasoner: Reasoner, kept: dict[str, object]
) -> None:
    """Another rate, a failure, a known cause: each with its cost and its steps."""
    its = report(
        base,
        reasoner,
        kept,
        "--what-if",
        "labour_rate=80",
        "--what-if",
        "failed=1:heat_and_relay_edge",
        "--what-if",
        "cause=pulled_to_edge",
    )
    said = markdown(its)
    assert its.plan is not None
    _, failed, cause = its.plan.what_if
    assert "Warm and re-lay the edge" not in dict(failed.steps)[1]
    known = base.causes["pulled_to_edge"].name
    assert (1, known, 1.0) in cause.causes
    assert "still to come on average" in said


def test_a_supposition_moves_the_ready_date(
    base: Base, reasoner: Reasoner, kept: dict[str, object]
) -> None:
    """Twelve hours of warming up made three days: the same money, ready three days later."""
    suppose = ("--what-if", "cause=film_lot_fault", "--what-if")
    its = report(
        base, reasoner, kept, *suppose, "cause=film_lot_fault, material.warm_up_hours=84"
    ).plan
    assert its is not None
    soon, late = its.what_if
    assert late.expected == pytest.approx(soon.expected)
    days = datetime.fromisoformat(late.ready) - datetime.fromisoformat(soon.ready)
    assert days.days >= 3
    assert f"ready {late.ready}" in text(report(base, reasoner, kept, *suppose, late.words), 0)


def test_a_size_that_was_typed_in_is_used(
    base: Base, reasoner: Reasoner, kept: dict[str, object]
) -> None:
    """A door of 2 × 3 m takes more film than the one in the table."""
    small = report(base, reasoner, kept).plan
    large = report(base, reasoner, kept, "--size", "1=2x3", "--size", "2=2x3").plan
    assert small is not None
    assert large is not None
    assert large.expected > small.expected


def test_the_start_may_be_given(base: Base, reasoner: Reasoner, kept: dict[str, object]) -> None:
    """Begun on a Saturday, work starts on Monday at eight."""
    its = report(base, reasoner, kept, "--start", "2026-12-05T10:00").plan
    assert its is not None
    works = [s for c in its.complaints for s in c.steps[:1] for s in s.time.slots]
    assert its.start == "2026-12-05 10:00"
    assert all(begin >= "2026-12-05 10:00" for _, begin, _ in works)
    assert its.ready >= "2026-12-07 08:00"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--size", "1=big"), "'1=big' is no size: write --size 1=0.75x1.15"),
        (("--size", "9=1x1"), "there is no complaint 9: this case has 1, 2"),
        (("--size", "1=75x115"), "is it in metres?"),
        (("--start", "tomorrow"), "'tomorrow' is no moment"),
        (("--shop", "nowhere.yml"), "nowhere.yml cannot be read"),
        (("--what-if", "labour=80"), "the shop has no figure 'labour'"),
    ],
)
def test_bad_options_say_what_to_write(
    base: Base, reasoner: Reasoner, kept: dict[str, object], words: tuple[str, ...], says: str
) -> None:
    """One sentence: what is wrong and what to write."""
    with pytest.raises(Misuse) as error:
        report(base, reasoner, kept, *words)
    assert says in str(error.value)


def test_a_shop_of_ones_own_is_used_and_its_faults_are_all_told(
    base: Base, reasoner: Reasoner, kept: dict[str, object], tmp_path: Path
) -> None:
    """Twice the rate costs more and is not called an example; two faults are told at once."""
    example = EXAMPLE.read_text(encoding="utf-8")
    own = tmp_path / "own.yml"
    own.write_text(
        example.replace("example: true", "example: false").replace("rate: 60", "rate: 120"),
        encoding="utf-8",
    )
    dear, plain = (
        report(base, reasoner, kept, "--shop", str(own)),
        report(base, reasoner, kept),
    )
    assert dear.plan is not None
    assert plan_expected(dear) > plan_expected(plain)
    assert "example figures" not in text(dear)
    own.write_text(
        example.replace("rate: 60", "rate: x").replace("scale: 1,", "scale: 9,"), "utf-8"
    )
    with pytest.raises(Misuse, match="2 problems") as error:
        report(base, reasoner, kept, "--shop", str(own))
    assert "own.yml:13:" in str(error.value)


def plan_expected(its: Report) -> float:
    """What the plan of a report costs on average."""
    assert its.plan is not None
    return its.plan.expected


def test_words_of_a_shop_never_act_as_markup(
    base: Base, reasoner: Reasoner, kept: dict[str, object], tmp_path: Path
) -> None:
    """A shop's name with marks and control characters stays text in Markdown and on a terminal."""
    own = tmp_path / "own.yml"
    own.write_text(
        EXAMPLE.read_text(encoding="utf-8").replace(
            "name: Example shop", 'name: "**Bold** [x](http://y) \\e[31mred"'
        ),
        encoding="utf-8",
    )
    its = report(base, reasoner, kept, "--shop", str(own))
    assert "**Bold**" not in markdown(its)
    assert "\x1b" not in text(its)
    assert "[x](http" not in markdown(its)


def test_without_a_plan_nothing_of_it_shows(
    base: Base, reasoner: Reasoner, kept: dict[str, object]
) -> None:
    """A report without a plan is as it was."""
    report(base, reasoner, kept)
    its = build(base, kept["case"], kept["car"], "now", "0")  # type: ignore[arg-type]
    assert its.plan is None
    assert "ends the matter in" in text(its, width=0)
    assert "On average" not in text(its)
    assert options().plan
    assert not options("--no-plan").plan


def test_what_to_do_when_the_steps_are_used_up() -> None:
    """Further than the steps it pays to look; why is said by what is likeliest then."""
    car = diagnosed(("lifting", {"finish": "plain"}))

    def end(**shares: float) -> str:
        stand = standing(car, ("front_door_left",), **shares)
        return ending_words(plan_car(pricer(), stand).complaints[0])

    assert end(pulled=0.5, dirty=0.1, unlisted=0.4).endswith("may be one that is not listed.")
    assert end(dirty=0.999, unlisted=0.001).endswith("at once costs more on average.")
    wax = diagnosed(("sheen", {"finish": "print"}))
    patch = standing(wax, ("front_door_left",), stretched=0.98, unlisted=0.02)
    assert "no other remedy is known" in ending_words(plan_car(pricer(), patch).complaints[0])
    assert end(pulled=0.88, dirty=0.11, unlisted=0.01).endswith("over in 94% of such cases.")


@pytest.mark.parametrize(
    ("age", "says"),
    [("30", "replace the piece and its neighbours, about"), ("3", "")],
)
def test_what_a_new_piece_leaves_to_be_seen_has_its_price(
    base: Base, reasoner: Reasoner, age: str, says: str
) -> None:
    """On film of two and a half years one new piece shows; what it costs that nothing shows."""
    told = TWO_DOORS.replace("age_months: 2", f"age_months: {age}")
    found, problems = read_case("two_doors.yaml", told, base)
    assert found is not None, problems
    terms = terms_of(base, found.case, options(), NOW)
    assert terms is not None
    plan = build_plan(base, found.case, reasoner.car(complaints_of(base, found.case)), terms)
    said = plan.complaints[0].nothing_shows
    assert says in said if says else said == ""


@pytest.mark.parametrize(
    ("case", "remedy", "reason"),
    [
        ("matte_wing_shiny_band", "Warm and re-lay the edge", "Drawing it a second time"),
        ("door_return_after_wash", "Seal the edge", "Closing the edge over dirt hides it"),
        ("sign_van_laminate_ridge", "Seal the edge", "Sealing a tunnel shuts it in"),
        ("wing_painted_last_week", "Replace the piece", "the paint has to cure first"),
    ],
)
def test_what_must_never_be_tried_is_said_with_its_reason(
    base: Base, reasoner: Reasoner, case: str, remedy: str, reason: str
) -> None:
    """Stretched matte film drawn again, dirt shut in, a tunnel sealed, fresh paint laid over."""
    file = EXAMPLE.parents[2] / "cases" / f"{case}.yaml"
    found, problems = read_case(file.name, file.read_text(encoding="utf-8"), base)
    assert found is not None, problems
    car = reasoner.car(complaints_of(base, found.case))
    told = build(base, found.case, car, "2026-11-30 08:00", "0").complaints[0].never
    assert any(name == remedy and reason in because for name, because in told), told


def test_what_costs_about_as_much_may_be_tried_first(base: Base) -> None:
    """Five in 336 are no reason to forbid a repair; a third more is one."""
    car = diagnosed(("lifting", {"finish": "plain"}))
    stand = standing(car, ("front_door_left",), dirty=0.95, unlisted=0.05)
    plan = plan_car(pricer(), stand).complaints[0]
    steps = (replace(plan.steps[-1], remedy="replace_piece"),)

    def stop(repair: float) -> str:
        starts = (
            Start("replace_piece", 300, 0.9, 336),
            Start("clean_and_relay_edge", 60, 0.3, repair),
        )
        return stop_words(base, replace(plan, steps=steps, starts=starts))

    assert "may be tried first" in stop(341)
    assert stop(341).startswith(base.remedies["clean_and_relay_edge"].name)
    assert stop(450).startswith("Do not try to repair it first")


def test_a_patch_is_a_repair_and_a_painter_is_no_film(base: Base) -> None:
    """After a patch that does not hold the piece is new; nobody is told to paint 'at once'."""

    def stop(*remedies: str) -> str:
        car = diagnosed(("lifting", {"finish": "plain"}))
        stand = standing(car, ("front_door_left",), dirty=0.95, unlisted=0.05)
        plan = plan_car(pricer(), stand).complaints[0]
        steps = tuple(replace(plan.steps[-1], remedy=remedy) for remedy in remedies)
        return stop_words(base, replace(plan, steps=steps, starts=()))

    patched = (
        "If 'cover it with a patch' does not hold, do not repair the old piece: replace the piece."
    )
    assert stop("patch_overlay", "replace_piece") == patched
    assert stop("replace_piece").startswith("Do not try to repair it first: replace the piece")
    assert stop("send_to_refinisher") == ""
    assert stop("patch_overlay") == ""
