"""The JSON Schema of rule files, made from the models, for editors to complete and check by."""

from __future__ import annotations

import json

from diagnose.knowledge.model import RuleFile


def schema_text() -> str:
    """The schema as it stands in rules/schema.json."""
    schema = RuleFile.model_json_schema(by_alias=True)
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "A file of the rule base"
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"
