"""Anomalies of a cause at its symptoms: what is counted unequally there, idle, or lost."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import portions
from diagnose.knowledge.model import Cause
from diagnose.knowledge.model.conditions import Condition, Test
from diagnose.knowledge.soundness.anomaly import Found, Survey, anomaly
from diagnose.knowledge.soundness.walk import reached
from diagnose.rulebook.change.replay import Replay
from diagnose.rulebook.judgement.judged import TWIN, WeighedSurvey
from diagnose.rulebook.judgement.usual import Won, all_won
from diagnose.rulebook.judgement.weakness import ENOUGH

ALWAYS = 0.95
"""Share from which on something counts as always so."""


class Played(WeighedSurvey):
    """A survey that also plays the most usual car of every cause."""

    @cached_property
    def won(self) -> tuple[Won, ...]:
        """Who wins with each of them."""
        return all_won(Replay(self.base))

    @cached_property
    def _decibans(self) -> dict[tuple[str, frozenset[str]], float]:
        return {(p.symptom, frozenset((p.first, p.second))): p.decibans for p in self.pairs}

    def hardly_told(self, symptom: str, first: str, second: str) -> bool:
        """Whether no harmless check tells two causes apart by enough at a symptom."""
        return self._decibans.get((symptom, frozenset((first, second))), ENOUGH) < ENOUGH

    def taken_for(self, symptom: str, first: str, second: str) -> bool:
        """Whether hardly a check tells two causes, or the usual car of one goes to the other."""
        lost = {(w.car.symptom, w.car.cause, w.leading) for w in self.won if not w.wins}
        one_for_other = {(symptom, first, second), (symptom, second, first)}
        return self.hardly_told(symptom, first, second) or bool(lost & one_for_other)


_LOOK = """
    symptoms:
      - id: bumps
        confused_with: [{symptom: lifting, tells: Pull lines., check: lines, answers: [seen]}]
    causes:
      - id: dirty_edge
        shows: [SHOWN]
"""


@anomaly(
    "note",
    bad=_LOOK.replace("SHOWN", ""),
    good=_LOOK.replace(
        "SHOWN",
        "{check: lines, of_100: {seen: 60}, because: it pulls, source: common-practice}",
    ),
)
def look_counted_unequally(survey: Survey) -> Iterator[Found]:
    """What a symptom is told by counts for some of its causes, and others say nothing of it.

    Those are thrown back for what all of them show. Say it once at the symptom (`shows`), or for
    each cause.
    """
    base = survey.base
    for symptom, check, answers in _looks(base):
        rows = {c.id: base.rows(c, symptom).get(check) for c in base.behind(symptom)}
        usual = base.usual(check, symptom)
        there = {name: portions(row, usual) for name, row in rows.items() if row is not None}
        labels = base.observables[check].labels
        shown = all(labels[its.index(max(its))] in answers for its in there.values())
        asked = base.makes_sense(base.checks[check], symptom)
        if asked and shown and 0 < len(there) < len(rows):
            sentence = (
                f"it is told by {check} ({', '.join(answers)}), which counts for"
                f" {', '.join(there)}, and {len(rows) - len(there)} of its causes say nothing of it"
            )
            yield Found("symptoms", symptom, ("id",), sentence)


def _looks(base: Base) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """The answers by which others say that it is this symptom: symptom, check, answers."""
    found: dict[tuple[str, str], dict[str, None]] = {}
    for other in base.symptoms.values():
        for confused in other.confused_with:
            if confused.check and confused.answers:
                its = found.setdefault((confused.symptom, confused.check), {})
                its.update(dict.fromkeys(confused.answers))
    for (symptom, check), answers in found.items():
        if check not in base.symptoms[symptom].shows:
            yield symptom, check, tuple(answers)


_GLOSS_AT = """
    checks:
      - {id: gloss, name: Gloss, ask: How glossy?, how: Look., tool: eyes, minutes: 1,
         place: at_car, harm: none, scope: complaint, source: common-practice, asked_at: [SYMPTOM],
         answers: {high: {says: high, usual: 15}, low: {says: low, usual: 85}}}
    causes:
      - id: pulled
        shows:
          - {check: gloss, of_100: {high: 84}, because: it shines, source: common-practice}
"""


@anomaly(
    "note",
    bad=_GLOSS_AT.replace("SYMPTOM", "bumps"),
    good=_GLOSS_AT.replace("SYMPTOM", "lifting"),
)
def row_never_asked(survey: Survey) -> Iterator[Found]:
    """A row on a check that is asked at none of the symptoms that the cause lies behind."""
    base = survey.base
    for cause in base.causes.values():
        for number, entry in enumerate(cause.shows):
            if not any(_asked(base, entry.check, s) for s in entry.at or cause.behind):
                sentence = f"{entry.check} is asked at none of the symptoms of this cause"
                yield Found("causes", cause.id, ("shows", number, "check"), sentence)


def _asked(base: Base, name: str, symptom: str) -> bool:
    """Whether there is anything to look at; of a measure, for each of its checks."""
    checks = (base.checks[n] for n in reached(base, [name]) if n in base.checks)
    return all(base.makes_sense(check, symptom) for check in checks)


@anomaly(
    "note",
    bad="""
    remedies:
      - {id: relay, mends: [bumps]}
    """,
    good="""
    remedies:
      - {id: relay, mends: [lifting, bumps]}
    """,
)
def remedy_mends_nothing(survey: Survey) -> Iterator[Found]:
    """A remedy of a cause that ends none of the symptoms that the cause lies behind."""
    base = survey.base
    for cause in base.causes.values():
        for remedy in cause.remedies:
            if not any(base.mends(remedy, symptom) for symptom in cause.behind):
                sentence = f"{remedy} mends none of its symptoms ({', '.join(cause.behind)})"
                yield Found("causes", cause.id, ("remedies", remedy), sentence)


_WASH = """
    remedies:
      - {id: wash, name: Wash, kind: surface, applies: always, steps: [Wash.],
         hours: {from: 1, to: 2}, destroys_piece: "no", reprint: "no", look_again: in a day,
         mends: MENDED, source: common-practice}
    causes:
      - {id: dirty_edge, remedies: {relay: null, renew: null, wash: 60}}
"""


@anomaly(
    "note",
    bad=_WASH.replace("MENDED", "[lifting]"),
    good=_WASH.replace("MENDED", "[lifting, bumps]"),
)
def no_remedy_left(survey: Survey) -> Iterator[Found]:
    """At a symptom that a cause lies behind none of its remedies mends it: nothing is proposed."""
    base = survey.base
    for cause in base.causes.values():
        for symptom in cause.behind if cause.remedies else ():
            if not base.mending(cause, symptom) and not cause.also:
                sentence = f"none of its remedies mends {symptom}: name one that does"
                yield Found("causes", cause.id, ("behind", symptom), sentence)


_DAMP = """
    causes:
      - id: damp
        name: Damp below
        plainly: It was damp.
        origin: environment
        mechanism: Water keeps it off.
        behind: {lifting: occasional}
        shows:
          - {check: adhesive, of_100: {wet: NUMBER}, because: wet, source: common-practice}
          - {check: feel, of_100: {hard: NUMBER}, because: damp, source: common-practice}
          - {check: care, of_100: {not_given: NUMBER}, because: untold, source: common-practice}
        remedies: {renew: 90}
        responsibility: {payer: installer, because: workmanship}
        prevention: Dry it.
        source: common-practice
"""


@anomaly("note", bad=_DAMP.replace("NUMBER", "40"), good=_DAMP.replace("NUMBER", "84"))
def loses_its_usual_case(survey: Played) -> Iterator[Found]:
    """With the answers that most cars with this cause show, another cause is likelier.

    So it is missed where it is plainest. `diagnose rules usual CAUSE` shows by what.
    """
    weak = {(case.symptom, case.cause) for case in survey.leads if case.leading != case.cause}
    for won in survey.won:
        car = won.car
        alike = survey.hardly_told(car.symptom, car.cause, won.leading)
        declared = survey.base.inseparable_at(car.symptom, car.cause, won.leading)
        if not won.wins and not alike and not declared and (car.symptom, car.cause) not in weak:
            sentence = (
                f"loses its most usual case behind {car.symptom} to {won.leading}:"
                f" {won.chance(car.cause):.0%} to {won.chance(won.leading):.0%}; mend the row"
                " that is wrong, or declare them inseparable there if nothing at the car tells them"
            )
            yield Found("causes", car.cause, ("behind", car.symptom), sentence)


_INSEPARABLE = """
    inseparable:
      - {causes: [pulled, CAUSE], because: both leave the same marks}
"""


@anomaly(
    "warning",
    bad=_INSEPARABLE.replace("CAUSE", "dirty_edge"),
    good=_INSEPARABLE.replace("CAUSE", "twin") + TWIN.replace("NUMBER", "27"),
)
def inseparable_needless(survey: Played) -> Iterator[Found]:
    """Causes declared inseparable that are told apart after all.

    A harmless check tells them by enough, and with the most usual car of either it wins itself.
    """
    base = survey.base
    for number, pair in enumerate(base.inseparable):
        first, second = pair.causes
        there = pair.at or [
            s for s in base.symptoms if {*pair.causes} <= {c.id for c in base.behind(s)}
        ]
        needless = [s for s in there if not survey.taken_for(s, first, second)]
        if (pair.at and needless) or len(needless) == len(there):
            at = f" at {', '.join(needless)}" if pair.at else ""
            sentence = f"{first} and {second} are told apart{at}: remove the declaration"
            yield Found("inseparable", "", (number,), sentence)


_UNLESS = """
    causes:
      - id: pulled
        responsibility:
          unless: [{payer: owner, when: WHEN, because: it was his doing}]
"""


@anomaly(
    "note",
    bad=_UNLESS.replace("WHEN", "{adhesive: [clean, wet]}"),
    good=_UNLESS.replace("WHEN", "{care: not_given}"),
)
def exception_always_true(survey: Survey) -> Iterator[Found]:
    """A payer's exception holds behind a symptom in nearly every case of the cause.

    The payer as a rule never pays there. Make that one the rule, or ask for more.
    """
    base = survey.base
    for cause in base.causes.values():
        for number, other in enumerate(cause.responsibility.unless):
            for symptom in cause.behind:
                share = _holds(base, cause, symptom, other.when)
                if share >= ALWAYS:
                    sentence = f"holds in {share:.0%} of its cases behind {symptom}: {other.when}"
                    way = ("responsibility", "unless", number, "when")
                    yield Found("causes", cause.id, way, sentence)


def _holds(base: Base, cause: Cause, symptom: str, when: Condition) -> float:
    """How often a condition holds with a cause, its tests taken apart; 0 where it is not stated."""
    share = 1.0
    for test in when.tests:
        share *= _share(base, cause, symptom, test)
    return share


def _share(base: Base, cause: Cause, symptom: str, test: Test) -> float:
    shown = base.symptoms[symptom].shows
    if test.subject in shown:
        return float(test.holds(shown[test.subject]) is True)
    if test.subject not in base.observables or not base.usual(test.subject, symptom):
        return 0.0
    kind = base.observables[test.subject].kind
    row = base.rows(cause, symptom).get(test.subject)
    shares = kind.outcome_shares(portions(row, base.usual(test.subject, symptom)))
    outcomes = zip(shares, kind.outcomes, strict=True)
    return sum(share for share, outcome in outcomes if test.holds(outcome))


AT_SYMPTOMS = (
    look_counted_unequally,
    row_never_asked,
    remedy_mends_nothing,
    no_remedy_left,
    loses_its_usual_case,
    inseparable_needless,
    exception_always_true,
)
