"""What entries refer to is said by the types of their fields."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args, get_type_hints

import pytest

from diagnose.knowledge.model import Entry, RuleFile
from diagnose.knowledge.model.words import Id
from diagnose.knowledge.soundness.walk import NAMED, references
from tests.small import REST, problems

PATTERN = Id.__metadata__[0]  # type: ignore[attr-defined]

NO_REFERENCES = {
    ("RuleFile", "intake"),  # of no entry: looked up where the file is
    ("ShownAnswers", "check"),  # a check or a measure
    ("ShownAnswers", "group"),  # a word of its own
    ("Sign", "group"),
    ("EstimatedRows", "group"),
    ("ConfusedWith", "answers"),  # answers of its check
    ("Symptom", "shows"),  # looked up with the answers
    ("Symptom", "usual"),
    ("Observable", "answers"),  # words of its own
    ("Check", "answers"),
    ("MeasureUse", "answers"),
    ("Observable", "ordered"),
    ("Check", "ordered"),
    ("MeasureUse", "ordered"),
    ("MeasureUse", "function"),  # a function of diagnose.measures, and its inputs
    ("MeasureUse", "inputs"),
    ("MeasureUse", "needed"),
    ("NumberTold", "check"),  # words of people: looked up with the wording
    ("TimeTold", "check"),
    ("TimeTold", "ends"),
    ("Wording", "implied"),
    ("Wording", "numbers"),
    ("Wording", "places"),
    ("Wording", "topics"),
    ("Wording", "wide"),
}
"""Fields with ids that name no entry of one section."""


def kinds(kind: Any) -> Iterator[type[Entry]]:
    """A kind of entry and all kinds within it."""
    if isinstance(kind, type) and issubclass(kind, Entry):
        yield kind
        for hint in get_type_hints(kind, include_extras=True).values():
            yield from kinds(hint)
    for part in get_args(kind):
        yield from kinds(part)


def has_id(hint: Any) -> bool:
    """Whether a type has an id in it."""
    return PATTERN in getattr(hint, "__metadata__", ()) or any(map(has_id, get_args(hint)))


def test_every_field_with_ids_says_whose_they_are() -> None:
    """A new field that holds ids and does not say so would never be looked up, in silence."""
    silent = {
        (kind.__name__, name)
        for kind in set(kinds(RuleFile))
        for name, hint in get_type_hints(kind, include_extras=True).items()
        if name in kind.model_fields and name not in ("id", *NAMED) and has_id(hint)
        if name not in references(kind)
    }

    assert silent <= NO_REFERENCES, silent - NO_REFERENCES


def test_every_reference_is_of_a_section_that_there_is() -> None:
    """Whatever a field says."""
    found = {section for kind in set(kinds(RuleFile)) for section in references(kind).values()}

    assert found <= set(NAMED)
    assert len(found) > 5


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("behind: {lifting: common}", "behind: {liftin: common}", "no symptom is called 'liftin'"),
        ("remedies: {relay: 60,", "remedies: {rely: 60,", "no remedy is called 'rely'"),
        ("never: [{remedy: seal,", "never: [{remedy: sel,", "no remedy is called 'sel'"),
        ("unless: [{payer: owner,", "unless: [{payer: ownr,", "no payer is called 'ownr'"),
        ("cautions: [blade]", "cautions: [blad]", "no caution is called 'blad'"),
        ("instead: [relay]", "instead: [rely]", "no remedy is called 'rely'"),
    ],
)
def test_a_name_that_no_entry_has_is_told(old: str, new: str, says: str) -> None:
    """Alone, in a list, and as the key of a mapping."""
    assert old in REST
    found = problems(REST.replace(old, new, 1))

    assert any(says in problem.sentence for problem in found), found
