"""A rule base of a few entries, so that tests of records do not hang on the shipped one."""

from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.load import read_texts
from tests.small import SCALES

RULES = """
symptoms:
  - {id: edge_lifting, name: Edge lifting, group: edges, look: l, appears: a, where: w,
     source: common-practice}
  - {id: bubbles, name: Bubbles, group: spots, look: l, appears: a, where: w,
     source: common-practice}
checks:
  - {id: film_class, name: Film class, ask: Which?, how: Look., tool: invoice, minutes: 1,
     place: paperwork,
     harm: none, scope: vehicle, source: common-practice,
     answers: {cast_pvc: {says: Cast, usual: 70}, calendered: {says: Calendered, usual: 30}}}
  - {id: age_months, name: Age, ask: How old?, how: Look., tool: invoice, minutes: 1,
     place: paperwork,
     harm: none, scope: vehicle, source: common-practice,
     number: {unit: months, from: 0, to: 240}}
  - {id: zone, name: Zone, ask: Where?, how: Look., tool: eyes, minutes: 1,
     place: at_car,
     harm: none, scope: complaint, source: common-practice,
     answers: {gap: {says: In the gap, usual: 50}, flat: {says: On the flat, usual: 50}}}
  - {id: panel_temp_c, name: Panel, ask: How warm?, how: Read., tool: thermometer, minutes: 1,
     place: at_car,
     harm: none, scope: complaint, source: common-practice,
     number: {unit: °C, from: -20, to: 120}}
causes:
  - {id: gap_not_cleaned, name: Gap not cleaned, plainly: Dirt., origin: surface_preparation,
     mechanism: m,
     behind: {edge_lifting: very_common}, responsibility: {payer: installer, because: b},
     prevention: p, source: common-practice, remedies: {clean_and_relay: 90},
     shows: [{check: zone, of_100: {gap: 89}, because: b,
     source: common-practice}]}
  - {id: laid_cold, name: Laid cold, plainly: Cold., origin: environment, mechanism: m,
     behind: {edge_lifting: occasional, bubbles: common},
     responsibility: {payer: installer, because: b},
     prevention: p, source: common-practice, remedies: {clean_and_relay: 90}}
remedies:
  - {id: clean_and_relay, name: Clean and relay, kind: in_place, applies: a, steps: [Clean.],
     hours: {from: 0.5, to: 1}, destroys_piece: "no", reprint: "no", look_again: later,
     source: common-practice}
payers:
  - {id: installer, name: Installer, carries: c, source: common-practice}
"""


def small_base() -> Base:
    """Read RULES with the scales of the other small base."""
    reading = read_texts({"scales.yaml": SCALES, "small.yaml": RULES})
    assert reading.base is not None, reading.problems
    return reading.base
