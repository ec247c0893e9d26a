"""Writing a case as YAML: the same case always gives the same bytes, and reads back equal."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import yaml

from diagnose.knowledge.logic.answers import Answers, write
from diagnose.records.case.casefile import CaseFile
from diagnose.records.case.journal import FACTS, Complaint, Event, Outcome, outcome_data


def write_case(case_file: CaseFile) -> str:
    """A file's text; raises ValueError for a journal that is not numbered from 1."""
    return yaml.dump(
        case_data(case_file),
        Dumper=_Dumper,
        sort_keys=False,
        allow_unicode=True,
        width=2**31,
        indent=2,
    )


def case_data(case_file: CaseFile) -> dict[str, Any]:
    """What a file says, as plain data.

    Facts stand in a fixed order, answers in the order in which they were given. Raises ValueError
    for a journal that is not numbered from 1.
    """
    case = case_file.case
    noted = {fact: case.facts[fact] for fact in FACTS if fact in case.facts and fact != "lesson"}
    content: dict[str, Any] = {"case": case.id, **noted}
    if case_file.customer:
        content["customer"] = _said(
            name=case_file.customer.name, plate=case_file.customer.plate or None
        )
    content |= _said(circumstances=_answers(case.circumstances), photos=_photos(case.photos))
    content["complaints"] = [
        _complaint(complaint, place) for place, complaint in enumerate(case.complaints, 1)
    ]
    content |= _said(lesson=case.facts.get("lesson"))
    content |= _said(journal=[_event(e, number) for number, e in enumerate(case_file.events, 1)])
    return content


def _said(**values: Any) -> dict[str, Any]:
    """Those of the values that say something."""
    return {key: value for key, value in values.items() if value is not None and value != []}


def _answers(answers: Answers) -> dict[str, Any] | None:
    return {check: write(answer) for check, answer in answers.items()} or None


def _photos(photos: tuple[tuple[str, str], ...]) -> list[dict[str, str]]:
    return [_Line({"photo": photo, "caption": caption}) for photo, caption in photos]


def _complaint(complaint: Complaint, place: int) -> dict[str, Any]:
    number = {} if complaint.number == place else {"number": complaint.number}
    return {
        **number,
        "symptom": complaint.symptom,
        "panel": complaint.panel,
        **_said(
            answers=_answers(complaint.answers),
            set_aside=list(complaint.set_aside),
            photos=_photos(complaint.photos),
            remedies_done=list(complaint.remedies_done),
            held=complaint.held,
            outcome=_outcome(complaint.outcome) if complaint.outcome else None,
        ),
    }


def _outcome(outcome: Outcome) -> dict[str, Any]:
    said = outcome_data(outcome)
    order = ("cause", "also_causes", "confirmed_by", "remedy", "held", "payer", "cost", "note")
    return {key: _plain(said[key]) for key in order if key in said}


def _event(event: Event, number: int) -> dict[str, Any]:
    if event.number != number:
        raise ValueError(f"event {event.number} stands as number {number} of its journal")
    said = _said(
        key=event.key or None,
        text=event.text or None,
        answer=None if event.answer is None else write(event.answer),
        complaint=event.complaint,
        undoes=event.undoes,
        data=_plain(event.data) or None,
    )
    return _Line({"at": event.at.isoformat(), "kind": event.kind.value, **said})


def _plain(value: Any) -> Any:
    """Mappings and sequences as those that YAML's writer knows."""
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


class _Line(dict[str, Any]):
    """A mapping that is written in one line."""


class _Dumper(yaml.SafeDumper):
    """Lists indented below their key, no aliases, numbers without exponents."""

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
        super().increase_indent(flow, False)

    def ignore_aliases(self, data: Any) -> bool:
        return True


def _number(dumper: yaml.SafeDumper, value: float) -> yaml.Node:
    from decimal import Decimal

    text = f"{Decimal(repr(value)):f}"
    return dumper.represent_scalar("tag:yaml.org,2002:float", text)


def _text(dumper: yaml.SafeDumper, value: str) -> yaml.Node:
    style = '"' if any(not sign.isprintable() for sign in value) else None
    return dumper.represent_scalar("tag:yaml.org,2002:str", value, style=style)


def _line(dumper: yaml.SafeDumper, value: _Line) -> yaml.Node:
    return dumper.represent_mapping("tag:yaml.org,2002:map", value, flow_style=True)


_Dumper.add_representer(float, _number)
_Dumper.add_representer(str, _text)
_Dumper.add_representer(_Line, _line)
