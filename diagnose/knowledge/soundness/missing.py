"""Anomalies of what is missing or can be read in two ways."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.soundness.anomaly import Found, Survey, anomaly


@anomaly(
    "error",
    bad="""
    symptoms:
      - {id: fading, name: Fading, group: Colour, look: pale, appears: late, where: roof,
         confused_with: [{symptom: bumps, tells: feel, check: shade, answers: [darker]}],
         source: common-practice}
    """,
    good="""
    symptoms:
      - {id: fading, name: Fading, group: Colour, look: pale, appears: late, where: roof,
         confused_with: [{symptom: bumps, tells: feel, check: shade, answers: [darker]}],
         source: common-practice}
    causes:
      - {id: pulled, behind: {fading: common}}
    """,
)
def symptom_without_causes(survey: Survey) -> Iterator[Found]:
    """A symptom behind which nothing lies ends in 'not listed' whatever is answered."""
    for name in survey.base.symptoms:
        if not survey.base.behind(name):
            yield Found("symptoms", name, ("id",), "no cause lies behind this symptom")


@anomaly(
    "warning",
    bad="""
    symptoms:
      - {id: fading, name: Fading, group: Colour, look: pale, appears: late, where: roof,
         source: common-practice}
    causes:
      - {id: pulled, behind: {fading: common}}
    """,
    good="""
    symptoms:
      - {id: fading, name: Fading, group: Colour, look: pale, appears: late, where: roof,
         confused_with: [{symptom: bumps, tells: feel, check: shade, answers: [darker]}],
         source: common-practice}
    causes:
      - {id: pulled, behind: {fading: common}}
    """,
)
def symptom_like_no_other(survey: Survey) -> Iterator[Found]:
    """Every failure is mistaken for another one at times: say which, and what tells them apart."""
    for symptom in survey.base.symptoms.values():
        if not symptom.confused_with:
            sentence = "names no symptom that it is confused with"
            yield Found("symptoms", symptom.id, ("id",), sentence)


@anomaly(
    "warning",
    bad="""
    symptoms:
      - id: lifting
        confused_with: [{symptom: bumps, tells: one is round}]
    """,
    good="""
    symptoms:
      - id: lifting
        confused_with: [{symptom: bumps, tells: one is hard, check: shade, answers: [darker]}]
    """,
)
def confusion_untold(survey: Survey) -> Iterator[Found]:
    """Without a check and its answers the program cannot say in time that it is the other one."""
    for symptom in survey.base.symptoms.values():
        for number, other in enumerate(symptom.confused_with):
            if other.check is None or not other.answers:
                lacks = "the check" if other.check is None else f"the answers of {other.check}"
                sentence = f"confused with {other.symptom}: name {lacks} that tells them apart"
                yield Found("symptoms", symptom.id, ("confused_with", number), sentence)


@anomaly(
    "warning",
    bad="""
    remedies:
      - {id: renew, reprint: if_printed}
    """,
    good="""
    remedies:
      - {id: renew, reprint: if_printed}
    findings:
      - id: print_on_it
        name: Printed film
        role: printed
        rules: [{when: {printed: print}, because: it says so, source: common-practice}]
    """,
)
def unfilled_role(survey: Survey) -> Iterator[Found]:
    """A price that hangs on a print, or on metres of an edge, is wrong where nothing tells them."""
    base = survey.base
    for remedy in base.remedies.values():
        if remedy.reprint == "if_printed" and not base.role("printed"):
            sentence = "is printed anew on a print: give the finding that tells it 'role: printed'"
            yield Found("remedies", remedy.id, ("reprint",), sentence)
        if remedy.hours.per == "metre" and not base.role("edge_length"):
            sentence = "takes hours per metre: give the check of it 'role: edge_length'"
            yield Found("remedies", remedy.id, ("hours",), sentence)


@anomaly(
    "error",
    bad="""
    causes:
      - {id: pulled, remedies: null}
    """,
    good="""
    causes:
      - {id: pulled, remedies: {renew: 50}}
    """,
)
def cause_without_remedy(survey: Survey) -> Iterator[Found]:
    """Whoever finds this cause learns nothing of what to do, be it only to wait and look again."""
    for cause in survey.base.causes.values():
        if not cause.remedies and not cause.also:
            sentence = "has no remedy: name one, or what to do while it is watched"
            yield Found("causes", cause.id, ("id",), sentence)


@anomaly(
    "error",
    bad="""
    causes:
      - {id: pulled, never: [{remedy: renew, because: it comes again}]}
    """,
    good="""
    causes:
      - {id: gritty, never: [{remedy: relay, because: the grain stays}]}
    """,
)
def remedy_forbidden(survey: Survey) -> Iterator[Found]:
    """A remedy cannot be right for a cause and make it worse."""
    for cause in survey.base.causes.values():
        for number, never in enumerate(cause.never):
            if never.remedy in cause.remedies or never.remedy in cause.also:
                sentence = f"{never.remedy} is a remedy of this cause and forbidden for it"
                yield Found("causes", cause.id, ("never", number), sentence)


@anomaly(
    "warning",
    bad="""
    causes:
      - id: dirty_edge
        responsibility:
          unless: [{payer: installer, when: {care: given}, because: he was told}]
    """,
    good="""
    causes:
      - id: dirty_edge
        responsibility:
          unless: [{payer: owner, when: {care: given}, because: he was told}]
    """,
)
def payer_instead_of_himself(survey: Survey) -> Iterator[Found]:
    """'Unless' names who pays instead; the same payer again changes nothing."""
    for cause in survey.base.causes.values():
        for number, other in enumerate(cause.responsibility.unless):
            if other.payer == cause.responsibility.payer:
                sentence = f"{other.payer} pays with this condition and without it"
                yield Found("causes", cause.id, ("responsibility", "unless", number), sentence)


MISSING = (
    symptom_without_causes,
    symptom_like_no_other,
    confusion_untold,
    cause_without_remedy,
    remedy_forbidden,
    payer_instead_of_himself,
)
