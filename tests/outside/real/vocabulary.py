"""What a blind reader needs: symptoms, checks with their answers, places. No shares, no causes.

    python -m tests.outside.real.vocabulary [reader|mapper]

`mapper` prints the causes by name, in plain words and with their mechanism, and nothing else.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator

from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Check
from diagnose.knowledge.panels import PANELS
from diagnose.knowledge.reading.load import load


def for_reader(base: Base) -> Iterator[str]:
    """Symptoms by their look, checks with what they ask and their answers, places."""
    yield "# Symptoms"
    for group in dict.fromkeys(s.group for s in base.symptoms.values()):
        yield f"\n## {group}"
        for symptom in base.symptoms.values():
            if symptom.group == group:
                yield f"- {symptom.id}: {symptom.name}. {symptom.look} Shows up: {symptom.appears}"
                yield from (f"    not {c.symptom}: {c.tells}" for c in symptom.confused_with)
    yield "\n# Checks (under circumstances: those of the vehicle; under answers: of the complaint)"
    for check in base.checks.values():
        yield from _check(check)
    yield "\n# Places"
    yield ", ".join(PANELS)


def _check(check: Check) -> Iterator[str]:
    where = "circumstances" if check.scope == "vehicle" else "answers"
    yield f"- {check.id} ({where}): {check.ask}"
    if check.number:
        number = check.number
        loose = f"; or in words: {', '.join(check.words)}" if check.words else ""
        yield f"    a number in {number.unit}, {number.low:g} to {number.high:g}; a range: 3..5{loose}"
    yield from (f"    {word}: {answer.says}" for word, answer in check.answers.items())


def for_mapper(base: Base) -> Iterator[str]:
    """Causes: name, plain words, mechanism."""
    for cause in base.causes.values():
        yield f"- {cause.id}: {cause.name}. {cause.plainly} Mechanism: {cause.mechanism}"


PRINTED = {"reader": for_reader, "mapper": for_mapper}


def main(words: list[str]) -> int:
    """Print the list for a role; 2 where there is no such role."""
    role = words[0] if words else "reader"
    if role not in PRINTED:
        print(f"no list for '{role}': {' or '.join(PRINTED)}", file=sys.stderr)
        return 2
    print("\n".join(PRINTED[role](load(shipped("rules")))))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
