"""What a decision of a row rests on, and the reasons that there are for one."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


class Why(IntEnum):
    """The reason behind a decision."""

    ODD_DAYS = 0
    CONTRADICTION = 1
    SYMPTOM_READ = 2
    NOT_OUR_WORK = 3
    NOT_FIRST_OWNER = 4
    EXCLUDED = 5
    PAST_ALL = 6
    LAYING_DAY = 7
    NO_TERMS = 8
    NO_FAULT = 9
    NOBODY_ANSWERS = 10
    NOT_SETTLED = 11
    PAYER_FALLS = 12
    SILENT = 13
    NOT_CLEAR = 14
    AGE = 15
    PAST = 16
    SURFACE = 17
    OPEN_PAYER = 18
    NO_GROUNDS = 19
    NEEDS_FAIL = 20
    NEEDS_OPEN = 21
    OPEN_EXCLUSION = 22
    LATE_NOTICE = 23
    SOUND = 24
    COVERED = 25
    OUTSIDE = 26
    NOTHING_FOUND = 27


@dataclass(frozen=True, slots=True)
class RowEvidence:
    """Of the payer that leads, by row: `needs_open` as bits of its needs; the rest is yes or no.

    `needs`: number of the list of what must be shown. `excluded`: number of the exclusion that
    holds, -1 none; `open_exclusion`: one that is open; `not_ours`, `sound`: what says that it is
    no work of the shop, that there is no fault, -1 none.
    """

    needs: Ints
    needs_open: Ints
    needs_fail: Bools
    falls: Bools
    excluded: Ints
    open_exclusion: Ints
    not_ours: Ints
    sound: Ints


@dataclass(frozen=True, slots=True)
class RowSituation:
    """What a decision rests on beyond the cover; chances from 0 to 1.

    `asks_paper`: the most telling open check is answered from paperwork; `paying`, `plain`:
    (payers, rows), with open exceptions as often as they are usual, and by answered checks alone;
    `no_fault`: how likely it is that nothing is wrong; `cause`: the leading cause's chance;
    `grounds`: whether a sign in the row speaks for it, one that was found where words name
    something from outside; `told`: whether something found stands in the row; `unweighed`: whether
    words name something beside the shop's work that no answer holds.
    """

    odd_days: Bools
    contradicted: Bools
    symptom_read: Bools
    asks_paper: Bools
    nobody: Bools
    payer: Ints
    cause: Ints
    origin: Ints
    symptom: Ints
    payer_chance: Floats
    paying: Floats
    plain: Floats
    no_fault: Floats
    cause_chance: Floats
    grounds: Bools
    told: Bools
    second_owner: Bools
    notice_days: Floats
    unweighed: Bools
