"""Anomalies of use: what stands in the base and nothing ever reads, asks, names or cites."""

from __future__ import annotations

import re
from collections.abc import Iterator

from diagnose.knowledge.model import RequiredPaper
from diagnose.knowledge.soundness.anomaly import Found, Survey, anomaly


def _unnamed(survey: Survey, section: str, named: set[str], sentence: str) -> Iterator[Found]:
    """Each entry of a section that is not among the named ones."""
    for name in getattr(survey.base, section):
        if name not in named:
            yield Found(section, name, ("id",), sentence)


@anomaly(
    "warning",
    bad="""
    findings:
      - id: humid
        name: Humid
        rules: [{when: {adhesive: wet}, because: it is wet, source: common-practice}]
    """,
    good="""
    findings:
      - id: humid
        name: Humid
        rules: [{when: {adhesive: wet, care: given}, because: it is wet, source: common-practice}]
    causes:
      - id: pulled
        signs:
          - {when: {humid: found}, speaks: for, strength: barely, because: wet,
             source: common-practice}
    """,
)
def unused_finding(survey: Survey) -> Iterator[Found]:
    """A finding that no condition reads is a dead end: it can change nothing."""
    sentence = "leads nowhere: no sign, rule or payer reads this finding"
    yield from _unnamed(survey, "findings", set(survey.read), sentence)


@anomaly(
    "warning",
    bad="""
    checks:
      - {id: gloss, name: Gloss, ask: How glossy?, how: Look., tool: eyes, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         answers: {high: {says: high, usual: 15}, low: {says: low, usual: 85}}}
    """,
    good="""
    checks:
      - {id: gloss, name: Gloss, ask: How glossy?, how: Look., tool: eyes, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         answers: {high: {says: high, usual: 15}, low: {says: low, usual: 85}}}
    causes:
      - id: pulled
        shows:
          - {check: gloss, of_100: {high: 84}, because: it shines, source: common-practice}
    """,
)
def unused_check(survey: Survey) -> Iterator[Found]:
    """Nothing reads its answer, so that asking it is lost time."""
    base = survey.base
    told = {w.check for s in base.symptoms.values() for w in s.confused_with if w.check}
    papers = {name for paper in base.papers.values() for name in paper.answered}
    sentence = "has no use: nothing reads its answer"
    named = set(survey.read) | told | papers | set(base.intake)
    yield from _unnamed(survey, "checks", named, sentence)


@anomaly(
    "warning",
    bad="""
    checks:
      - {id: thickness, name: Thickness, ask: How thick?, how: Measure., tool: gauge, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         number: {unit: µm, from: 0, to: 500}}
    causes:
      - id: pulled
        signs:
          - {when: {thickness: {under: 40}}, speaks: for, strength: barely, because: thin,
             source: common-practice}
    """,
    good="""
    checks:
      - {id: thickness, name: Thickness, ask: How thick?, how: Measure., tool: gauge, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         number: {unit: µm, from: 0, to: 500}, usual: [{under: 40, usual: 10}, {usual: 90}]}
    causes:
      - id: pulled
        shows:
          - {check: thickness, of_100: {under 40: 56}, because: thin, source: common-practice}
    """,
)
def never_asked_check(survey: Survey) -> Iterator[Found]:
    """Signs read it, but without usual shares the program cannot reckon what it would tell.

    So it is never asked by itself.
    """
    for check in survey.base.checks.values():
        if check.id in survey.weighing and not survey.chosen(check):
            sentence = "is never asked by itself: it has no usual shares; give its number bins"
            yield Found("checks", check.id, ("number",), sentence)


@anomaly(
    "note",
    bad="""
    checks:
      - {id: gloss, name: Gloss, ask: How glossy?, how: Look., tool: eyes, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         answers: {high: {says: high, usual: 15}, low: {says: low, usual: 85}}}
    payers:
      - id: installer
        needs: [{says: a dull film, when: {gloss: low}}]
    """,
    good="""
    payers:
      - id: installer
        needs: [{says: a sheet of care, when: {care: given}}]
    """,
)
def evidence_only_check(survey: Survey) -> Iterator[Found]:
    """It tells no cause from another and is read only for payers, bars, papers or the report.

    Right where it is meant so.
    """
    base = survey.base
    gates = {s for u in survey.uses if u.section == "checks" for s in u.condition.subjects()}
    told = {w.check for s in base.symptoms.values() for w in s.confused_with if w.check}
    kept = survey.weighing | gates | told | set(base.intake)
    for check in base.checks.values():
        if check.id in survey.read and check.id not in kept:
            sentence = "tells no cause from another: it is read for payers, bars or the report only"
            yield Found("checks", check.id, ("id",), sentence)


@anomaly(
    "warning",
    bad="""
    measures:
      - {id: retreat, name: Retreat, function: dew_point_margin_c, unit: K,
         inputs: {air_temp_c: 20, humidity_percent: 50, panel_temp_c: 18}, source: common-practice}
    """,
    good="""
    measures:
      - {id: retreat, name: Retreat, function: dew_point_margin_c, unit: K,
         inputs: {air_temp_c: 20, humidity_percent: 50, panel_temp_c: 18}, source: common-practice,
         usual: [{under: 3, usual: 10}, {usual: 90}]}
    causes:
      - id: pulled
        shows:
          - {check: retreat, of_100: {under 3: 2}, because: damp, source: common-practice}
    """,
)
def unused_measure(survey: Survey) -> Iterator[Found]:
    """A number that is computed and read by nothing."""
    sentence = "has no use: no sign, finding or measure reads it"
    yield from _unnamed(survey, "measures", set(survey.read), sentence)


@anomaly(
    "warning",
    bad="""
    sources:
      - {id: bond_handbook, title: A handbook of bonding, publisher: A press, year: 2019,
         reference: chapter 4, weight: B, read: excerpt, looked_up: 2026-11-29}
    """,
    good="""
    sources:
      - {id: bond_handbook, title: A handbook of bonding, publisher: A press, year: 2019,
         reference: chapter 4, weight: B, read: excerpt, looked_up: 2026-11-29}
    symptoms:
      - {id: lifting, normal: [{seen: a hair, normal_when: at once, source: bond_handbook}]}
    """,
)
def unused_source(survey: Survey) -> Iterator[Found]:
    """A source that no statement cites proves nothing here."""
    cited = {s for _, _, _, part in survey.walked for s in getattr(part, "source", ())}
    if survey.base.scales.source:
        cited |= set(survey.base.scales.source)
    yield from _unnamed(survey, "sources", cited, "is cited by no statement")


@anomaly(
    "warning",
    bad="""
    cautions:
      - {id: heat, name: Heat, say: It burns., source: common-practice}
    """,
    good="""
    cautions:
      - {id: heat, name: Heat, say: It burns., source: common-practice}
    checks:
      - {id: lines, cautions: [heat]}
    """,
)
def unused_caution(survey: Survey) -> Iterator[Found]:
    """A warning that no check and no remedy calls for is never shown to anyone."""
    named = {c for _, _, _, part in survey.walked for c in getattr(part, "cautions", ())}
    sentence = "is never shown: no check and no remedy calls for it"
    yield from _unnamed(survey, "cautions", named | {survey.base.role("rules_first")}, sentence)


@anomaly(
    "warning",
    bad="""
    remedies:
      - {id: bury, name: Bury it, kind: surface, applies: never, steps: [Dig.],
         hours: {from: 1, to: 2}, destroys_piece: "no", reprint: "no", look_again: in a year,
         source: common-practice}
    """,
    good="""
    remedies:
      - {id: bury, name: Bury it, kind: surface, applies: at last, steps: [Dig.],
         hours: {from: 1, to: 2}, destroys_piece: "no", reprint: "no", look_again: in a year,
         source: common-practice}
    causes:
      - {id: pulled, also: [bury]}
    """,
)
def unused_remedy(survey: Survey) -> Iterator[Found]:
    """A remedy that no cause leads to and no bar names instead is never proposed."""
    named = {r for c in survey.base.causes.values() for r in (*c.remedies, *c.also)}
    named |= {r for r_ in survey.base.remedies.values() for b in r_.barred_when for r in b.instead}
    sentence = "is never proposed: no cause leads to it"
    yield from _unnamed(survey, "remedies", named, sentence)


@anomaly(
    "warning",
    bad="""
    payers:
      - {id: aunt, name: The aunt, carries: everything, source: common-practice}
    """,
    good="""
    payers:
      - {id: aunt, name: The aunt, carries: everything, source: common-practice}
    causes:
      - id: pulled
        responsibility:
          unless: [{payer: aunt, when: {care: given}, because: she had the sheet}]
    """,
)
def unused_payer(survey: Survey) -> Iterator[Found]:
    """Someone who never pays need not stand among the payers."""
    named = {getattr(part, "payer", None) for section, _, _, part in survey.walked
             if section in ("causes", "aftermath")}  # fmt: skip
    sentence = "never pays: no cause names this payer"
    yield from _unnamed(survey, "payers", {n for n in named if n}, sentence)


@anomaly(
    "warning",
    bad="""
    papers:
      - {id: photo, payer: owner, says: Photographs of the place, source: common-practice}
      - {id: photos, payer: owner, says: "The place, in photographs", source: common-practice}
    """,
    good="""
    papers:
      - {id: photo, payer: owner, says: Photographs of the place, source: common-practice}
      - {id: photos, payer: installer, says: "The place, in photographs", source: common-practice}
    """,
)
def doubled_paper(survey: Survey) -> Iterator[Found]:
    """A paper that is listed twice for one payer is asked for twice: keep one of them."""
    papers = tuple(survey.base.papers.values())
    for later, paper in enumerate(papers):
        for other in papers[:later]:
            if other.payer == paper.payer and _same_paper(other, paper):
                sentence = f"is the same paper as {other.id} of the same payer"
                yield Found("papers", paper.id, ("says",), sentence)


def _same_paper(one: RequiredPaper, other: RequiredPaper) -> bool:
    """Whether two papers say the same words in any order, or are at hand by the same thing."""
    words, others = (set(_WORD.findall(p.says.casefold())) for p in (one, other))
    hand, its = ((p.when, p.answered, p.fact) for p in (one, other))
    return words == others or (hand == its and any(hand))


_WORD = re.compile(r"\w{4,}")
"""A word that carries meaning; shorter ones only join them."""


USE = (
    unused_finding,
    unused_check,
    never_asked_check,
    evidence_only_check,
    unused_measure,
    unused_source,
    unused_caution,
    unused_remedy,
    unused_payer,
    doubled_paper,
)
