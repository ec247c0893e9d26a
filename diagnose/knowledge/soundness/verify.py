"""What must be right before a rule base can be used: names, answers, numbers, strengths.

Each check yields a problem for each fault it finds; none stops at the first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

from diagnose.knowledge.base import Places
from diagnose.knowledge.logic.answers import misfit
from diagnose.knowledge.logic.likelihood import NoTable, row, single_outs, single_signs
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import UNSOURCED, Cause, Check, Entry, Observable, RuleFile
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND
from diagnose.knowledge.near import near
from diagnose.knowledge.soundness.walk import NAMED, Path, conditions_of, parts, referred
from diagnose.measures.model import Input


@dataclass(frozen=True)
class Draft:
    """Everything read, before it is known to be right."""

    file: RuleFile
    places: Places

    @cached_property
    def walked(self) -> tuple[tuple[str, str, Path, Entry], ...]:
        """Every entry and every part of it: section, the entry's id, the way to the part, it."""
        return tuple(
            (section, entry.id, path, part)  # type: ignore[attr-defined]
            for section, entry in self.entries()
            for path, part in parts(entry)
        )

    def entries(self) -> Iterator[tuple[str, Entry]]:
        """Each named entry with its section."""
        for section in NAMED:
            for entry in getattr(self.file, section):
                yield section, entry

    def ids(self, section: str) -> set[str]:
        """The ids of a section."""
        return {entry.id for entry in getattr(self.file, section)}

    def observables(self) -> Mapping[str, Observable]:
        """Checks and measures by id."""
        return {o.id: o for o in (*self.file.checks, *self.file.measures)}

    def without(self, ids: frozenset[str]) -> Draft:
        """The same without some entries."""
        left = {
            section: tuple(e for e in getattr(self.file, section) if e.id not in ids)
            for section in NAMED
        }
        return Draft(self.file.model_copy(update=left), self.places)

    def problem(self, sentence: str, section: str, entry: str, path: Path, kind: str) -> Problem:
        """A problem at a part of an entry."""
        return Problem(self.places.of(section, entry, *path), sentence, kind)


def verify(draft: Draft, mended: frozenset[str] = frozenset()) -> list[Problem]:
    """Every problem of a draft, in the order of the files.

    Of `mended` entries, whose words are not their own, only the names are looked at.
    """
    own = draft.without(mended) if mended else draft
    found: list[Problem] = []
    for of_names in (twice, references, conditions_fit, cited, measures_fit, roles_fit):
        found += of_names(draft)
    for of_numbers in (answers_fit, symptoms_fit, confusions_fit, circles, strengths):
        found += of_numbers(own)
    return sorted(found)


def twice(draft: Draft) -> Iterator[Problem]:
    """An id used for two entries; checks, measures and findings share their names."""
    seen: dict[tuple[str, str], str] = {}
    shared = {"checks": "subject", "measures": "subject", "findings": "subject"}
    for section, entry in draft.entries():
        name = entry.id  # type: ignore[attr-defined]
        key = (shared.get(section, section), name)
        if key in seen:
            sentence = f"'{name}' stands twice; also among the {seen[key]}: give one another id"
            yield draft.problem(sentence, section, name, ("id",), "twice")
        seen[key] = section


def references(draft: Draft) -> Iterator[Problem]:
    """A name that no entry has."""
    known = {section: draft.ids(section) for section in NAMED}
    for section, name, path, part in draft.walked:
        for kind, word, step in referred(part):
            if word not in known[kind]:
                sentence = f"no {kind[:-1]} is called '{word}'{near(word, known[kind])}"
                yield draft.problem(sentence, section, name, (*path, *step), "unknown-name")
    for number, word in enumerate(draft.file.intake):
        if word not in known["checks"]:
            spot = draft.places.of_section("intake", number)
            yield Problem(
                spot, f"no check is called '{word}'{near(word, known['checks'])}", "unknown-name"
            )


_UNITS = {"age": "months", "edge_length": "mm"}
"""The units of checks that the program reckons with by their role."""


def roles_fit(draft: Draft) -> Iterator[Problem]:
    """A role that two entries have, or a check that is no such number."""
    having: dict[str, str] = {}
    for section, entry in draft.entries():
        role, name = getattr(entry, "role", None), entry.id  # type: ignore[attr-defined]
        if role is None:
            continue
        if role in having and role != "nobody":
            sentence = f"{having[role]} has the role '{role}' already: one entry has it"
            yield draft.problem(sentence, section, name, ("role",), "role")
        having.setdefault(role, name)
        number = entry.number if isinstance(entry, Check) else None
        if role in _UNITS and (number is None or number.unit != _UNITS[role]):
            sentence = f"the role '{role}' asks for a number in {_UNITS[role]}"
            yield draft.problem(sentence, section, name, ("role",), "role")


def cited(draft: Draft) -> Iterator[Problem]:
    """A source that is not among the sources."""
    known = draft.ids("sources") | set(UNSOURCED)
    for section, name, path, part in draft.walked:
        for word in getattr(part, "source", ()):
            if word not in known:
                sentence = f"no source is called '{word}'{near(word, known)}"
                yield draft.problem(sentence, section, name, (*path, "source"), "unknown-name")


def conditions_fit(draft: Draft) -> Iterator[Problem]:
    """A condition on something that does not exist, or cannot have that value."""
    observables, findings = draft.observables(), draft.ids("findings")
    for section, name, path, part in draft.walked:
        for field, condition in conditions_of(part):
            for test in condition.tests:
                sentence = misfit(test, observables, findings)
                if sentence:
                    way = (*path, field, test.subject)
                    yield draft.problem(sentence, section, name, way, "condition")


def answers_fit(draft: Draft) -> Iterator[Problem]:
    """Answers, bins and their shares."""
    for section in ("checks", "measures"):
        for observable in getattr(draft.file, section):
            for sentence, path in _answer_faults(observable):
                yield draft.problem(sentence, section, observable.id, path, "answers")


def _answer_faults(observable: Observable) -> Iterator[tuple[str, Path]]:
    is_check = isinstance(observable, Check)
    number = getattr(observable, "number", None)
    if is_check and bool(observable.answers) == bool(number):
        yield "a check has either answers or a number", ("id",)
    if is_check and len(observable.answers) == 1:
        yield "a check needs at least two answers", ("answers",)
    if observable.answers and observable.usual:
        yield "bins go with a number, not with answers", ("usual",)
    shares = [a.usual for a in observable.answers.values()] or [b.usual for b in observable.usual]
    if shares and abs(sum(shares) - 100) > 0.6:
        yield (
            f"the usual shares add up to {sum(shares):g}, not to 100",
            ("answers" if observable.answers else "usual",),
        )
    for word in set(observable.answers) & {FOUND, NOT_FOUND, "unknown"}:
        yield f"'{word}' cannot be an answer: it has a meaning of its own", ("answers", word)
    yield from _bin_faults(observable)


def _bin_faults(observable: Observable) -> Iterator[tuple[str, Path]]:
    bins = observable.usual
    for index, b in enumerate(bins):
        if (b.under is None) != (index == len(bins) - 1):
            yield "every bin but the last says under what it ends", ("usual", index)
    if any(a >= b for a, b in pairwise(observable.edges)):
        yield "the bins must rise", ("usual",)
    if len(bins) == 1:
        yield "one bin tells nothing: give two or none", ("usual",)


def symptoms_fit(draft: Draft) -> Iterator[Problem]:
    """Where a check is asked, what a remedy mends: symptoms, or groups of them, that there are."""
    known = draft.ids("symptoms") | {symptom.group for symptom in draft.file.symptoms}
    asked = (("checks", check.id, "asked_at", check.asked_at) for check in draft.file.checks)
    mended = (("remedies", its.id, "mends", its.mends) for its in draft.file.remedies)
    for section, name, field, words in (*asked, *mended):
        for number, word in enumerate(words):
            if word not in known:
                sentence = f"no symptom and no group of them is called '{word}'{near(word, known)}"
                yield draft.problem(sentence, section, name, (field, number), "unknown-name")


def confusions_fit(draft: Draft) -> Iterator[Problem]:
    """What tells a symptom from another: answers that belong to the check that is named."""
    answers = {check.id: set(check.answers) for check in draft.file.checks}
    for symptom in draft.file.symptoms:
        for number, other in enumerate(symptom.confused_with):
            path: Path = ("confused_with", number)
            if other.symptom == symptom.id:
                sentence = "a symptom cannot be confused with itself"
                yield draft.problem(sentence, "symptoms", symptom.id, path, "confusion")
            if other.check is None and other.answers:
                sentence = f"name the check whose answers these are: {', '.join(other.answers)}"
                yield draft.problem(sentence, "symptoms", symptom.id, path, "confusion")
            known = answers.get(other.check or "", set(other.answers))
            for place, word in enumerate(other.answers):
                if word not in known:
                    sentence = f"{other.check} has no answer '{word}'{near(word, known)}"
                    way = (*path, "answers", place)
                    yield draft.problem(sentence, "symptoms", symptom.id, way, "confusion")


def measures_fit(draft: Draft) -> Iterator[Problem]:
    """A measure whose function, inputs or result are not as diagnose.measures has them."""
    from diagnose.measures.registry import MEASURES

    observables = draft.observables()
    for use in draft.file.measures:
        function = MEASURES.get(use.function)
        if function is None:
            sentence = f"no measure is called '{use.function}'{near(use.function, set(MEASURES))}"
            yield draft.problem(sentence, "measures", use.id, ("function",), "unknown-name")
            continue
        inputs = {i.name: i for i in function.inputs}
        for name, value in use.inputs.items():
            if name not in inputs:
                sentence = f"{use.function} has no input '{name}'{near(name, set(inputs))}"
                yield draft.problem(sentence, "measures", use.id, ("inputs", name), "measure")
            elif fault := _input_fault(inputs[name], value, observables):
                yield draft.problem(fault, "measures", use.id, ("inputs", name), "measure")
        for name in use.needed:
            if name not in use.inputs:
                sentence = f"needs '{name}', and nothing is named for it under inputs"
                yield draft.problem(sentence, "measures", use.id, ("needed",), "measure")
        for name, spec in inputs.items():
            if spec.default is None and not spec.optional and name not in use.inputs:
                sentence = f"{use.function} needs the input '{name}'"
                yield draft.problem(sentence, "measures", use.id, ("inputs",), "measure")


def _input_fault(wanted: Input, value: str | float, known: Mapping[str, Observable]) -> str | None:
    """What keeps an input of a measure from being taken from what is named for it."""
    if not isinstance(value, str) or value in wanted.words:
        return None
    words = ", ".join(wanted.words)
    if value not in known:
        hint = near(value, {*known, *wanted.words})
        others = f", and it is none of {words}" if words else ""
        return f"no check or measure is called '{value}'{others}{hint}"
    answers = known[value].answers
    if bool(answers) != bool(wanted.words):
        return f"{wanted.name} takes {words or 'a number'}, and {value} is not that"
    if answers and not set(answers) & set(wanted.words):
        return f"none of the answers of {value} is a word of {wanted.name}: {words}"
    return None


def circles(draft: Draft) -> Iterator[Problem]:
    """Findings or measures that rest on themselves."""
    needs = {
        f.id: {s for rule in f.rules for s in rule.when.subjects()} for f in draft.file.findings
    }
    needs |= {
        m.id: {v for v in m.inputs.values() if isinstance(v, str)} for m in draft.file.measures
    }
    for start in needs:
        way = _way_back(start, needs)
        if way and start == min(way):
            section = "findings" if start in draft.ids("findings") else "measures"
            sentence = f"rests on itself: {' → '.join((*way, start))}"
            yield draft.problem(sentence, section, start, ("id",), "circular")


def _way_back(start: str, needs: Mapping[str, set[str]]) -> tuple[str, ...]:
    """A shortest way from `start` back to itself, or ()."""
    ways: list[tuple[str, ...]] = [(start,)]
    seen: set[str] = set()
    for way in ways:
        for step in sorted(needs.get(way[-1], set())):
            if step == start:
                return way
            if step in needs and step not in seen:
                seen.add(step)
                ways.append((*way, step))
    return ()


def strengths(draft: Draft) -> Iterator[Problem]:
    """Signs whose strength no probability can satisfy, or that cannot be weighed.

    Nothing is said of a check with a condition on it that does not fit, nor of one whose shares
    are wrong: their tables mean nothing yet.
    """
    if draft.file.scales is None:
        return
    observables, findings = draft.observables(), draft.ids("findings")
    sound = {name: o for name, o in observables.items() if not any(_answer_faults(o))}
    for cause in draft.file.causes:
        tests = [t for _, part in parts(cause) for _, c in conditions_of(part) for t in c.tests]
        wrong = {test.subject for test in tests if misfit(test, observables, findings)}
        for subject, numbers in _by_subject(cause).items():
            observable = sound.get(subject)
            if observable is None or not observable.shares or subject in wrong:
                continue
            try:
                outs = [when for name, when in single_outs(cause) if name == subject]
                row(observable, [cause.signs[n] for n in numbers], draft.file.scales, outs)
            except NoTable as error:
                path = ("signs", numbers[0], "when", subject)
                yield draft.problem(str(error), "causes", cause.id, path, "strength")
        if not wrong:
            yield from _implied_alone(draft, cause, observables)


def _by_subject(cause: Cause) -> Mapping[str, list[int]]:
    place = {id(sign): number for number, sign in enumerate(cause.signs)}
    found: dict[str, list[int]] = {}
    for subject, sign in single_signs(cause):
        found.setdefault(subject, []).append(place[id(sign)])
    return found


def _implied_alone(
    draft: Draft, cause: Cause, observables: Mapping[str, Observable]
) -> Iterator[Problem]:
    weighed = Counter(s for s, sign in single_signs(cause) if sign.strength != "implied")
    for number, sign in enumerate(cause.signs):
        test = sign.when.only()
        subject = test.subject if test else ""
        if sign.strength == "implied" and not (
            weighed[subject] and subject in observables and observables[subject].shares
        ):
            sentence = "nothing implies this: the cause has no weighed sign on that check"
            yield draft.problem(sentence, "causes", cause.id, ("signs", number), "strength")


def flatten(files: Sequence[RuleFile]) -> RuleFile:
    """All files as one."""
    merged: dict[str, Any] = {
        name: tuple(item for file in files for item in getattr(file, name))
        for name in RuleFile.model_fields
        if name != "scales"
    }
    scales = [file.scales for file in files if file.scales]
    return RuleFile.model_construct(scales=scales[0] if scales else None, **merged)
