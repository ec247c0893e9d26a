"""The JSON Schema of rule files, made from the models, for editors to complete and check by.

With a rule base at hand it knows the ids of that base: which symptoms, checks, answers, remedies,
payers and sources there are.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Observable, RuleFile, ShownAnswers, Symptom
from diagnose.knowledge.model.conditions import FOUND, NOT_FOUND
from diagnose.knowledge.model.kinds import NOTHING, SeveralKind
from diagnose.knowledge.model.words import CONDITIONS, OBSERVABLES, SECTION, UNSOURCED
from diagnose.knowledge.reading.additions import CHANGES, TAKEN_OUT
from diagnose.knowledge.reading.merge import MORE, WITHOUT
from diagnose.knowledge.soundness.walk import NAMED

Schema = dict[str, Any]


def schema_text(base: Base, *, adds: bool = False) -> str:
    """The schema as it stands in rules/schema.json, with the ids of this base.

    `adds`: with the sections of a folder that only adds to the shipped rules.
    """
    schema = RuleFile.model_json_schema(by_alias=True)
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "A file of the rule base"
    _answers_known(schema["$defs"], base)
    if adds:
        schema["properties"] |= {CHANGES: _changes(schema, base), TAKEN_OUT: _taken_out()}
    filled: Schema = _filled(schema)
    filled["$defs"] |= {**_ids(base), _list_of(CONDITIONS): _condition(base)}
    return json.dumps(filled, indent=1, ensure_ascii=False) + "\n"


def _changes(schema: Schema, base: Base) -> Schema:
    """What may be changed: of each entry that there is any of its fields, and each whole section.

    How a field is put together with what is shipped is looked at when the rules are read.
    """
    found: Schema = {}
    for section, its in schema["properties"].items():
        if section not in NAMED:
            found[section] = {"type": ["object", "array"]}
            continue
        entry = schema["$defs"][its["items"]["$ref"].rsplit("/", 1)[1]]
        fields = {n: _field(f) for n, f in entry["properties"].items() if n != "id"}
        of_each = {"type": "object", "properties": fields, "additionalProperties": False}
        ids = list(getattr(base, section))
        found[section] = {
            "type": "object",
            "propertyNames": {"enum": ids},
            "additionalProperties": of_each,
        }
    says = "what is to differ from the shipped rules, by section and id"
    return {"description": says, **_closed(found)}


def _field(its: Schema) -> Schema:
    """A field of an entry as a change may write it: whole, in part, or taken out."""
    part: Schema = {"type": "object"}
    if its.get("type") == "array" and "items" in its:
        left_out = {"type": "array"}
        more = {"type": "array", "items": its["items"]}
        part = {**_closed({WITHOUT: left_out, MORE: more}), "minProperties": 1}
    elif its.get("type") in ("string", "number", "integer", "boolean") or "enum" in its:
        return {"anyOf": [its, {"type": "null"}]}
    said = {"description": its["description"]} if "description" in its else {}
    return {**said, "anyOf": [its, part, {"type": "null"}]}


def _taken_out() -> Schema:
    ids = {"type": "array", "items": {"type": "string"}}
    says = "shipped entries that are left out, by section"
    return {"description": says, **_closed(dict.fromkeys(NAMED, ids))}


def _closed(properties: Schema) -> Schema:
    return {"type": "object", "properties": properties, "additionalProperties": False}


def _filled(node: Any) -> Any:
    """With a reference to the list of ids in place of each mark of a section."""
    if isinstance(node, list):
        return [_filled(each) for each in node]
    if not isinstance(node, dict):
        return node
    if SECTION in node:
        said = {"description": node["description"]} if "description" in node else {}
        return {**said, "$ref": f"#/$defs/{_list_of(node[SECTION])}"}
    return {key: _filled(value) for key, value in node.items()}


def _list_of(section: str) -> str:
    return f"ids_of_{section}"


def _ids(base: Base) -> Schema:
    having: Mapping[str, Iterator[str]] = {
        "symptoms": iter(base.symptoms),
        "checks": iter(base.checks),
        OBSERVABLES: iter(base.observables),
        "causes": iter(base.causes),
        "remedies": iter(base.remedies),
        "payers": iter(base.payers),
        "cautions": iter(base.cautions),
        "place_kinds": iter(base.place_kinds),
        "sources": iter((*UNSOURCED, *base.sources)),
    }
    return {_list_of(section): {"enum": list(ids)} for section, ids in having.items()}


def _answers_known(defs: Schema, base: Base) -> None:
    """Where the check stands beside it, only its answers fit."""
    answers = {o.id: list(o.labels) for o in base.observables.values() if o.labels}
    shown, symptom = defs[ShownAnswers.__name__], defs[Symptom.__name__]["properties"]
    shown["allOf"] = [
        {
            "if": {"properties": {"check": {"const": check}}, "required": ["check"]},
            "then": {"properties": {"of_100": {"propertyNames": {"enum": labels}}}},
        }
        for check, labels in answers.items()
    ]
    symptom["shows"]["properties"] = {check: {"enum": words} for check, words in answers.items()}
    symptom["usual"]["properties"] = {
        check: {"type": "object", "propertyNames": {"enum": words}}
        for check, words in answers.items()
    }


def _condition(base: Base) -> Schema:
    answered = {o.id: _test(o) for o in base.observables.values()}
    return {
        "type": "object",
        "minProperties": 1,
        "description": "All entries must hold. A key is a check, a measure or a finding.",
        "properties": answered | dict.fromkeys(base.findings, _FOUND),
        "additionalProperties": False,
    }


_FOUND: Schema = {"enum": [FOUND, NOT_FOUND]}
_SPAN: Schema = {
    "type": "object",
    "properties": {word: {"type": "number"} for word in ("under", "at_most", "over", "at_least")},
    "minProperties": 1,
    "additionalProperties": False,
}


def _test(observable: Observable) -> Schema:
    """What a condition may ask of a check or a measure."""
    if not observable.answers:
        return _SPAN
    nothing = [NOTHING] if isinstance(observable.kind, SeveralKind) else []
    word = {"enum": [*observable.answers, *nothing]}
    several = {"type": "array", "items": word, "minItems": 1}
    but = {
        "type": "object",
        "properties": {"not": {"anyOf": [word, several]}},
        "required": ["not"],
        "additionalProperties": False,
    }
    return {"anyOf": [word, several, but]}
