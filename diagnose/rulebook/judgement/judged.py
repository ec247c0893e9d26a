"""Anomalies that only weighing shows: causes not told apart, causes that cannot lead."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from itertools import chain

from diagnose.knowledge.base import Base
from diagnose.knowledge.soundness.anomaly import Found, Survey, anomaly
from diagnose.reasoning.evidence.tables import Tables, tables
from diagnose.rulebook.judgement.kept_leads import Search
from diagnose.rulebook.judgement.leading import Leads, leads
from diagnose.rulebook.judgement.weakness import ENOUGH, Pair, Telling, pairs, tellings


class WeighedSurvey(Survey):
    """A survey of a base that also weighs it, symptom by symptom.

    `search`: how the best case of the causes behind a symptom is found, where some may be known.
    """

    def __init__(self, base: Base, search: Search = leads) -> None:
        super().__init__(base)
        self._search = search

    @cached_property
    def tables(self) -> tuple[Tables, ...]:
        """The tables of every symptom."""
        return tuple(tables(self.base, symptom) for symptom in self.base.symptoms)

    @cached_property
    def pairs(self) -> tuple[Pair, ...]:
        """Every pair of causes behind one symptom, the weakest first."""
        found = chain.from_iterable(pairs(self.base, table) for table in self.tables)
        return tuple(sorted(found, key=lambda p: (p.decibans, p.symptom, p.first, p.second)))

    @cached_property
    def leads(self) -> tuple[Leads, ...]:
        """The best case of every cause behind every symptom, the weakest first."""
        found = chain.from_iterable(self._search(self.base, table) for table in self.tables)
        return tuple(sorted(found, key=lambda c: (c.probability, c.symptom, c.cause)))

    @cached_property
    def tellings(self) -> tuple[Telling, ...]:
        """What each weighed check can tell, the least first."""
        return tellings(self.base, self.tables)


TWIN = """
    causes:
      - id: twin
        name: Pulled by another hand
        plainly: Another hand pulled it.
        origin: technique
        mechanism: Tension draws it back.
        behind: {lifting: common}
        shows:
          - {check: lines, of_100: {seen: 84}, because: pull lines, source: common-practice,
             group: pull}
          - {check: adhesive, of_100: {dirty: 0.5}, because: dirt did it, source: common-practice}
          - {check: care, of_100: {not_given: NUMBER}, because: nobody told the other hand,
             source: common-practice}
        signs:
          - {when: {tension: found}, speaks: for, strength: substantial, because: under pull,
             source: common-practice, group: pull}
        remedies: {renew: 90}
        responsibility: {payer: installer, because: workmanship}
        prevention: Pull along the edge.
        source: common-practice
"""

_LONELY = """
    causes:
      - id: lonely
        name: Nobody's fault
        plainly: Nobody knows it.
        origin: technique
        mechanism: It is not known.
        behind: {lifting: SHARE}
        shows: [SHOWN]
        remedies: {renew: 90}
        responsibility: {payer: installer, because: workmanship}
        prevention: Look.
        source: common-practice
"""

_OWN_MARK = "{check: shade, of_100: {darker: 84}, because: it is darker, source: common-practice}"

_GLOSS = """
    checks:
      - {id: gloss, name: Gloss, ask: How glossy?, how: Look., tool: eyes, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice,
         answers: {high: {says: high, usual: 15}, low: {says: low, usual: 85}}}
    causes:
      - id: pulled
        shows:
          - {check: gloss, of_100: {high: NUMBER}, because: it shines, source: common-practice}
"""


@anomaly(
    "warning",
    bad=TWIN.replace("NUMBER", "27"),
    good=TWIN.replace("NUMBER", "84"),
)
def causes_not_told_apart(survey: WeighedSurvey) -> Iterator[Found]:
    """No harmless check tells two causes of one symptom apart by 5 decibans, about three to one.

    Add a sign to one of them, or declare them inseparable and say why.
    """
    for pair in survey.pairs:
        declared = survey.base.inseparable_at(pair.symptom, pair.first, pair.second)
        if pair.decibans < ENOUGH and not declared:
            by = f" ({pair.told_by}: {pair.answer})" if pair.told_by else ""
            sentence = (
                f"behind {pair.symptom} not told from {pair.second}: at most {pair.decibans:.1f} dB"
                f"{by}, {ENOUGH:g} dB are wanted"
            )
            yield Found("causes", pair.first, ("id",), sentence)


@anomaly(
    "error",
    bad=_LONELY.replace("SHARE", "rare").replace("SHOWN", ""),
    good=_LONELY.replace("SHARE", "common").replace("SHOWN", _OWN_MARK),
)
def cause_cannot_lead(survey: WeighedSurvey) -> Iterator[Found]:
    """Whatever is answered, something else is likelier: the cause is never found."""
    for case in survey.leads:
        if case.leading != case.cause:
            sentence = (
                f"can never lead behind {case.symptom}: it comes to {case.probability:.0%} at"
                f" best, and then {case.leading} leads"
            )
            yield Found("causes", case.cause, ("behind", case.symptom), sentence)


@anomaly(
    "warning",
    bad=_LONELY.replace("SHARE", "occasional").replace("SHOWN", ""),
    good=_LONELY.replace("SHARE", "common").replace("SHOWN", _OWN_MARK),
)
def cause_hardly_leads(survey: WeighedSurvey) -> Iterator[Found]:
    """With the best answers the cause stays below the percent from which a payer is named."""
    possible = survey.base.scales.possible_percent / 100
    for case in survey.leads:
        if case.leading == case.cause and case.probability < possible:
            sentence = (
                f"hardly leads behind {case.symptom}: it comes to {case.probability:.0%} at best,"
                f" {possible:.0%} are wanted; give it a sign of its own"
            )
            yield Found("causes", case.cause, ("behind", case.symptom), sentence)


@anomaly(
    "note",
    bad=_GLOSS.replace("NUMBER", "27"),
    good=_GLOSS.replace("NUMBER", "84"),
)
def check_tells_little(survey: WeighedSurvey) -> Iterator[Found]:
    """No answer of the check moves any cause by 5 decibans."""
    for told in survey.tellings:
        if told.decibans < ENOUGH:
            section = "checks" if told.check in survey.base.checks else "measures"
            sentence = f"tells little: at most {told.decibans:.1f} dB (of {told.cause})"
            yield Found(section, told.check, ("id",), sentence)


JUDGED = (
    causes_not_told_apart,
    cause_cannot_lead,
    cause_hardly_leads,
    check_tells_little,
)
