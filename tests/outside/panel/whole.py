"""What whole complaints, judged by a panel, make of shares and rows.

    python -m tests.outside.panel.whole           writes rules/whole_cases.yaml anew
    python -m tests.outside.panel.whole --later   how far members agree on what was judged later

A row is put down check by check, and answers are taken together by adding what each weighs. Who
judges a complaint weighs all of it at once. So members of a panel, who saw no rule, were given whole
complaints by their answers (whole_cases.txt: symptom and place, what was told, in percent what they
take it for). Shares and rows are moved as little as it takes to come near to that: the sum of
divergences from what the panel says, and of the squares of all moves in natural logarithms, each by
its own price, is the least (softmax regression with an offset and a ridge; Hoerl & Kennard 1970,
judgement by regression: Hammond 1955, Brunswik's lens).

later_cases.txt holds complaints that were drawn from the rules (a symptom as often as it is published,
checks as often as they are told, answers by the row of some cause) and judged after that. Nothing is
reckoned from them: they tell how far the base agrees with a member on what neither has seen, and how
far a second member does (its lines end in b).
"""

from __future__ import annotations

from argparse import ArgumentParser
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import exp, log
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import Answers, parse, parse_all
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.reading.load import load
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.evidence.weigh import PER_DECIBAN

HERE = Path(__file__).parent

NONE = "none"
"""The panel's word for what is not in the list."""

PRICE_OF_SHARES, PRICE_OF_ANSWERS = 1.0, 1.0
"""Of a squared move, chosen by how well complaints that were left out are met."""

LEAST = 0.03
"""A smaller move of an answer, in natural logarithms, is none."""

STEPS = 150

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Judged:
    """One complaint with what a member takes it for: cause by percent, NONE for what is not listed."""

    id: str
    complaint: AnsweredComplaint
    percent: Mapping[str, float]


def judged(base: Base, file: str = "whole_cases.txt") -> Iterator[Judged]:
    """Every complaint of a file of the panel."""
    for line in (HERE / file).read_text(encoding="utf-8").splitlines():
        head, told, percent = (part.strip() for part in line.split("|"))
        name, symptom, *place = head.split()
        complaint = AnsweredComplaint(symptom, _answers(base, told), panel="".join(place))
        each = (part.split("=") for part in percent.split())
        yield Judged(name, complaint, {cause: float(share) for cause, share in each})


def _answers(base: Base, told: str) -> Answers:
    found = {}
    for part in told.split("; "):
        check, _, said = part.partition("=")
        words = said.split(",")
        its = base.checks[check]
        found[check] = parse(its, said) if len(words) == 1 else parse_all(its, words)
    return found


@dataclass(frozen=True, slots=True)
class Cell:
    """What one answer of a complaint does for one of its causes: a place in a row."""

    cause: int
    check: str
    codes: tuple[int, ...]
    row: CauseRow


@dataclass(frozen=True, slots=True)
class Weighed:
    """A complaint as the rules weigh it: by cause the logarithm of its odds, and the cells in it.

    `target` is what the panel says of the causes that are not ruled out; `weight` how much of its
    judgement that is.
    """

    symptom: str
    causes: tuple[str, ...]
    odds: tuple[float, ...]
    target: tuple[float, ...]
    weight: float
    cells: tuple[Cell, ...]


def weighed(base: Base, each: Iterable[Judged]) -> list[Weighed]:
    """Complaints as a base weighs them; those of no listed cause are left out.

    A cause that no member names at a symptom may not have been before them there: it is left out of
    what is held against them, and its share is not moved.
    """
    complaints, named = list(each), dict[str, set[str]]()
    for one in complaints:
        named.setdefault(one.complaint.symptom, set()).update(one.percent)
    reasoner = Reasoner(base)
    found = (_weighed(reasoner, one, named[one.complaint.symptom]) for one in complaints)
    return [its for its in found if its]


def _weighed(reasoner: Reasoner, one: Judged, named: set[str]) -> Weighed | None:
    diagnosis = reasoner.diagnose(one.complaint)
    standings = [
        s for s in diagnosis.differential.standings if not s.ruled_out and s.cause.id in named
    ]
    said = [one.percent.get(s.cause.id, 0) / 100 for s in standings]
    if sum(said) < LITTLE:
        return None
    rows, values = diagnosis.table.rows, diagnosis.trace.values
    places = {cause.id: at for at, cause in enumerate(diagnosis.table.causes)}
    cells = [
        Cell(at, name, tuple(reasoner.base.observables[name].kind.codes(values[name])), row)
        for at, standing in enumerate(standings)
        for name in (w.subjects[0] for w in standing.weights if w.counts and len(w.subjects) == 1)
        if name in rows and (row := rows[name][places[standing.cause.id]])
    ]
    return Weighed(
        one.complaint.symptom,
        tuple(s.cause.id for s in standings),
        tuple(log(s.prior) + PER_DECIBAN * s.decibans for s in standings),
        tuple(share / sum(said) for share in said),
        sum(said),
        tuple(cells),
    )


LITTLE = 0.2
"""A complaint of which the panel takes less than this for a listed cause says nothing of them."""


@dataclass(frozen=True)
class Moves:
    """How far each share and each answer of a row is moved, in natural logarithms.

    `shares[i]` belongs to the i-th of `behind` (symptom and cause); `answers[r, a]` to answer `a` of
    the r-th of `rows` (cause and check).
    """

    behind: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, str], ...]
    shares: Floats
    answers: Floats


class Fit:
    """All complaints as arrays: a line for each cause of each complaint, and the cells of each line."""

    def __init__(self, complaints: Sequence[Weighed]) -> None:
        self.behind: dict[tuple[str, str], int] = {}
        self.rows: dict[tuple[str, str], int] = {}
        lines = [(n, its, at) for n, its in enumerate(complaints) for at in range(len(its.causes))]
        self.complaint: Ints = np.array([n for n, _, _ in lines])
        self.starts: Ints = np.searchsorted(self.complaint, np.arange(len(complaints)))
        self.odds: Floats = np.array([its.odds[at] for _, its, at in lines])
        self.target: Floats = np.array([its.target[at] for _, its, at in lines])
        self.weight: Floats = np.array([its.weight for _, its, _ in lines])
        self.share: Ints = np.array([self._share(its, at) for _, its, at in lines])
        self._cells(complaints)

    def _share(self, its: Weighed, at: int) -> int:
        return self.behind.setdefault((its.symptom, its.causes[at]), len(self.behind))

    def _cells(self, complaints: Sequence[Weighed]) -> None:
        """What is alike in many complaints (an answer of a row) is reckoned once."""
        self.wide = max(len(c.row.decibans) for its in complaints for c in its.cells)
        alike: dict[tuple[int, tuple[int, ...], tuple[float, ...], bool], int] = {}
        line, cell = [], []
        for start, its in zip(self.starts, complaints, strict=True):
            for one in its.cells:
                row = self.rows.setdefault((its.causes[one.cause], one.check), len(self.rows))
                key = row, one.codes, _portions(one.row, self.wide), bool(one.row.absent)
                line.append(start + one.cause)
                cell.append(alike.setdefault(key, len(alike)))
        self.line: Ints = np.array(line)
        self.cell: Ints = np.array(cell)
        self.row: Ints = np.array([row for row, _, _, _ in alike])
        self.told: Flags = np.array([_flags(codes, self.wide) for _, codes, _, _ in alike])
        self.portion: Floats = np.array([portion for _, _, portion, _ in alike])
        self.together: Flags = np.array([together for _, _, _, together in alike])
        one_each, places = np.ones(len(alike)), np.arange(len(alike))
        self.of_row = csr_matrix((one_each, (self.row, places)), (len(self.rows), len(alike)))

    def moves(self, share_price: float, answer_price: float) -> Moves:
        """The moves that come nearest for their price."""
        prices = np.concatenate(
            [
                np.full(len(self.behind), share_price),
                np.full(len(self.rows) * self.wide, answer_price),
            ]
        )
        found = minimize(
            self._cost,
            np.zeros(len(prices)),
            args=(prices,),
            jac=True,
            method="L-BFGS-B",
            options={"maxiter": STEPS},
        ).x
        shares, answers = self._parted(found)
        return Moves(tuple(self.behind), tuple(self.rows), shares, answers)

    def divergence(self, moves: Moves | None = None) -> float:
        """Mean over complaints of what is lost, in nats, against saying what the panel says."""
        size = len(self.behind) + len(self.rows) * self.wide
        at = np.concatenate([moves.shares, moves.answers.ravel()]) if moves else np.zeros(size)
        cost, _ = self._cost(at, np.zeros(size))
        return cost / float(self.weight[self.starts].sum())

    def _parted(self, at: Floats) -> tuple[Floats, Floats]:
        count = len(self.behind)
        return at[:count], at[count:].reshape(len(self.rows), self.wide)

    def _cost(self, at: Floats, prices: Floats) -> tuple[float, Floats]:
        """What is to be least, and by how much it rises with each move."""
        shares, answers = self._parted(at)
        by_cell, slope = self._by_cell(answers)
        logs = self.odds + shares[self.share] + self._by_line(by_cell)
        chance = self._chances(logs)
        with np.errstate(divide="ignore", invalid="ignore"):
            lost = np.where(self.target > 0, self.target * np.log(self.target / chance), 0)
        off = self.weight * (chance - self.target)
        of_shares = np.bincount(self.share, off, len(shares))
        of_cells = np.bincount(self.cell, off[self.line], len(self.row))
        of_answers = self.of_row @ (of_cells[:, None] * slope)
        cost = float((self.weight * lost).sum() + (prices * at**2).sum())
        return cost, np.concatenate([of_shares, of_answers.ravel()]) + 2 * prices * at

    def _by_line(self, by_cell: Floats) -> Floats:
        return np.bincount(self.line, by_cell[self.cell], len(self.odds))

    def _chances(self, logs: Floats) -> Floats:
        top = np.maximum.reduceat(logs, self.starts)
        raw = np.exp(logs - top[self.complaint])
        return raw / np.add.reduceat(raw, self.starts)[self.complaint]

    def _by_cell(self, answers: Floats) -> tuple[Floats, Floats]:
        """What the moves of its row do to each cell, and the slope of that."""
        by, slope = np.zeros(len(self.row)), np.zeros((len(self.row), self.wide))
        for where, how in ((~self.together, _one_of), (self.together, _each)):
            moved = answers[self.row[where]]
            by[where], slope[where] = how(self.portion[where], moved, self.told[where])
        return by, slope


def _one_of(portion: Floats, moved: Floats, told: Flags) -> tuple[Floats, Floats]:
    """Of answers of which one is right: the sum of those told, by that of all."""
    now = portion * np.exp(moved)
    whole, its = now.sum(1), (now * told).sum(1)
    before = (portion * told).sum(1) / portion.sum(1)
    slope = now * told / its[:, None] - now / whole[:, None]
    return np.log(its / whole / before), slope


def _each(portion: Floats, moved: Floats, told: Flags) -> tuple[Floats, Floats]:
    """Of answers that can be right together: each told or not, by itself."""
    there = portion > 0
    now = portion * np.exp(moved) / (1 - portion + portion * np.exp(moved))
    with np.errstate(divide="ignore", invalid="ignore"):
        each = np.where(told, np.log(now / portion), np.log((1 - now) / (1 - portion)))
    return np.where(there, each, 0).sum(1), np.where(there, told - now, 0)


def _flags(codes: Sequence[int], wide: int) -> list[bool]:
    return [code in codes for code in range(wide)]


def _portions(row: CauseRow, wide: int) -> tuple[float, ...]:
    """Parts of one by answer; of an answer that rules out 0."""
    each = [
        0.0 if code in row.ruled_out else share * exp(PER_DECIBAN * weight)
        for code, (share, weight) in enumerate(zip(row.usual, row.decibans, strict=True))
    ]
    return (*each, *(0.0,) * (wide - len(each)))


HEAD = """\
# yaml-language-server: $schema=schema.json

# By how much shares and rows are moved so that whole complaints come out as a panel judges them
# (tests/outside/panel/whole.py). Not written by hand: make it anew after many rows were changed.
whole_cases:
"""


def file(base: Base, moves: Moves) -> str:
    """The rule file of some moves; a cause, a share or an answer that is not moved is not named."""
    shares: dict[str, dict[str, str]] = {}
    shows: dict[str, dict[str, str]] = {}
    for (symptom, cause), by in zip(moves.behind, moves.shares, strict=True):
        if abs(by) >= LEAST:
            shares.setdefault(cause, {})[symptom] = f"{exp(by):.3g}"
    for (cause, check), by_answer in zip(moves.rows, moves.answers, strict=True):
        labels = base.observables[check].labels
        each = [
            f"{label} {exp(by):.3g}"
            for label, by in zip(labels, by_answer, strict=False)
            if abs(by) >= LEAST
        ]
        if each and check in base.checks:
            shows.setdefault(cause, {})[check] = ", ".join(each)
    named = [cause for cause in base.causes if cause in shares or cause in shows]
    return HEAD + "".join(_entry(c, shares.get(c, {}), shows.get(c, {})) for c in named)


def _entry(cause: str, shares: Mapping[str, str], shows: Mapping[str, str]) -> str:
    lines = [f"  - id: {cause}", "    source: memory"]
    for name, its in (("shares", shares), ("shows", shows)):
        if its:
            lines.append(f"    {name}:")
            lines += [f"      {key}: {its[key]}" for key in sorted(its)]
    return "\n".join(lines) + "\n"


LATER = "later_cases.txt"


def later(base: Base, every: int = 1) -> tuple[float, float]:
    """Of complaints judged later, how often base and member, and two members, name the same first."""
    complaints = list(judged(base, LATER))[::every]
    reasoner = Reasoner(base)
    alike = [_alike(_first(one), reasoner, one) for one in complaints]
    firsts = {one.id: _first(one) for one in judged(base, LATER)}
    seconds = [firsts[name] == firsts[name[:-1]] for name in firsts if name.endswith("b")]
    return sum(alike) / len(alike), sum(seconds) / len(seconds)


def _first(one: Judged) -> str:
    return max(one.percent, key=lambda cause: (cause != NONE, one.percent[cause]))


def _alike(cause: str, reasoner: Reasoner, one: Judged) -> bool:
    standings = reasoner.diagnose(one.complaint).differential.standings
    return max(standings, key=lambda its: its.probability).cause.id == cause


def main() -> None:
    """Write the file, and say how much nearer it comes; or say how far members agree."""
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--later", action="store_true", help="what was judged later")
    if parser.parse_args().later:
        base, other = later(load(shipped("rules")))
        print(f"same cause first: base and a member {base:.1%}, two members {other:.1%}")
    else:
        _write()


def _write() -> None:
    base = load(shipped("rules")).row_by_row
    fit = Fit(weighed(base, judged(base)))
    moves = fit.moves(PRICE_OF_SHARES, PRICE_OF_ANSWERS)
    text = file(base, moves)
    (shipped("rules") / "whole_cases.yaml").write_text(text, encoding="utf-8")
    print(
        f"lost against the panel, in nats: {fit.divergence():.3f}, now {fit.divergence(moves):.3f}"
    )


if __name__ == "__main__":
    main()
