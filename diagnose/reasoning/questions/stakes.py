"""What a wrong end costs, in minutes of the shop's work: what the questions are there to save.

To end with one cause where another is at work costs the remedy that did not hold and the visit
after it, the right remedy paid by the wrong side, and the fault once more where its cause was not
the one prevented. Film and visits count by the hours of work that they are worth, so that what a
question takes is held against the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import Cause
from diagnose.reasoning.evidence.columns import Floats
from diagnose.reasoning.evidence.tables import Tables

BUBBLES = 6
"""As many as a complaint has, where a remedy is counted by them; a judgement."""


def wrong_ends(base: Base, table: Tables) -> Floats:
    """Minutes lost by the cause ended with and the cause at work: (causes + 1, causes + 1).

    The last of each is the unlisted one; to end with that is to look further.
    """
    figures = base.scales.stakes
    ends = [_End(base, cause, table.symptom) for cause in table.causes]
    count = len(ends)
    hours = np.zeros((count + 1, count + 1))
    for one, ended in enumerate(ends):
        for other, at_work in enumerate(ends):
            hours[one, other] = _lost(base, ended, at_work) if one != other else 0.0
        hours[one, count] = figures.look_further_hours + ended.price(ended.remedy)
    hours[count, :count] = figures.look_further_hours
    return 60 * hours


@dataclass(frozen=True)
class _End:
    """What is done for one cause of a symptom, and what that costs, in hours."""

    base: Base
    cause: Cause
    symptom: str

    @cached_property
    def holds(self) -> dict[str, float]:
        """Chance to hold of each remedy that the cause allows."""
        never = {n.remedy for n in self.cause.never}
        mending = self.base.mending(self.cause, self.symptom)
        return {r: percent / 100 for r, percent in mending.items() if percent and r not in never}

    @cached_property
    def remedy(self) -> str:
        """The remedy that costs least to the end; '' where nothing is to mend."""
        return min(self.holds, key=self.cost, default="")

    @cached_property
    def right(self) -> float:
        """What the remedy costs to the end."""
        return self.cost(self.remedy) if self.remedy else 0.0

    @cached_property
    def sure(self) -> float:
        """What is done in the end where a first try did not hold: the best remedy until it does."""
        return min((self.price(r) / chance for r, chance in self.holds.items()), default=0.0)

    def price(self, name: str) -> float:
        """Hours of a remedy, with its film."""
        if not name:
            return 0.0
        remedy, figures = self.base.remedies[name], self.base.scales.stakes
        count = BUBBLES if remedy.hours.per == "bubble" else 1
        middle = count * (remedy.hours.low + remedy.hours.high) / 2
        return middle + figures.film_hours[remedy.film]

    def cost(self, name: str) -> float:
        """What it costs to the end to begin with a remedy where this is the cause."""
        remedy = self.base.remedies[name]
        late = remedy.look_again_hours >= self.base.scales.acting.another_visit_hours
        visit = self.base.scales.stakes.visit_hours if late else 0.0
        return self.price(name) + (1 - self.holds.get(name, 0.0)) * (visit + self.sure)


def _lost(base: Base, ended: _End, at_work: _End) -> float:
    """Hours lost where it is ended with one cause and another is at work."""
    figures = base.scales.stakes
    if not at_work.remedy:
        done = ended.price(ended.remedy)
    elif not ended.remedy:
        done = figures.visit_hours + at_work.right
    else:
        done = at_work.cost(ended.remedy)
    lost = max(0.0, done - at_work.right)
    if ended.cause.responsibility.payer != at_work.cause.responsibility.payer:
        lost += figures.wrong_payer_percent / 100 * at_work.right
    if ended.cause.prevention != at_work.cause.prevention:
        lost += figures.comes_back_percent / 100 * (figures.visit_hours + at_work.right)
    return lost


def stakes(wrong: Floats, priors: Floats) -> Floats:
    """Minutes that missing each cause costs, on average over what it would be taken for."""
    return np.asarray(priors @ wrong)


def at_stake(probabilities: Floats, stakes: Floats) -> Floats:
    """Minutes that ending now costs at the most, for each row of probabilities.

    Half the entropy in bits is no less than the chance that the likeliest cause is the wrong one
    (Hellman & Raviv 1970); each cause's part of it is weighed by what missing it costs. Unlike
    that chance itself it falls with whatever is learned, also where no answer alone turns the end.
    """
    logs = np.log2(probabilities, out=np.zeros_like(probabilities), where=probabilities > 0)
    return np.asarray(-0.5 * (probabilities * logs) @ stakes)
