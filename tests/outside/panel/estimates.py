"""Rows that members of a panel estimated blind, and the rule files made of them.

    python -m tests.outside.panel.estimates        writes rules/estimates anew

Each file rows_NAME.txt is what one member put down: a line with a symptom, a line with a check and
its answers, then a line for each cause with as many numbers, of a hundred cars with that cause.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path

import yaml

from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.knowledge.reading.load import load

HERE = Path(__file__).parent

LEAST = 0.5
"""Percent that each answer keeps: nobody who estimates can rule out."""

Row = tuple[str, str, str]
"""Symptom, check, cause."""


def members() -> Mapping[
    str, tuple[Mapping[Row, tuple[float, ...]], Mapping[str, tuple[str, ...]]]
]:
    """What each member put down by row, and the answers of each check in the order of the numbers."""
    return {
        path.stem: _read(path.read_text(encoding="utf-8"))
        for path in sorted(HERE.glob("rows_*.txt"))
    }


def _read(text: str) -> tuple[Mapping[Row, tuple[float, ...]], Mapping[str, tuple[str, ...]]]:
    rows: dict[Row, tuple[float, ...]] = {}
    answers: dict[str, tuple[str, ...]] = {}
    symptom = check = ""
    for line in text.splitlines():
        word, _, rest = line.partition(" ")
        if word == "SYMPTOM":
            symptom = rest
        elif word == "CHECK":
            check, _, labels = rest.partition(": ")
            answers[check] = tuple(labels.split(" | "))
        else:
            rows[symptom, check, word] = tuple(map(float, rest.split()))
    return rows, answers


def pooled(base: Base) -> dict[Row, tuple[float, ...]]:
    """The mean of the members for each row, in percent; of a hundred, none under LEAST."""
    told: dict[Row, list[tuple[float, ...]]] = {}
    for rows, _ in members().values():
        for row, numbers in rows.items():
            together = isinstance(base.observables[row[1]].kind, SeveralKind)
            told.setdefault(row, []).append(tuple(_hundred(numbers, together)))
    return {
        row: tuple(sum(c) / len(its) for c in zip(*its, strict=True)) for row, its in told.items()
    }


def _hundred(numbers: tuple[float, ...], together: bool) -> Iterator[float]:
    if together:
        yield from (min(max(n, LEAST), 100 - LEAST) for n in numbers)
        return
    kept = [max(n, LEAST) for n in numbers]
    yield from (100 * n / sum(kept) for n in kept)


def files(base: Base) -> dict[str, str]:
    """The rule file of each symptom."""
    rows = pooled(base)
    answers = {check: labels for _, told in members().values() for check, labels in told.items()}
    groups = _groups(base)
    found: dict[str, dict[str, dict[str, tuple[float, ...]]]] = {}
    for (symptom, check, cause), numbers in rows.items():
        found.setdefault(symptom, {}).setdefault(check, {})[cause] = numbers
    return {symptom: _file(symptom, its, answers, groups) for symptom, its in found.items()}


def _groups(base: Base) -> dict[str, str]:
    """With what the rows of a check are counted, as most causes have it."""
    found: dict[str, Counter[str]] = {}
    for cause in base.causes.values():
        for entry in cause.shows:
            if entry.group:
                found.setdefault(entry.check, Counter())[entry.group] += 1
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
    answers: Mapping[str, tuple[str, ...]],
    groups: Mapping[str, str],
) -> str:
    lines = [HEAD, f"  - id: {symptom}\n    source: memory\n    rows:\n"]
    for check, causes in tables.items():
        lines.append(f"      - check: {check}\n")
        if check in groups:
            lines.append(f"        group: {groups[check]}\n")
        lines.append(f"        answers: [{', '.join(map(_word, answers[check]))}]\n")
        lines.append("        of_100:\n")
        for cause, numbers in causes.items():
            lines.append(f"          {cause}: {' '.join(f'{n:.3g}' for n in numbers)}\n")
    return "".join(lines)


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
