"""A small base without any anomaly, into which the examples of the anomalies are put."""

from __future__ import annotations

import json
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.load import read_texts
from tests.small import SCALES

FRAME = """
symptoms:
  - {id: lifting, name: Lifting, group: Edges, look: It stands up., appears: soon, where: edges,
     confused_with: [{symptom: bumps, tells: A bump is darker., check: shade, answers: [darker]}],
     source: common-practice}
  - {id: bumps, name: Bumps, group: Raised, look: Points., appears: at once, where: doors,
     confused_with: [{symptom: lifting, tells: No shade., check: shade, answers: [same]}],
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
  - {id: renew, name: New piece, kind: replace, applies: always, steps: [Take off., Lay.],
     hours: {from: 2, to: 4}, destroys_piece: "yes", reprint: "no", look_again: in a month,
     cautions: [blade], source: common-practice}
checks:
  - {id: adhesive, name: Adhesive, ask: What is on it?, how: Look., tool: loupe, minutes: 2,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {clean: {says: clean, usual: 70}, dirty: {says: dirty, usual: 15},
               wet: {says: wet, usual: 15}}}
  - {id: cut, name: Relief cut, ask: Does it gape?, how: Cut., tool: blade, minutes: 5,
     place: at_car, harm: destructive, scope: complaint, source: common-practice,
     answers: {gapes: {says: gapes, usual: 15}, closed: {says: stays closed, usual: 85}}}
  - {id: lines, name: Lines, ask: Are there lines?, how: Look., tool: torch, minutes: 1,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {seen: {says: seen, usual: 15}, none: {says: none, usual: 85}}}
  - {id: feel, name: Feel, ask: How does it feel?, how: Feel., tool: finger, minutes: 1,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {hard: {says: hard, usual: 15}, soft: {says: soft, usual: 85}}}
  - {id: care, name: Care sheet, ask: Was it handed over?, how: Ask., tool: file, minutes: 1,
     place: paperwork, harm: none, scope: vehicle, source: common-practice,
     answers: {given: {says: given, usual: 85}, not_given: {says: not given, usual: 15}}}
  - {id: shade, name: Shade, ask: Is it darker?, how: Look., tool: eyes, minutes: 1,
     place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {darker: {says: darker, usual: 15}, same: {says: the same, usual: 85}}}
  - {id: printed, name: Printed, ask: Is it printed?, how: Look., tool: eyes, minutes: 1,
     place: at_car, harm: none, scope: vehicle, source: common-practice,
     answers: {print: {says: printed, usual: 30}, plain: {says: plain, usual: 70}}}
  - {id: ink, name: Ink, ask: Which ink?, how: Read., tool: log, minutes: 2,
     place: paperwork, harm: none, scope: vehicle, source: common-practice,
     asked_when: {printed: print},
     answers: {solvent: {says: solvent, usual: 50}, other: {says: other, usual: 50}}}
findings:
  - id: tension
    name: Tension
    rules: [{when: {cut: gapes}, because: it gapes, source: common-practice}]
causes:
  - id: pulled
    name: Pulled to the edge
    plainly: The film was pulled too far.
    origin: technique
    mechanism: Tension draws it back.
    behind: {lifting: common}
    shows:
      - {check: lines, of_100: {seen: 84}, because: pull lines, source: common-practice,
         group: pull}
      - {check: adhesive, of_100: {dirty: 0.5}, because: dirt did it, source: common-practice}
    signs:
      - {when: {tension: found}, speaks: for, strength: substantial, because: it was under pull,
         source: common-practice, group: pull}
    remedies: {relay: 60, renew: 90}
    responsibility: {payer: installer, because: workmanship}
    prevention: Pull along the edge.
    source: common-practice
  - id: dirty_edge
    name: Dirt left at the edge
    plainly: The edge was not clean.
    origin: surface_preparation
    mechanism: Dirt keeps it off.
    behind: {lifting: common, bumps: common}
    shows:
      - {check: adhesive, of_100: {dirty: 84}, because: there is dirt, source: common-practice}
    remedies: {relay: 40, renew: 80}
    responsibility: {payer: installer, because: preparation}
    prevention: Clean the edge.
    source: common-practice
  - id: gritty
    name: Grit
    plainly: A grain lies below.
    origin: environment
    mechanism: A grain holds the film up.
    behind: {bumps: common}
    shows:
      - {check: feel, of_100: {hard: 84}, because: a hard grain, source: common-practice}
      - {check: care, of_100: {not_given: 84}, because: nobody was told, source: common-practice}
    signs:
      - {when: {printed: print, ink: other, shade: same}, speaks: for, strength: barely,
         because: all of it together, source: common-practice}
    remedies: {renew: 90}
    responsibility:
      payer: installer
      because: the bay is his
      unless: [{payer: owner, when: {care: not_given}, because: he brought the grit}]
    prevention: Sweep the bay.
    source: common-practice
"""


def _plain(text: str) -> Any:
    from diagnose.knowledge import marked

    document, problems = marked.read("example.yaml", text)
    assert not problems, problems
    return document.data


def merged(into: Any, more: Any) -> Any:
    """As in a JSON merge patch (RFC 7396), but lists go on, and entries with an id meet."""
    if isinstance(into, dict) and isinstance(more, dict):
        found = {**into, **{k: merged(into.get(k), v) for k, v in more.items()}}
        return {k: v for k, v in found.items() if v is not None}
    if isinstance(into, list) and isinstance(more, list):
        return _lists(into, more)
    return more


def _lists(into: list[Any], more: list[Any]) -> list[Any]:
    found = list(into)
    for item in more:
        name = item.get("id") if isinstance(item, dict) else None
        at = [i for i, old in enumerate(found) if name and old["id"] == name]
        if at:
            found[at[0]] = merged(found[at[0]], item)
        else:
            found.append(item)
    return found


def framed(example: str = "") -> Base:
    """The frame with an example in it; AssertionError with the problems where that is broken."""
    data = merged(_plain(FRAME), _plain(example) or {}) if example else _plain(FRAME)
    texts = {"rules.yaml": json.dumps(data, ensure_ascii=False), "scales.yaml": SCALES}
    reading = read_texts(texts)
    assert reading.base is not None, "\n".join(map(str, reading.problems))
    return reading.base
