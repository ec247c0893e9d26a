"""Files of people read in one way: shape by a model, meaning beside it, all problems at once.

A fault of shape in one entry says nothing about the others: what is sound is looked at all the
same, so that whoever mends a file mends it once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Generic, NamedTuple, TypeVar, cast

from pydantic import TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from diagnose.knowledge import marked
from diagnose.knowledge.marked import ParsedFile, Problem, Spot
from diagnose.knowledge.model import Entry
from diagnose.knowledge.reading.parsed import Parse
from diagnose.knowledge.reading.salvage import Way, one_each, passing
from diagnose.knowledge.reading.shape import AS_WRITTEN, shape_problem, tuples

M = TypeVar("M", bound=Entry)


class Fault(NamedTuple):
    """What is wrong with the meaning of a file: a sentence, and the way to the place."""

    sentence: str
    way: Way = ()
    severity: str = "error"


@dataclass(frozen=True, slots=True)
class Meaning(Generic[M]):
    """A check of the meaning, and the sections of the file that it looks at.

    `whole`: it compares entries with each other, so none may be left out for a fault of shape.
    """

    check: Callable[[M], Iterator[Fault]]
    sections: tuple[str, ...]
    whole: bool = False


@dataclass(frozen=True, slots=True)
class ReadFile(Generic[M]):
    """What came of reading: the file's content, unless a problem is an error."""

    content: M | None
    problems: tuple[Problem, ...]


def read_file(
    name: str,
    text: str,
    model: type[M],
    meanings: Iterable[Meaning[M]],
    empty: str,
    parse: Parse = marked.read,
) -> ReadFile[M]:
    """Read a file given by name and text; every problem at once, sorted by place.

    `empty`: what is said of a file with nothing in it; `parse` may know the file.
    """
    document, problems = parse(name, text)
    if document.data is None and not problems:
        problems = [Problem(Spot(name, 1, 1), empty)]
    if problems:
        return ReadFile(None, tuple(sorted(problems)))
    sound, faults = _shaped(document, model)
    problems = [shape_problem(document, fault, model) for fault in one_each(faults)]
    problems += _meant(document, sound, meanings)
    broken = any(problem.severity == "error" for problem in problems)
    return ReadFile(None if broken else sound.content, tuple(sorted(problems)))


@dataclass(frozen=True, slots=True)
class _Sound(Generic[M]):
    """What of a file is sound in shape: its sections, in part or whole, and where they stood."""

    content: M
    sections: frozenset[str]
    whole: frozenset[str]
    written: Mapping[str, Any]


def _shaped(document: ParsedFile, model: type[M]) -> tuple[_Sound[M], list[ErrorDetails]]:
    every = frozenset(model.model_fields)
    try:
        return _Sound(model.model_validate(tuples(document.data)), every, every, {}), []
    except ValidationError as error:
        faults = error.errors(include_url=False)
    return _in_part(document.data, model, faults), faults


def _in_part(data: Any, model: type[M], faults: Sequence[ErrorDetails]) -> _Sound[M]:
    """The sections of a file with faults of shape, as far as each is sound."""
    if not isinstance(data, dict):
        return _Sound(_made(model, {}), frozenset(), frozenset(), {})
    written = {k: _numbered(v) for k, v in passing(data, faults).items() if k in model.model_fields}
    found = {name: _sound_part(_section(model, name), value) for name, value in written.items()}
    lacking = {fault["loc"] for fault in faults if fault["type"] == "missing"}
    sections = {
        name
        for name in model.model_fields
        if found.get(name) is not _NOTHING
        and (name,) not in lacking
        and (name in found or not model.model_fields[name].is_required())
    }
    content = _made(model, {name: found[name] for name in sections & set(found)})
    broken = {fault["loc"][0] for fault in faults if fault["loc"]}
    return _Sound(content, frozenset(sections), frozenset(sections - broken), written)


def _made(model: type[M], sections: Mapping[str, Any]) -> M:
    """A file's content of sections that are sound; the others have their defaults or are not."""
    made: Any = model.model_construct(**sections)
    return cast("M", made)


def _section(model: type[M], name: str) -> TypeAdapter[Any]:
    field = model.model_fields[name]
    kind: Any = field.annotation
    return TypeAdapter(Annotated[kind, *field.metadata] if field.metadata else kind)


def _meant(
    document: ParsedFile, sound: _Sound[M], meanings: Iterable[Meaning[M]]
) -> Iterator[Problem]:
    for meaning in meanings:
        if (sound.whole if meaning.whole else sound.sections).issuperset(meaning.sections):
            for fault in meaning.check(sound.content):
                known = _as_written(sound.written, fault.way)
                spot = document.spot((*known, *fault.way[len(known) :]))
                yield Problem(spot, fault.sentence, "meaning", fault.severity)


_NOTHING = object()
"""What is left of a section in which nothing is sound."""


class _Numbered(dict[int, Any]):
    """A list whose entries keep their numbers when others are taken out."""


def _numbered(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: v if k in AS_WRITTEN else _numbered(v) for k, v in value.items()}
    if isinstance(value, list):
        return _Numbered(enumerate(map(_numbered, value)))
    return value


def _listed(value: Any) -> Any:
    if isinstance(value, _Numbered):
        return tuple(map(_listed, value.values()))
    if isinstance(value, dict):
        return {k: v if k in AS_WRITTEN else _listed(v) for k, v in value.items()}
    return value


def _sound_part(section: TypeAdapter[Any], value: Any) -> Any:
    """What of a section is sound: the least around each fault is taken out of it."""
    while True:
        try:
            return section.validate_python(_listed(value))
        except ValidationError as error:
            ways = {_as_written(value, _entry(fault)) for fault in error.errors(include_url=False)}
        if () in ways:
            return _NOTHING
        for way in ways:
            _take_out(value, way)


def _entry(fault: ErrorDetails) -> Way:
    """The least that must go for a fault to go: what has too little goes itself."""
    return fault["loc"][:-1] if fault["type"] == "missing" else fault["loc"]


def _as_written(value: Any, way: Way) -> tuple[str | int, ...]:
    """The way as it is in the file, as far as it leads to something; entries may be out."""
    steps: list[str | int] = []
    for step in way:
        if isinstance(value, _Numbered):
            step = dict(enumerate(value)).get(step, step) if isinstance(step, int) else step
        if not isinstance(value, dict) or step not in value:
            break
        steps.append(step)
        value = value[step]
    return tuple(steps)


def _take_out(value: Any, way: Way) -> None:
    for step in way[:-1]:
        value = value.get(step, {})
    value.pop(way[-1], None)
