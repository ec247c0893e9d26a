"""Which page is made by what."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.serve.views import asking, beginning, kept, standing
from diagnose.serve.views.look import View

VIEWS: Mapping[str, View] = {
    "words": beginning.words,
    "confirm": beginning.confirm,
    "symptom": beginning.symptom,
    "place": beginning.place,
    "ask": asking.ask,
    "enough": asking.enough,
    "stands": standing.stands,
    "like": standing.like,
    "doubt": standing.doubt,
    "answers": kept.answers,
    "back": kept.back,
    "facts": kept.facts,
    "photos": kept.photos,
}
"""The pages of a case by the word in their address; `done` and reports are made elsewhere."""
