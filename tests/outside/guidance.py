"""Published statements as answers and expectations, and what the tool makes of them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer, known, parse
from diagnose.knowledge.model import Entry
from diagnose.reasoning.conclusion import Concluder, Conclusion
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.weigh import Differential, weigh

DATA = Path(__file__).parent / "data"

UNLIKELY = 0.02
"""What is not ruled out must stay under this to count as out."""


@dataclass(frozen=True, slots=True)
class Statement:
    """What is said of a symptom: any of `first_two`, none of `out`, and a step to take."""

    id: str
    sources: tuple[str, ...]
    says: str
    symptom: str
    answers: Mapping[str, Answer]
    first_two: tuple[str, ...] = ()
    out: tuple[str, ...] = ()
    remedy: str = ""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the tool said: the leading causes, and in which respects it disagrees."""

    leading: tuple[tuple[str, float], ...]
    disagrees: tuple[str, ...] = field(default=())


def statements(base: Base, name: str) -> tuple[Statement, ...]:
    """The statements of a file below `data`."""
    data = yaml.safe_load((DATA / name).read_text(encoding="utf-8"))
    return tuple(_statement(base, entry) for entry in data["statements"])


def _statement(base: Base, entry: Mapping[str, Any]) -> Statement:
    causes = {*_many(entry.get("first_two")), *_many(entry.get("out"))}
    assert causes <= set(base.causes), entry["id"]
    return Statement(
        id=entry["id"],
        sources=_many(entry["source"]),
        says=entry["says"],
        symptom=entry["symptom"],
        answers=_answers(base, entry),
        first_two=_many(entry.get("first_two")),
        out=_many(entry.get("out")),
        remedy=entry.get("remedy", ""),
    )


def _answers(base: Base, entry: Mapping[str, Any]) -> dict[str, Answer]:
    return {n: parse(base.checks[n], str(v)) for n, v in entry["answers"].items()}


def _many(value: str | Sequence[str] | None) -> tuple[str, ...]:
    return () if value is None else (value,) if isinstance(value, str) else tuple(value)


class Judge:
    """Runs statements; `concluder` gives the conclusions of a symptom."""

    def __init__(self, reasoner: Reasoner, concluder: Callable[[str], Concluder]) -> None:
        self._reasoner = reasoner
        self._concluder = concluder

    def verdict(self, statement: Statement) -> Verdict:
        """The tool's verdict on a statement's circumstances."""
        base, symptom = self._reasoner.base, statement.symptom
        trace = self._reasoner.trace(AnsweredComplaint(symptom, known(statement.answers)))
        differential = weigh(base, self._reasoner.table(symptom), trace)
        conclusion = self._concluder(symptom).run(trace, differential)
        leading = tuple((s.cause.id, s.probability) for s in differential.standings[:4])
        return Verdict(leading, tuple(_disagrees(statement, differential, conclusion)))


def _disagrees(
    statement: Statement, differential: Differential, conclusion: Conclusion
) -> Iterator[str]:
    standings = {s.cause.id: s for s in differential.standings}
    first = [s.cause.id for s in differential.standings[:2] if not s.ruled_out]
    if statement.first_two and not set(first) & set(statement.first_two):
        yield "first_two"
    for cause in statement.out:
        standing = standings.get(cause)
        if standing and not standing.ruled_out and standing.probability >= UNLIKELY:
            yield f"out {cause}"
    steps = {remedy for remedy, _ in conclusion.proposed} | set(conclusion.accompanying)
    if statement.remedy and statement.remedy not in steps:
        yield f"remedy {statement.remedy}"


FIRST_ASKED = 6
"""Among how many checks one that guidance names must stand."""


@dataclass(frozen=True, slots=True)
class LookedAt:
    """What guidance looks at first: any of `checks`."""

    id: str
    sources: tuple[str, ...]
    says: str
    complaint: AnsweredComplaint
    checks: tuple[str, ...]

    def disagrees(self, reasoner: Reasoner) -> tuple[str, ...]:
        """('asked',) where the tool would ask none of them among its first."""
        questions = reasoner.choose(self.complaint).questions
        first = list(dict.fromkeys(check for q in questions for check in q.asks))[:FIRST_ASKED]
        return () if set(first) & set(self.checks) else ("asked",)


def looked_at(base: Base, name: str) -> tuple[LookedAt, ...]:
    """What a file says is looked at first."""
    data = yaml.safe_load((DATA / name).read_text(encoding="utf-8"))
    return tuple(
        LookedAt(
            entry["id"],
            _many(entry["source"]),
            entry["says"],
            AnsweredComplaint(entry["symptom"], _answers(base, entry)),
            _many(entry["checks"]),
        )
        for entry in data["asked"]
    )


@dataclass(frozen=True, slots=True)
class Told:
    """A fact that must stand in a text of the rule base: where, and the words as expressions."""

    id: str
    fact: str
    section: str
    entry: str
    words: tuple[str, ...]

    def missing(self, base: Base) -> tuple[str, ...]:
        """What of the words does not stand there."""
        text = " ".join(" ".join(_texts(getattr(base, self.section)[self.entry])).split())
        return tuple(f"text {w}" for w in self.words if not re.search(w, text))


def told(name: str) -> tuple[Told, ...]:
    """The facts of a file that must be told."""
    data = yaml.safe_load((DATA / name).read_text(encoding="utf-8"))
    return tuple(
        Told(t["id"], t["fact"], t["where"][0], t["where"][1], tuple(t["words"]))
        for t in data["texts"]
    )


def _texts(value: Any) -> Iterator[str]:
    """Every text of an entry, in its order; conditions are no text."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Entry):
        for _, part in value:
            yield from _texts(part)
    elif isinstance(value, Mapping):
        for part in value.values():
            yield from _texts(part)
    elif isinstance(value, tuple):
        for part in value:
            yield from _texts(part)


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A known disagreement, decided."""

    disagrees: tuple[str, ...]
    right: str
    because: str
    change: str


def disagreements(section: str = "disagreements") -> dict[str, Disagreement]:
    """The known disagreements by statement, or those that were mended."""
    data = yaml.safe_load((DATA / "disagreements.yaml").read_text(encoding="utf-8"))
    return {
        d["id"]: Disagreement(tuple(d["disagrees"]), d["right"], d["because"], d.get("change", ""))
        for d in data[section]
    }
