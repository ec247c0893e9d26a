"""Callbacks made up so that what is found contradicts every cause that is listed."""

from __future__ import annotations

import numpy as np

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, Answer
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint, Diagnosis
from diagnose.reasoning.evidence.tables import Tables

MOST = 20
"""Checks asked before a made-up callback is given up."""


def contrary(reasoner: Reasoner, symptom: str) -> Diagnosis:
    """A callback whose every answer is the one that the listed causes leave least."""
    table = reasoner.table(symptom)
    given = {name: _least(reasoner.base, table, name) for name in reasoner.base.intake}
    while len(given) < MOST:
        choice = reasoner.choose(AnsweredComplaint(symptom, given))
        if choice.stop is not None or not choice.questions:
            break
        name = choice.questions[0].asks[0]
        given[name] = _least(reasoner.base, table, name)
    return reasoner.diagnose(AnsweredComplaint(symptom, given))


def _least(base: Base, table: Tables, name: str) -> Answer:
    """The answer that the listed causes leave least against its usual share; no number is told."""
    check = base.checks[name]
    if not check.answers:
        return UNKNOWN
    likely = np.zeros(len(check.labels))
    for share, row in zip(table.priors, table.rows.get(name, ()), strict=False):
        likely += share * (10 ** (np.array(row.decibans) / 10) if row else 1.0)
    return check.labels[int(likely.argmin())]
