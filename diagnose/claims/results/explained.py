"""What stands in the columns that are added to a table, and which source an id stands for."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

import polars as pl

from diagnose.claims.policy.policy import Policy
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.source import WEIGHTS

COLUMNS: Mapping[str, str] = {
    "decision": "What to do with the claim: see the decisions below.",
    "because": "Why so, in one sentence, under the terms of the day of laying.",
    "symptom_named": "The fault as the rule base names it.",
    "cause_#": "The likeliest causes, the first before the second.",
    "cause_#_percent": "How likely each of them is with what is known.",
    "unlisted_percent": "How likely it is something that the rule base does not list.",
    "cause_class": "Where the likeliest group of causes comes from.",
    "class_percent": "How likely that group is as a whole.",
    "payer": "Who carries the cost for the likeliest causes; 'not decided' under a fair chance.",
    "payer_percent": "How likely it is that this payer carries it.",
    "covered_percent": "How likely it is as a whole that this cover answers, whatever the cause.",
    "not_answered_percent": "How likely it is that one pays for whom the terms do not answer, or no"
    " longer; no remark counts.",
    "confidence": "The same in a word: see the words below.",
    "sign_for_#": "What speaks for the first cause, the weightiest first; in square brackets what"
    " was seen, in round ones how strong that is, in decibans, and the source.",
    "sign_against_#": "What speaks against the first cause.",
    "from_remark": "What was read out of own words; where a column says otherwise, the column"
    " counts alone.",
    "not_read": "Cells that say nothing that can be read; the row was decided without them.",
    "contradictions": "Answers that cannot both be right.",
    "ask_first": "Questions without which the terms cannot be applied, to be sent to the shop.",
    "ask_for_#": "Questions that would make the cause surer, the most telling first.",
    "ask_for_#_bits": "How much each would tell; one bit halves what is in doubt.",
    "papers_missing": "What this payer must be shown by and is not on file.",
    "age_months_at_claim": "Full months from laying to the day when it was seen.",
    "terms": "The terms in force on the day of laying.",
    "months_covered": "For how many months they answer for this payer on this surface.",
    "share_percent": "The share that is carried at that age, for accepted claims.",
    "amount_carried": "That share of what the cover carries, less the deductible, up to the cap.",
    "currency": "The money of the amounts; amounts of different money are never added.",
    "settled": "Whether the claim was settled before, or sent in twice, and where it stands.",
    "from_the_table": "What other rows of the table say of this one.",
    "rules_version": "The rule base under which the row was decided.",
    "policy_version": "The terms under which the row was decided.",
    "program_version": "The program that decided the row.",
}
"""By column of the output, numbered ones with '#'."""

MEANINGS = {
    "accept": "Covered, the payer is likely, and nothing that the terms need is open.",
    "decline": "Definitely not covered; never because something is not known.",
    "ask": "Papers or answers decide it: send the questions.",
    "not our work": "Somebody else laid it: it goes back to whoever claims.",
    "no fault found": "Nothing is wrong that anybody would have to mend.",
    "settled before": "Decided in an earlier run; it is not paid again.",
    "inspect": "Someone has to look at the car, or at answers that do not fit each other.",
}

MORE = {
    "common-practice": "What installers agree on; no published source.",
    "memory": "Remembered by whoever wrote it; no published source.",
    "derived": "Follows from other statements of the rule base.",
}


def words(base: Base, policy: Policy, used: Collection[str]) -> pl.DataFrame:
    """A sheet of words: columns, decisions, strengths, how sure, terms, the sources used."""
    rows = list(_rows(base, policy, used))
    return pl.DataFrame(rows, schema=("part", "word", "meaning"), orient="row")


def _rows(base: Base, policy: Policy, used: Collection[str]) -> Iterator[tuple[str, str, str]]:
    for column, meaning in COLUMNS.items():
        yield "column", column, meaning
    for decision, meaning in MEANINGS.items():
        yield "decision", decision, meaning
    for strength, size in base.scales.strengths.items():
        times = 10 ** (size / 10)
        yield "strength", strength, f"from {size:g} dB: {times:.3g} times as likely as without it"
    for sure, percent in (
        ("possible", base.scales.possible_percent),
        ("probable", base.scales.probable_percent),
        ("leads clearly", base.scales.leads_clearly_percent),
    ):
        yield "confidence", sure, f"{percent:g} percent or more"
    yield "terms", policy.version, policy.name
    for word, meaning in MORE.items():
        yield "source", word, meaning
    for source in (its for its in base.sources.values() if its.id in used):
        kind = f"{WEIGHTS[source.weight]}, {source.reading}"
        yield "source", source.id, f"{source.citation} ({kind})"
