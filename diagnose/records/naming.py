"""What people call things: ids or names of the rule base, in filters and outcomes."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from diagnose.commands import Misuse
from diagnose.knowledge.base import Base
from diagnose.knowledge.model.words import UNLISTED
from diagnose.knowledge.panels import PANELS
from diagnose.near import near
from diagnose.records.case.journal import Outcome
from diagnose.records.store.summary import Filter
from diagnose.records.tables import cause_name
from diagnose.typed import on_one_line

_MONTH = re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])")


def wanted_of(wanted: Filter, base: Base, at: datetime) -> Filter:
    """The filter with ids for what may be said by name.

    Refuses a word that is nowhere, which would list nothing without saying why.
    """
    if wanted.month and not _MONTH.fullmatch(wanted.month):
        raise Misuse(f"'{on_one_line(wanted.month)}' is no month: write it like {at:%Y-%m}")
    return replace(
        wanted,
        symptom=_id("symptom", wanted.symptom, {s.id: s.name for s in base.symptoms.values()}),
        cause=_id("cause", wanted.cause, _causes(base)),
        panel=_id("panel", wanted.panel, PANELS),
    )


def outcome_of(said: Outcome, base: Base) -> Outcome:
    """The outcome with ids for what may be said by name."""
    causes = _causes(base)
    return replace(
        said,
        cause=_id("cause", said.cause, causes),
        also_causes=tuple(_id("cause", cause, causes) for cause in said.also_causes),
        remedy=_id("remedy", said.remedy, {r.id: r.name for r in base.remedies.values()}),
        payer=_id("payer", said.payer, {p.id: p.name for p in base.payers.values()}),
    )


def _causes(base: Base) -> dict[str, str]:
    named = {cause.id: cause.name for cause in base.causes.values()}
    return {**named, UNLISTED: cause_name(base, UNLISTED)}


def guess(word: str, known: Sequence[str]) -> str:
    """' (did you mean …?)' with up to three that have the word within them, or the nearest."""
    within = [one for one in known if word.casefold() in one.casefold()][:3]
    return on_one_line(f" (did you mean {', '.join(within)}?)" if within else near(word, known))


def _id(what: str, word: str, names: Mapping[str, str]) -> str:
    """The id of what was named by its id or its name; empty for no word."""
    folded = " ".join(word.casefold().split())
    for entry, name in names.items():
        if folded in (entry.casefold(), entry.replace("_", " "), name.casefold()):
            return entry
    if word:
        raise Misuse(f"'{on_one_line(word)}' is no {what}{guess(word, [*names, *names.values()])}")
    return ""
