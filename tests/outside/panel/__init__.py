"""What a panel that had not seen the rule base estimated of each symptom.

The members are a language model in the role of an installer, three times, each apart from the
others; no one of the trade has confirmed their numbers, and they are more alike than three people
would be. Each was given the symptoms and the causes behind them, by name and in plain words, and
put down of how many cars in a hundred each cause is the main one (`shares.csv`, as written; some
sums are not quite a hundred), and the first five checks to do (`first.csv`). Two more went through all causes and symptoms that were not yet put together and named where else a cause is
met (`later.csv`; 0 where one does not name it), and what causes are missing (`missing_d.md`,
`missing_e.md`; those that were written since: `new_causes.csv`, where two of one member's that
were written as one stand with their sum). Specialists who judged complaints symptom by symptom
named further places of causes; one member more, before any share of these symptoms was looked at,
put a number to each that makes sense (`later.csv`, f).

Rows were estimated the same way (`estimates.py`): each member had sheets of a symptom with the
commonest causes behind it and some checks, and put down of how many cars in a hundred with a cause
each answer is so. Three members each (x, y, z, each made of several contexts) had the first
checks, 15 or 22 a symptom, and two (u, v) 14 further ones. Which checks stand on a sheet was taken
from what is looked at first, from what tells causes apart most, and from how often readers of the
study half and writers of stories answered them; no member saw a rule, a share, an answer of a case
or a cause that was found.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path
from statistics import fmean

HERE = Path(__file__).parent
MEMBERS = ("a", "b", "c")
ELSE = "something_else"
LEAST = 0.5
"""Of a hundred: nobody can tell rarer things apart, so that the rule base goes no lower."""


def shares() -> Mapping[str, Mapping[str, tuple[float, ...]]]:
    """Of each symptom and cause what each member estimates, in percent of his own sum."""
    said: dict[str, dict[str, list[float]]] = defaultdict(dict)
    with (HERE / "shares.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            said[row["symptom"]][row["cause"]] = [float(row[m]) for m in MEMBERS]
    return {symptom: _rescaled(causes) for symptom, causes in said.items()}


def _rescaled(causes: Mapping[str, list[float]]) -> dict[str, tuple[float, ...]]:
    sums = [sum(each) for each in zip(*causes.values(), strict=True)]
    return {
        cause: tuple(100 * n / total for n, total in zip(numbers, sums, strict=True))
        for cause, numbers in causes.items()
    }


def agreed(numbers: tuple[float, ...]) -> float:
    """Their mean as the rule base writes it: two figures, no lower than `LEAST`."""
    mean = fmean(numbers)
    return max(LEAST, float(f"{mean:.2g}"))


def later() -> Mapping[tuple[str, str], float]:
    """Of each symptom and cause that two more put together, their mean; half where only one does.

    Where the cause was met in judging complaints, the mean of those who put a number to it. Those
    of causes that the base lacked until then stand in a file of their own.
    """
    return {**_means("later.csv"), **_means("new_causes.csv")}


def _means(name: str) -> dict[tuple[str, str], float]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return {(row["symptom"], row["cause"]): _of_members(row) for row in csv.DictReader(file)}


def _of_members(row: Mapping[str, str]) -> float:
    before, met = [float(row["d"]), float(row["e"])], row.get("f")
    return fmean([float(met), *filter(None, before)]) if met else fmean(before)


def first() -> Mapping[str, Mapping[str, tuple[str, ...]]]:
    """Of each symptom and member the first five checks, in order."""
    said: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
    with (HERE / "first.csv").open(encoding="utf-8", newline="") as file:
        for row in sorted(csv.DictReader(file), key=lambda r: (r["symptom"], int(r["place"]))):
            for member in MEMBERS:
                said[row["symptom"]][member].append(row[member])
    return {s: {m: tuple(checks) for m, checks in by.items()} for s, by in said.items()}
