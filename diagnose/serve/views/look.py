"""Who looks at what, and what every page of a case shows."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.step import Stage, Step
from diagnose.dialogue.words import complaint_words
from diagnose.serve.desk import Desk, Work
from diagnose.serve.page import Go, Page

LONGEST_WRONG = 400
"""Characters of what is said to be wrong with a form."""

NOTES = {
    "twice": "This page had been sent before; it counts once. What you chose now was not taken:"
    " change the answer here if it should be.",
    "meanwhile": "Another phone answered this meanwhile. Look which answer holds.",
    "stale": "This page was out of date: here is where it stands now.",
    "kept": "Kept.",
}


@dataclass(frozen=True, slots=True)
class Look:
    """Who looks at what: the case at hand, and what the address says beside it."""

    desk: Desk
    visitor: str
    work: Work
    query: Mapping[str, str]
    rest: str = ""
    photos_left: int = 0

    @property
    def dialogue(self) -> Dialogue:
        """The dialogue of the case."""
        return self.work.dialogue


View = Callable[[Look], Page | Go]


def step_path(work: Work, step: Step | None = None) -> str:
    """The page of what the dialogue waits for now."""
    step = step or work.dialogue.step()
    names = {
        Stage.WORDS: "words",
        Stage.CONFIRM: "confirm",
        Stage.SYMPTOM: "symptom",
        Stage.PANEL: "place",
        Stage.CHECK: f"ask/{step.check.id if step.check else ''}",
        Stage.ENOUGH: "enough",
        Stage.CONCLUDED: "done",
    }
    return f"{work.path}/{names[step.stage]}"


def page(look: Look, template: str, **values: object) -> Page:
    """A page of a case, with what every one of them shows."""
    dialogue = look.dialogue
    complaint = dialogue.complaint
    about = _short(complaint_words(dialogue.base, complaint)) if complaint else "New complaint"
    begun = bool(look.work.case_id)
    common = {
        "path": look.work.path,
        "about": about,
        "case": look.work.case_id,
        "begun": begun,
        "asking": complaint is not None,
        "events": len(look.work.journal.events()) if begun else 0,
        "note": NOTES.get(look.query.get("note", ""), ""),
    }
    return Page(template, {**common, **values})


def _short(words: str) -> str:
    """Without what stands in brackets: the head of a page is narrow."""
    return re.sub(r" \([^()]*\)", "", words)
