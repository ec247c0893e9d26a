"""All anomalies that the rule base shows by itself, after the published taxonomies.

Redundancy (said twice, covered by another, split for nothing, never able to hold, used by nothing),
ambivalence (for and against), circularity, deficiency (missing, unreachable, never asked): Nguyen,
Perkins, Laffey & Pecora, AI Magazine 8(2) (1987) 69-75; Preece & Shinghal, Int. J. Intell. Syst. 9
(1994) 683-701. Circles and names that nothing has are problems of loading (`verify`), since a base
with these cannot run. A combination of answers without a rule is no anomaly here: an answer that no
sign names speaks by what the others leave it. What needs weighing stands in `diagnose.rulebook`.
"""

from __future__ import annotations

from diagnose.knowledge.soundness.anomaly import Anomaly
from diagnose.knowledge.soundness.conditions import CONDITIONS
from diagnose.knowledge.soundness.missing import MISSING
from diagnose.knowledge.soundness.signs import SIGNS
from diagnose.knowledge.soundness.use import USE
from diagnose.knowledge.soundness.wording import WORDING

ANOMALIES: tuple[Anomaly, ...] = (*SIGNS, *CONDITIONS, *USE, *MISSING, *WORDING)
