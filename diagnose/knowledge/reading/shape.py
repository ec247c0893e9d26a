"""The shape of what people write: as a model wants it, and what is wrong with it in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pydantic_core import ErrorDetails

from diagnose.knowledge.marked import ParsedFile, Problem
from diagnose.knowledge.model import Entry
from diagnose.near import near

AS_WRITTEN = ("when", "asked_when", "data")
"""Keys under which lists stay lists."""


def tuples(value: Any) -> Any:
    """Lists as tuples, which the strict models ask for; conditions keep their lists."""
    if isinstance(value, dict):
        return {k: v if k in AS_WRITTEN else tuples(v) for k, v in value.items()}
    if isinstance(value, list):
        return tuple(tuples(item) for item in value)
    return value


def shape_problem(document: ParsedFile, detail: ErrorDetails, model: type[Entry]) -> Problem:
    """What is wrong with the shape of a document that `model` was to read, at its place."""
    path = [step for step in detail["loc"] if step != "[key]"]
    path += list(detail.get("ctx", {}).get("at", ()))
    return Problem(document.spot(path), _sentence(detail, path, model))


def _sentence(detail: ErrorDetails, path: Sequence[str | int], top: type[Entry]) -> str:
    key = path[-1] if path else "the file"
    given = detail.get("input")
    match detail["type"]:
        case "missing":
            return f"'{key}' is missing"
        case "extra_forbidden":
            return f"'{key}' is not known here{near(str(key), _keys_at(path, top))}"
        case "condition" | "of_100" | "sentence":
            return str(detail["msg"])
        case "of_key":
            return f"'{key}' {detail['msg']}"
        case "model_type" | "model_attributes_type" | "dict_type" if given is not None:
            return f"{_where(path)} must be keys with values"
        case "tuple_type" | "list_type" if given is not None:
            return f"{_where(path)} must be a list (a line '- …' for each)"
        case "value_error":
            return str(detail["ctx"]["error"])
        case "literal_error" if given == "implied":
            return "write the answers under of_100 of shows, with the word rest for a number"
        case "literal_error" | "enum":
            expected = str(detail.get("ctx", {}).get("expected", ""))
            words = [word.strip(" '") for word in expected.replace(" or ", ",").split(",")]
            return f"'{given}' is not one of {', '.join(words)}{near(str(given), words)}"
        case "string_type" if isinstance(given, bool | int | float):
            return f"{given!r} is not text here: put it in quotes if it is meant as text"
        case "string_pattern_mismatch":
            return f"'{given}' is no id: lower case letters, digits and single underscores"
        case "float_type" | "int_type" | "bool_type" if isinstance(given, str):
            return f"'{given}' must be {_WANTED[detail['type']]}"
        case _ if given is None:
            return f"'{key}' has no value"
    return f"{key}: {detail['msg'][0].lower()}{detail['msg'][1:]}"


_WANTED = {"bool_type": "true or false", "int_type": "a whole number", "float_type": "a number"}


def _where(path: Sequence[str | int]) -> str:
    """What a path leads to, in words."""
    named = [step for step in path if isinstance(step, str)]
    if not named:
        return "the file"
    return f"'{named[-1]}'" if path[-1] == named[-1] else f"an entry of '{named[-1]}'"


def _keys_at(path: Sequence[str | int], top: type[Entry]) -> set[str]:
    """The keys that may stand where `path` ends."""
    model: Any = top
    for step in path[:-1]:
        if isinstance(step, str) and isinstance(model, type) and step in _fields(model):
            model = _inner(_fields(model)[step].annotation) or model
    return set(_fields(model)) if isinstance(model, type) else set()


def _fields(model: type[Entry]) -> dict[str, Any]:
    return {field.alias or name: field for name, field in model.model_fields.items()}


def _inner(annotation: Any) -> type[Entry] | None:
    """The model within an annotation such as tuple[Sign, ...]."""
    if isinstance(annotation, type) and issubclass(annotation, Entry):
        return annotation
    for part in getattr(annotation, "__args__", ()):
        found = _inner(part)
        if found:
            return found
    return None
