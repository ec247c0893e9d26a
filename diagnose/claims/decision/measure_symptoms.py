"""On which symptoms a measure bears.

In a row no measure is reckoned that no rule for its symptom looks at; in a backlog with many
readings this is most of them.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from diagnose.claims.policy.policy import Policy
from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Entry
from diagnose.knowledge.soundness.walk import parts, reached, subjects_of

Bools = NDArray[np.bool_]


def bearing(base: Base, policy: Policy) -> Mapping[str, Bools]:
    """For each measure, by the number of a symptom, whether a rule there looks at it.

    What the terms, the payers and the contradictions look at bears on every symptom.
    """
    terms = {s for its in policy.terms for e in its.excludes for s in e.when.subjects()}
    entries = (*base.payers.values(), *base.contradictions.values(), *base.checks.values())
    everywhere = reached(base, terms.union(*map(_subjects, entries)))
    of_cause = {name: reached(base, _subjects(cause)) for name, cause in base.causes.items()}
    looked = [
        everywhere.union(*(of_cause[cause.id] for cause in base.behind(symptom)))
        for symptom in base.symptoms
    ]
    return {name: np.array([name in its for its in looked]) for name in base.measures}


def _subjects(entry: Entry) -> set[str]:
    """What an entry and its parts read."""
    return {subject for _, part in parts(entry) for subject in subjects_of(part)}
