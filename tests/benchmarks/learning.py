"""What closed cases teach, and what they cost: simulated shops, table and plot.

Run: python -m tests.benchmarks.learning           the table, the plot and the seconds
     python -m tests.benchmarks.learning --choose  how the figures of `worth_cases` were chosen
     python -m tests.benchmarks.learning --output tests/benchmarks/learning.md

The score is the mean logarithm (natural) of the chance given to the cause of fresh complaints of
the same shop, as a difference from the base as judged; each figure is a mean over symptoms and
seeds, in brackets the lowest of the symptoms. 'Learnable' is what 2,000 outcomes can teach one who
knows how the shop was drawn (Dirichlet priors of just that worth; on average nothing foretells
better from these outcomes), 'at most' the same evaluator with the shop's true shares and rows.
Where every row of thirty causes differs a little, most of what is between them is rows of rare
causes, of which 2,000 outcomes hold a handful of cases.
"""

from __future__ import annotations

import argparse
import time
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import log
from pathlib import Path
from typing import Any

import numpy as np

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import known
from diagnose.knowledge.logic.cause_row import portions
from diagnose.knowledge.logic.experience import Counted, Experience, Prior
from diagnose.knowledge.logic.likelihood import stating
from diagnose.knowledge.reading.load import load
from diagnose.reasoning.evidence.columns import Columns
from diagnose.records.experience.counting import counts
from diagnose.records.store.summary import KnownComplaint
from tests.outside.real.entries import Half
from tests.outside.real.score import _case
from tests.shops import KINDS, Shop, mislabelled, with_figures

ROOT = Path(__file__).resolve().parents[2]
SYMPTOMS = ("air_bubbles", "recess_pop_out", "staining", "water_pockets")
SIZES = (20, 100, 500, 2000)
FRESH = 2000
WRONG = 0.1
FIGURES: Mapping[str, Sequence[Any]] = {
    "shares": (5, 10, 20, 40, 80),
    "rows": (3, 5, 8, 12, 20),
    "times": ((1,), (1, 4), (0.5, 2, 8), (0.25, 1, 4), (1, 4, 16)),
    "differing_percent": (2, 5, 10, 20, 40),
    "differing_rows": (5, 10, 20, 40),
}
HARM = 0.01
"""What no shop may lose."""


@dataclass(frozen=True, slots=True)
class Gain:
    """Gains over the base as judged, by number of outcomes; with wrong labels; at most."""

    by_size: tuple[float, ...]
    wrong: float
    learnable: float
    most: float

    @property
    def all(self) -> tuple[float, ...]:
        """In the order of the table."""
        return (*self.by_size, self.wrong, self.learnable, self.most)


def gain(base: Base, kind: str, symptom: str, seed: int, sizes: Sequence[int] = SIZES) -> Gain:
    """What one simulated shop gains."""
    chance = np.random.default_rng(seed)
    shop = KINDS[kind](base, symptom, chance)
    fresh = shop.complaints(FRESH, chance)
    closed = shop.complaints(max(sizes), chance)
    wrong = mislabelled(shop, closed, WRONG, chance)
    judged = shop.score(shop.believed, fresh)
    most = shop.score(shop.best[0], fresh, shop.best[1]) - judged
    knowing = shop.learnable(closed)
    return Gain(
        tuple(shop.score(shop.learned(closed[:size]), fresh) - judged for size in sizes),
        shop.score(shop.learned(wrong), fresh) - judged,
        shop.score(knowing, fresh) - judged if knowing else most,
        most,
    )


def gains(base: Base, kind: str, seeds: int) -> list[tuple[float, ...]]:
    """For each symptom the mean gains over the seeds: by size, with wrong labels, learnable, at most."""
    found = []
    for symptom in SYMPTOMS:
        its = [gain(base, kind, symptom, seed) for seed in range(seeds)]
        found.append(tuple(np.mean([g.all for g in its], axis=0)))
    return found


def table(found: Mapping[str, Sequence[tuple[float, ...]]]) -> Iterator[str]:
    """The gains as a table in Markdown."""
    head = (
        "shop",
        *(f"{size:,}" for size in SIZES),
        f"2,000, {WRONG:.0%} wrong",
        "learnable",
        "at most",
    )
    yield f"| {' | '.join(head)} |"
    yield f"| --- |{' ---: |' * (len(head) - 1)}"
    for kind, its in found.items():
        cells = [f"{np.mean(c):+.3f} ({min(c):+.3f})" for c in zip(*its, strict=True)]
        yield f"| {kind} | {' | '.join(cells)} |"


def plot(found: Mapping[str, Sequence[tuple[float, ...]]]) -> str:
    """The mean gains over the number of outcomes."""
    import plotext  # type: ignore[import-untyped]

    plotext.clear_figure()
    plotext.theme("clear")
    plotext.plotsize(90, 26)
    for mark, (kind, its) in zip("abcdefgh", found.items(), strict=False):
        mean = np.mean(its, axis=0)
        plotext.plot(
            [log(n, 10) for n in SIZES], mean[: len(SIZES)].tolist(), marker=mark, label=kind
        )
    plotext.xticks([log(n, 10) for n in SIZES], [f"{n:,}" for n in SIZES])
    plotext.title("gain in log score over the base as judged, by closed cases")
    drawn: str = plotext.uncolorize(plotext.build())
    return "\n".join(line.rstrip() for line in drawn.splitlines())


# How the figures were chosen


@dataclass(frozen=True, slots=True)
class Sample:
    """A shop with closed and fresh complaints, the score of the base as judged beside them."""

    shop: Shop
    closed: list[KnownComplaint]
    fresh: list[KnownComplaint]
    told: Columns
    judged: float

    def gains(self, figures: Mapping[str, Any]) -> list[float]:
        """What is gained with other figures of worth, by number of outcomes."""
        shop = replace(self.shop, believed=with_figures(self.shop.believed, figures))
        scores = (shop.score(shop.learned(self.closed[:size]), self.fresh, None, self.told)
                  for size in CHOOSING)  # fmt: skip
        return [score - self.judged for score in scores]


def sample(base: Base, kind: str, symptom: str, seed: int) -> Sample:
    """A simulated shop."""
    chance = np.random.default_rng(1000 + seed)
    shop = KINDS[kind](base, symptom, chance)
    fresh, closed = shop.complaints(FRESH, chance), shop.complaints(max(CHOOSING), chance)
    told = shop.told(fresh)
    return Sample(shop, closed, fresh, told, shop.score(shop.believed, fresh, None, told))


CHOOSING = (20, 100, 500)


def chosen(base: Base, seeds: int) -> Iterator[str]:
    """Each figure by itself, the others as they stand, by predictive score on simulated shops."""
    shops = [[sample(base, kind, symptom, seed) for seed in range(seeds)]
             for kind in KINDS for symptom in SYMPTOMS[:2]]  # fmt: skip
    for name, values in FIGURES.items():
        for value in values:
            figures = {name: value, "by_source": {}}
            each = [np.mean([one.gains(figures) for one in its], axis=0) for its in shops]
            mean, least = float(np.mean(each)), float(np.min(each))
            told = value if isinstance(value, tuple) else f"{value:g}"
            note = "" if least >= -HARM else "  harms"
            yield f"{name:18} {told!s:>12}  mean gain {mean:+.4f}  lowest {least:+.4f}{note}"


WORTHS = (1, 2, 4, 8, 16, 32, 64, 128)
SPREAD = log(2)
"""A figure by source is held to the one for all, one step of `WORTHS` being one deviation."""


def by_source(base: Base) -> Iterator[str]:
    """What rows are worth by what they rest on: how well each worth foretells what was read.

    Out of the published complaints set aside to study, whose causes are stated and whose answers
    were read blind; the logarithm of the chance of the answers over that of the row as judged.
    """
    rows: dict[str, list[tuple[Prior, Counted]]] = defaultdict(list)
    for (symptom, cause, check), seen in counts(base, published(base)).answers.items():
        row = base.rows(base.causes[cause], symptom).get(check)
        if row is not None:
            prior = Prior(portions(row, row.usual), 1, bool(row.absent))
            rests = _rests_on(base, stating(base.causes[cause], check, symptom))
            rows[rests].append((prior, prior.tally(seen)))
    for rests, its in sorted(rows.items(), key=lambda item: -len(item[1])):
        judged = sum(prior.as_judged(tally) for prior, tally in its)
        gained = {
            w: sum(replace(prior, worth=w).otherwise(t) for prior, t in its) - judged
            for w in WORTHS
        }
        held = {w: g - (log(w / base.scales.worth_cases.rows) / SPREAD) ** 2 / 2
                for w, g in gained.items()}  # fmt: skip
        best = max(held, key=lambda w: held[w])
        told = "  ".join(f"{w}: {g:+.1f}" for w, g in gained.items())
        yield f"{rests:16} {len(its):4} rows  {told}  chosen {best}"


def published(base: Base) -> Iterator[KnownComplaint]:
    """The published complaints of the study half, closed with the stated cause."""
    half = Half("study")
    for entry in half.entries:
        case = _case(base, half, entry, half.mapped[entry.id])
        its = case.complaints[0]
        assert its.outcome is not None
        yield KnownComplaint(entry.id, 1, its.symptom, its.outcome.cause, known(case.answers(its)))


_BEST_FIRST = ("A", "B", "C", "D", "derived", "common-practice", "memory")


def _rests_on(base: Base, entries: Sequence[Any]) -> str:
    found = {
        base.sources[source].weight if source in base.sources else source
        for entry in entries
        for source in entry.source
    }
    return min(found, key=_BEST_FIRST.index)


# What it costs


def seconds(base: Base, cases: int) -> str:
    """Seconds of a core to count so many closed complaints and make the tables of every symptom of theirs."""
    from diagnose.reasoning.evidence.tables import tables

    chance = np.random.default_rng(1)
    shops = [KINDS["as judged"](base, symptom, chance) for symptom in SYMPTOMS]
    each = -(-cases // len(shops))
    closed = [complaint for shop in shops for complaint in shop.complaints(each, chance)][:cases]
    start = time.process_time()
    learned = base.learned(Experience((counts(base, closed),)))
    counted = time.process_time() - start
    for symptom in SYMPTOMS:
        tables(learned, symptom)
    whole = time.process_time() - start
    return f"{cases:,} closed cases: counted in {counted:.2f} s of a core, {len(SYMPTOMS)} symptoms made in {whole - counted:.2f} s"


def main() -> None:
    """The table, the plot and the seconds, or how the figures were chosen."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--choose", action="store_true")
    parser.add_argument("--output", type=Path)
    options = parser.parse_args()
    base = load(ROOT / "rules")
    if options.choose:
        for line in (*chosen(base, options.seeds), "", *by_source(base)):
            print(line, flush=True)
        return
    found = {kind: gains(base, kind, options.seeds) for kind in KINDS}
    drawn = ["```", *plot(found).splitlines(), "```"]
    doc = [line.strip() for line in (__doc__ or "").strip().splitlines()]
    lines = ["# " + doc[0], "", *doc[6:], "", *table(found), "", *drawn, "", seconds(base, 10_000)]
    text = "\n".join(lines) + "\n"
    if options.output:
        options.output.write_text(text, encoding="utf-8")
    print(text, end="")


if __name__ == "__main__":
    main()
