"""What was chosen in a callback and stands in no event yet, so that a face may keep it.

A symptom waits for its place, confirmed words for a symptom; somebody wanted to be asked on. A face
that lives as long as the callback needs none of this; pages, which are made anew for each request,
keep it beside the case and lose nothing when the program is started again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answer, BadAnswer, parse, parse_all, write


@dataclass(frozen=True, slots=True)
class Pending:
    """The moving parts of a dialogue beside its journal.

    `number`: the complaint asked about, None for a new one; `symptom`: chosen, its place not told;
    `listed`: own words confirmed or passed over, and `panel` and `answers` what they gave so far;
    `going_on`: asked on although there is a reason to stop; `pause`: checks till the next pause, 0
    for the usual.
    """

    number: int | None = None
    symptom: str = ""
    listed: bool = False
    panel: str = ""
    answers: Mapping[str, Answer] = field(default_factory=dict)
    going_on: bool = False
    pause: int = 0


def to_data(pending: Pending) -> dict[str, Any]:
    """As JSON can say it."""
    return {
        "number": pending.number,
        "symptom": pending.symptom,
        "listed": pending.listed,
        "panel": pending.panel,
        "answers": {check: write(answer) for check, answer in pending.answers.items()},
        "going_on": pending.going_on,
        "pause": pending.pause,
    }


def from_data(base: Base, data: Mapping[str, Any]) -> Pending:
    """What was kept; what the rule base no longer knows is left out."""
    answers = {}
    for check, said in dict(data.get("answers", {})).items():
        if check in base.checks:
            try:
                answers[check] = _read(base, check, said)
            except BadAnswer:
                continue
    symptom = str(data.get("symptom", ""))
    return Pending(
        number=data.get("number"),
        symptom=symptom if symptom in base.symptoms else "",
        listed=bool(data.get("listed")),
        panel=str(data.get("panel", "")),
        answers=answers,
        going_on=bool(data.get("going_on")),
        pause=int(data.get("pause", 0)),
    )


def _read(base: Base, check: str, said: Any) -> Answer:
    if isinstance(said, list):
        return parse_all(base.checks[check], [str(part) for part in said])
    return parse(base.checks[check], str(said))
