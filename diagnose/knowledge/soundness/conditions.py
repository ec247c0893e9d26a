"""Anomalies of conditions: what can never hold, and what another one always covers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations

from diagnose.knowledge.model import FindingRule, RuleOut
from diagnose.knowledge.soundness.anomaly import ConditionUse, Found, Survey, anomaly
from diagnose.knowledge.soundness.implication import can_hold, implies, same


def _unreachable(survey: Survey) -> set[str]:
    return {
        f.id
        for f in survey.base.findings.values()
        if not any(can_hold(survey.base, rule.when) for rule in f.rules)
    }


@anomaly(
    "error",
    bad="""
    causes:
      - id: pulled
        signs:
          - {when: {printed: plain, ink: solvent}, speaks: against, strength: barely,
             because: solvent in a film that is not printed, source: common-practice}
    """,
    good="""
    causes:
      - id: pulled
        signs:
          - {when: {printed: print, ink: solvent}, speaks: against, strength: barely,
             because: solvent in a printed film, source: common-practice}
    """,
)
def unfirable_condition(survey: Survey) -> Iterator[Found]:
    """No answers can make this condition hold.

    Its tests exclude each other, lie outside the range of a number, need a check that is not asked
    then, or ask for answers that cannot both be right.
    """
    lost = _unreachable(survey)
    for use in survey.uses:
        if _judged_elsewhere(use, lost) or can_hold(survey.base, use.condition):
            continue
        sentence = f"can never hold: {use.condition}"
        yield Found(use.section, use.entry, (*use.path, use.field), sentence)


def _judged_elsewhere(use: ConditionUse, lost: set[str]) -> bool:
    """Findings that are lost as a whole, gates of checks, and what is said of both."""
    named = (
        {use.entry, *use.condition.subjects()}
        if use.section == "findings"
        else set(use.condition.subjects())
    )
    return use.section in ("contradictions", "checks") or bool(named & lost)


@anomaly(
    "error",
    bad="""
    findings:
      - id: hidden
        name: hidden
        rules:
          - {when: {printed: plain, ink: solvent}, because: both, source: common-practice}
    causes:
      - id: pulled
        signs:
          - {when: {hidden: found}, speaks: for, strength: barely, because: hidden,
             source: common-practice}
    """,
    good="""
    findings:
      - id: hidden
        name: hidden
        rules:
          - {when: {printed: print, ink: solvent}, because: both, source: common-practice}
    causes:
      - id: pulled
        signs:
          - {when: {hidden: found}, speaks: for, strength: barely, because: hidden,
             source: common-practice}
    """,
)
def unreachable_finding(survey: Survey) -> Iterator[Found]:
    """None of its rules can hold, so that it is never found."""
    for name in sorted(_unreachable(survey)):
        yield Found("findings", name, ("id",), "is never found: none of its rules can hold")


@anomaly(
    "error",
    bad="""
    checks:
      - {id: gloss, name: Gloss, ask: How glossy?, how: Look., tool: eyes, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         asked_when: {printed: plain, ink: solvent},
         answers: {high: {says: high, usual: 15}, low: {says: low, usual: 85}}}
    causes:
      - id: pulled
        shows:
          - {check: gloss, of_100: {high: 84}, because: it shines, source: common-practice}
    """,
    good="""
    checks:
      - {id: gloss, name: Gloss, ask: How glossy?, how: Look., tool: eyes, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         asked_when: {printed: plain},
         answers: {high: {says: high, usual: 15}, low: {says: low, usual: 85}}}
    causes:
      - id: pulled
        shows:
          - {check: gloss, of_100: {high: 84}, because: it shines, source: common-practice}
    """,
)
def unreachable_check(survey: Survey) -> Iterator[Found]:
    """What must hold before it is asked can never hold."""
    for check in survey.base.checks.values():
        gate = check.asked_when
        if gate is not None and not can_hold(survey.base, gate):
            yield Found("checks", check.id, ("asked_when",), f"is never asked: {gate} cannot hold")


@anomaly(
    "warning",
    bad="""
    findings:
      - id: tension
        rules:
          - {when: {cut: gapes, care: given}, because: it gapes though he was told,
             source: common-practice}
    """,
    good="""
    findings:
      - id: tension
        rules:
          - {when: {care: given, shade: darker}, because: drawn darker though he was told,
             source: common-practice}
    """,
)
def needless_rule(survey: Survey) -> Iterator[Found]:
    """Another rule of the same kind holds wherever this one does, so that it is never needed.

    Looked for among the rules of one finding, and among the ways to rule one cause out.
    """
    base = survey.base
    alternatives: list[tuple[str, str, str, Sequence[FindingRule | RuleOut], int]] = []
    for finding in base.findings.values():
        alternatives.append(("findings", finding.id, "rules", finding.rules, 0))
    for cause in base.causes.values():
        outs = base.rule_outs(cause)
        by_rows = len(outs) - len(cause.ruled_out_when)
        alternatives.append(("causes", cause.id, "ruled_out_when", outs, by_rows))
    for section, entry, field, rules, first in alternatives:
        for (a, narrow), (b, wide) in permutations(enumerate(rules), 2):
            if (
                a >= first
                and implies(base, narrow.when, wide.when)
                and (a > b or not same(base, narrow.when, wide.when))
            ):
                sentence = f"is never needed: {wide.when} holds wherever {narrow.when} does"
                yield Found(section, entry, (field, a - first), sentence)


CONDITIONS = (unfirable_condition, unreachable_finding, unreachable_check, needless_rule)
