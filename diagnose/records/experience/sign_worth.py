"""What signs were worth, seen from the end: which carried toward the confirmed cause, which misled.

All complaints of a symptom are weighed at once, by arrays; what fires is what `weigh` would record
for each by itself (tested).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.lessons import shares
from diagnose.knowledge.model import Sign
from diagnose.reasoning.evidence.tables import Tables, tables
from diagnose.reasoning.explanation.explain import condition_words
from diagnose.records.experience.counting import still_known
from diagnose.records.store.summary import KnownComplaint

if TYPE_CHECKING:
    # Arrays are imported with the first use: lists of cases need none.
    import numpy as np
    from numpy.typing import NDArray

    from diagnose.reasoning.evidence.state import State


@dataclass(frozen=True, slots=True)
class SignRecord:
    """How a sign of a cause did where the truth is known.

    It carried where it spoke for the true cause or against another, and misled the other way
    round; `decibans` is the sum of its strength, positive toward the truth. `sign` is its condition
    as the rule base has it, `says` the same in words. `expected`: how often it would have carried
    if it were worth what is written, with causes as frequent as these cases teach. A sign of a
    rare cause is nearly always seen with another one, and is none the worse for it.
    """

    sign: str
    says: str
    cause: str
    carried: int
    misled: int
    decibans: float
    expected: float = 0.0


@dataclass(frozen=True, slots=True)
class _Item:
    """What one check, measure or sign adds to a cause, by row: its decibans and its sign.

    `which` is the place among `signs`, and their number where no sign is named.
    """

    decibans: NDArray[np.float64]
    which: NDArray[np.intp]
    signs: tuple[Sign, ...]
    group: str | None


@dataclass(frozen=True, slots=True)
class _Sum:
    says: str
    gains: list[tuple[int, int, float, float]]


def sign_records(base: Base, complaints: Iterable[KnownComplaint]) -> tuple[SignRecord, ...]:
    """How each sign that fired did, those that misled most often first.

    A symptom or an answer that the rule base no longer has is passed over.
    """
    by_symptom: dict[str, list[KnownComplaint]] = defaultdict(list)
    for complaint in complaints:
        if complaint.symptom in base.symptoms:
            by_symptom[complaint.symptom].append(complaint)
    sums: dict[tuple[str, str], _Sum] = {}
    for symptom, its in by_symptom.items():
        for cause, sign, gained in _of_symptom(base, symptom, its):
            key = (str(sign.when), cause)
            if key not in sums:
                words = (condition_words(base, test) for test in sign.when.tests)
                sums[key] = _Sum("; ".join(words), [])
            sums[key].gains.append(gained)
    found = [_record(*key, its) for key, its in sums.items()]
    return tuple(sorted(found, key=lambda r: (-r.misled, -r.carried, r.sign, r.cause)))


def carried_most(records: Iterable[SignRecord]) -> list[SignRecord]:
    """The signs that carried at all, those that carried most often first."""
    return sorted((r for r in records if r.carried), key=lambda record: -record.carried)


def _record(sign: str, cause: str, its: _Sum) -> SignRecord:
    carried, misled, decibans, expected = (sum(c) for c in zip(*its.gains, strict=True))
    counts = (int(carried), int(misled))
    return SignRecord(sign, its.says, cause, *counts, float(decibans), float(expected))


def _of_symptom(
    base: Base, symptom: str, its: Sequence[KnownComplaint]
) -> Iterator[tuple[str, Sign, tuple[int, int, float, float]]]:
    """For each cause and sign: how often it carried and misled, its decibans, and expected."""
    import numpy as np

    from diagnose.reasoning.evidence.columns import columns, with_measures
    from diagnose.reasoning.evidence.state import State

    table = tables(base, symptom)
    told = [base.known_at(symptom, still_known(base, c.values or {})) for c in its]
    said = with_measures(base, columns(base, told))
    state = State(base, said)
    truth = np.array([c.cause for c in its])
    ends = [float((truth == cause.id).sum()) for cause in table.causes]
    frequent = shares(table.priors, (*ends, len(its) - sum(ends)), base.scales.worth_cases)
    for place, cause in enumerate(table.causes):
        toward = np.where(truth == cause.id, 1.0, -1.0)
        items = [*_from_rows(base, table, state, place), *_from_extras(table, state, place)]
        for item in _strongest(items):
            for number, sign in enumerate(item.signs):
                its_own = (item.which == number) & (item.decibans != 0)
                sizes = item.decibans[its_own]
                gains = sizes * toward[its_own]
                carried, misled = int((gains > 0).sum()), int((gains < 0).sum())
                if carried or misled:
                    expected = _expected(sizes, frequent[place])
                    yield cause.id, sign, (carried, misled, float(gains.sum()), expected)


def _expected(decibans: NDArray[np.float64], share: float) -> float:
    """How often these should carry where the cause has this share: by Bayes' rule, each by itself.

    What speaks for a cause carries where it is this one, what speaks against it where it is not.
    """
    import numpy as np

    chance = np.minimum(1.0, share * 10 ** (decibans / 10))
    return float(np.where(decibans > 0, chance, 1.0 - chance).sum())


def _from_rows(base: Base, table: Tables, state: State, place: int) -> Iterator[_Item]:
    import numpy as np

    from diagnose.reasoning.evidence.columns import covered, spread

    for name, rows in table.rows.items():
        row, at = rows[place], state.places(name)
        if row is None or at is None:
            continue
        its = covered(base.observables[name], state.sets(name))
        named = [row.sign(codes) if codes else None for codes in its]
        signs = tuple({id(sign): sign for sign in named if sign is not None}.values())
        numbers = {id(sign): number for number, sign in enumerate(signs)}
        which = np.array([numbers.get(id(sign), len(signs)) for sign in named], dtype=np.intp)
        decibans = spread(row, its)
        yield _Item(decibans.take(at), which.take(at), signs, row.group)


def _from_extras(table: Tables, state: State, place: int) -> Iterator[_Item]:
    import numpy as np

    for extra in table.extras:
        if extra.cause == place and state.can_hold(extra.sign.when):
            holds = state.holds(extra.sign.when)
            decibans = np.where(holds, extra.decibans, 0.0)
            yield _Item(decibans, np.where(holds, 0, 1), (extra.sign,), extra.sign.group)


def _strongest(items: Sequence[_Item]) -> Iterator[_Item]:
    """The items, of which in each row only the strongest of a group counts; the first of equals."""
    import numpy as np

    groups: Mapping[str, list[_Item]] = defaultdict(list)
    for item in items:
        if item.group is None:
            yield item
        else:
            groups[item.group].append(item)
    for members in groups.values():
        best = np.abs([item.decibans for item in members]).argmax(axis=0)
        for number, item in enumerate(members):
            counted = np.where(best == number, item.decibans, 0.0)
            yield _Item(counted, item.which, item.signs, item.group)
