"""What a report says of the plan: steps, money, dates, when to stop, who pays, laying again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.shop import Shop, VehicleClass
from diagnose.knowledge.model.words import UNLISTED
from diagnose.reasoning.correction import aftermath
from diagnose.reasoning.correction.plan import (
    ABOUT_AS_MUCH,
    CarPlan,
    ComplaintPlan,
    PlanStep,
    plan_car,
)
from diagnose.reasoning.correction.pricing import Price, Pricer, WorkPlace
from diagnose.reasoning.correction.roll import FilmNeed
from diagnose.reasoning.correction.situation import situations
from diagnose.reasoning.correction.verdict import Carries, Hand, Verdict, carries
from diagnose.reasoning.correction.what_if import WhatIf, parse, what_if
from diagnose.reasoning.diagnosis import CarDiagnosis, Diagnosis
from diagnose.reasoning.explanation import explain
from diagnose.records.case.journal import Case
from diagnose.report.content.plan_data import (
    FURTHER,
    VISIT,
    CarriesReport,
    ComplaintPlanReport,
    PlannedStep,
    PlanReport,
    PlanTerms,
    SideReport,
    StepMoney,
    StepTime,
    WhatIfReport,
)
from diagnose.report.content.plan_timing import Timing, moment
from diagnose.report.formats.blocks import whole_percent


def build_plan(base: Base, case: Case, car: CarDiagnosis, terms: PlanTerms) -> PlanReport:
    """The plan of a case; raises CannotSuppose for a supposition that does not fit."""
    kind = terms.shop.vehicle_class(terms.vehicle or case.facts.get("vehicle", ""))
    pricer = Pricer(base, terms.shop, kind)
    places = places_of(case, car, terms, kind)
    plan = plan_car(pricer, situations(base, car, places))
    timing = Timing(pricer, terms, places, plan)
    complaints = tuple(
        _complaint(base, case, diagnosis, each, timing, place)
        for diagnosis, each, place in zip(car.diagnoses, plan.complaints, places, strict=True)
    )
    supposed = [what_if(pricer, car, places, parse(s, base, terms.shop)) for s in terms.suppose]
    ready = timing.first_ready()
    return PlanReport(
        shop=terms.shop.name,
        example=terms.shop.example,
        note=terms.shop.note or "",
        currency=terms.shop.currency,
        vehicle=kind.name,
        start=moment(terms.start),
        complaints=complaints,
        shared=_shared(base, plan),
        expected=plan.expected,
        apart=plan.apart,
        ready=moment(ready),
        working_days=timing.calendar.working_days(terms.start, ready),
        sheet=_sheet(base, car, plan),
        what_if=tuple(_what_if(base, plan, its, terms, places) for its in supposed),
        letterhead=_letterhead(terms.shop),
    )


def _letterhead(shop: Shop) -> tuple[str, ...]:
    """Where the shop is and how it is reached; an example is nowhere."""
    return () if shop.example else tuple(filter(None, (shop.address, shop.contact)))


def _shared(base: Base, plan: CarPlan) -> tuple[tuple[str, tuple[int, ...], float, float], ...]:
    return tuple(
        (base.remedies[s.remedy].name, s.complaints, s.cost, s.reached) for s in plan.shared
    )


def places_of(
    case: Case, car: CarDiagnosis, terms: PlanTerms, kind: VehicleClass
) -> tuple[WorkPlace, ...]:
    """The complaints with the sizes of their pieces: as typed in, else by panel and vehicle."""
    return tuple(
        WorkPlace(
            complaint.number,
            complaint.panel,
            diagnosis.trace.values,
            terms.sizes.get(complaint.number) or terms.shop.piece(complaint.panel, kind),
        )
        for complaint, diagnosis in zip(case.complaints, car.diagnoses, strict=True)
    )


def _complaint(
    base: Base,
    case: Case,
    diagnosis: Diagnosis,
    plan: ComplaintPlan,
    timing: Timing,
    place: WorkPlace,
) -> ComplaintPlanReport:
    matching = aftermath.match(base, diagnosis.trace.values)
    remedies = [step.remedy for step in plan.steps]
    lays = any(base.remedies[r].film in ("piece", "set") for r in remedies)
    under = aftermath.notes(base, "under_film", diagnosis)
    impact = aftermath.notes(base, "impact", diagnosis)
    times = timing.of(plan)
    return ComplaintPlanReport(
        number=plan.number,
        steps=tuple(_step(base, s, t) for s, t in zip(plan.steps, times, strict=True)),
        ended=plan.ended,
        ending=ending_words(plan),
        stop_repairing=stop_words(base, plan),
        expected=plan.expected,
        part=plan.part,
        arithmetic=tuple((_term(base, name), p, money) for name, p, money in plan.terms),
        starts=_starts(base, plan),
        not_the_cheapest=cheapest_words(base, plan, timing.terms.shop.currency),
        thresholds=tuple(
            (base.remedies[t.remedy].name, t.from_chance, t.chance) for t in plan.thresholds
        ),
        match=matching.reasons if lays else (),
        match_reaches=matching.reaches if lays else "",
        match_unknown=tuple(base.checks[c].name for c in matching.unknown) if lays else (),
        nothing_shows=_nothing_shows(timing, remedies, matching.reaches, place) if lays else "",
        under_film=_notes(base, under) if aftermath.opens_film(base, remedies) else (),
        impact=_notes(base, impact),
        carries=_carries(base, carries(base, diagnosis, case.facts)),
    )


_LAID = {"piece": "piece", "set": "neighbours", "vehicle": "vehicle"}
"""How far a remedy reaches that lays so much film."""


def _nothing_shows(timing: Timing, remedies: Sequence[str], reaches: str, place: WorkPlace) -> str:
    """What it costs that nothing shows, where the plan ends the fault and lays less; or ''."""
    base, order = timing.pricer.base, aftermath.REACHES.index
    laid = [_LAID[f] for r in remedies if (f := base.remedies[r].film) in _LAID]
    film = "vehicle" if reaches == "vehicle" else "set"
    wider = next((r for r in base.remedies.values() if (r.kind, r.film) == ("replace", film)), None)
    enough = laid and order(reaches) <= order(max(laid, key=order))
    if wider is None or enough or wider.id in remedies:
        return ""
    cost = timing.pricer.price(wider, [place]).likely
    return (
        f"The plan ends the fault and lays less than that. So that nothing shows:"
        f" {wider.name.lower()}, about {cost:.0f} {timing.terms.shop.currency}; else have the owner"
        " agree that it may show."
    )


def _starts(base: Base, plan: ComplaintPlan) -> tuple[tuple[str, float, float, float], ...]:
    return tuple((base.remedies[s.remedy].name, s.cost, s.holds, s.expected) for s in plan.starts)


def _notes(base: Base, notes: Sequence[aftermath.Note]) -> tuple[tuple[str, str], ...]:
    return tuple((n.says, base.payers[n.payer].name if n.payer else "") for n in notes)


def _step(base: Base, step: PlanStep, time: StepTime) -> PlannedStep:
    remedy = base.remedies[step.remedy]
    return PlannedStep(
        id=remedy.id,
        name=remedy.name,
        money=_money(step.price, step.cost),
        time=time,
        reached=step.reached,
        holds=step.holds,
        ended=step.ended,
        look_again=remedy.look_again,
        if_it_fails=tuple((explain.cause_name(base, c), p) for c, p in step.after),
        dearer=tuple((base.remedies[r].name, factor) for r, factor in step.spoiled_by),
        risks=tuple((base.causes[r.cause].name, r.probability, r.because) for r in step.risks),
        shared_with=step.shared,
    )


def _hours(hours: float) -> str:
    """Hours of work: in tenths under ten, else whole; a long job is no power of ten."""
    return f"{hours:.0f}" if hours >= 10 else f"{round(hours, 1):g}"


def _money(price: Price, cost: float) -> StepMoney:
    factor = cost / price.likely if price.likely else 1.0
    parts = (
        (f"work ({_hours(price.hours[1])} h at {price.rate:g} an hour)", price.labour),
        ("film", price.film),
        ("print and laminate", price.printing),
        ("car standing", price.standing),
        ("looking again", price.looking),
        ("dearer after a failed repair", cost - price.likely),
    )
    return StepMoney(
        cost,
        price.low * factor,
        price.high * factor,
        tuple((name, money) for name, money in parts if money > 1e-9),
        tuple(film_words(need, count) for need, count in Counter(price.needs).items()),
        price.assumed,
    )


def film_words(need: FilmNeed, count: int = 1) -> str:
    """How a piece is cut from the roll, or each of several alike."""
    if need.whole:
        return (
            f"the whole vehicle, {need.net_m2:.0f} m², from {need.film}, roll {need.roll_m:g} m:"
            f" {need.metres:.1f} m ({need.bought_m2:.1f} m²)"
        )
    alike, each = (f"{count} pieces of ", " each") if count > 1 else ("", "")
    across, along = need.size
    turned = ", turned on the roll" if need.turned else ""
    return (
        f"{alike}{across:.2f} × {along:.2f} m from {need.film}, roll {need.roll_m:g} m:"
        f" {need.metres:.2f} m{each} ({need.bought_m2:.2f} m²,"
        f" {need.waste_percent:.0f} % waste){turned}"
    )


def ending_words(plan: ComplaintPlan) -> str:
    """How the plan ends."""
    if not plan.steps:
        known = "Make sure of the cause first: that costs less on average than to begin now."
        first = known if plan.starts else "No remedy that is known here may be tried."
        return f"{first} Do the next check, or have someone else look, before anything is repaired."
    over = f"After these steps the matter is over in {whole_percent(plan.ended)} of such cases."
    if plan.nearly_sure:
        return over
    return f"{over} If it is not, stop and look further: {_why_further(plan)}."


def _why_further(plan: ComplaintPlan) -> str:
    likeliest, _ = plan.steps[-1].after[0]
    if likeliest == UNLISTED:
        return "the cause may be one that is not listed"
    if {s.remedy for s in plan.starts} == {s.remedy for s in plan.steps}:
        return "no other remedy is known for it here"
    return "to begin anything else at once costs more on average"


def stop_words(base: Base, plan: ComplaintPlan) -> str:
    """When to stop repairing and lay a new piece."""
    steps = [base.remedies[s.remedy] for s in plan.steps]
    tries = [remedy for remedy in steps if remedy.film not in _LAID]
    lays = [remedy for remedy in steps if remedy.film in _LAID]
    if not lays:
        return ""
    name = lays[0].name.lower()
    if tries:
        return f"If '{tries[-1].name.lower()}' does not hold, do not repair the old piece: {name}."
    if lays[0].kind != "replace":
        return ""
    at_once = next((s.expected for s in plan.starts if s.remedy == lays[0].id), 0.0)
    for start in plan.starts:
        repair = base.remedies[start.remedy]
        if repair.film not in _LAID and start.expected <= ABOUT_AS_MUCH * at_once:
            return (
                f"{repair.name} may be tried first: on average it comes to about as much as"
                f" '{name}' at once."
            )
    return f"Do not try to repair it first: {name} at once costs least on average."


def cheapest_words(base: Base, plan: ComplaintPlan, currency: str) -> str:
    """Why the plan does not begin with the cheapest step, or ''."""
    if plan.cheapest_is_best or not plan.steps or plan.cheapest is None:
        return ""
    starts = {s.remedy: s for s in plan.starts}
    cheap, first = starts[plan.cheapest], starts.get(plan.steps[0].remedy)
    if first is None or cheap.expected <= first.expected:
        return ""
    return (
        f"The cheapest first step is not the best: {base.remedies[cheap.remedy].name.lower()} costs"
        f" {cheap.cost:.0f} and holds in {whole_percent(cheap.holds)}, so that beginning with it"
        f" costs {cheap.expected:.0f} {currency} on average; beginning with"
        f" {base.remedies[first.remedy].name.lower()} costs {first.expected:.0f}."
    )


def _term(base: Base, name: str) -> str:
    words = {
        "visit": VISIT,
        "look_further": FURTHER,
    }
    return words.get(name) or base.remedies[name].name


_VERDICTS = {
    Verdict.NAMED: "On the evidence entered, the cost lies with: {who}. {because}.",
    Verdict.PAPERS_MISSING: "Most likely the cost lies with: {who}. {because}.",
    Verdict.SHARED: "To be shared between: {who}. {because}.",
    Verdict.UNDETERMINED: "Undetermined: {because}.",
}

_HANDS = {Hand.AT_HAND: "at hand", Hand.TO_GET: "to get", Hand.NOT_THERE: "not there"}


def _carries(base: Base, its: Carries) -> CarriesReport:
    who = " and ".join(base.payers[p].name for p in its.payers)
    because = its.because[0].upper() + its.because[1:] if its.payers else its.because
    return CarriesReport(
        verdict=str(its.verdict),
        says=_VERDICTS[its.verdict].format(who=who, because=because.rstrip(".")) + _to_get(its),
        sides=tuple(
            SideReport(
                s.payer, base.payers[s.payer].name, s.probability, s.on_file, s.missing, s.against
            )
            for s in its.sides
        ),
        would_turn=tuple(
            f"{base.observables[t.check].name}: if it gives '{_answer(base, t.check, t.answer)}'"
            f" ({whole_percent(t.chance)}), the cost would lie with: {base.payers[t.payer].name}"
            for t in its.turns
        ),
        papers=tuple((paper.says, _HANDS[paper.hand]) for paper in its.papers),
        no_cost=its.verdict is Verdict.NAMED and its.payers == (base.role("no_cost"),),
    )


def _to_get(its: Carries) -> str:
    """How many of the papers that the side named asks for are not there yet; or ''."""
    open_ones = sum(paper.hand is not Hand.AT_HAND for paper in its.papers) if its.payers else 0
    if not open_ones:
        return ""
    return f" Papers still to get: {open_ones} of {len(its.papers)}."


def _answer(base: Base, check: str, answer: str) -> str:
    answers = base.observables[check].answers
    return answers[answer].says if answer in answers else answer


_LIKELY = 0.5
"""How often a step is reached that is to be made ready for."""


def _sheet(
    base: Base, car: CarDiagnosis, plan: CarPlan
) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """The sheet for laying again, where it comes to that in half the cases; a strip is no such."""
    likely = [s.remedy for c in plan.complaints for s in c.steps if s.reached >= _LIKELY]
    lays = any(base.remedies[remedy].film in _LAID for remedy in likely)
    steps = aftermath.laying_sheet(base, car.diagnoses) if lays else ()
    return tuple((s.says, s.because, tuple(base.causes[c].name for c in s.prevents)) for s in steps)


def _what_if(
    base: Base, plan: CarPlan, its: WhatIf, terms: PlanTerms, places: Sequence[WorkPlace]
) -> WhatIfReport:
    timing = Timing(its.pricer, replace(terms, shop=its.pricer.shop), places, its.plan)
    begun = any(complaint.steps for complaint in its.plan.complaints)
    leading = [
        (s.place.number, *max(s.shares.items(), key=lambda pair: pair[1])) for s in its.stand
    ]
    return WhatIfReport(
        words=its.supposition.words,
        expected=its.plan.expected,
        difference=its.plan.expected - plan.expected,
        steps=tuple(
            (c.number, tuple(base.remedies[s.remedy].name for s in c.steps))
            for c in its.plan.complaints
        ),
        causes=tuple((n, explain.cause_name(base, c), p) for n, c, p in leading),
        ready=moment(timing.first_ready()) if begun else "",
    )
