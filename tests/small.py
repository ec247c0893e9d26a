"""A small rule base in text, for tests that want to see all of it."""

from __future__ import annotations

from diagnose.knowledge.base import Base
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.reading.load import read_texts

SCALES = """
scales:
  strengths: {barely: 2.5, substantial: 7.5, strong: 15, decisive: 22}
  shares: {very_common: 40, common: 12, occasional: 3, rare: 0.7}
  unlisted_percent: 5
  asking_minutes: 3
  harm_minutes: {none: 0, minor: 3, destructive: 15}
  away_minutes: {at_car: 0, in_bay: 5, paperwork: 0, lab: 240}
  told_percent: {at_car: 100, in_bay: 100, paperwork: 100, lab: 100}
  carried_over_percent: 80
  vehicle_wide_percent: 50
  elsewhere_percent: {}
  leads_clearly_percent: 95
  probable_percent: 75
  possible_percent: 40
  poor_fit_percent: 25
  acting:
    in_play_percent: 8
    payers_apart_decibans: 10
    proof_decibans: 15
    nearly_sure_percent: 90
    least_hope_percent: 10
    another_visit_hours: 4
    least_laying_hours: 0.5
    beyond_size_percent: 50
  asking: {waiting_percent: 25, untold_in_a_row: 3}
  stakes:
    film_hours: {none: 0, strip: 0.2, piece: 0.7, set: 2, vehicle: 8}
    visit_hours: 1
    look_further_hours: 4
    wrong_payer_percent: 50
    comes_back_percent: 30
  source: common-practice
"""

REST = """
symptoms:
  - {id: lifting, name: Lifting, group: Edges, look: It stands up., appears: soon, where: edges,
     source: common-practice}
  - {id: bumps, name: Bumps, group: Raised, look: Points., appears: at once, where: doors,
     source: common-practice}
cautions:
  - {id: blade, name: Blade, say: Never cut on the body., source: common-practice}
payers:
  - {id: installer, name: The shop, carries: labour, source: common-practice}
  - {id: owner, name: The owner, carries: repair, source: common-practice}
remedies:
  - {id: relay, name: Re-lay, kind: in_place, applies: early, steps: [Warm., Lay.],
     hours: {from: 0.5, to: 1}, destroys_piece: "no", reprint: "no", look_again: in 72 h,
     source: common-practice}
  - {id: seal, name: Seal, kind: in_place, applies: clean edges, steps: [Seal.],
     hours: {from: 0.2, to: 0.2}, destroys_piece: "no", reprint: "no", look_again: in a week,
     cautions: [blade], source: common-practice,
     barred_when: [{when: {dirt: found}, because: dirt stays below, instead: [relay]}]}
  - {id: renew, name: New piece, kind: replace, applies: always, steps: [Take off., Lay.],
     hours: {from: 2, to: 4}, destroys_piece: "yes", reprint: if_printed, look_again: in a month,
     mends: [Edges, bumps], cautions: [blade], source: common-practice}
checks:
  - {id: adhesive, name: Adhesive, ask: What is on it?, how: Look., tool: loupe, minutes: 2,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {clean: {says: clean, usual: 60}, dirty: {says: dirty, usual: 30},
               wet: {says: wet, usual: 10}}}
  - {id: cut, name: Relief cut, ask: Which gapes?, how: Cut., tool: blade, minutes: 5,
     place: at_car, harm: destructive, scope: complaint, source: common-practice,
     answers: {gapes: {says: gapes, usual: 16}, closed: {says: stays closed, usual: 84}}}
  - {id: lines, name: Lines, ask: Lines?, how: Look., tool: torch, minutes: 1,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {seen: {says: seen, usual: 15}, none: {says: none, usual: 85}}}
  - {id: panel_c, name: Panel, ask: How cold?, how: Read., tool: log, minutes: 3,
     place: paperwork, harm: none, scope: vehicle, source: common-practice,
     number: {unit: °C, from: -10, to: 60},
     usual: [{under: 10, usual: 5}, {under: 18, usual: 25}, {usual: 70}]}
  - {id: care, name: Care sheet, ask: Was it handed over?, how: Ask., tool: file, minutes: 1,
     place: paperwork, harm: none, scope: vehicle, source: common-practice,
     answers: {given: {says: given, usual: 70}, not_given: {says: not given, usual: 30}}}
  - {id: printed, name: Printed, ask: Is it printed?, how: Look., tool: eyes, minutes: 1,
     place: at_car, harm: none, scope: vehicle, source: common-practice,
     answers: {print: {says: printed, usual: 30}, plain: {says: plain, usual: 70}}}
  - {id: ink, name: Ink, ask: Which ink?, how: Read., tool: log, minutes: 2,
     place: paperwork, harm: none, scope: vehicle, source: common-practice,
     asked_when: {printed: print},
     answers: {solvent: {says: solvent, usual: 50}, other: {says: other, usual: 50}}}
findings:
  - id: dirt
    name: Dirt under the film
    rules:
      - {when: {adhesive: dirty}, because: dirt on it, source: common-practice}
      - {when: {adhesive: wet, lines: none}, because: wet and no pull, source: common-practice}
causes:
  - id: pulled
    name: Pulled to the edge
    plainly: The film was pulled too far.
    origin: technique
    mechanism: Tension draws it back.
    behind: {lifting: common}
    shows:
      - {check: cut, of_100: {gapes: 90}, because: it was under pull, group: pull,
         source: common-practice}
      - {check: lines, of_100: {seen: 27}, because: pull lines, group: pull,
         source: common-practice}
      - {check: adhesive, of_100: {dirty: 1}, because: dirt did it, source: common-practice}
    signs:
      - {when: {dirt: not_found, cut: gapes}, speaks: for, strength: barely,
         because: clean and under pull, source: common-practice}
    remedies: {relay: 60, renew: 90}
    responsibility: {payer: installer, because: workmanship}
    prevention: Pull along the edge.
    source: common-practice
  - id: dirty_edge
    name: Dirt left at the edge
    plainly: The edge was not clean.
    origin: surface_preparation
    mechanism: Dirt keeps it off.
    behind: {lifting: common, bumps: very_common}
    shows:
      - {check: adhesive, of_100: {dirty: 53}, because: there is dirt, source: common-practice}
      - {check: cut, of_100: {gapes: 3}, because: it was under pull, source: common-practice}
    remedies: {renew: 80}
    never: [{remedy: seal, because: the dirt stays}]
    responsibility:
      payer: installer
      because: preparation
      unless: [{payer: owner, when: {care: given}, because: he was told}]
    prevention: Clean the edge.
    source: common-practice
  - id: cold
    name: Too cold
    plainly: The bay was cold.
    origin: environment
    mechanism: Stiff adhesive does not wet.
    behind: {lifting: occasional, bumps: rare}
    scope: vehicle
    shows:
      - {check: panel_c, of_100: {under 10: 28}, because: too cold, source: common-practice}
      - {check: panel_c, of_100: {18 and over: 2}, because: warm, source: common-practice}
      - {check: adhesive, of_100: {wet: 0}, because: that is something else,
         source: common-practice}
    remedies: {relay: 70, renew: 90}
    responsibility: {payer: installer, because: the bay is his}
    prevention: Warm the bay.
    source: common-practice
  - id: solvent_left
    name: Solvent left in the print
    plainly: The print was not dry.
    origin: print_and_laminate
    mechanism: Solvent softens it.
    behind: {lifting: rare, bumps: occasional}
    shows:
      - {check: ink, of_100: {solvent: 89}, because: there was solvent, source: common-practice}
      - {check: printed, of_100: {plain: 0}, because: nothing is printed, source: common-practice}
    remedies: {renew: 90}
    responsibility: {payer: installer, because: he printed it}
    prevention: Let it dry.
    source: common-practice
contradictions:
  - {id: wet_but_plain, when: {adhesive: wet, care: given}, because: one of the two is wrong,
     source: common-practice}
"""


def small(text: str = REST, scales: str = SCALES) -> Base:
    """The small base; AssertionError with its problems where it is broken."""
    reading = read_texts({"small.yaml": text, "scales.yaml": scales})
    assert reading.base is not None, "\n".join(map(str, reading.problems))
    return reading.base


def problems(text: str, scales: str = SCALES) -> tuple[Problem, ...]:
    """The problems of a text."""
    return read_texts({"small.yaml": text, "scales.yaml": scales}).problems
