"""What must be right before a rule base can be used: names, answers, numbers, rows.

Each check yields a problem for each fault it finds; none stops at the first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.knowledge.logic.answers import misfit
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import UNSOURCED, Check, Observable
from diagnose.knowledge.model.kinds import NOTHING
from diagnose.knowledge.panels import PANELS, sideless
from diagnose.knowledge.soundness.answers import answers_fit
from diagnose.knowledge.soundness.draft import Draft
from diagnose.knowledge.soundness.estimates import estimates_fit, whole_cases_fit
from diagnose.knowledge.soundness.rows import rows_fit, rows_named, symptom_shares_fit, words_fit
from diagnose.knowledge.soundness.walk import NAMED, Path, conditions_of, referred
from diagnose.knowledge.soundness.wording import wording_fits
from diagnose.measures.model import Input
from diagnose.near import near


def verify(draft: Draft, mended: frozenset[str] = frozenset()) -> list[Problem]:
    """Every problem of a draft, in the order of the files.

    Of `mended` entries, whose words are not their own, only the names are looked at.
    """
    own = draft.without(mended) if mended else draft
    found: list[Problem] = []
    for of_names in (
        twice,
        references,
        conditions_fit,
        rows_named,
        cited,
        measures_fit,
        roles_fit,
        wording_fits,
    ):
        found += of_names(draft)
    for of_numbers in (
        answers_fit,
        symptoms_fit,
        places_fit,
        confusions_fit,
        circles,
        symptom_shares_fit,
        rows_fit,
        words_fit,
        estimates_fit,
        whole_cases_fit,
    ):
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


_ONE = {"remedies": "remedy", "place_kinds": "kind of place"}
"""What an entry of a section is called, where that is not the section's name without its s."""


def references(draft: Draft) -> Iterator[Problem]:
    """A name that no entry has."""
    known = {section: draft.ids(section) for section in NAMED}
    for section, name, path, part in draft.walked:
        for kind, word, step in referred(part):
            if word not in known[kind]:
                sentence = _unknown(kind, word, known[kind])
                yield draft.problem(sentence, section, name, (*path, *step), "unknown-name")
    for number, pair in enumerate(draft.file.inseparable):
        for kind, word, _ in referred(pair):
            if word not in known[kind]:
                spot = draft.places.of_section("inseparable", number)
                yield Problem(spot, _unknown(kind, word, known[kind]), "unknown-name")
    for number, word in enumerate(draft.file.intake):
        if word not in known["checks"]:
            spot = draft.places.of_section("intake", number)
            yield Problem(spot, _unknown("checks", word, known["checks"]), "unknown-name")


def _unknown(section: str, word: str, known: frozenset[str]) -> str:
    one = _ONE.get(section, section.removesuffix("s"))
    return f"no {one} is called '{word}'{near(word, known)}"


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
    observables, findings = draft.observables, draft.ids("findings")
    for section, name, path, part in draft.walked:
        for field, condition in conditions_of(part):
            for test in condition.tests:
                sentence = misfit(test, observables, findings)
                if sentence:
                    way = (*path, field, test.subject)
                    yield draft.problem(sentence, section, name, way, "condition")


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


def places_fit(draft: Draft) -> Iterator[Problem]:
    """The places of a kind are places of a car."""
    known = {sideless(panel) for panel in PANELS}
    for kind in draft.file.place_kinds:
        for number, word in enumerate(kind.panels):
            if word not in known:
                sentence = f"no place of a car is called '{word}'{near(word, known)}"
                yield draft.problem(
                    sentence, "place_kinds", kind.id, ("panels", number), "unknown-name"
                )


def confusions_fit(draft: Draft) -> Iterator[Problem]:
    """What tells a symptom from another: answers that belong to the check that is named."""
    answers = {c.id: {*c.answers, *(NOTHING,) * c.several} for c in draft.file.checks}
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

    observables = draft.observables
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
