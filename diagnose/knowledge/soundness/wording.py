"""What must be right in the words of a base, and what of them says nothing or two things."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial

from diagnose.knowledge.logic.answers import BadAnswer, parse
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import Check, Symptom, Wording
from diagnose.knowledge.panels import PANELS, sideless
from diagnose.knowledge.soundness.anomaly import Found, Survey, anomaly
from diagnose.knowledge.soundness.draft import Draft
from diagnose.knowledge.soundness.walk import Path
from diagnose.knowledge.words.lexicon import Lexicon, ways
from diagnose.near import near

Fault = tuple[str, Path, str]
"""A sentence, the way to its place, and the kind of problem."""


def wording_fits(draft: Draft) -> Iterator[Problem]:
    """Names in the words that no entry has, answers that a check has not, a word in two groups."""
    wording = draft.file.words
    if wording is None:
        return
    checks = {check.id: check for check in draft.file.checks}
    symptoms = {symptom.id: symptom for symptom in draft.file.symptoms}
    for faults in (
        _grouped_twice(wording),
        _checks_named(wording, checks),
        _answers_named(wording, checks, symptoms),
        _places_named(wording),
    ):
        for sentence, path, kind in faults:
            yield Problem(draft.places.of_section("words", *path), sentence, kind)


def _grouped_twice(wording: Wording) -> Iterator[Fault]:
    seen: dict[str, str] = {}
    for number, group in enumerate(wording.same):
        for at, words in enumerate(group):
            key = " ".join(words.casefold().split())
            if key in seen and seen[key] != group[0]:
                sentence = f"'{words}' means '{seen[key]}' already: keep it in one group"
                yield sentence, ("same", number, at), "words"
            seen.setdefault(key, group[0])


def _checks_named(wording: Wording, checks: Mapping[str, Check]) -> Iterator[Fault]:
    unknown = partial(_unknown, "check", checks)
    for number, told in enumerate(wording.told):
        yield from unknown(told.check, ("told", number, "check"))
        ends = list(told.ends.values())
        rising = [end for end in ends[:-1] if end is not None]
        if not ends or ends[-1] is not None or rising != sorted(rising) or None in ends[:-1]:
            sentence = "the days rise from answer to answer, and the last one has no end (null)"
            yield sentence, ("told", number, "ends"), "words"
    for number, amount in enumerate(wording.amounts):
        yield from unknown(amount.check, ("amounts", number, "check"))
        check = checks.get(amount.check)
        if check is not None and check.number is None:
            sentence = f"{check.id} is not answered by a number"
            yield sentence, ("amounts", number, "check"), "words"
    for topic in wording.topics:
        yield from unknown(topic, ("topics", topic))


def _answers_named(
    wording: Wording, checks: Mapping[str, Check], symptoms: Mapping[str, Symptom]
) -> Iterator[Fault]:
    for number, told in enumerate(wording.told):
        for value in told.ends:
            yield from _not_answered(checks, told.check, value, ("told", number, "ends", value))
    for check, values in wording.numbers.items():
        yield from _unknown("check", checks, check, ("numbers", check))
        for value in values:
            yield from _not_answered(checks, check, value, ("numbers", check, value))
    for symptom, answers in wording.implied.items():
        yield from _unknown("symptom", symptoms, symptom, ("implied", symptom))
        for check, value in answers.items():
            yield from _unknown("check", checks, check, ("implied", symptom, check))
            yield from _not_answered(checks, check, value, ("implied", symptom, check))


def _places_named(wording: Wording) -> Iterator[Fault]:
    known = {*PANELS, *map(sideless, PANELS)}
    for place in wording.places:
        yield from _unknown("place", known, place, ("places", place))
    for number, place in enumerate(wording.wide):
        yield from _unknown("place", known, place, ("wide", number))


def _unknown(
    kind: str, known: Mapping[str, object] | set[str], word: str, path: Path
) -> Iterator[Fault]:
    if word not in known:
        yield f"no {kind} is called '{word}'{near(word, set(known))}", path, "unknown-name"


def _not_answered(
    checks: Mapping[str, Check], name: str, value: str, path: Path
) -> Iterator[Fault]:
    if name in checks:
        try:
            parse(checks[name], value)
        except BadAnswer as error:
            yield str(error), path, "words"


@anomaly(
    "warning",
    bad="""
    checks:
      - id: adhesive
        answers:
          dirty: {phrases: [smeared edge]}
          wet: {phrases: [Smeared  edges]}
    """,
    good="""
    checks:
      - id: adhesive
        answers:
          dirty: {phrases: [smeared edge]}
          wet: {phrases: [beads of water]}
    """,
)
def ambiguous_phrase(survey: Survey) -> Iterator[Found]:
    """The same words would be read as two different answers of a check, which says nothing."""
    lexicon = Lexicon(survey.base)
    for check in survey.base.checks.values():
        said: dict[tuple[str, ...], str] = {}
        for word, phrases in check.phrases.items():
            for number, phrase in enumerate(phrases):
                for meant in map(lexicon.vocabulary.meant, ways(phrase)):
                    if said.setdefault(meant, word) != word:
                        sentence = f"'{phrase}' also says {said[meant]}: keep it at one answer"
                        yield Found("checks", check.id, _phrase(check, word, number), sentence)


def _phrase(check: Check, word: str, number: int) -> tuple[str | int, ...]:
    """Where a phrase stands: at its answer, or where nothing is so."""
    way = ("answers", word) if word in check.answers else ("nothing",)
    return (*way, "phrases", number)


@anomaly(
    "warning",
    bad="""
    symptoms:
      - {id: lifting, also_called: [raised bit]}
      - {id: bumps, phrases: [Raised bits]}
    """,
    good="""
    symptoms:
      - {id: lifting, also_called: [raised edge]}
      - {id: bumps, phrases: [raised dot]}
    """,
)
def ambiguous_name(survey: Survey) -> Iterator[Found]:
    """Two symptoms under one name at the counter: the wrong one is found."""
    lexicon = Lexicon(survey.base)
    seen: dict[tuple[str, ...], str] = {}
    for symptom in survey.base.symptoms.values():
        for field in ("name", "also_called", "phrases"):
            told = getattr(symptom, field)
            for word in (told,) if isinstance(told, str) else told:
                for meant in map(lexicon.vocabulary.meant, ways(word)):
                    if seen.setdefault(meant, symptom.id) != symptom.id:
                        sentence = (
                            f"'{word}' is also a name of {seen[meant]}: keep it at one of them"
                        )
                        yield Found("symptoms", symptom.id, (field,), sentence)


@anomaly(
    "warning",
    bad="""
    words:
      fillers: [has, been]
      source: common-practice
    checks:
      - id: adhesive
        answers:
          dirty: {phrases: [has been smeared]}
    """,
    good="""
    words:
      fillers: [has, been]
      source: common-practice
    checks:
      - id: adhesive
        answers:
          dirty: {phrases: [smeared]}
    """,
)
def empty_phrase(survey: Survey) -> Iterator[Found]:
    """A phrase that comes down to one word, or has a stop in it, is not looked for."""
    lexicon = Lexicon(survey.base)
    sentence = "is one word for the program, or two statements: write the word, or say it in one"
    for check in survey.base.checks.values():
        for word, phrases in check.phrases.items():
            for number, phrase in enumerate(phrases):
                if not any(map(lexicon.says, ways(phrase))):
                    path = _phrase(check, word, number)
                    yield Found("checks", check.id, path, f"'{phrase}' {sentence}")
    for symptom in survey.base.symptoms.values():
        for field in ("also_called", "phrases"):
            for number, phrase in enumerate(getattr(symptom, field)):
                if not any(map(lexicon.says, ways(phrase))):
                    yield Found("symptoms", symptom.id, (field, number), f"'{phrase}' {sentence}")


WORDING = (ambiguous_phrase, ambiguous_name, empty_phrase)
