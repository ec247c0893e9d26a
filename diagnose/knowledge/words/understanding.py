"""What a person's own words say: symptom, place and answers, each with the words it is read from.

What is said in so many words is sure. What is said with a 'perhaps', is misspelt, follows from
something else that was said, or stands against other words is proposed and never taken unasked.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from itertools import chain
from typing import Literal

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer, parse
from diagnose.knowledge.model import Entry, TimeTold
from diagnose.knowledge.model import NumberTold as AmountWords
from diagnose.knowledge.words.amounts import Amount, AmountReader, month_before
from diagnose.knowledge.words.deciding import Clue, VehicleSide, decided
from diagnose.knowledge.words.lexicon import REACH, Hit, Lexicon, Means
from diagnose.knowledge.words.likeness import Likeness
from diagnose.knowledge.words.proposal import TextSpan, Understood
from diagnose.knowledge.words.runs import Run, Runs
from diagnose.knowledge.words.spelling import Spelling
from diagnose.knowledge.words.vocabulary import NOT, Clause, stems_in
from diagnose.measures.quantity import Quantity

NEAR = 5
"""Words between a number and the word that says what it is the number of."""

NUMBER = 2.0
"""What a number weighs beside words: a number and the word beside it."""

HINT = 0.5
"""What a time weighs that is told of something else: 'seven years old' of when it was seen."""


@dataclass(frozen=True, slots=True)
class _Cue:
    """What a run of words stands for: a guess, doubt, laying, or what a number belongs to."""

    role: Literal["perhaps", "unsure", "laid", "told", "hint", "amount"]
    number: int = 0


@dataclass
class _Said:
    """What has been found so far: pieces, sides, and which characters said something."""

    pieces: list[Clue] = field(default_factory=list)
    sides: list[VehicleSide] = field(default_factory=list)
    used: list[TextSpan] = field(default_factory=list)

    def add(self, piece: Clue) -> None:
        self.pieces.append(piece)
        self.used.append(piece.span)


class Understanding:
    """Reads texts with the words of a rule base; made once, for that takes a moment."""

    def __init__(self, base: Base) -> None:
        self._base = base
        self._wording = base.words
        self.lexicon = Lexicon(base)
        self.vocabulary = self.lexicon.vocabulary
        self._amounts = AmountReader(base.words, self.vocabulary)
        self._cues = Runs(self._said_cues())

    def _said_cues(self) -> Iterator[tuple[tuple[str, ...], _Cue]]:
        wording = self._wording
        for words in wording.perhaps:
            yield self.vocabulary.meant(words), _Cue("perhaps")
        for words in wording.unsure:
            yield self.vocabulary.meant(words), _Cue("unsure")
        for words in wording.laid:
            yield self.vocabulary.meant(words), _Cue("laid")
        for number, told in enumerate(wording.told):
            for words in told.words:
                yield self.vocabulary.meant(words), _Cue("told", number)
            for words in told.hints:
                yield self.vocabulary.meant(words), _Cue("hint", number)
        for number, amount in enumerate(wording.amounts):
            for words in amount.words:
                yield self.vocabulary.meant(words), _Cue("amount", number)

    @cached_property
    def _likeness(self) -> Likeness:
        return Likeness(self._base, self.vocabulary)

    @cached_property
    def spelling(self) -> Spelling:
        """The words known: those that mean something, and all that the rules say in prose."""
        wording, vocabulary = self._wording, self.vocabulary
        small = (*wording.fillers, *wording.stops, *wording.no, *wording.little)
        known = stems_in(vocabulary, chain(texts_of(self._base), small))
        wanted = {part for word in self.lexicon.words for part in word.split("_")}
        return Spelling(known, vocabulary.written(wanted | vocabulary.words))

    # reading

    def clauses(self, text: str) -> tuple[Clause, ...]:
        """The clauses of a text, misspelt words as what they stand for."""
        return self.vocabulary.clauses(text, self.spelling)

    def read(self, text: str, today: date | None = None) -> Understood:
        """What a text says; a month is the latest of its name before `today`."""
        clauses = self.clauses(text)
        amounts = list(self._amounts.read(text))
        said = _Said()
        for number, clause in enumerate(clauses):
            follows = clauses[number + 1].meant[0] if number + 1 < len(clauses) else ""
            cues = list(self._cues.find(clause.meant))
            self._phrases(clause, self.lexicon.hits(clause, follows), cues, said)
            self._numbers(clause, amounts, cues, said)
            if today is not None:
                self._months(clause, cues, today, said)
        found = decided(self._base, text, said.pieces, said.sides, self._likeness.of(clauses))
        return replace(found, kept=tuple(_left(text, clauses, said.used)))

    def _phrases(
        self, clause: Clause, hits: Sequence[Hit], cues: Sequence[Run[_Cue]], said: _Said
    ) -> None:
        for hit in hits:
            # A word that is part of the phrase, as in 'nothing seems wrong', casts no doubt on it.
            roles = {run.key.role for run in cues if not hit.holds(run.first, run.after)}
            means = hit.means
            if "unsure" in roles:
                if means.kind in ("answer", "topic"):
                    said.add(self._piece(clause, hit, UNKNOWN, sure=True))
            elif hit.denied or means.kind == "topic":
                continue
            elif means.kind == "side":
                piece = self._piece(clause, hit, means.subject, sure=True)
                said.sides.append(VehicleSide(means.subject, piece.span))
                said.used.append(piece.span)
            else:
                said.add(self._piece(clause, hit, self._value(means), "perhaps" not in roles))

    def _piece(self, clause: Clause, hit: Hit, value: Answer, sure: bool) -> Clue:
        words = [clause.words[at] for at in hit.at]
        slips = any(word.guessed for word in words)
        kind = hit.means.kind
        return Clue(
            kind if kind in ("symptom", "place") else "answer",
            hit.means.subject if kind in ("answer", "topic") else "",
            value,
            len(words),
            TextSpan(words[0].start, words[-1].end),
            sure and not slips,
            " ".join(word.meant for word in words),
        )

    def _value(self, means: Means) -> Answer:
        check = self._base.checks.get(means.subject)
        if means.kind == "answer" and check:
            return parse(check, means.value)
        return means.value or means.subject

    # numbers, times and dates

    def _numbers(
        self,
        clause: Clause,
        amounts: Sequence[Amount],
        cues: Sequence[Run[_Cue]],
        said: _Said,
    ) -> None:
        about = self.vocabulary.little
        for amount in amounts:
            inside = [
                at for at, w in enumerate(clause.words) if amount.start <= w.start < amount.end
            ]
            if inside and len(inside) == sum(w.meant not in about for w in clause.words):
                self._alone(amount, said)
            if inside and NOT not in clause.meant[max(0, inside[0] - REACH) : inside[0]]:
                for cue, word in _beside(clause, range(inside[0], inside[-1] + 1), cues):
                    for piece in self._told(cue, amount, word):
                        said.add(piece)

    def _alone(self, amount: Amount, said: _Said) -> None:
        """What a statement says that is nothing but a number: an age, perhaps."""
        span = TextSpan(amount.start, amount.end)
        for its in self._wording.amounts:
            for piece in self._counted(its, amount, span) if its.alone else ():
                said.add(replace(piece, sure=False))

    def _told(self, cue: _Cue, amount: Amount, word: TextSpan) -> Iterator[Clue]:
        """What a number says beside a word."""
        span = TextSpan(min(amount.start, word.start), max(amount.end, word.end))
        if cue.role in ("told", "hint"):
            told = self._wording.told[cue.number]
            value = self._after(told, amount)
            if value and cue.role == "told":
                yield Clue("answer", told.check, value, NUMBER, span, True)
            elif value:
                yield Clue("answer", told.check, value, HINT, span, False)
        elif cue.role == "amount":
            yield from self._counted(self._wording.amounts[cue.number], amount, span)

    def _after(self, told: TimeTold, amount: Amount) -> str:
        """The answer that a time gives, '' where it is no time."""
        days = self._amounts.days(amount)
        if days is None:
            return ""
        return next(v for v, end in told.ends.items() if end is None or days[1] <= end)

    def _counted(self, its: AmountWords, amount: Amount, span: TextSpan) -> Iterator[Clue]:
        check = self._base.checks[its.check]
        if amount.unit or not its.needs_unit:
            value = self._amounts.reading(amount, check)
            if value is not None:
                yield Clue("answer", check.id, value, NUMBER, span, True)

    @cached_property
    def _names(self) -> dict[str, int]:
        stem = self.vocabulary.stem
        return {stem(name.casefold()): n for n, name in enumerate(self._wording.months, 1)}

    def _months(self, clause: Clause, cues: Sequence[Run[_Cue]], today: date, said: _Said) -> None:
        """The age that 'laid in May' gives, from the month's last day to its first."""
        age = self._base.role("age")
        if not age or not any(run.key.role == "laid" for run in cues):
            return
        for word in clause.words:
            if word.meant in self._names:
                first, last = month_before(self._names[word.meant], today)
                ages = [round((today - day).days * 12 / 365.25, 1) for day in (last, first)]
                span = TextSpan(word.start, word.end)
                said.add(Clue("answer", age, Quantity(*ages), NUMBER, span, True))


def _beside(
    clause: Clause, inside: range, cues: Sequence[Run[_Cue]]
) -> Iterator[tuple[_Cue, TextSpan]]:
    """Each thing that a number may belong to, with the nearest word for it."""
    found: dict[_Cue, tuple[int, Run[_Cue]]] = {}
    for run in cues:
        gap = max(run.first - inside[-1], inside[0] - run.after + 1, 0)
        if gap <= NEAR and (run.key not in found or gap < found[run.key][0]):
            found[run.key] = (gap, run)
    told = {cue.number for cue in found if cue.role == "told"}
    for cue, (_, run) in found.items():
        if cue.role != "hint" or cue.number not in told:
            yield cue, TextSpan(clause.words[run.first].start, clause.words[run.after - 1].end)


def _left(text: str, clauses: Sequence[Clause], used: Sequence[TextSpan]) -> Iterator[str]:
    """The clauses of which no word said anything."""
    for clause in clauses:
        if not any(span.start < clause.end and clause.start < span.end for span in used):
            yield " ".join(text[clause.start : clause.end].split())


def texts_of(base: Base) -> Iterator[str]:
    """All that a rule base says in prose."""
    for section in (base.symptoms, base.checks, base.causes, base.remedies, base.findings):
        for entry in section.values():
            yield from _texts(entry)


def _texts(part: object) -> Iterator[str]:
    if isinstance(part, str):
        yield part
    elif isinstance(part, Entry):
        for _, value in part:
            yield from _texts(value)
    elif isinstance(part, tuple | list):
        for value in part:
            yield from _texts(value)
    elif isinstance(part, dict):
        for value in part.values():
            yield from _texts(value)
