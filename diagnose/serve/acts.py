"""What each form does to a dialogue, and where it leads.

A form that no longer fits what stands (a page gone back to, another phone meanwhile) does nothing
and says so; what was chosen on it is shown again, so that nothing is lost.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.facts import FIELDS, as_fact, wrong_fact
from diagnose.dialogue.own_words import ReadText
from diagnose.dialogue.search import named_symptom
from diagnose.dialogue.step import Stage
from diagnose.dialogue.words import doubts, told
from diagnose.knowledge.logic.answers import Answer, BadAnswer, parse, parse_all
from diagnose.knowledge.model import Check
from diagnose.knowledge.model.kinds import NOTHING, NumberKind
from diagnose.knowledge.panels import PANELS
from diagnose.records.case.journal import Event, EventKind
from diagnose.serve.desk import Desk, Work
from diagnose.serve.views.look import step_path
from diagnose.typed import clean

BEGINNING = (Stage.WORDS, Stage.CONFIRM, Stage.SYMPTOM, Stage.PANEL)
LONGEST = 2000
"""Characters of what is typed in one field."""


class Refused(Exception):
    """A form that was not taken: where to go instead, and a sentence where there is one to say."""

    def __init__(self, path: str, wrong: str = "") -> None:
        super().__init__(wrong or path)
        self.path, self.wrong = path, wrong


@dataclass(frozen=True, slots=True)
class Sent:
    """A form as it came: whose, of which case and page, with its fields."""

    desk: Desk
    visitor: str
    case_id: str
    mark: str
    fields: Mapping[str, list[str]]
    rest: str = ""

    def one(self, name: str) -> str:
        """The only or last value of a field, without surrounding spaces; '' where there is none."""
        return (self.fields.get(name) or [""])[-1].strip()[:LONGEST]

    def open(self) -> Work:
        """The case as it stands."""
        return self.desk.open(self.visitor, self.case_id)

    def act(self, doing: Callable[[Dialogue], object]) -> Work:
        """Do it, once."""
        return self.desk.act(
            self.visitor, self.case_id, self.mark, lambda work: doing(work.dialogue)
        )

    def stale(self) -> Refused:
        """The page no longer fits what stands."""
        return Refused(f"{self.open().path}/?note=stale")


Act = Callable[[Sent], str]
"""Does what a form says; returns where to go. Raises Refused."""


def _on(work: Work) -> str:
    """To whatever comes next."""
    return step_path(work)


def words(sent: Sent) -> str:
    """Own words, or the name of a symptom, or nothing for the list."""
    text = clean(sent.one("text"))
    work = sent.open()
    if not work.counted(sent.mark) and work.dialogue.step().stage not in BEGINNING:
        raise sent.stale()
    if not text:
        return _on(sent.act(lambda dialogue: dialogue.opening.skip_words()))
    symptom = named_symptom(sent.desk.base, sent.desk.search, text)
    if symptom:
        return _on(sent.act(lambda dialogue: dialogue.name_symptom(symptom)))
    return _on(sent.act(lambda dialogue: dialogue.opening.tell(text)))


def skip(sent: Sent) -> str:
    """To the list of symptoms."""
    if sent.open().dialogue.step().stage not in BEGINNING:
        raise sent.stale()
    return _on(sent.act(lambda dialogue: dialogue.opening.skip_words()))


def confirm(sent: Sent) -> str:
    """What is ticked is taken."""
    work = sent.open()
    if work.counted(sent.mark):
        return _on(work)
    if work.dialogue.step().stage is not Stage.CONFIRM:
        raise sent.stale()
    found = work.dialogue.opening.proposed()
    if sent.one("text") != clean(found.text)[:LONGEST].strip():
        raise sent.stale()
    values = [v for name, its in sent.fields.items() if name.startswith("line") for v in its]
    taken = {int(v) for v in values if v.isascii() and v.isdigit() and int(v) < len(found.lines)}
    return _on(sent.act(lambda dialogue: dialogue.confirm(_ticked(found, taken))))


def _ticked(found: ReadText, taken: set[int]) -> ReadText:
    """A reading with these lines taken and no other."""
    for number in range(len(found.lines)):
        if found.lines[number].taken and number not in taken:
            found = found.turned(number)
    for number in sorted(taken):
        if not found.lines[number].taken:
            found = found.turned(number)
    return found


def symptom(sent: Sent) -> str:
    """It is this symptom."""
    name, base = sent.one("symptom"), sent.desk.base
    work = sent.open()
    if name not in base.symptoms:
        raise sent.stale()
    if work.counted(sent.mark):
        return _on(work) if work.dialogue.symptom == name else f"{work.path}/?note=twice"
    if work.dialogue.step().stage not in BEGINNING:
        raise sent.stale()
    return _on(sent.act(lambda dialogue: _name(dialogue, name)))


def _name(dialogue: Dialogue, symptom: str) -> None:
    if dialogue.step().stage in (Stage.WORDS, Stage.CONFIRM):
        dialogue.opening.skip_words()
    dialogue.say_symptom(symptom)


def place(sent: Sent) -> str:
    """It is here; the symptom comes along, should it no longer stand."""
    panel, name = sent.one("panel"), sent.one("symptom")
    work = sent.open()
    if panel not in PANELS or name not in sent.desk.base.symptoms:
        raise sent.stale()
    counted = work.counted(sent.mark)
    if (
        isinstance(counted, Event)
        and counted.kind is EventKind.COMPLAINED
        and counted.text != panel
    ):
        raise Refused(f"{work.path}/back?note=twice")
    if counted:
        return _on(work)
    if work.dialogue.step().stage not in BEGINNING:
        raise sent.stale()

    def doing(dialogue: Dialogue) -> None:
        if dialogue.symptom != name or dialogue.step().stage is not Stage.PANEL:
            _name(dialogue, name)
        if dialogue.step().stage is Stage.PANEL:
            dialogue.say_panel(panel)

    return _on(sent.act(doing))


# Questions


def ask(sent: Sent) -> str:
    """An answer, that there is none, or that one is withdrawn."""
    check = sent.desk.base.checks.get(sent.rest)
    work = sent.open()
    if check is None or work.dialogue.complaint is None:
        raise sent.stale()
    path = f"{work.path}/ask/{check.id}"
    match sent.one("do"):
        case "aside":
            return _on(sent.act(lambda dialogue: dialogue.cannot_here(check.id)))
        case "take_back":
            return _on(sent.act(lambda dialogue: dialogue.take_back(check.id)))
        case "unknown" | "nothing" as word:
            answer = parse(check, NOTHING if word == "nothing" else word)
        case _:
            try:
                answer = _answer(check, sent)
            except BadAnswer as error:
                typed = sent.one("number")
                more = {"wrong": told(check, error), "typed": typed}
                if "several" in sent.fields:
                    more["several"] = "1"
                raise Refused(f"{path}?{urlencode(more)}", told(check, error)) from None
    _see_others(sent, work, check, answer, path)
    before = _doubts(work.dialogue)
    after = sent.act(lambda dialogue: dialogue.answer(check.id, answer))
    fresh = [name for name in _doubts(after.dialogue) if name not in before]
    return f"{after.path}/doubt/{fresh[0]}" if fresh else _on(after)


def _answer(check: Check, sent: Sent) -> Answer:
    given = [value.strip()[:LONGEST] for value in sent.fields.get("answer", [])]
    if isinstance(check.kind, NumberKind):
        if given:
            return parse(check, given[-1])
        low, high = (_point(check, sent.one(name)) for name in ("number", "upto"))
        if not low:
            raise BadAnswer(f"{check.id}: no number stands there: type one, or choose below")
        sign = "-" if sent.one("below") else ""
        return parse(check, f"{sign}{low}..{high}" if high else f"{sign}{low}")
    if not given:
        raise BadAnswer(f"{check.id}: nothing is ticked: tick what may be so")
    return parse_all(check, given)


def _point(check: Check, text: str) -> str:
    """A number with a point: many keypads have only a comma."""
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", text):
        plain, part = text.replace(",", ""), text.replace(",", ".")
        raise BadAnswer(f"{check.id}: '{text}' can be read two ways: write {plain} or {part}")
    return re.sub(r"(?<=\d),(?=\d)", ".", text)


def _see_others(sent: Sent, work: Work, check: Check, answer: Answer, path: str) -> None:
    """Raise Refused where this was answered since the page was made, and otherwise."""
    counted = work.counted(sent.mark)
    if isinstance(counted, Event):
        if counted.answer not in (None, answer):
            raise Refused(f"{path}?{_chosen('twice', sent)}")
        return
    seen = sent.one("seen")
    since = int(seen) if seen.isascii() and seen.isdigit() else 0
    others = [
        e
        for e in work.journal.events()[since:]
        if e.kind is EventKind.ANSWERED and e.key == check.id and e.answer != answer
    ]
    if others:
        raise Refused(f"{path}?{_chosen('meanwhile', sent)}")


def _chosen(note: str, sent: Sent) -> str:
    return urlencode(
        {
            "note": note,
            "chosen": ",".join(sent.fields.get("answer", [])),
            "typed": sent.one("number"),
        }
    )


def _doubts(dialogue: Dialogue) -> list[str]:
    diagnosis = dialogue.diagnosis()
    return [d.id for d in doubts(dialogue.base, diagnosis)] if diagnosis else []


def go(sent: Sent) -> str:
    """The ways on that are the same everywhere."""
    work = sent.open()
    dialogue = work.dialogue
    if dialogue.complaint is None and sent.one("do") not in ("undo", "look", "another"):
        raise sent.stale()
    match sent.one("do"):
        case "conclude":
            if dialogue.step().stage is Stage.CONCLUDED:
                return _on(work)
            return _on(sent.act(lambda d: d.conclude()))
        case "another":
            return _on(sent.act(_another))
        case "on":
            return _on(sent.act(lambda d: d.go_on()))
        case "undo":
            return _on(sent.act(lambda d: d.undo()))
        case "rather" if sent.one("symptom") in sent.desk.base.symptoms:
            name = sent.one("symptom")
            return _on(sent.act(lambda d: d.rather(name)))
        case "look":
            number = sent.one("number")
            numbers = {str(c.number): c.number for c in dialogue.case.complaints}
            if number in numbers:
                return _on(sent.act(lambda d: d.look_at(numbers[number])))
    raise sent.stale()


def _another(dialogue: Dialogue) -> None:
    """Conclude what was asked about, and begin another complaint."""
    if dialogue.complaint is not None and dialogue.step().stage is not Stage.CONCLUDED:
        dialogue.conclude()
    dialogue.another_complaint()


def facts(sent: Sent) -> str:
    """Vehicle and film: what changed is written down."""
    work = sent.open()
    known = work.dialogue.case.facts
    base, today = sent.desk.base, sent.desk.clock().date()
    typed = {key: clean(sent.one(key)) for key, _, _ in FIELDS if key in sent.fields}
    given = {key: as_fact(base, key, value, today) for key, value in typed.items()}
    changed = {k: v for k, v in given.items() if v != known.get(k, "")}
    wrong = [words for key, value in changed.items() if (words := wrong_fact(key, value))]
    good = {k: v for k, v in changed.items() if not wrong_fact(k, v)}
    if good:
        work = sent.act(lambda dialogue: _note(dialogue, good))
    if wrong:
        back = {f"typed_{k}": v for k, v in changed.items() if k not in good}
        more = urlencode({"wrong": "; ".join(wrong), **back})
        raise Refused(f"{work.path}/facts?{more}", "; ".join(wrong))
    return f"{work.path}/facts?note=kept"


def _note(dialogue: Dialogue, given: Mapping[str, str]) -> None:
    for key, value in given.items():
        dialogue.note(key, value)


ACTS: Mapping[str, Act] = {
    "words": words,
    "skip": skip,
    "confirm": confirm,
    "symptom": symptom,
    "place": place,
    "ask": ask,
    "go": go,
    "facts": facts,
}
"""What the forms of a case do, by the word in their address."""
