"""What a cause makes of a check's answers: its row, from what it says that it shows.

A row is P(answer | cause) over the answers of one check: the stated numbers of a hundred, and what
they leave shared out over the other answers by the usual shares b. Its weight on an answer is
10·log10(P(a | cause)/b(a)), so that silence speaks too: a mark that a cause nearly always leaves,
looked for and not found, speaks against it by as much as it should. An answer of which a cause
shows none rules it out. What a row says in words is read off these weights (`said.py`).

Of answers that can be right together (`several`) each is a yes or no of its own, with a usual share
b of its own and, given the cause, apart from the others. Its number says P(yes | cause); an answer
without one is met as often as usual and says nothing. What is so weighs 10·log10(P/b), what is not
so 10·log10((1 - P)/(1 - b)), and the weight of a set is the sum over all answers: exact as long as
the answers hang together by the cause alone, which is what every two checks are taken to do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import isclose, log10
from types import MappingProxyType

from diagnose.knowledge.logic.cause_row import DIGITS, CauseRow
from diagnose.knowledge.logic.estimated import (
    NOT_MET,
    NOT_MOVED,
    NOTHING_ESTIMATED,
    Estimated,
    EstimatedOfCause,
    Leaning,
    Met,
    Moved,
    as_moved,
)
from diagnose.knowledge.logic.experience import Learned
from diagnose.knowledge.logic.named import NoTable
from diagnose.knowledge.logic.said import NOT_ONE, Said, Saying, rule_outs, turning
from diagnose.knowledge.model import (
    REST,
    Cause,
    Observable,
    Scales,
    ShownAnswers,
    Symptom,
)
from diagnose.knowledge.model.kinds import SeveralKind

NOTHING: Mapping[str, Learned] = MappingProxyType({})
Shares = tuple[float, ...]

RowKey = tuple[str, str, tuple[int, ...], Shares, Shares, bool, Shares | None]
"""What a row as judged rests on: cause, check, its entries by place, usual shares, those meant,
whether it was estimated, and its moves."""

HUNDRED = 1e-6
"""How far the numbers of a whole row may be from a hundred."""


@dataclass(frozen=True, slots=True)
class Made:
    """What the rows of a rule base share, so that each is there once for all symptoms.

    `rows`: those as judged, by what they rest on. `said`: signs and rule-outs, by all that they
    say: most rows of a cause say the same with other numbers.
    """

    rows: dict[RowKey, CauseRow] = field(default_factory=dict)
    said: Said = field(default_factory=dict)


def usual(
    observable: Observable, symptom: Symptom | None = None, met: Met = NOT_MET
) -> tuple[float, ...]:
    """The usual shares of a check's answers at a symptom, or over all callbacks; they sum to one.

    What a symptom does not name shares the rest in proportion to the shares over all callbacks.
    Where it names nothing of a check, the shares `met` there by estimates hold.
    """
    stated = symptom.usual.get(observable.id) if symptom else None
    if not stated:
        return met.get(observable.id, observable.shares)
    parts = [stated.get(label) for label in observable.labels]
    if isinstance(observable.kind, SeveralKind):
        each = zip(parts, observable.shares, strict=True)
        return tuple(b if p is None else p / 100 for p, b in each)
    left = _left(observable, [None if p is None else p / 100 for p in parts], observable.shares)
    return tuple(
        b * left if p is None else p / 100 for p, b in zip(parts, observable.shares, strict=True)
    )


def stating(cause: Cause, check: str, symptom: str | None) -> tuple[ShownAnswers, ...]:
    """The entries that form a cause's row on a check: those at this symptom, else the general."""
    return stated_at(cause, symptom).get(check, ())


def stated_at(cause: Cause, symptom: str | None) -> dict[str, tuple[ShownAnswers, ...]]:
    """By check the entries that form a cause's row: those at this symptom, else the general."""
    general: dict[str, list[ShownAnswers]] = {}
    here: dict[str, list[ShownAnswers]] = {}
    for entry in cause.shows:
        if not entry.at:
            general.setdefault(entry.check, []).append(entry)
        elif symptom in entry.at:
            here.setdefault(entry.check, []).append(entry)
    return {name: tuple(its) for name, its in {**general, **here}.items()}


class UsualHere:
    """The usual shares of checks at a symptom, or over all callbacks, each reckoned once."""

    def __init__(
        self,
        observables: Mapping[str, Observable],
        symptom: Symptom | None = None,
        met: Met = NOT_MET,
    ) -> None:
        self.observables = observables
        self.symptom = symptom
        self._met = met
        self._shares: dict[str, tuple[float, ...]] = {}
        self._meant: dict[str, tuple[float, ...]] = {}

    def shares(self, check: str) -> tuple[float, ...]:
        """How often the answers of a check are met here."""
        if check not in self._shares:
            its = usual(self.observables[check], self.symptom, self._met)
            self._shares[check] = its if check in self._met else self.meant(check)
        return self._shares[check]

    def meant(self, check: str) -> tuple[float, ...]:
        """Those that the reasons were written against: without what estimates come to."""
        if check not in self._meant:
            self._meant[check] = usual(self.observables[check], self.symptom)
        return self._meant[check]


def rows(
    cause: Cause,
    scales: Scales,
    here: UsualHere,
    learned: Mapping[str, Learned] = NOTHING,
    known: EstimatedOfCause = NOTHING_ESTIMATED,
    made: Made | None = None,
    moves: Moved = NOT_MOVED,
) -> dict[str, CauseRow]:
    """What a cause makes of each check and measure that it shows something on.

    What a symptom shows by itself is evidence for nobody there and has no row. `learned`: by check,
    what closed cases made of it; `known`: what was estimated; `moves`: what whole complaints make
    of that. `made`: what other symptoms and causes have made already and rests on the same. Where
    something was learned, the rows that it moves are all that is made.
    """
    made = made or Made()
    at, of_itself = (here.symptom.id, here.symptom.shows) if here.symptom else (None, {})
    found: dict[str, CauseRow] = {}
    places = {id(entry): place for place, entry in enumerate(cause.shows)}
    written = stated_at(cause, at)
    for name in learned or dict.fromkeys((*written, *known)):
        entries = written.get(name, ())
        told = known.get(name)
        if name in of_itself or not (entries or told):
            continue
        its, shares, meant = here.observables[name], here.shares(name), here.meant(name)
        beside = Beside(shares, meant, told, moves.get(name), learned.get(name))
        if isinstance(told, Estimated) or beside.learned:
            found[name] = row(its, entries, scales, beside, made)
            continue
        # what was estimated over all symptoms is one row wherever answers are met alike
        at_entries = tuple(places[id(e)] for e in entries)
        key = (cause.id, name, at_entries, shares, meant, told is not None, beside.times)
        if key not in made.rows:
            made.rows[key] = row(its, entries, scales, beside, made)
        found[name] = made.rows[key]
    return found


@dataclass(frozen=True, slots=True)
class Beside:
    """What stands beside the entries of a row where it is made; nothing, over all callbacks.

    `shares`: the usual ones there; `meant`: those that the reasons were written against, where
    these are others. `known`: what a panel estimated of the row, which has its part in what is
    judged; `times`: how many times the number of each answer whole complaints make of that;
    `learned` stands in for all of it.
    """

    shares: Shares | None = None
    meant: Shares | None = None
    known: Estimated | Leaning | None = None
    times: Shares | None = None
    learned: Learned | None = None


def row(
    observable: Observable,
    entries: Sequence[ShownAnswers],
    scales: Scales,
    beside: Beside = Beside(),
    made: Made | None = None,
) -> CauseRow:
    """The row of one cause on one check, from its entries; raises NoTable.

    An answer that rules out weighs nothing by itself, since the cause is gone then; but it leaves
    more for the others.
    """
    meant, times, learned = beside.meant, beside.times, beside.learned
    shares = observable.shares if beside.shares is None else beside.shares
    known = beside.known.at(shares) if isinstance(beside.known, Leaning) else beside.known
    said = (made or Made()).said
    together = isinstance(observable.kind, SeveralKind)
    parts, rest, group = (
        fitting(observable, entries, shares) if entries else _silent(together, shares)
    )
    judged = tuple([b * rest if p is None else p for p, b in zip(parts, shares, strict=True)])
    if known:
        judged = known.joined(judged, _share(scales, known, written=bool(entries)), together)
    if times:
        judged = as_moved(judged, times, together)
    now = learned.portions if learned else judged
    if learned or known or times:
        factors = [p / b for p, b in zip(now, shares, strict=True)]
    else:
        factors = [rest if p is None else p / b for p, b in zip(parts, shares, strict=True)]
    decibans = tuple([round(10 * log10(f), DIGITS) if f else 0.0 for f in factors])
    gone = NOT_ONE
    if not all(factors):
        gone = frozenset(code for code, factor in enumerate(factors) if not factor)
    says = None
    if entries:
        written = _written(observable, parts, shares if meant is None else meant, rest)
        turned = turning(written, decibans)
        says = Saying(
            observable, scales, decibans, tuple(entries), gone, turned, tuple(shares), said
        )
    return CauseRow(
        observable.id,
        decibans,
        says,
        group or (known.group if known else None),
        gone,
        tuple(rule_outs(observable, entries, gone, said)) if gone else (),
        tuple(shares),
        _absent(now, shares) if together else (),
        judged if learned else (),
        learned.tallies if learned else (),
    )


def fitting(
    observable: Observable, entries: Sequence[ShownAnswers], shares: Sequence[float]
) -> tuple[list[float | None], float, str | None]:
    """What entries state of each answer, the factor on the others, and the group of their row.

    Raises NoTable where no probabilities can satisfy them.
    """
    parts = _stated(observable, entries)
    if isinstance(observable.kind, SeveralKind):
        _refuse_always(observable, parts)
        rest = 1.0
    else:
        rest = _left(observable, parts, shares)
    return parts, rest, _group(observable, entries)


def _silent(
    together: bool, shares: Sequence[float]
) -> tuple[Sequence[float | None], float, str | None]:
    """`fitting` of no entries: every answer is met as often as usual."""
    return (None,) * len(shares), 1.0 if together else 1.0 / sum(shares), None


def _share(scales: Scales, known: Estimated, written: bool) -> float:
    """How much of a row is what was estimated of it.

    What was estimated over all symptoms is further from the row: beside a written one it counts for
    less, and alone it leaves its part to what is usual.
    """
    if known.over_all:
        percent = scales.over_all_percent if written else scales.estimated_percent
        return percent / 100
    return scales.estimated_percent / 100 if written else 1.0


def _refuse_always(observable: Observable, parts: Sequence[float | None]) -> None:
    """Raise NoTable for an answer, of several that can be right together, that always is."""
    for label, part in zip(observable.labels, parts, strict=True):
        if part == 1:
            raise NoTable(
                f"'{label}' of {observable.id} in all of a hundred: what can be overlooked is never"
                " always there, take 99"
            )


def _written(
    observable: Observable, parts: Sequence[float | None], meant: Sequence[float], rest: float
) -> tuple[float, ...]:
    """What each answer weighs by what is written alone, in decibans; 0 where it rules out."""
    if not isinstance(observable.kind, SeveralKind):
        rest = _left(observable, parts, meant)
    factors = (rest if p is None else p / b for p, b in zip(parts, meant, strict=True))
    return tuple(10 * log10(f) if f else 0.0 for f in factors)


def _absent(portions: Sequence[float], shares: Sequence[float]) -> tuple[float, ...]:
    """What it weighs that an answer is not so."""
    return tuple(
        round(10 * log10((1 - p) / (1 - b)), DIGITS) for p, b in zip(portions, shares, strict=True)
    )


def _stated(observable: Observable, entries: Sequence[ShownAnswers]) -> list[float | None]:
    """Of each answer its stated part of one, if it has any."""
    parts: list[float | None] = [None] * len(observable.labels)
    named_already: set[str] = set()
    for entry in entries:
        for label, number in entry.of_100.items():
            if label in named_already:
                raise NoTable(
                    f"the answer '{label}' of {observable.id} is named twice in this row: keep one"
                )
            named_already.add(label)
            if number != REST:
                parts[observable.labels.index(label)] = float(number) / 100
    return parts


def _left(observable: Observable, parts: Sequence[float | None], shares: Sequence[float]) -> float:
    """The factor on the usual share of every answer without a number; raises NoTable."""
    told = sum(p for p in parts if p is not None)
    silent = [code for code, p in enumerate(parts) if p is None]
    if silent and told < 1 - HUNDRED / 100:
        return (1 - told) / sum(shares[code] for code in silent)
    if isclose(told, 1, abs_tol=HUNDRED / 100) and not silent:
        return 1.0
    total = f"the numbers on {observable.id} add up to {100 * told:.6g}"
    if told > 1 + HUNDRED / 100:
        raise NoTable(f"{total}, more than the hundred that there are: lower them")
    if not silent:
        raise NoTable(f"{total} and name every answer: make it 100, or leave one answer out")
    left = ", ".join(f"'{observable.labels[code]}'" for code in silent)
    raise NoTable(
        f"{total} and leave nothing for {left}: give 0 where the cause is ruled out, with the"
        " reason, or lower the others"
    )


def _group(observable: Observable, entries: Sequence[ShownAnswers]) -> str | None:
    """The group of a row; an entry that only rules out need not name it."""
    groups = {e.group for e in entries if e.group or any(n != 0 for n in e.of_100.values())}
    if len(groups) > 1:
        raise NoTable(f"what one cause shows on {observable.id} must carry the same group")
    return groups.pop() if groups else None
