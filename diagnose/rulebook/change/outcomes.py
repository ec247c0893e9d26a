"""What the outcomes of a shop say of the rules, and what one might change in them."""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from shlex import quote

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.experience import Counted, Tally
from diagnose.knowledge.logic.likelihood import stating
from diagnose.knowledge.model import REST, Cause
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.knowledge.model.words import UNLISTED
from diagnose.knowledge.reading.additions import NAMES, SHIPPED
from diagnose.knowledge.soundness.anomaly import Survey
from diagnose.knowledge.soundness.walk import reached
from diagnose.reasoning.explanation.explain import cause_name, name_of
from diagnose.records.closing import ruled_out
from diagnose.records.experience.chance import interval
from diagnose.records.experience.counting import still_known
from diagnose.records.experience.sign_worth import SignRecord
from diagnose.records.store.summary import ClosedComplaint, KnownComplaint

FEWEST = 10
"""Cases before anything is said of a rule."""

TELLS = 2.0
"""Decibans between the causes that an answer moves most apart; under this it told nothing."""


@dataclass(frozen=True, slots=True)
class OutcomeFinding:
    """Something that outcomes say: a kind, a sentence, and how often of how many."""

    kind: str
    says: str
    count: int
    of: int

    @property
    def words(self) -> str:
        """The sentence with its numbers and their 95 % interval."""
        low, high = interval(self.count, self.of)
        return f"{self.says}: {self.count} of {self.of} ({low:.0%} to {high:.0%})"


@dataclass(frozen=True, slots=True)
class RuleProposal:
    """A number of a row that outcomes would have otherwise, of a hundred.

    `counted`: as it would be, which is what was counted, or what that leaves for it.
    """

    cause: str
    check: str
    number: int
    label: str
    judged: float
    counted: float
    cases: float
    file: str
    line: int


def findings(
    base: Base,
    signs: Sequence[SignRecord],
    outcomes: Sequence[ClosedComplaint],
    complaints: Sequence[KnownComplaint],
) -> Iterator[OutcomeFinding]:
    """Signs that misled, causes not listed, checks that told nothing, remedies, rule-outs.

    What misled by most in all comes first.
    """
    yield from _misled(base, signs)
    ends = Counter(o.symptom for o in outcomes)
    for symptom, count in Counter(o.symptom for o in outcomes if o.cause == UNLISTED).items():
        if symptom in base.symptoms:
            yield OutcomeFinding("not listed", base.symptoms[symptom].name, count, ends[symptom])
    yield from _silent(base, complaints)
    yield from _remedies(base, outcomes)
    for one in complaints:
        if one.symptom in base.symptoms and one.cause in base.causes:
            values = still_known(base, one.values or {})
            for words in ruled_out(base, one.symptom, values, one.cause):
                yield OutcomeFinding("ruled out", f"case {one.case_id}: {words}", 1, 1)


def _misled(base: Base, signs: Sequence[SignRecord]) -> Iterator[OutcomeFinding]:
    """Signs that misled more often than they should, were they worth what is written."""
    for sign in sorted(signs, key=lambda sign: sign.decibans):
        seen = sign.carried + sign.misled
        least, _ = interval(sign.misled, seen)
        if seen >= FEWEST and sign.misled and least > 1 - sign.expected / seen:
            words = (
                f"{sign.says} – {cause_name(base, sign.cause)}, expected"
                f" {seen - sign.expected:.1f} times"
            )
            yield OutcomeFinding("misled", words, sign.misled, seen)


def _read_elsewhere(base: Base) -> frozenset[str]:
    """Checks whose answers do more than to weigh by themselves: for a measure, a payer, a paper."""
    measured = {v for m in base.measures.values() for v in m.inputs.values() if isinstance(v, str)}
    papers = {name for paper in base.papers.values() for name in paper.answered}
    paying = {
        subject
        for use in Survey(base).uses
        if use.section in ("payers", "papers")
        for subject in use.condition.subjects()
    }
    return reached(base, measured | papers | paying)


def _silent(base: Base, complaints: Sequence[KnownComplaint]) -> Iterator[OutcomeFinding]:
    asked: Counter[str] = Counter()
    told: Counter[str] = Counter()
    for one in complaints:
        if one.symptom not in base.symptoms:
            continue
        rows = [base.rows(cause, one.symptom) for cause in base.behind(one.symptom)]
        for name, value in still_known(base, one.values or {}).items():
            codes = base.observables[name].kind.codes(value)
            sizes = [its[name].weight(codes) if name in its else 0.0 for its in rows]
            gone = any(name in its and its[name].impossible(codes) for its in rows)
            asked[name] += 1
            told[name] += gone or max([*sizes, 0.0]) - min([*sizes, 0.0]) >= TELLS
    elsewhere = _read_elsewhere(base)
    for name, count in asked.items():
        if count >= FEWEST and not told[name] and name not in elsewhere:
            yield OutcomeFinding("told nothing", name_of(base, name), count, count)


def _remedies(base: Base, outcomes: Sequence[ClosedComplaint]) -> Iterator[OutcomeFinding]:
    looked = [o for o in outcomes if o.held is not None and o.cause in base.causes]
    for (cause, remedy), of in Counter((o.cause, o.remedy) for o in looked).items():
        stated = base.causes[cause].remedies.get(remedy)
        held = sum(bool(o.held) for o in looked if (o.cause, o.remedy) == (cause, remedy))
        low, high = interval(held, of)
        if stated is not None and of >= FEWEST and not low <= stated / 100 <= high:
            name = base.remedies[remedy].name
            words = f"{name} for {cause_name(base, cause)} held, stated {stated:g} of 100"
            yield OutcomeFinding("remedy", words, held, of)


def proposals(base: Base) -> Iterator[RuleProposal]:
    """Numbers of rows that lie outside the interval of what was counted with them.

    What is written once for several symptoms is held to the cases of all of them.
    """
    for cause in base.causes.values():
        for (name, places), counted in _own(base, cause).items():
            columns = zip(*(tally.counts for tally in counted), strict=True)
            counts = tuple(float(sum(column)) for column in columns)
            cases = float(sum(tally.cases for tally in counted))
            if cases >= FEWEST:
                yield from _of_row(base, cause, name, places, (counts, cases))


def _own(base: Base, cause: Cause) -> dict[tuple[str, tuple[int, ...]], list[Tally]]:
    """What this shop counted, by check and the entries of the cause that form the row."""
    found: dict[tuple[str, tuple[int, ...]], list[Tally]] = {}
    for symptom in cause.behind:
        for name, row in base.rows(cause, symptom).items():
            own = [t for t in row.tallies if t.where == "this shop"]
            stated = stating(cause, name, symptom) if own else ()
            if stated:
                places = tuple(cause.shows.index(entry) for entry in stated)
                found.setdefault((name, places), []).extend(own)
    return found


def _of_row(
    base: Base, cause: Cause, name: str, places: Sequence[int], counted: Counted
) -> Iterator[RuleProposal]:
    observable = base.observables[name]
    stands = {
        label: (place, float(number))
        for place in places
        for label, number in cause.shows[place].of_100.items()
        if isinstance(number, int | float) and number
    }
    new: dict[str, float] = {}
    cases = counted[1]
    for label, (_, number) in stands.items():
        count = counted[0][observable.labels.index(label)]
        low, high = interval(round(count), round(cases))
        if not low <= number / 100 <= high:
            new[label] = max(1.0, min(99.0, round(100 * (count + 0.5) / (cases + 1))))
    if new and not isinstance(observable.kind, SeveralKind):
        named = {
            label
            for place in places
            for label, number in cause.shows[place].of_100.items()
            if number != REST
        }
        old = {label: number for label, (_, number) in stands.items()}
        new = _fitting(old, new, len(set(observable.labels) - named))
    for label, number in new.items():
        place, judged = stands[label]
        if number != judged:
            spot = base.places.of("causes", cause.id, "shows", place, "of_100")
            found = (judged, number, cases, spot.file, spot.line)
            yield RuleProposal(cause.id, name, place, label, *found)


LEAST = 0.5
"""Of a hundred, what an answer keeps for which the counted ones leave no room."""


def _fitting(old: Mapping[str, float], new: Mapping[str, float], silent: int) -> dict[str, float]:
    """New numbers of a row that add up to a hundred with those that stay.

    What stays shares what the new ones leave, as before; so do the `silent`, which have no number.
    """
    kept = {label: number for label, number in old.items() if label not in new}
    found = dict(new)
    _lower_largest(found, 100 - LEAST * (len(kept) + silent))
    left = 100 - sum(found.values())
    before = sum(kept.values()) if not silent else 100 - sum(old[label] for label in new)
    for label, number in kept.items():
        found[label] = max(LEAST, round(number * left / before, 1))
    _lower_largest(found, 100 - LEAST * silent)
    if not silent:
        largest = max(found, key=lambda label: found[label])
        found[largest] = round(found[largest] + 100 - sum(found.values()), 1)
    return found


def _lower_largest(numbers: dict[str, float], most: float) -> None:
    over = sum(numbers.values()) - most
    if over > 0:
        largest = max(numbers, key=lambda label: numbers[label])
        numbers[largest] = round(numbers[largest] - over, 1)


def difference(folder: Path, wanted: Sequence[RuleProposal]) -> str:
    """The proposals as a change of the rule files that `git apply` or `patch` takes.

    Those for shipped rows under a folder of additions are left to `for_additions`.
    """
    parts: list[str] = []
    by_file: dict[str, list[RuleProposal]] = {}
    for one in wanted:
        if not one.file.startswith(SHIPPED):
            by_file.setdefault(one.file, []).append(one)
    for name, its in sorted(by_file.items()):
        old = (folder / name).read_text(encoding="utf-8").splitlines(keepends=True)
        new = _changed(old, its)
        parts += difflib.unified_diff(old, new, f"a/{name}", f"b/{name}")
    return "".join(parts)


def for_additions(wanted: Sequence[RuleProposal]) -> str:
    """The proposals for shipped rows, to be written as changes in a folder of additions."""
    return "\n".join(
        f"  {one.cause}, {one.check}: {one.label} {one.judged:g} → {one.counted:g} of 100"
        f" ({one.file}:{one.line})"
        for one in wanted
        if one.file.startswith(SHIPPED)
    )


def _changed(lines: Sequence[str], wanted: Sequence[RuleProposal]) -> list[str]:
    new = list(lines)
    for one in wanted:
        number = re.compile(
            rf"((?<![\w ]){re.escape(one.label)}|\b{re.escape(one.label)}): *[\d.]+"
        )
        for at in range(one.line - 1, min(one.line + 8, len(new))):
            if number.search(new[at]):
                new[at] = number.sub(f"{one.label}: {one.counted:g}", new[at], count=1)
                break
    return new


MOST_MISLED = 12
"""Signs that misled and are shown, those first that took most from the truth in all."""


def _listed(kind: str, found: Sequence[OutcomeFinding]) -> Iterator[str]:
    """What outcomes say of one kind, line by line."""
    if kind == "ruled out":
        yield from (f"  {one.says}" for one in found)
        return
    most = MOST_MISLED if kind == "misled" else len(found)
    yield from (f"  {one.words}" for one in found[:most])
    if len(found) > most:
        yield f"  and {len(found) - most} more that cost less in all"


def way_to_take(folder: Path, patch: Path, shipped: bool) -> str:
    """What to type so as to have a change beside the rules as they are, and to see what it does."""
    old, new = ("shipped" if shipped else quote(str(folder))), f"{folder.name}_new"
    return "\n".join([
        f"  cp -r {quote(str(folder))} {quote(new)}",
        f"  patch -p1 -d {quote(new)} < {quote(str(patch))}",
        f"  diagnose rules impact {old} {quote(new)}",
    ])  # fmt: skip


def report(
    found: Mapping[str, Sequence[OutcomeFinding]], change: str, shipped: str = "", taking: str = ""
) -> str:
    """All of it as text; of a change that was written to a file only how it is taken."""
    titles = {
        "ruled out": "Outcomes that contradict what rules out: a person has to look at them",
        "misled": "Signs that misled more often than what is written of them lets expect",
        "not listed": "Ended as something not listed",
        "told nothing": "Checks whose answers moved no cause",
        "remedy": "Remedies that hold otherwise than stated",
    }
    parts = [
        "\n".join([title, *_listed(kind, found[kind])])
        for kind, title in titles.items()
        if found.get(kind)
    ]
    if taking:
        parts.append(f"To take the proposed change, and to see what it does:\n{taking}")
    elif change:
        parts.append(f"Proposed change of the rule files (see it by rules impact):\n{change}")
    if shipped:
        parts.append(f"Rows of the shipped rules, to change in {NAMES[0]}:\n{shipped}")
    return "\n\n".join(parts) or f"Nothing yet: a rule needs {FEWEST} closed cases to be judged."
