"""What an editor knows of rule files: every shipped one is right, and a slip is marked."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator, ValidationError
from jsonschema.protocols import Validator
from jsonschema.validators import extend

from diagnose.knowledge.reading.load import load
from diagnose.knowledge.reading.schema import schema_text

RULES = Path(__file__).resolve().parents[2] / "rules"
FILES = sorted(path.relative_to(RULES) for path in RULES.rglob("*.yaml"))


def if_(judge: Validator, condition: Any, instance: Any, schema: Any) -> Iterator[ValidationError]:
    """'if', left at once where a field is not the constant that the condition asks for.

    Each row of a cause is held against a condition for each check; most ask for another one.
    """
    for name, asked in condition.get("properties", {}).items():
        plain = "const" in asked and isinstance(instance, dict) and "else" not in schema
        if plain and name in instance and instance[name] != asked["const"]:
            return
    yield from Draft202012Validator.VALIDATORS["if"](judge, condition, instance, schema)


Quick = extend(Draft202012Validator, {"if": if_})


@cache
def validator() -> Validator:
    """A public validator over the schema that is shipped."""
    schema = json.loads((RULES / "schema.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    found: Validator = Quick(schema)
    return found


@cache
def read(path: Path) -> Any:
    """A rule file as an editor sees it: days are texts."""
    return yaml.load((RULES / path).read_text(encoding="utf-8"), _Plain)


class _Plain(yaml.CSafeLoader):
    """YAML without days."""


_Plain.yaml_implicit_resolvers = {
    first: [each for each in its if each[0] != "tag:yaml.org,2002:timestamp"]
    for first, its in yaml.CSafeLoader.yaml_implicit_resolvers.items()
}


def test_the_schema_beside_the_rules_is_that_of_the_models_and_the_ids() -> None:
    """Editors complete by the very models that load the rules, and by what there is in them."""
    shipped = (RULES / "schema.json").read_text(encoding="utf-8")
    assert shipped == schema_text(load(RULES)), "diagnose rules schema --output rules/schema.json"


@pytest.mark.parametrize("path", FILES, ids=str)
def test_an_editor_marks_nothing_in_a_shipped_file(path: Path) -> None:
    """No line of the rule base is underlined."""
    faults = [f"{list(e.absolute_path)}: {e.message}" for e in validator().iter_errors(read(path))]
    assert faults == []


NEIGHBOURS = 3
"""Entries of a file that stand beside a slip: that a whole file is right is shown above."""

CAUSE = ("causes/technique.yaml", "causes", 0)
SLIPS: list[tuple[str, tuple[str, str, int], list[str | int], Any]] = [
    ("a symptom that is not there", CAUSE, ["behind"], {"edge_lifted": 12}),
    ("a check that is not there", CAUSE, ["shows", 0, "check"], "stretch_against_limit"),
    ("an answer of another check", CAUSE, ["shows", 0, "of_100"], {"dust_or_sand": 12}),
    ("a number over a hundred", CAUSE, ["shows", 0, "of_100"], {"1 and over": 120}),
    ("a remedy that is not there", CAUSE, ["remedies"], {"relay_it": 80}),
    ("a payer that is not there", CAUSE, ["responsibility", "payer"], "the_installer"),
    ("a source that is not there", CAUSE, ["source"], "my_handbook"),
    ("a field that is not there", CAUSE, ["mecanism"], "It pulls."),
    ("a word of share that is not there", CAUSE, ["behind"], {"edge_lifting": "often"}),
    (
        "an answer in a condition",
        ("contradictions.yaml", "contradictions", 0),
        ["when"],
        {"first_seen": "yesterday"},
    ),
    (
        "a check in a condition",
        ("contradictions.yaml", "contradictions", 0),
        ["when"],
        {"seen_first": "weeks"},
    ),
    (
        "a look that no check has",
        ("symptoms/damage.yaml", "symptoms", 0),
        ["shows"],
        {"scratch_form": "deep"},
    ),
]


@pytest.mark.parametrize(("slip", "where", "path", "value"), SLIPS, ids=[s[0] for s in SLIPS])
def test_an_editor_marks_a_slip(
    slip: str, where: tuple[str, str, int], path: list[str | int], value: Any
) -> None:
    """One word wrong, and the place is underlined: within the entry, and nowhere else."""
    file, section, number = where
    document = {section: copy.deepcopy(read(Path(file))[section][:NEIGHBOURS])}
    part = document[section][number]
    for step in path[:-1]:
        part = part[step]
    part[path[-1]] = value

    faults = list(validator().iter_errors(document))

    assert faults
    assert all(list(fault.absolute_path)[:2] == [section, number] for fault in faults)
