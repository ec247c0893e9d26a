"""What the program reads out of published complaints, against what a blind reader read out of them.

    python -m tests.outside.real.own_words            figures of both halves
    python -m tests.outside.real.own_words --each     and every entry of the study half

The text of an entry is what the reader had before him without its heading: vehicle, class of film,
complaint and observations. Counted are his symptom (or one that he noted as equal), his place,
sides apart, and each of his answers.
"""

from __future__ import annotations

import argparse
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer, says
from diagnose.knowledge.model.values import AllOfThese, OneOfThese
from diagnose.knowledge.panels import sideless
from diagnose.knowledge.reading.load import load
from diagnose.knowledge.words.proposal import Proposal, Understood
from diagnose.knowledge.words.understanding import Understanding
from diagnose.measures.quantity import Quantity
from diagnose.records.case.casefile import read_case
from diagnose.records.case.journal import Case
from tests.outside.real.entries import HALVES, Entry, Half

TOLD = ("Vehicle / film / age", "Film class", "Complaint", "Symptom", "Observations")
"""What of an entry is told by the person who complains."""

NOWHERE = "other"
"""The place that a reader writes where none is told."""

DAY = date(2026, 1, 1)


@dataclass(frozen=True, slots=True)
class Compared:
    """One thing that the reader or the program read.

    `how`: right; among (the reader's is one of several named); wrong (another is named); missed
    (nothing is named); beyond (named, and the reader left it open).
    """

    entry: str
    subject: str
    how: str
    reader: str
    words: str


def told(entry: Entry) -> str:
    """What the person tells, line by line."""
    lines, keep = [], False
    for line in entry.text.splitlines():
        field = re.match(r"- (\w[^:]*):(.*)", line)
        if field:
            keep, line = field[1] in TOLD, field[2]
        elif line.startswith("#"):
            keep = False
        if keep and line.strip():
            lines.append(re.sub(r"^\s*\d+\.\s*", "", line).replace("(*)", "").strip())
    return "\n".join(lines)


def compared(base: Base, understanding: Understanding, half: Half) -> Iterator[Compared]:
    """Everything that either of them read out of the entries of a half."""
    for entry in half.entries:
        found, problems = read_case(f"{entry.id}.yaml", half.case_text(entry), base)
        assert found is not None, problems
        read = understanding.read(told(entry), DAY)
        yield from _entry(base, entry.id, found.case, half.noted(entry), read)


def _entry(
    base: Base, name: str, case: Case, noted: Sequence[str], read: Understood
) -> Iterator[Compared]:
    symptoms = [*(c.symptom for c in case.complaints), *noted]
    yield _first(name, "symptom", symptoms, read.symptoms)
    places = [sideless(c.panel) for c in case.complaints if c.panel != NOWHERE]
    if places or read.places:
        yield _first(name, "place", places, read.places)
    answers = dict(case.circumstances)
    for complaint in case.complaints:
        answers |= complaint.answers
    named = {proposal.subject: proposal for proposal in read.answers}
    for check in dict.fromkeys((*answers, *named)):
        yield _answer(base, name, check, answers, named.get(check))


def _first(entry: str, subject: str, wanted: Sequence[str], found: Sequence[Proposal]) -> Compared:
    values = [sideless(str(p.value)) for p in found[:3]]
    how = (
        "beyond"
        if not wanted
        else "missed"
        if not values
        else "right"
        if values[0] in wanted
        else "among"
        if set(values) & set(wanted)
        else "wrong"
    )
    words = "; ".join(f"{p.value} ({p.words})" for p in found[:3])
    return Compared(entry, subject, how, ", ".join(wanted), words)


def _answer(
    base: Base, entry: str, check: str, answers: Mapping[str, Answer], found: Proposal | None
) -> Compared:
    wanted = answers.get(check)
    how = (
        "missed"
        if found is None
        else "beyond"
        if wanted is None
        else "right"
        if _same(found.value, wanted)
        else "among"
        if any(_same(other, wanted) for other in found.others)
        else "wrong"
    )
    reader = says(base.checks[check], wanted) if wanted is not None else ""
    words = f"{says(base.checks[check], found.value)} ({found.words})" if found else ""
    return Compared(entry, check, how, reader, words)


def _same(found: Answer, wanted: Answer) -> bool:
    """The same answer; of numbers, ranges that meet, give or take a tenth."""
    if isinstance(found, Quantity) and isinstance(wanted, Quantity):
        slack = 0.1 * wanted.high + 0.6
        return found.low <= wanted.high + slack and wanted.low <= found.high + slack
    parts = _parts(found), _parts(wanted)
    return found == wanted or bool(parts[0] & parts[1])


def _parts(value: Answer) -> set[str]:
    """The answers that a value of several has; none of another value."""
    if isinstance(value, OneOfThese | AllOfThese):
        return set(value.words)
    return {value} if isinstance(value, str) else set()


@dataclass(frozen=True, slots=True)
class Figures:
    """Shares of what the reader read (right, among) and of what was proposed (wrong)."""

    read: int
    proposed: int
    right: float
    among: float
    wrong: float
    beyond: int


def figures(found: Sequence[Compared]) -> Figures:
    """The figures of a half."""
    count = Counter(one.how for one in found)
    read = sum(count[how] for how in ("right", "among", "wrong", "missed"))
    proposed = sum(count.values()) - count["missed"]
    return Figures(
        read,
        proposed,
        count["right"] / read,
        count["among"] / read,
        count["wrong"] / proposed,
        count["beyond"],
    )


def lines(name: str, found: Sequence[Compared]) -> Iterator[str]:
    """The figures in words."""
    its = figures(found)
    yield f"\n{name} half: {its.read} things read by the reader, {its.proposed} proposed"
    yield f"  proposed rightly, of what he read          {its.right:4.0%}"
    yield f"  among several that are named               {its.among:4.0%}"
    yield f"  wrong, of what is proposed                 {its.wrong:4.0%}"
    yield f"  beyond the reading (he left it open)       {its.beyond}"


def each(found: Sequence[Compared]) -> Iterator[str]:
    """What is not right, one line each."""
    for how in ("wrong", "among", "missed", "beyond"):
        yield f"\n{how}"
        for one in found:
            if one.how == how:
                yield f"  {one.entry:6}{one.subject:22}{one.reader}  ←  {one.words}"


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(prog="python -m tests.outside.real.own_words")
    parser.add_argument("--each", action="store_true", help="every entry of the study half")
    options = parser.parse_args()
    base = load(shipped("rules"))
    understanding = Understanding(base)
    for name in HALVES:
        found = list(compared(base, understanding, Half(name)))
        print("\n".join(lines(name, found)))
        if options.each and name == "study":
            print("\n".join(each(found)))


if __name__ == "__main__":
    main()
