"""Anomalies among the signs of one cause: said twice, said for and against, split for nothing."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from diagnose.knowledge.model import REST, Cause, RuleOut, Sign
from diagnose.knowledge.model.conditions import Condition, Test
from diagnose.knowledge.soundness.anomaly import Found, Survey, anomaly
from diagnose.knowledge.soundness.implication import implies, region, same

_Numbered = tuple[int, Sign]


def _written(cause: Cause) -> list[_Numbered]:
    return list(enumerate(cause.signs))


def _shown(survey: Survey, cause: Cause) -> list[Sign]:
    """What the cause's rows say of answers with a number of their own."""
    told = list(survey.base.signs(cause))[: -len(cause.signs) or None]
    rest = {e.because for e in cause.shows if all(n == REST for n in e.of_100.values())}
    return [sign for sign in told if sign.because not in rest]


def _pairs(survey: Survey) -> Iterator[tuple[Cause, _Numbered, _Numbered]]:
    """Two signs of one cause, in their order; what its rows say cannot be written twice."""
    for cause in survey.base.causes.values():
        for first, second in combinations(_written(cause), 2):
            yield cause, first, second


@anomaly(
    "warning",
    bad="""
    causes:
      - id: pulled
        signs:
          - {when: {lines: seen, adhesive: clean}, speaks: for, strength: strong, group: pull,
             because: pull lines and no dirt, source: common-practice}
          - {when: {adhesive: clean, lines: seen}, speaks: for, strength: strong, group: pull,
             because: no dirt and pull lines, source: common-practice}
    """,
    good="""
    causes:
      - id: pulled
        signs:
          - {when: {lines: seen, adhesive: clean}, speaks: for, strength: strong, group: pull,
             because: pull lines and no dirt, source: common-practice}
    """,
)
def redundant_signs(survey: Survey) -> Iterator[Found]:
    """Two signs that hold in the same cases and speak the same way are one sign written twice.

    Its weight would count double.
    """
    for cause, (a, first), (b, second) in _pairs(survey):
        if first.speaks == second.speaks and same(survey.base, first.when, second.when):
            sentence = (
                f"says the same as sign {a + 1} of this cause ({second.when}): keep one of them"
            )
            yield Found("causes", cause.id, ("signs", b), sentence)


@anomaly(
    "warning",
    bad="""
    causes:
      - id: pulled
        signs:
          - {when: {lines: seen, adhesive: clean}, speaks: for, strength: substantial,
             because: pull lines and no dirt, source: common-practice}
    """,
    good="""
    causes:
      - id: pulled
        signs:
          - {when: {lines: seen, adhesive: clean}, speaks: for, strength: strong, group: pull,
             because: pull lines and no dirt, source: common-practice}
    """,
)
def subsumed_sign(survey: Survey) -> Iterator[Found]:
    """Where a narrow sign holds, the wider one holds too, and the same sight is counted twice.

    In one group, only the stronger of the two counts.
    """
    for cause, a, narrow, wide in _nested(survey):
        if narrow.group is None or narrow.group != wide.group:
            sentence = (
                f"counts beside what is said of {wide.when}, which holds wherever this one"
                f" ({narrow.when}) does: give both the same group"
            )
            yield Found("causes", cause.id, ("signs", a), sentence)


@anomaly(
    "warning",
    bad="""
    causes:
      - id: pulled
        signs:
          - {when: {lines: seen, adhesive: clean}, speaks: for, strength: barely, group: pull,
             because: pull lines and no dirt, source: common-practice}
    """,
    good="""
    causes:
      - id: pulled
        signs:
          - {when: {lines: seen, adhesive: clean}, speaks: for, strength: strong, group: pull,
             because: pull lines and no dirt, source: common-practice}
    """,
)
def idle_sign(survey: Survey) -> Iterator[Found]:
    """A narrow sign that is no stronger than a wider one of its group never counts."""
    size = survey.base.scales.strengths
    for cause, a, narrow, wide in _nested(survey):
        if narrow.group is None or narrow.group != wide.group:
            continue
        if size[narrow.strength] <= size[wide.strength]:
            sentence = (
                f"never counts: what is said of {wide.when} in the same group holds wherever this"
                f" one does and is as strong ({wide.strength}): remove it or make it stronger"
            )
            yield Found("causes", cause.id, ("signs", a), sentence)


def _nested(survey: Survey) -> Iterator[tuple[Cause, int, Sign, Sign]]:
    """A sign of a cause, and a wider one or a wider answer of a row that speaks the same way."""
    base = survey.base
    for cause in base.causes.values():
        shown = _shown(survey, cause)
        for a, narrow in _written(cause):
            for wide in (*shown, *(sign for sign in cause.signs if sign is not narrow)):
                if (
                    narrow.speaks == wide.speaks
                    and implies(base, narrow.when, wide.when)
                    and not implies(base, wide.when, narrow.when)
                ):
                    yield cause, a, narrow, wide


@anomaly(
    "warning",
    bad="""
    causes:
      - id: pulled
        signs:
          - {when: {care: given, shade: darker}, speaks: for, strength: barely, group: told,
             because: told and darker, source: common-practice}
          - {when: {care: given, shade: same}, speaks: for, strength: barely, group: told,
             because: told and the same, source: common-practice}
    """,
    good="""
    causes:
      - id: pulled
        signs:
          - {when: {care: given, shade: darker}, speaks: for, strength: barely, group: told,
             because: told and darker, source: common-practice}
          - {when: {care: given, shade: same}, speaks: for, strength: substantial, group: told,
             because: told and the same, source: common-practice}
    """,
)
def unnecessary_condition(survey: Survey) -> Iterator[Found]:
    """Two signs that differ in one check only, and name all of its answers, do not need it.

    One sign without that check says the same.
    """
    for cause, (_, first), (b, second) in _pairs(survey):
        if (first.speaks, first.strength, first.group) == (
            second.speaks,
            second.strength,
            second.group,
        ):
            subject = _split_over(survey, first.when, second.when)
            if subject:
                sentence = (
                    f"this sign and the one with {first.when} differ in {subject} only and name"
                    f" all of its answers: leave {subject} out and keep one"
                )
                yield Found("causes", cause.id, ("signs", b), sentence)


def _split_over(survey: Survey, first: Condition, second: Condition) -> str | None:
    """The one subject over whose answers two conditions are split; None if there is none."""
    differing = [(a, b) for a, b in zip(_by_name(first), _by_name(second), strict=False) if a != b]
    if len(first.tests) != len(second.tests) or len(first.tests) < 2 or len(differing) != 1:
        return None
    a, b = differing[0]
    if a.subject != b.subject or a.subject not in survey.base.observables:
        return None
    mine, yours = region(survey.base, a), region(survey.base, b)
    if not (isinstance(mine, frozenset) and isinstance(yours, frozenset)):
        return None
    every = set(survey.base.observables[a.subject].labels)
    return a.subject if mine | yours == every else None


def _by_name(condition: Condition) -> list[Test]:
    return sorted(condition.tests, key=lambda test: test.subject)


@anomaly(
    "error",
    bad="""
    causes:
      - id: pulled
        signs:
          - {when: {lines: seen, adhesive: wet}, speaks: for, strength: strong, group: pull,
             because: it was pulled and then wetted, source: common-practice}
          - {when: {adhesive: wet, lines: seen}, speaks: against, strength: strong, group: pull,
             because: it was wetted and then pulled, source: common-practice}
    """,
    good="""
    causes:
      - id: pulled
        signs:
          - {when: {lines: seen, adhesive: wet}, speaks: for, strength: strong, group: pull,
             because: it was pulled and then wetted, source: common-practice}
    """,
)
def contradictory_signs(survey: Survey) -> Iterator[Found]:
    """The same evidence cannot speak for a cause and against it."""
    for cause, (a, first), (b, second) in _pairs(survey):
        if first.speaks != second.speaks and same(survey.base, first.when, second.when):
            sentence = (
                f"speaks {second.speaks} this cause where sign {a + 1} speaks {first.speaks} it"
                f" ({second.when}): decide for one"
            )
            yield Found("causes", cause.id, ("signs", b), sentence)


@anomaly(
    "error",
    bad="""
    causes:
      - id: pulled
        shows:
          - {check: care, of_100: {not_given: 0}, because: not this one then,
             source: common-practice}
        signs:
          - {when: {care: not_given, lines: seen}, speaks: for, strength: strong, group: pull,
             because: nobody told him, source: common-practice}
    """,
    good="""
    causes:
      - id: pulled
        shows:
          - {check: care, of_100: {not_given: 0}, because: not this one then,
             source: common-practice}
        signs:
          - {when: {care: given, lines: seen}, speaks: for, strength: strong, group: pull,
             because: he was told, source: common-practice}
    """,
)
def speaks_for_the_ruled_out(survey: Survey) -> Iterator[Found]:
    """Answers cannot speak for a cause and rule it out."""
    for cause, number, sign, out in _ruled_out(survey):
        if sign.speaks == "for":
            sentence = (
                f"never counts: where it holds ({sign.when}) the cause is ruled out ({out.when}):"
                " remove one of the two"
            )
            yield Found("causes", cause.id, ("signs", number), sentence)


@anomaly(
    "note",
    bad="""
    causes:
      - id: pulled
        shows:
          - {check: care, of_100: {not_given: 0}, because: not this one then,
             source: common-practice}
        signs:
          - {when: {care: not_given, lines: none}, speaks: against, strength: strong, group: pull,
             because: nobody told him, source: common-practice}
    """,
    good="""
    causes:
      - id: pulled
        shows:
          - {check: care, of_100: {not_given: 0}, because: not this one then,
             source: common-practice}
        signs:
          - {when: {care: given, lines: none}, speaks: against, strength: strong, group: pull,
             because: he was told, source: common-practice}
    """,
)
def outdone_by_ruling_out(survey: Survey) -> Iterator[Found]:
    """A sign against a cause adds nothing where the same answers rule the cause out.

    It may stand all the same, to give the reason in a customer's words.
    """
    for cause, number, sign, out in _ruled_out(survey):
        if sign.speaks == "against":
            sentence = f"adds nothing: where it holds the cause is ruled out ({out.when})"
            yield Found("causes", cause.id, ("signs", number), sentence)


def _ruled_out(survey: Survey) -> Iterator[tuple[Cause, int, Sign, RuleOut]]:
    """Signs of causes that are ruled out wherever the sign holds."""
    for cause in survey.base.causes.values():
        for number, sign in _written(cause):
            for out in survey.base.rule_outs(cause):
                if implies(survey.base, sign.when, out.when):
                    yield cause, number, sign, out


SIGNS = (
    redundant_signs,
    subsumed_sign,
    idle_sign,
    unnecessary_condition,
    contradictory_signs,
    speaks_for_the_ruled_out,
    outdone_by_ruling_out,
)
