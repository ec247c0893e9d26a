"""How large a change of a rule base is: major, minor or patch, with the reasons.

Major: what others rely on is gone or means something else (an id that cases, claims or own rules
may name, an answer, a unit, the numbers behind the words). Minor: something was added, or weighs
otherwise. Patch: only what people read has changed (words, sources, phrases).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, assert_never

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Check, Entry
from diagnose.knowledge.model.kinds import ChoiceKind, NumberKind, SeveralKind

Size = Literal["none", "patch", "minor", "major"]
SIZES: tuple[Size, ...] = ("none", "patch", "minor", "major")

WORDS = frozenset(
    {
        "name",
        "says",
        "look",
        "appears",
        "where",
        "also_called",
        "normal",
        "ask",
        "how",
        "mistake",
        "tool",
        "plainly",
        "mechanism",
        "because",
        "prevention",
        "steps",
        "applies",
        "warning",
        "say",
        "title",
        "note",
        "source",
        "phrases",
        "tells",
        "carries",
        "not_carries",
        "papers",
        "look_again",
        "tools",
        "seen",
        "normal_when",
    }
)
"""Fields that are read by people only; a change of these is a patch."""


@dataclass(frozen=True, slots=True)
class Difference:
    """The suggested size of a change, and why; the largest reasons first."""

    size: Size
    reasons: tuple[str, ...]


def difference(old: Base, new: Base, sections: Sequence[str]) -> Difference:
    """Compare two bases, section by section."""
    found = [*_scales(old, new)]
    for section in sections:
        found += _section(section, getattr(old, section), getattr(new, section))
    found += _inseparable(old, new)
    found.sort(key=lambda f: -SIZES.index(f[0]))
    size: Size = found[0][0] if found else "none"
    return Difference(size, tuple(f"{s}: {reason}" for s, reason in found))


Reason = tuple[Size, str]


def _scales(old: Base, new: Base) -> Iterator[Reason]:
    if old.scales != new.scales:
        changed = [n for n, v in old.scales if getattr(new.scales, n) != v]
        yield "major", f"the numbers behind the words changed: {', '.join(changed)}"
    if old.intake != new.intake:
        yield "minor", f"asked first: {', '.join(old.intake)} → {', '.join(new.intake)}"


def _inseparable(old: Base, new: Base) -> Iterator[Reason]:
    if old.inseparable != new.inseparable:
        yield "patch", "pairs declared inseparable changed"


def _section(section: str, old: Mapping[str, Entry], new: Mapping[str, Entry]) -> Iterator[Reason]:
    word = section.replace("_", " ").removesuffix("s") if section != "remedies" else "remedy"
    for name in old:
        if name not in new:
            yield "major", f"{word} {name} is gone"
    for name in new:
        if name not in old:
            yield "minor", f"{word} {name} is new"
    for name, before in old.items():
        if name in new and before != new[name]:
            yield from _entry(f"{word} {name}", before, new[name])


def _entry(called: str, old: Entry, new: Entry) -> Iterator[Reason]:
    gone = _answers_gone(old, new)
    if gone:
        yield "major", f"{called} has no longer the answer {', '.join(gone)}"
    if isinstance(old, Check) and isinstance(new, Check) and _kind(old) != _kind(new):
        yield "major", f"{called} is answered otherwise ({_kind(old)} → {_kind(new)})"
    changed = [n for n in type(old).model_fields if getattr(old, n) != getattr(new, n)]
    meaning = [name for name in changed if not _only_words(getattr(old, name), getattr(new, name))]
    meaning = [name for name in meaning if name not in WORDS]
    if meaning:
        yield "minor", f"{called} changed in {', '.join(meaning)}"
    elif changed:
        yield "patch", f"{called} is worded otherwise ({', '.join(changed)})"


def _kind(check: Check) -> str:
    match check.kind:
        case ChoiceKind():
            return "a choice"
        case SeveralKind():
            return "answers that can be right together"
        case NumberKind(measured_in=unit):
            return f"a number in {unit or 'no unit'}"
        case kind:
            assert_never(kind)


def _answers_gone(old: Entry, new: Entry) -> list[str]:
    before: Mapping[str, Any] = getattr(old, "answers", {})
    after: Mapping[str, Any] = getattr(new, "answers", {})
    return [a for a in before if a not in after] if isinstance(before, dict) else []


def _only_words(old: Any, new: Any) -> bool:
    """Whether two values differ only in what people read."""
    return bool(meaning(old) == meaning(new))


def meaning(value: Any) -> Any:
    """A part of a rule base without what only people read."""
    if isinstance(value, Entry):
        fields = type(value).model_fields
        return {n: meaning(getattr(value, n)) for n in fields if n not in WORDS}
    if isinstance(value, tuple):
        return tuple(map(meaning, value))
    if isinstance(value, dict):
        return {k: meaning(v) for k, v in value.items()}
    return value
