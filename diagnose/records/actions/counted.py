"""What all cases together tell: statistics, words without a home, drift, counts of other shops."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

from diagnose.commands import DONE, CommandResult, Misuse
from diagnose.files import text_of
from diagnose.knowledge.logic.experience import Experience
from diagnose.records import tables
from diagnose.records.actions.job import CaseAction, as_json_text
from diagnose.records.experience import drift, learning, shared
from diagnose.records.experience.counting import counts
from diagnose.records.experience.no_home import lacking
from diagnose.records.experience.sign_worth import sign_records
from diagnose.records.experience.statistics import Statistics, statistics
from diagnose.records.store.summary import Filter

WEIGHT = 0.5
"""What a case of another shop counts for until something else is said; a judgement."""

PLOT_WIDTH = 80
"""Columns of a plot on a page of any width."""


def statistics_of(job: CaseAction) -> CommandResult:
    """Statistics of outcomes, and what closed cases make of the shares of causes."""
    wanted = job.wanted
    outcomes = job.store.outcomes(wanted)
    complaints = job.store.known_complaints(wanted)
    signs = sign_records(job.base, complaints)
    found = statistics(outcomes, job.args.seed, signs)
    shares: tuple[learning.Share, ...] = ()
    symptom = wanted.symptom
    if symptom and (job.args.strength is None or job.args.strength > 0):
        base = job.base.learned(Experience((counts(job.base, complaints),)))
        shares = learning.shares(base, symptom, job.args.strength)
    if job.pages:
        return DONE, job.pages(found)
    if job.args.as_json:
        return DONE, as_json_text({**asdict(found), "shares": [asdict(share) for share in shares]})
    parts = [tables.statistics_page(found, job.base, job.args.width)]
    if shares:
        parts.append(f"shares of causes\n{tables.shares_page(shares, job.base, job.args.width)}")
    return DONE, "\n\n".join([*parts, *_plots(job, found)])


def words_without_home(job: CaseAction) -> CommandResult:
    """Words of people that were not understood, by how often they came."""
    cases = [job.store.case(found.id) for found in job.store.list(job.wanted)]
    found = lacking(job.base, cases)
    if job.args.as_json:
        return DONE, as_json_text([asdict(word) for word in found])
    return DONE, tables.lacking_page(found, job.args.width)


def _plots(job: CaseAction, found: Statistics) -> list[str]:
    if not job.args.plots or not found.complaints:
        return []
    from diagnose.records.experience import plots

    width = job.args.width or PLOT_WIDTH
    drawn = [plots.causes_plot(found.months, lambda c: tables.cause_name(job.base, c), width, 16)]
    if found.calibration:
        drawn.append(plots.calibration_plot(found.calibration, width, 20))
    return drawn


def experience(job: CaseAction) -> CommandResult:
    """Counts from shop to shop: given out, taken in, weighed; without any, what is here."""
    args, store = job.args, job.store
    if args.export_to is not None:
        if not args.name.strip():
            raise Misuse("say under which name the counts go out: --name NAME")
        own = counts(job.base, store.known_complaints(Filter()))
        if args.export_to.exists() and not args.overwrite:
            raise Misuse(f"{args.export_to} exists already: --overwrite replaces it")
        text = shared.exported(job.base, own, args.name.strip())
        args.export_to.write_text(text, encoding="utf-8")
        return DONE, _given_out(text, args.export_to)
    for path in args.import_from:
        name, text = text_of(path)
        shared.take_in(store, text, WEIGHT, name)
    if args.weight is not None:
        shared.set_weight(store, args.name.strip(), args.weight)
    here = [
        f"{its.shop}: {its.cases:,} cases, each for {its.weight:g}" for its in shared.sources(store)
    ]
    return DONE, "\n".join(here) or "no counts of other shops are here"


def _given_out(text: str, path: Path) -> str:
    """What has left the shop, in a sentence."""
    cases = int(json.loads(text)["cases"])
    if not cases:
        return f"no count in these records comes to {shared.FEWEST}: {path} holds none"
    return f"counts of {cases:,} closed complaints are now in {path}, and no case"


def drift_of(job: CaseAction) -> CommandResult:
    """Causes that have become more frequent than chance allows."""
    found = drift.rises(job.store.outcomes(job.wanted))
    if job.args.as_json:
        return DONE, as_json_text([asdict(rise) for rise in found])
    lines = [drift.rise_words(r, tables.cause_name(job.base, r.cause)) for r in found]
    return DONE, "\n".join(lines) or "no cause has become more frequent than chance allows"
