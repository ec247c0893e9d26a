"""A small rule base and a shop in figures that can be reckoned by hand, for tests of plans."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Value
from diagnose.knowledge.model.shop import Shop
from diagnose.knowledge.reading.load import read_texts
from diagnose.knowledge.reading.shop import read_shop
from diagnose.measures.quantity import exact
from diagnose.reasoning.correction.pricing import Pricer, WorkPlace
from diagnose.reasoning.correction.situation import Situation, situations
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint, CarDiagnosis
from tests.small import SCALES

RULES = """
symptoms:
  - {id: lifting, name: Lifting, group: Edges, look: It stands up., appears: soon, where: edges,
     source: common-practice}
  - {id: sheen, name: Sheen, group: Surface, look: It shines., appears: later, where: doors,
     source: common-practice}
payers:
  - {id: installer, name: The shop, carries: labour, source: common-practice}
  - {id: maker, name: The maker, carries: film, source: common-practice,
     needs: [{says: The lot is noted., when: {lot: noted}}],
     falls_if: [{says: The film was stretched., when: {pull: gapes}}]}
  - {id: owner, name: The owner, carries: repair, source: common-practice,
     needs: [{says: A care sheet was handed over., when: {care: given}}]}
checks:
  - {id: pull, name: Relief cut, ask: Which gapes?, how: Cut., tool: blade, minutes: 5,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {gapes: {says: gapes, usual: 30}, closed: {says: stays closed, usual: 70}}}
  - {id: finish, name: Finish, ask: Which?, how: Look., tool: eyes, minutes: 1,
     place: at_car, harm: none, scope: vehicle, source: common-practice,
     answers: {plain: {says: plain, usual: 70}, print: {says: a print, usual: 30}}}
  - {id: lot, name: Lot, ask: Noted?, how: Read., tool: file, minutes: 1,
     place: paperwork, harm: none, scope: vehicle, source: common-practice,
     answers: {noted: {says: noted, usual: 50}, lost: {says: not kept, usual: 50}}}
  - {id: care, name: Care sheet, ask: Handed over?, how: Ask., tool: file, minutes: 1,
     place: paperwork, harm: none, scope: vehicle, source: common-practice,
     answers: {given: {says: given, usual: 60}, not_given: {says: not given, usual: 40}}}
  - {id: lines, name: Pull lines, ask: Seen?, how: Look., tool: torch, minutes: 1,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {seen: {says: seen, usual: 3}, none: {says: none, usual: 97}}}
  - {id: jet, name: Fan of a jet, ask: Seen?, how: Look., tool: torch, minutes: 1,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {seen: {says: seen, usual: 3}, none: {says: none, usual: 97}}}
  - {id: lift_length_mm, role: edge_length, name: Length, ask: How long?, how: Measure., tool: rule, minutes: 1,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     number: {unit: mm, from: 0, to: 5000}}
findings:
  - {id: printed_film, role: printed, name: Printed, rules: [{when: {finish: print}, because: it is,
     source: common-practice}]}
remedies:
  - {id: relay, name: Re-lay, kind: in_place, applies: early, steps: [Warm., Lay.],
     hours: {from: 0.5, to: 0.5, per: metre}, destroys_piece: "no", reprint: "no",
     look_again: After 72 hours., look_again_hours: 72, spoils: {renew: 1.1},
     source: common-practice}
  - {id: degrease, name: Take wax off, kind: surface, applies: wax, steps: [Wipe.],
     hours: {from: 0.5, to: 1.5}, destroys_piece: "no", reprint: "no", look_again: At once.,
     source: common-practice}
  - {id: seal, name: Seal, kind: in_place, applies: clean edges, steps: [Seal.],
     hours: {from: 0.1, to: 0.1, per: metre}, destroys_piece: "no", reprint: "no",
     look_again: After a month., look_again_hours: 720, source: common-practice,
     barred_when: [{when: {pull: gapes}, because: it hides the pull, instead: [relay]}]}
  - {id: renew, name: New piece, kind: replace, applies: always, steps: [Take off., Lay.],
     hours: {from: 2, to: 4, per: piece}, destroys_piece: "yes", reprint: if_printed, film: piece,
     look_again: After 72 hours., look_again_hours: 72, source: common-practice}
  - {id: reprint, name: New print, kind: replace, applies: prints, steps: [Print., Lay.],
     hours: {from: 4, to: 6, per: piece}, waits_hours: 24, destroys_piece: "yes", reprint: "yes",
     film: piece, look_again: After a week., look_again_hours: 168, source: common-practice}
  - {id: set, name: New set, kind: replace, applies: several, steps: [Take off., Lay.],
     hours: {from: 3, to: 10}, destroys_piece: "yes", reprint: if_printed, film: set,
     look_again: After a month., look_again_hours: 720, source: common-practice}
causes:
  - id: pulled
    name: Pulled to the edge
    plainly: It was pulled.
    origin: technique
    mechanism: Tension.
    behind: {lifting: common}
    shows:
      - {check: pull, of_100: {gapes: 53.3}, because: pull, source: common-practice}
      - {check: lines, of_100: {seen: 94.9}, because: lines, source: common-practice}
    remedies: {relay: 60, seal: 20, renew: 90}
    responsibility: {payer: installer, because: workmanship}
    prevention: Pull along.
    source: common-practice
  - id: dirty
    name: Dirt at the edge
    plainly: It was dirty.
    origin: surface_preparation
    mechanism: Dirt.
    behind: {lifting: common}
    remedies: {seal: 10, renew: 90}
    never: [{remedy: relay, because: heat presses the dirt in}]
    responsibility:
      payer: installer
      because: preparation
      unless: [{payer: owner, when: {care: given}, because: he was told}]
    prevention: Clean it.
    source: common-practice
  - id: bad_lot
    name: Bad lot
    plainly: The roll was bad.
    origin: film_manufacture
    mechanism: Adhesive.
    behind: {lifting: occasional}
    remedies: {renew: 90, set: 95}
    responsibility: {payer: maker, because: the roll}
    prevention: Test the roll.
    source: common-practice
  - id: jetted
    name: Lance too near
    plainly: It was blown open.
    origin: aftercare
    mechanism: Pressure.
    behind: {lifting: occasional}
    shows:
      - {check: jet, of_100: {seen: 94.9}, because: fan, source: common-practice}
    remedies: {renew: 90}
    responsibility: {payer: owner, because: care}
    prevention: Keep away.
    source: common-practice
  - id: waxed
    name: Wax on matte
    plainly: It was waxed.
    origin: aftercare
    mechanism: Wax fills it.
    behind: {sheen: common}
    remedies: {degrease: 80, reprint: 95}
    responsibility: {payer: owner, because: care}
    prevention: No wax.
    source: common-practice
  - id: stretched
    name: Stretched twice
    plainly: It was stretched.
    origin: technique
    mechanism: Texture.
    behind: {sheen: common}
    remedies: {reprint: 90}
    never: [{remedy: degrease, because: no cleaner brings texture back}]
    responsibility: {payer: installer, because: workmanship}
    prevention: Once only.
    source: common-practice
  - id: rubbed
    name: Rubbed flat
    plainly: It was rubbed.
    origin: aftercare
    mechanism: Texture.
    behind: {sheen: common}
    remedies: {reprint: 90}
    responsibility: {payer: owner, because: care}
    prevention: No rubbing.
    source: common-practice
aftermath:
  - {id: old, topic: match, says: Old film., when: {lot: lost}, reaches: side,
     source: common-practice}
  - {id: paint, topic: under_film, says: Look at the paint., payer: owner, source: common-practice}
  - {id: blow, topic: impact, says: A film takes a part., symptoms: [sheen],
     source: common-practice}
papers:
  - {id: lot_no, payer: maker, says: Lot number, when: {lot: noted}, fact: lot,
     source: common-practice}
  - {id: cut, payer: maker, says: Relief cut, answered: [pull], source: common-practice}
  - {id: invoice, payer: maker, says: Invoice, source: common-practice}
work_steps:
  - {id: along, says: Pull along the edge., because: It draws back., prevents: [pulled],
     source: common-practice}
  - {id: dry, says: Let the print dry., because: Solvent., when: {printed_film: found},
     source: common-practice}
"""

SHOP = """
name: Harbour Lane Wraps
example: false
currency: EUR
labour: {rate: 60, of_others: {}}
films:
  - {id: printed, name: print film, when: {finish: print}, price_m2: 10, roll_m: 1}
  - {id: plain, name: colour film, price_m2: 20, roll_m: 1}
material: {bleed_m: 0, overlap_m: 0, waste_percent: 0, strip_m2: 0.5, warm_up_hours: 12}
printing:
  setup_hours: 0.5
  m2_per_hour: 10
  ink_m2: 5
  degas_hours: 24
  laminate_m2: 5
  laminate_roll_m: 1
  laminate_setup_hours: 0.25
  laminate_m_per_hour: 60
  settle_hours: 0
  cut_hours_piece: 0.25
  shipping_days: 2
  shipping: 25
visit: {hours: 0.5, travel: 10, goodwill: 0}
standing: {per_day: 45, longest_hours: 96}
look_further: {hours: 2, laboratory: 30}
work: {post_heat_hours_piece: 0.25, look_again_hours: 0.25, people: 1, neighbours: 1,
       small_piece_m2: 0, large_piece_m2: 1.6, pieces_low: 2, pieces_high: 6}
amounts: {metre: 1, recess: 1, bubble: 4}
opening: {monday: "08:00-17:00", tuesday: "08:00-17:00", wednesday: "08:00-17:00",
          thursday: "08:00-17:00", friday: "08:00-17:00"}
holidays: {country: none, closed: ["2026-12-25"]}
vehicle_classes:
  - {id: car, name: car, called: [saloon], scale: 1, film_m2: 18}
  - {id: van, name: van, called: [panel van], scale: 2, film_m2: 36, pieces: {side: [1.5, 3]}}
pieces: {front_door: [0.8, 1], rear_door: [0.8, 1], bonnet: [1, 1.2], front_wing: [0.6, 1],
         rear_quarter: [0.6, 1]}
"""


def base(rules: str = RULES) -> Base:
    """The small base."""
    reading = read_texts({"plan.yaml": rules, "scales.yaml": SCALES})
    assert reading.base is not None, "\n".join(map(str, reading.problems))
    return reading.base


def shop(text: str = SHOP) -> Shop:
    """The shop, AssertionError with its problems where it is broken."""
    reading = read_shop("shop.yml", text, base())
    assert reading.content is not None, "\n".join(map(str, reading.problems))
    return reading.content


def pricer(of: Base | None = None) -> Pricer:
    """Prices for a car in the shop."""
    its = shop()
    return Pricer(of or base(), its, its.vehicle_classes[0])


def diagnosed(*complaints: tuple[str, Mapping[str, str | float]]) -> CarDiagnosis:
    """A car with these complaints, each a symptom and its answers."""
    return Reasoner(base()).car(
        [
            AnsweredComplaint(symptom, {k: _value(v) for k, v in answers.items()})
            for symptom, answers in complaints
        ]
    )


def _value(given: str | float) -> Value:
    return given if isinstance(given, str) else exact(given)


def places(car: CarDiagnosis, *panels: str) -> tuple[WorkPlace, ...]:
    """The complaints on these panels."""
    its = pricer()
    return tuple(
        WorkPlace(n, panel, d.trace.values, its.shop.piece(panel, its.vehicle))
        for n, (panel, d) in enumerate(zip(panels, car.diagnoses, strict=True), 1)
    )


def standing(car: CarDiagnosis, panels: tuple[str, ...], **shares: float) -> tuple[Situation, ...]:
    """The complaints with the causes at these probabilities, to reckon with by hand."""
    assert abs(sum(shares.values()) - 1) < 1e-9
    return tuple(
        replace(its, shares={name: shares.get(name, 0.0) for name in its.shares})
        for its in situations(base(), car, places(car, *panels))
    )
