"""An event as a row of the database, with a digest that shows when the row was damaged."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from hashlib import blake2b
from typing import Any, assert_never

from diagnose.knowledge.logic.answers import UNKNOWN, Answer, Unknown
from diagnose.knowledge.model.conditions import Value, Values
from diagnose.knowledge.model.values import AllOfThese, OneOfThese
from diagnose.measures.quantity import Quantity
from diagnose.records.case.journal import Event, EventKind

COLUMNS = "number, at, kind, key, text, answer, complaint, undoes, data, digest"
"""Columns of an event, in the order of `to_row` and `from_row`."""


ONE_OF, ALL_OF = "one_of", "all_of"


class DamagedRow(ValueError):
    """A row whose digest does not fit its content."""


def digest(*parts: object) -> str:
    """Sixteen hex digits of some values, in their order."""
    return blake2b(repr(parts).encode("utf-8", "backslashreplace"), digest_size=8).hexdigest()


def storable(event: Event) -> Event:
    """The event as it will be read back: plain text, and data as JSON has it.

    Raises ValueError where data holds what JSON cannot say (a number that is not finite).
    """
    data = json.loads(json.dumps(dict(event.data), allow_nan=False))
    return replace(event, key=plain(event.key), text=plain(event.text), data=data)


def plain(text: str) -> str:
    """Text that can be written as UTF-8; a broken half of a character is spelt out."""
    return text.encode("utf-8", "backslashreplace").decode()


def to_row(case_id: str, event: Event) -> tuple[Any, ...]:
    """The values of COLUMNS."""
    values = (
        event.number,
        event.at.isoformat(),
        event.kind.value,
        event.key,
        event.text,
        None if event.answer is None else answer_to_json(event.answer),
        event.complaint,
        event.undoes,
        _json(event.data) if event.data else None,
    )
    return (*values, digest(case_id, *values))


def from_row(case_id: str, row: Sequence[Any]) -> Event:
    """The event of a row; raises DamagedRow."""
    *values, of_content = row
    if digest(case_id, *values) != of_content:
        raise DamagedRow(f"case {case_id}, event {values[0]}")
    number, at, kind, key, text, answer, complaint, undoes, data = values
    return Event(
        number,
        datetime.fromisoformat(at),
        EventKind(kind),
        key,
        text,
        None if answer is None else answer_from_json(answer),
        complaint,
        undoes,
        json.loads(data) if data else {},
    )


def answer_to_json(answer: Answer) -> str:
    """An answer that can be read back without the rule base."""
    match answer:
        case Unknown():
            return _json({"unknown": True})
        case Quantity(low=low, high=high):
            return _json({"low": low, "high": high})
        case str():
            return _json({"choice": answer})
        case OneOfThese() | AllOfThese():
            return _json(_listed(answer))
        case _:
            assert_never(answer)


def answer_from_json(text: str) -> Answer:
    """The answer that `answer_to_json` wrote."""
    said = json.loads(text)
    match said:
        case {"unknown": _}:
            return UNKNOWN
        case {"choice": word}:
            return str(word)
        case {"low": low, "high": high}:
            return Quantity(low, high)
        case _:
            return _from_listed(said)


def values_to_json(values: Values) -> str:
    """Known answers by check: a choice as its word, a number as its two ends."""
    return _json({check: _compact(value) for check, value in values.items()})


def _compact(value: Value) -> Any:
    match value:
        case str():
            return value
        case Quantity(low=low, high=high):
            return [low, high]
        case OneOfThese() | AllOfThese():
            return _listed(value)
        case _:
            assert_never(value)


def _listed(value: OneOfThese | AllOfThese) -> dict[str, list[str]]:
    return {ONE_OF if isinstance(value, OneOfThese) else ALL_OF: list(value.words)}


def _from_listed(said: Mapping[str, Sequence[str]]) -> OneOfThese | AllOfThese:
    if ONE_OF in said:
        return OneOfThese(tuple(said[ONE_OF]))
    return AllOfThese(tuple(said[ALL_OF]))


def values_from_json(text: str) -> Values:
    """The answers that `values_to_json` wrote."""
    return {check: _from_compact(value) for check, value in json.loads(text).items()}


def _from_compact(said: Any) -> Value:
    match said:
        case str():
            return said
        case [low, high]:
            return Quantity(low, high)
        case _:
            return _from_listed(said)


def _json(value: Any) -> str:
    return json.dumps(dict(value), ensure_ascii=False, separators=(",", ":"), allow_nan=False)
