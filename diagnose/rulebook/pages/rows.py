"""Rows made visible: what a cause shows of a hundred cars, and the causes of a symptom by answers.

A row is P(answer | cause) over the answers of a check; here it stands whole, the named answers and
those that share the rest, with what each weighs against the usual shares.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import log2
from operator import mul

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import CauseRow, portions
from diagnose.knowledge.logic.named import named
from diagnose.knowledge.model import Cause, Observable, Symptom
from diagnose.reasoning.explanation.explain import value_words
from diagnose.rulebook.pages.page import Block, CellTable, Words
from diagnose.rulebook.pages.wording import Library

BAR = 20
"""Characters of the bar of a hundred of a hundred."""

TOLD = 0.01
"""Bits under which a check does not tell the causes of a symptom apart."""

LEARNED = ("Judged", "Counted")
"""Columns of a row that closed cases moved; 'Of 100' is then what they left of what was judged."""

HEAD = ("Answer", "Of 100", "", "Usual", "dB", "Because")


def cause_rows(library: Library, cause: Cause) -> tuple[Block, ...]:
    """Every row of a cause: the general ones, then those that stand at certain symptoms only."""
    blocks = (*_rows_at(library, cause, None), *_rows_of_symptoms(library, cause))
    says = (
        "Of a hundred cars with it so many show each answer; so many of a hundred callbacks do;"
        " what the answer weighs. What is not named shares the rest."
    )
    told = (says, *_estimated_at(library, cause), *_moved_shares(library.base, cause))
    return (Block("What it shows", told), *blocks) if blocks else ()


def _estimated_at(library: Library, cause: Cause) -> Iterator[str]:
    """Where estimates join these rows, if anywhere."""
    base = library.base
    names = [
        base.symptoms[symptom].name
        for symptom in cause.behind
        if symptom in base.estimates
        and any(cause.id in table.of_100 for table in base.estimates[symptom].rows)
    ]
    if names:
        yield (
            " These stand with the cause. What a panel estimated joins them (see the table of the"
            f" symptom) at: {', '.join(names)}."
        )


PLAIN_MOVE = 1.25
"""From so many times on, or as many times less, it is told that a share is moved."""


def _moved_shares(base: Base, cause: Cause) -> Iterator[str]:
    """Where the panel that judged whole complaints takes them for this cause oftener, or rarely."""
    its = base.whole_cases.get(cause.id)
    each = [
        f"{base.symptoms[symptom].name} ({times:.2g} times)"
        for symptom, times in (its.shares.items() if its else ())
        if max(times, 1 / times) >= PLAIN_MOVE
    ]
    if each:
        yield (
            " By whole complaints that a panel judged it is met more often than its share says, or"
            f" less, at: {', '.join(each)}."
        )


def _rows_of_symptoms(library: Library, cause: Cause) -> Iterator[Block]:
    for symptom in cause.behind:
        if any(symptom in entry.at for entry in cause.shows):
            yield from _rows_at(library, cause, symptom)


def _rows_at(library: Library, cause: Cause, symptom: str | None) -> Iterator[Block]:
    """The rows of a cause; of a symptom those that stand at it only."""
    base = library.base
    own = {entry.check for entry in cause.shows if symptom in entry.at}
    at = f" at {base.symptoms[symptom].name}" if symptom else ""
    for name, row in base.rows(cause, symptom).items():
        if symptom is None or name in own:
            title = f"{base.observables[name].name} [{name}]{at}"
            yield Block(title, _cause_row(library, row, base.usual(name, symptom)))


def _cause_row(library: Library, row: CauseRow, usual: Sequence[float]) -> CellTable:
    observable = library.base.observables[row.observable]
    shares = portions(row, usual)
    rows = tuple(
        (
            (_says(library, observable, code),),
            *_moved(row, code),
            (percent(shares[code]),),
            ("█" * round(BAR * shares[code]),),
            (percent(usual[code]),),
            ("out" if code in row.ruled_out else f"{row.decibans[code]:+.1f}".replace("-", "−"),),
            (_because(observable, row, code),),
        )
        for code in range(len(usual))
    )
    return CellTable((HEAD[0], *(LEARNED if row.tallies else ()), *HEAD[1:]), rows)


def _moved(row: CauseRow, code: int) -> tuple[Words, ...]:
    """What was judged of an answer and what closed cases counted, where they moved the row."""
    if not row.tallies:
        return ()
    counted = "; ".join(
        f"{tally.where} {tally.counts[code]:.3g} of {tally.cases:.3g}" for tally in row.tallies
    )
    return (percent(row.judged[code]),), (counted,)


def percent(share: float) -> str:
    """A share of a hundred, to the unit; small ones to the tenth."""
    return f"{100 * share:.0f}" if share >= 0.0095 or share == 0 else f"{100 * share:.1g}"


def _says(library: Library, observable: Observable, code: int) -> str:
    """An answer in words, or a bin with its unit."""
    label = observable.labels[code]
    if observable.answers:
        return value_words(library.base, observable.id, label)
    unit = getattr(observable, "unit", "")
    return label if unit in ("", "ratio") else f"{label} {unit}"


def _because(observable: Observable, row: CauseRow, code: int) -> str:
    """The reason that stands with an answer; of one that has none, that it is not named.

    Where estimates turn what is written, its reason stands with what it came to.
    """
    sign = row.signs[code]
    if sign is not None:
        written = row.says.because(code) if row.says else ""
        return sign.because if sign.because == written else f"{written} But: {sign.because}"
    outs = (out.because for out in row.outs for test in out.when.tests
            if code in named(observable, test))  # fmt: skip
    return next(outs, "(not named)")


def symptom_tables(library: Library, symptom: Symptom, most: int | None) -> tuple[Block, ...]:
    """The causes of a symptom by the answers of each check, what tells them apart first.

    `most` tables, or all; the others are named.
    """
    telling = tells(library, symptom)
    shown = telling if most is None else telling[:most]
    says = (
        "Of a hundred cars with each cause, so many show each answer; + and − where it weighs"
        " substantially or more, · where the cause says nothing and the usual shares hold."
    )
    blocks = [Block("Causes by answers, what tells them apart first", (says,))]
    blocks += [_by_answers(library, symptom, name, bits) for name, bits in shown]
    left = [name for name, _ in telling[len(shown) :]]
    if left:
        more = f"{', '.join(left)} (all of them with --all)"
        blocks.append(Block("Checks that tell them apart less", (more,)))
    return tuple(blocks) if telling else ()


def tells(library: Library, symptom: Symptom) -> list[tuple[str, float]]:
    """Checks and measures with what they tell of the causes of a symptom, in bits, most first.

    It is the mutual information of answer and cause while nothing else is known; the unlisted
    cause answers as usual.
    """
    base = library.base
    priors = base.priors(symptom.id)
    causes = base.behind(symptom.id)
    names = dict.fromkeys(name for cause in causes for name in base.rows(cause, symptom.id))
    found = [(name, _bits(library, symptom.id, name, causes, priors)) for name in names]
    return sorted((f for f in found if f[1] >= TOLD), key=lambda f: (-f[1], f[0]))


def _bits(
    library: Library, symptom: str, name: str, causes: Sequence[Cause], priors: Sequence[float]
) -> float:
    base = library.base
    kind = base.observables[name].kind
    usual = base.usual(name, symptom)
    rows = [kind.outcome_shares(portions(base.rows(c, symptom).get(name), usual)) for c in causes]
    rows.append(kind.outcome_shares(usual))
    total = [sum(map(mul, priors, column)) for column in zip(*rows, strict=True)]
    return sum(
        p * share * log2(share / whole)
        for p, row in zip(priors, rows, strict=True)
        for share, whole in zip(row, total, strict=True)
        if share > 0
    )


def _by_answers(library: Library, symptom: Symptom, name: str, bits: float) -> Block:
    base = library.base
    observable = base.observables[name]
    usual = base.usual(name, symptom.id)
    answers = tuple(_says(library, observable, code) for code in range(len(usual)))
    ranked = sorted(
        zip(base.priors(symptom.id), base.behind(symptom.id), strict=False),
        key=lambda pc: (-pc[0], pc[1].name),
    )
    rows: list[tuple[Words, ...]] = [(("(usual)",), *((percent(b),) for b in usual))]
    for _, cause in ranked:
        row = base.rows(cause, symptom.id).get(name)
        rows.append(((cause.name,), *_cells(library, row, usual)))
    title = f"{observable.name} [{name}], {bits:.2f} bits"
    return Block(title, CellTable(("Cause", *answers), tuple(rows)))


def _cells(library: Library, row: CauseRow | None, usual: Sequence[float]) -> tuple[Words, ...]:
    if row is None:
        return tuple(("·",) for _ in usual)
    much = library.base.scales.strengths["substantial"]
    return tuple(
        (f"{percent(share)}{_mark(size, much)}",)
        for share, size in zip(portions(row, usual), row.decibans, strict=True)
    )


def _mark(decibans: float, much: float) -> str:
    return "+" if decibans >= much - 0.5 else "−" if decibans <= 0.5 - much else ""
