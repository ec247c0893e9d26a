"""What must be right of rows: what causes show of a check's answers, and symptoms by themselves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.knowledge.logic.likelihood import fitting, stated_at, usual
from diagnose.knowledge.logic.named import NoTable, has_shares, named, said_by_a_row
from diagnose.knowledge.marked import Problem
from diagnose.knowledge.model import REST, Cause, Observable, ShownAnswers, Symptom
from diagnose.knowledge.model.conditions import Condition
from diagnose.knowledge.soundness.answers import answer_faults
from diagnose.knowledge.soundness.draft import Draft
from diagnose.knowledge.soundness.walk import Path
from diagnose.near import near

Stated = Mapping[str | None, Mapping[str, tuple[ShownAnswers, ...]]]
"""By symptom (None: any other) and check the entries that form a cause's row."""


def rows_named(draft: Draft) -> Iterator[Problem]:
    """A row on what does not exist, or at a symptom that is not the cause's."""
    observables = draft.observables
    for cause in draft.file.causes:
        for number, entry in enumerate(cause.shows):
            for sentence, path in _misnamed(observables, cause, entry):
                way = ("shows", number, *path)
                yield draft.problem(sentence, "causes", cause.id, way, "unknown-name")


def rows_fit(draft: Draft) -> Iterator[Problem]:
    """A row that no probabilities can satisfy.

    Nothing is said of one with a name that nothing has, nor on a check whose answers or shares are
    wrong: it means nothing yet.
    """
    observables = draft.observables
    sound: dict[str, bool] = {}
    for cause in draft.file.causes:
        wrong = {e.check for e in cause.shows if any(_misnamed(observables, cause, e))}
        stated = {at: stated_at(cause, at) for at in (None, *cause.behind)}
        for check in dict.fromkeys(entry.check for entry in cause.shows):
            if check in wrong:
                continue
            if check not in sound:
                sound[check] = not any(answer_faults(observables[check]))
            if sound[check]:
                yield from _unlikely(draft, cause, observables[check], stated)


def _misnamed(
    observables: Mapping[str, Observable], cause: Cause, entry: ShownAnswers
) -> Iterator[tuple[str, Path]]:
    """The names in an entry that nothing has."""
    observable = observables.get(entry.check)
    if observable is None:
        hint = near(entry.check, set(observables))
        yield f"no check and no measure is called '{entry.check}'{hint}", ("check",)
    elif not observable.shares:
        sentence = f"{entry.check} has no usual shares: give its number bins, or write a sign"
        yield sentence, ("check",)
    else:
        for label in entry.of_100:
            if wrong := _no_answer(observable, label):
                yield wrong, ("of_100", label)
    for number, symptom in enumerate(entry.at):
        if symptom not in cause.behind:
            sentence = (
                f"this cause does not lie behind '{symptom}'{near(symptom, set(cause.behind))}"
            )
            yield sentence, ("at", number)


def _no_answer(observable: Observable, label: str) -> str | None:
    """What is wrong with the name of an answer, or of a bin."""
    if label in observable.labels:
        return None
    what = "answer" if observable.answers else "bin"
    known = ", ".join(f"'{its}'" for its in observable.labels)
    hint = near(label, observable.labels) or f"; there are {known}"
    return f"{observable.id} has no {what} '{label}'{hint}"


def _unlikely(
    draft: Draft, cause: Cause, observable: Observable, stated: Stated
) -> Iterator[Problem]:
    """Rows of a cause on a check that no probabilities can satisfy, each told once."""
    told: set[str] = set()
    own = {s for entry in cause.shows if entry.check == observable.id for s in entry.at}
    for symptom in (None, *sorted(own)):
        entries = stated[symptom].get(observable.id, ())
        if not entries:
            continue
        try:
            fitting(observable, entries, observable.shares)
            sentence = _rest_alone(observable, entries)
        except NoTable as error:
            sentence = str(error)
        if sentence and sentence not in told:
            told.add(sentence)
            way = ("shows", cause.shows.index(entries[0]), "of_100")
            yield draft.problem(sentence, "causes", cause.id, way, "row")


def _rest_alone(observable: Observable, entries: tuple[ShownAnswers, ...]) -> str:
    if all(number == REST for entry in entries for number in entry.of_100.values()):
        return (
            f"no answer of {observable.id} has a number here, so that the usual shares hold and"
            " nothing is said: give one a number"
        )
    return ""


def words_fit(draft: Draft) -> Iterator[Problem]:
    """A sign or a rule-out that a row can say: there is one form for one thing."""
    observables = draft.observables
    for cause in draft.file.causes:
        for number, sign in enumerate(cause.signs):
            if sentence := _as_row(observables, sign.when, "…") or _no_bins(observables, sign.when):
                way: Path = ("signs", number, "when")
                yield draft.problem(sentence, "causes", cause.id, way, "row")
        for number, out in enumerate(cause.ruled_out_when):
            if sentence := _as_row(observables, out.when, "0"):
                way = ("ruled_out_when", number, "when")
                yield draft.problem(sentence, "causes", cause.id, way, "row")


def _as_row(observables: Mapping[str, Observable], when: Condition, number: str) -> str:
    """What to write in place of a condition that a row can say."""
    test, labels = when.only(), said_by_a_row(observables, when)
    if test is None or not labels:
        return ""
    answers = ", ".join(f"{label}: {number}" for label in labels)
    return (
        f"a row says this: write {{check: {test.subject}, of_100: {{{answers}}}, because: …,"
        " source: …} under shows, with how many of a hundred cars with this cause show it"
    )


def _no_bins(observables: Mapping[str, Observable], when: Condition) -> str:
    """Why no row can say what a sign on a number with bins says."""
    test = when.only()
    if test is not None and has_shares(observables, when):
        try:
            named(observables[test.subject], test)
        except NoTable as error:
            return str(error)
    return ""


def symptom_shares_fit(draft: Draft) -> Iterator[Problem]:
    """What a symptom shows by itself, and its usual shares: checks and answers that there are."""
    observables = draft.observables
    for symptom in draft.file.symptoms:
        for sentence, path in (
            *_own_look(draft, observables, symptom),
            *_own_shares(observables, symptom),
        ):
            yield draft.problem(sentence, "symptoms", symptom.id, path, "unknown-name")


def _own_look(
    draft: Draft, observables: Mapping[str, Observable], symptom: Symptom
) -> Iterator[tuple[str, Path]]:
    for name, label in symptom.shows.items():
        observable = observables.get(name)
        if name not in draft.ids("checks") or observable is None:
            known = draft.ids("checks")
            yield f"no check is called '{name}'{near(name, known)}", ("shows", name)
        elif not observable.answers:
            yield f"{name} is a number: a symptom shows answers in words", ("shows", name)
        elif wrong := _no_answer(observable, label):
            yield wrong, ("shows", name)


def _own_shares(
    observables: Mapping[str, Observable], symptom: Symptom
) -> Iterator[tuple[str, Path]]:
    for name, shares in symptom.usual.items():
        observable = observables.get(name)
        if observable is None or not observable.shares:
            known = {its.id for its in observables.values() if its.shares}
            hint = near(name, known)
            yield f"no check with usual shares is called '{name}'{hint}", ("usual", name)
            continue
        wrong = {label: said for label in shares if (said := _no_answer(observable, label))}
        for label, said in wrong.items():
            yield said, ("usual", name, label)
        if not wrong and not any(answer_faults(observable)):
            try:
                usual(observable, symptom)
            except NoTable as error:
                yield str(error), ("usual", name)
