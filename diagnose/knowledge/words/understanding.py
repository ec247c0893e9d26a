"""What a person's own words say: symptom, place and answers, each with the words it is read from.

What is said in so many words is sure. What is said with a 'perhaps', is misspelt, follows from
something else that was said, or stands against other words is proposed and never taken unasked.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from itertools import chain
from typing import Literal

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer, parse
from diagnose.knowledge.model import NumberTold as AmountWords
from diagnose.knowledge.model import TimeTold
from diagnose.knowledge.words.amounts import DEGREES, Amount, AmountReader
from diagnose.knowledge.words.days import DayReader, Days, lies_between
from diagnose.knowledge.words.deciding import Clue, VehicleSide, decided
from diagnose.knowledge.words.lexicon import REACH, Hit, Lexicon, Means
from diagnose.knowledge.words.likeness import Likeness
from diagnose.knowledge.words.proposal import Named, TextSpan, Understood
from diagnose.knowledge.words.prose import texts_of
from diagnose.knowledge.words.runs import Run, Runs
from diagnose.knowledge.words.spelling import Spelling
from diagnose.knowledge.words.undated import undated
from diagnose.knowledge.words.vocabulary import NOT, Clause, stems_in

NEAR = 5
"""Words between a number and the word that says what it is the number of."""

NUMBER = 2.0
"""What a number weighs beside words: a number and the word beside it."""

HINT = 0.5
"""What a time weighs that is told of something else: 'seven years old' of when it was seen."""


@dataclass(frozen=True, slots=True)
class _Cue:
    """What a run of words stands for: a guess, doubt, laying, or what a number belongs to."""

    role: Literal[
        "perhaps",
        "unsure",
        "dated",
        "told",
        "hint",
        "amount",
        "along",
        "unless",
        "outside",
        "later_owner",
    ]
    number: int = 0
    fact: str = ""


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
        self._days = DayReader(base.words)
        self._cues = Runs(self._said_cues())

    def _said_cues(self) -> Iterator[tuple[tuple[str, ...], _Cue]]:
        wording = self._wording
        for words in wording.perhaps:
            yield self.vocabulary.meant(words), _Cue("perhaps")
        for words in wording.unsure:
            yield self.vocabulary.meant(words), _Cue("unsure")
        for fact, its in wording.dates.items():
            for words in its:
                yield self.vocabulary.meant(words), _Cue("dated", fact=fact)
        for words in wording.outside:
            yield self.vocabulary.meant(words), _Cue("outside")
        for words in wording.later_owner:
            yield self.vocabulary.meant(words), _Cue("later_owner")
        for number, told in enumerate(wording.told):
            for words in told.words:
                yield self.vocabulary.meant(words), _Cue("told", number)
            for words in told.hints:
                yield self.vocabulary.meant(words), _Cue("hint", number)
        for number, amount in enumerate(wording.amounts):
            for words in amount.words:
                yield self.vocabulary.meant(words), _Cue("amount", number)
            for words in amount.along:
                yield self.vocabulary.meant(words), _Cue("along", number)
            for words in amount.unless:
                yield self.vocabulary.meant(words), _Cue("unless", number)

    @cached_property
    def _likeness(self) -> Likeness:
        return Likeness(self._base, self.vocabulary)

    @cached_property
    def spelling(self) -> Spelling:
        """The words known: those that mean something, and all that the rules say in prose."""
        wording, vocabulary = self._wording, self.vocabulary
        short = (name[:3].casefold() for name in wording.months)
        small = (*wording.fillers, *wording.stops, *wording.no, *wording.little)
        known = stems_in(vocabulary, chain(texts_of(self._base), small, short))
        wanted = {part for word in self.lexicon.words for part in word.split("_")}
        return Spelling(known, vocabulary.written(wanted | vocabulary.words), self.lexicon.often)

    # reading

    def clauses(self, text: str) -> tuple[Clause, ...]:
        """The clauses of a text, misspelt words as what they stand for."""
        return self.vocabulary.clauses(text, self.spelling)

    def read(self, text: str, today: date | None = None) -> Understood:
        """What a text says; a month is the latest of its name before `today`."""
        clauses = self.clauses(text)
        days = list(self._days.read(text, today)) if today is not None else []
        amounts = [a for a in self._amounts.read(text) if not any(_meet(a, its) for its in days)]
        said = _Said()
        dated: dict[str, Days] = {}
        named: list[Named] = []
        for number, clause in enumerate(clauses):
            follows = clauses[number + 1].meant[0] if number + 1 < len(clauses) else ""
            cues = list(self._cues.find(clause.meant))
            hits = self._apart(clause, self.lexicon.hits(clause, follows))
            self._phrases(clause, hits, cues, said)
            self._numbers(clause, amounts, cues, said)
            named += _named(text, clause, cues)
            for its in days:
                if clause.start <= its.start < clause.end:
                    self._dated(clause, its, cues, dated)
        if today is not None:
            self._between(dated, today, said)
        found = decided(self._base, text, said.pieces, said.sides, self._likeness.of(clauses))
        left = tuple(_left(text, clauses, said.used))
        return replace(found, kept=left, named=tuple(named))

    def dated(
        self, text: str, today: date, open_: Container[str] = frozenset()
    ) -> Mapping[str, Days]:
        """The days that notes tell, by what they are the day of; the latest before `today`.

        Of days without such a word the first, well before all others, is that of the job; where it
        is `open_` when it was claimed, the last is that, as is one with which a note begins.
        """
        days = list(self._days.read_short(text, today))
        found: dict[str, Days] = {}
        left = {*days}
        for clause in self.clauses(text) if days else ():
            cues = list(self._cues.find(clause.meant))
            for its in days:
                if clause.start <= its.start < clause.end:
                    before = dict(found)
                    self._dated(clause, its, cues, found)
                    if found != before or any(run.key.role == "dated" for run in cues):
                        left.discard(its)
        return {**found, **undated(text, days, left, found, today, open_)}

    def day_of(self, text: str, today: date) -> Days | None:
        """The one day, or stretch of days, that a cell for a day tells in words."""
        days = list(self._days.read_short(text, today))
        return days[0] if days and all(its.first >= days[0].first for its in days) else None

    def _apart(self, clause: Clause, hits: Sequence[Hit]) -> list[Hit]:
        """The phrases, without those that take a word out of a place or number it is part of.

        In 'nearside front wing peels at the edge' nothing is said of a front edge, and 'a quarter
        inch' is no rear quarter.
        """
        places = [set(hit.at) for hit in hits if hit.means.kind == "place" and hit.size > 1]
        return [hit for hit in hits if not self._torn_out(clause, hit, places)]

    def _torn_out(self, clause: Clause, hit: Hit, places: Sequence[set[int]]) -> bool:
        own = set(hit.at)
        if hit.means.kind == "place":
            after = clause.words[max(own) + 1 :]
            counts = all(clause.words[at].text.casefold() in self._wording.counts for at in own)
            return counts and bool(after) and self._amounts.is_unit(after[0].text.casefold())
        if any(own < its for its in places) and self._of_the_vehicle(hit.means):
            return True
        shared = [own & its for its in places if own - its and its - own]
        little = self.vocabulary.little
        return hit.means.kind == "answer" and any(
            its and all(clause.words[at].meant in little for at in its) for its in shared
        )

    def _of_the_vehicle(self, means: Means) -> bool:
        """Whether an answer is about the whole vehicle: a fuel flap says nothing of fuel on it."""
        return means.kind == "answer" and self._base.checks[means.subject].scope == "vehicle"

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
        along = {run.key.number for run in cues if run.key.role == "along"}
        cues = [run for run in cues if self._goes_along(run.key, along)]
        for amount in amounts:
            inside = [
                at for at, w in enumerate(clause.words) if amount.start <= w.start < amount.end
            ]
            if inside and len(inside) == sum(w.meant not in about for w in clause.words):
                self._alone(amount, said)
            if inside and NOT not in clause.meant[max(0, inside[0] - REACH) : inside[0]]:
                span = range(inside[0], inside[-1] + 1)
                for cue, word in _beside(clause, span, cues, about):
                    for piece in self._told(cue, amount, word):
                        said.add(piece)

    def _goes_along(self, cue: _Cue, along: Container[int]) -> bool:
        """Whether a word beside a number says so alone, or what it needs stands beside it."""
        needs = cue.role == "amount" and bool(self._wording.amounts[cue.number].along)
        return not needs or cue.number in along

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
                sure = amount.unit not in DEGREES
                yield Clue("answer", check.id, value, NUMBER, span, sure)

    def _dated(
        self, clause: Clause, its: Days, cues: Sequence[Run[_Cue]], dated: dict[str, Days]
    ) -> None:
        """What a day is the day of, by the nearest word for it; told twice, the first counts."""
        at = [n for n, w in enumerate(clause.words) if its.start <= w.start < its.end]
        near = [(_gap(run, at), run.key.fact) for run in cues if run.key.role == "dated" and at]
        if near:
            dated.setdefault(min(near)[1], its)

    def _between(self, dated: Mapping[str, Days], today: date, said: _Said) -> None:
        """The answers that lie between the days told."""
        for check in self._base.checks.values():
            value = lies_between(check, dated, today) if dated else None
            sides = (*check.between.since, *check.between.until) if check.between else ()
            told = [dated[name] for name in sides if name in dated]
            if value is None:
                continue
            for its in told:
                span = TextSpan(its.start, its.end)
                sure = all(days.sure for days in told)
                said.add(Clue("answer", check.id, value, NUMBER, span, sure, "day"))


def _beside(
    clause: Clause, inside: range, cues: Sequence[Run[_Cue]], little: Set[str]
) -> Iterator[tuple[_Cue, TextSpan]]:
    """Each thing that a number may belong to, with the nearest word for it.

    A small word stands right beside its number: 'on three years', and not 'on both doors two days'.
    """
    found: dict[_Cue, tuple[int, Run[_Cue]]] = {}
    for run in cues:
        gap = _gap(run, inside)
        near = 1 if set(clause.meant[run.first : run.after]) <= little else NEAR
        if gap <= near and (run.key not in found or gap < found[run.key][0]):
            found[run.key] = (gap, run)
    told = {cue.number for cue in found if cue.role == "told"}
    for cue, (gap, run) in found.items():
        if cue.role == "hint" and cue.number in told:
            continue
        if cue.role != "amount" or _belongs(found, cue, gap):
            yield cue, TextSpan(clause.words[run.first].start, clause.words[run.after - 1].end)


def _gap(run: Run[_Cue], inside: Sequence[int]) -> int:
    """How many words lie between a run and some words of its clause."""
    return max(run.first - inside[-1], inside[0] - run.after + 1, 0)


def _belongs(found: Mapping[_Cue, tuple[int, Run[_Cue]]], cue: _Cue, gap: int) -> bool:
    """Whether a number is what the word beside it says, and nothing as near says otherwise."""
    other = found.get(_Cue("unless", cue.number))
    return other is None or other[0] > gap


def _meet(amount: Amount, days: Days) -> bool:
    return amount.start < days.end and days.start < amount.end


def _named(text: str, clause: Clause, cues: Sequence[Run[_Cue]]) -> Iterator[Named]:
    """What is named in a clause beside answers, unless a 'no' stands before it; a doubt is none."""
    doubt = {at for run in cues if run.key.role == "unsure" for at in range(run.first, run.after)}
    for run in cues:
        role = run.key.role
        if role == "outside" or role == "later_owner":
            before = range(max(0, run.first - REACH), run.first)
            if not any(clause.meant[at] == NOT and at not in doubt for at in before):
                span = TextSpan(clause.words[run.first].start, clause.words[run.after - 1].end)
                yield Named(role, span, " ".join(text[clause.start : clause.end].split()))


def _left(text: str, clauses: Sequence[Clause], used: Sequence[TextSpan]) -> Iterator[str]:
    """The clauses of which no word said anything."""
    for clause in clauses:
        if not any(span.start < clause.end and clause.start < span.end for span in used):
            yield " ".join(text[clause.start : clause.end].split())
