"""Rows that members of a panel estimated blind, and the rule files made of them.

    python -m tests.outside.panel.estimates        writes rules/estimates anew

Each file rows_NAME.txt is what one member put down: a line with a symptom, a line with a check and
its answers, then a line for each cause with as many numbers, of a hundred cars with that cause.
Some members put rows down over all symptoms of a cause (all_symptoms), with what is USUAL beside
them, and left out each row that is as usual.

Members named one answer of each check. Of checks whose answers can be right together since
(`each_by_itself`), who had to name one is taken to have named what the cause leaves far oftener than
usual, then what is rarest. So an answer is so on as many cars at least as it was named on, and at
most on its part of those on which nothing was named before it; taken is what is nearest to usual.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from math import exp, log
from pathlib import Path

import yaml

from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import ALL_SYMPTOMS
from diagnose.knowledge.model.kinds import NOTHING, SeveralKind
from diagnose.knowledge.reading.load import load

HERE = Path(__file__).parent

LEAST = 0.5
"""Percent that each answer keeps: nobody who estimates can rule out."""

FAR_OFTENER = 3
"""How many times its usual share an answer must have to be named before rarer ones."""

Row = tuple[str, str, str]
"""Symptom, check, cause."""

Answers = Mapping[tuple[str, str], tuple[str, ...]]
"""The answers of each check at a symptom, in the order of the numbers."""

USUAL = "USUAL"
"""In the place of a cause: what a member holds for usual over all callbacks."""


def members() -> Mapping[str, tuple[Mapping[Row, tuple[float, ...]], Answers]]:
    """What each member put down by row, and the answers of each check in the order of the numbers."""
    return {
        path.stem: _read(path.read_text(encoding="utf-8"))
        for path in sorted(HERE.glob("rows_*.txt"))
    }


def _read(text: str) -> tuple[Mapping[Row, tuple[float, ...]], Answers]:
    rows: dict[Row, tuple[float, ...]] = {}
    answers: dict[tuple[str, str], tuple[str, ...]] = {}
    symptom = check = ""
    for line in text.splitlines():
        word, _, rest = line.partition(" ")
        if word == "SYMPTOM":
            symptom = rest
        elif word == "CHECK":
            check, _, labels = rest.partition(": ")
            answers[symptom, check] = tuple(labels.split(" | "))
        else:
            rows[symptom, check, word] = tuple(map(float, rest.split()))
    return rows, answers


def pooled(base: Base) -> dict[Row, tuple[float, ...]]:
    """The mean of the members for each row, in percent; of a hundred, none under LEAST."""
    told: dict[Row, list[tuple[float, ...]]] = {}
    for rows, _ in _by_member(base):
        for row, numbers in rows.items():
            told.setdefault(row, []).append(tuple(_hundred(numbers, _together(base, row[1]))))
    mean = {
        row: tuple(sum(c) / len(its) for c in zip(*its, strict=True)) for row, its in told.items()
    }
    here = {row: its for row, its in mean.items() if row[0] != ALL_SYMPTOMS or row[2] == USUAL}
    return {**here, **_over_all(base, here)}


def _by_member(base: Base) -> Iterator[tuple[Mapping[Row, tuple[float, ...]], Answers]]:
    """What each member put down, with answers that can be right together each by itself."""
    for rows, answers in members().values():
        its, named = dict(rows), dict(answers)
        for (symptom, check, cause), numbers in rows.items():
            labels = answers[symptom, check]
            if _together(base, check) and NOTHING in labels:
                told = dict(zip(labels, numbers, strict=True))
                usual = dict(zip(*_usual(base, check), strict=True))
                each = each_by_itself(told, usual, by_lift=cause != USUAL)
                its[symptom, check, cause] = tuple(each.values())
                named[symptom, check] = tuple(each)
        yield its, named


def _usual(base: Base, check: str) -> tuple[tuple[str, ...], tuple[float, ...]]:
    return base.observables[check].labels, base.observables[check].shares


def each_by_itself(
    told: Mapping[str, float], usual: Mapping[str, float], by_lift: bool = True
) -> dict[str, float]:
    """Percent in which each answer is so, from percent in which each was the one named.

    With `by_lift` as near to usual as that allows; else its part of what was not named before.
    """
    kept = {label: max(number, LEAST) for label, number in told.items()}
    parts = {label: number / sum(kept.values()) for label, number in kept.items()}
    lift = {label: parts[label] / usual[label] for label in parts if label != NOTHING}
    first = {label: -its for label, its in lift.items() if by_lift and its > FAR_OFTENER}
    order = sorted(lift, key=lambda label: (first.get(label, 0), usual[label]))
    left, found = 1.0, {}
    for label in order:
        least, most = parts[label], parts[label] / left
        found[label] = 100 * (min(max(usual[label], least), most) if by_lift else most)
        left -= parts[label]
    return {label: found[label] for label in told if label in found}


def _together(base: Base, check: str) -> bool:
    return isinstance(base.observables[check].kind, SeveralKind)


def _over_all(base: Base, usual: Mapping[Row, tuple[float, ...]]) -> dict[Row, tuple[float, ...]]:
    """What members hold of a cause over all its symptoms, as it leans from what is usual.

    Each member's numbers are held against what the same member calls usual, the mean is taken over
    the logarithms, and who left a row of a cause out holds it for usual.
    """
    leans: dict[Row, list[tuple[float, ...]]] = {}
    looked: Counter[str] = Counter()
    for rows, _ in _by_member(base):
        looked.update({cause for at, _, cause in rows if at == ALL_SYMPTOMS})
        for row, numbers in rows.items():
            if row[0] == ALL_SYMPTOMS and row[2] != USUAL:
                own = rows[ALL_SYMPTOMS, row[1], USUAL]
                leans.setdefault(row, []).append(lean(numbers, own, _together(base, row[1])))
    found = {}
    for row, its in leans.items():
        means = [sum(column) / looked[row[2]] for column in zip(*its, strict=True)]
        found[row] = leaning(usual[ALL_SYMPTOMS, row[1], USUAL], means, _together(base, row[1]))
    return found


def lean(numbers: Sequence[float], usual: Sequence[float], together: bool) -> tuple[float, ...]:
    """Logarithms of what a member put down by what the same member calls usual."""
    each = zip(_hundred(numbers, together), _hundred(usual, together), strict=True)
    return tuple(_log(n, together) - _log(b, together) for n, b in each)


def _log(percent: float, together: bool) -> float:
    return log(percent / (100 - percent)) if together else log(percent)


def leaning(usual: Sequence[float], leans: Sequence[float], together: bool) -> tuple[float, ...]:
    """Percent of a row that leans so from what is usual."""
    odds = [exp(_log(b, together) + by) for b, by in zip(usual, leans, strict=True)]
    if together:
        return tuple(100 * o / (1 + o) for o in odds)
    return tuple(100 * o / sum(odds) for o in odds)


def _hundred(numbers: tuple[float, ...], together: bool) -> Iterator[float]:
    if together:
        yield from (min(max(n, LEAST), 100 - LEAST) for n in numbers)
        return
    kept = [max(n, LEAST) for n in numbers]
    yield from (100 * n / sum(kept) for n in kept)


def files(base: Base) -> dict[str, str]:
    """The rule file of each symptom."""
    rows = pooled(base)
    answers = {key: labels for _, told in _by_member(base) for key, labels in told.items()}
    groups = _groups(base)
    found: dict[str, dict[str, dict[str, tuple[float, ...]]]] = {}
    for (symptom, check, cause), numbers in rows.items():
        found.setdefault(symptom, {}).setdefault(check, {})[cause] = numbers
    return {symptom: _file(symptom, its, answers, groups) for symptom, its in found.items()}


def _groups(base: Base) -> dict[str, str]:
    """With what the rows of a check are counted, as most causes have it."""
    found: dict[str, Counter[str]] = {}
    for cause in base.causes.values():
        for check, group in dict.fromkeys((entry.check, entry.group) for entry in cause.shows):
            if group:
                found.setdefault(check, Counter())[group] += 1
    return {check: count.most_common(1)[0][0] for check, count in found.items()}


HEAD = """\
# yaml-language-server: $schema=../schema.json

# Of a hundred cars with each cause, how many show each answer: the mean of what members of a panel
# estimated who saw no rule (tests/outside/panel). Not written by hand; a test holds the two equal.
estimates:
"""


def _file(
    symptom: str,
    tables: Mapping[str, Mapping[str, tuple[float, ...]]],
    answers: Answers,
    groups: Mapping[str, str],
) -> str:
    lines = [HEAD, f"  - id: {symptom}\n    source: memory\n    rows:\n"]
    for check, causes in tables.items():
        lines.append(f"      - check: {check}\n")
        if check in groups:
            lines.append(f"        group: {groups[check]}\n")
        lines.append(f"        answers: [{', '.join(map(_word, answers[symptom, check]))}]\n")
        if USUAL in causes:
            lines.append(f"        usual: {_numbers(causes[USUAL])}\n")
        lines.append("        of_100:\n")
        for cause, numbers in causes.items():
            if cause != USUAL:
                lines.append(f"          {cause}: {_numbers(numbers)}\n")
    return "".join(lines)


def _numbers(of_100: Sequence[float]) -> str:
    return " ".join(f"{number:.3g}" for number in of_100)


def _word(label: str) -> str:
    """A label as YAML reads it back."""
    return yaml.safe_dump(label, default_flow_style=True).removesuffix("\n").removesuffix("\n...")


def main() -> None:
    """Write the files."""
    folder = shipped("rules")
    for symptom, text in files(load(folder)).items():
        (folder / "estimates" / f"{symptom}.yaml").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
