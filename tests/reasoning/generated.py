"""Rule bases drawn at random from tiny alphabets, so that ties, repeats and contradictions happen.

Every form occurs: rows with one answer and several, what is left, what rules out, rows at a symptom,
usual shares and a look of a symptom's own; conditions on a word, several words, none of some words,
ends of numbers open and closed, findings found and not found and upon findings, a measure, groups.
"""

from __future__ import annotations

import json
from typing import Any

from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.knowledge.model.conditions import Value, Values
from diagnose.knowledge.model.values import OneOfThese
from diagnose.knowledge.reading.load import read_texts
from diagnose.measures.quantity import Quantity

CHOICES = ("zone", "glue", "wash")
BINNED = ("stretch_percent", "stretch_limit_percent")
PLAIN = "age_months"
ANSWERS = {"a": 0.5, "b": 4.5, "c": 45, "d": 50}
WORDS = ("barely", "substantial", "strong", "decisive")

MENU: tuple[tuple[dict[str, float | str], ...], ...] = (
    ({"a": 79},),
    ({"a": 16}, {"d": 9}),
    ({"b": 25},),
    ({"b": 25}, {"c": 25}),
    ({"c": 80, "d": "rest"},),
    ({"d": 0.3},),
    ({"c": 1.4}, {"d": 28}),
    ({"a": 2.8, "b": 25.3}, {"c": "rest"}),
    ({"a": 0.3, "b": 2.5, "c": 25},),
    ({"a": 0}, {"d": 20}),
    ({"c": 0, "b": 0},),
    ({"b": 30, "a": 0}, {"c": 20, "d": 50}),
)
"""Rows on one check, entry by entry."""

SCALES: dict[str, Any] = {
    "strengths": {"barely": 2.5, "substantial": 7.5, "strong": 15, "decisive": 22},
    "shares": {"very_common": 40, "common": 12, "occasional": 3, "rare": 0.7},
    "unlisted_percent": 5,
    "asking_minutes": 3,
    "harm_minutes": {"none": 0, "minor": 3, "destructive": 15},
    "away_minutes": {"at_car": 0, "in_bay": 5, "paperwork": 0, "lab": 240},
    "told_percent": {"at_car": 90, "in_bay": 75, "paperwork": 65, "lab": 60},
    "carried_over_percent": 80,
    "vehicle_wide_percent": 50,
    "elsewhere_percent": {},
    "leads_clearly_percent": 95,
    "probable_percent": 75,
    "possible_percent": 40,
    "poor_fit_percent": 25,
    "acting": {
        "in_play_percent": 8,
        "payers_apart_decibans": 10,
        "proof_decibans": 15,
        "nearly_sure_percent": 90,
        "least_hope_percent": 10,
        "another_visit_hours": 4,
        "least_laying_hours": 0.5,
        "beyond_size_percent": 50,
    },
    "asking": {
        "waiting_percent": 25,
        "untold_in_a_row": 3,
    },
    "stakes": {
        "film_hours": {"none": 0, "strip": 0.2, "piece": 0.7, "set": 2, "vehicle": 8},
        "visit_hours": 1,
        "look_further_hours": 4,
        "wrong_payer_percent": 50,
        "comes_back_percent": 30,
    },
    "source": "common-practice",
}


def _check(name: str) -> dict[str, Any]:
    rest: dict[str, Any] = {
        "id": name,
        "name": name,
        "ask": "q",
        "how": "h",
        "tool": "t",
        "minutes": 1,
        "place": "at_car",
        "harm": "none",
        "scope": "complaint",
        "source": "common-practice",
    }
    if name in CHOICES:
        return rest | {
            "answers": {
                w: {"says": w, "usual": u, "phrases": [f"{name} {w}"]} for w, u in ANSWERS.items()
            }
        }
    rest["number"] = {"unit": "%", "from": -100, "to": 400}
    return rest | ({"usual": _bins()} if name in BINNED else {})


def _bins() -> list[dict[str, float]]:
    return [
        {"under": 10, "usual": 0.5},
        {"under": 20, "usual": 4.5},
        {"under": 30, "usual": 45},
        {"usual": 50},
    ]


_BINS = {"a": "under 10", "b": "10 to 20", "c": "20 to 30", "d": "30 and over"}


def _shown(where: str, of_100: dict[str, float | str]) -> dict[str, Any]:
    """An entry of the menu on a choice or on a binned number."""
    labels = {label if where in CHOICES else _BINS[label]: n for label, n in of_100.items()}
    return {"check": where, "of_100": labels, "because": "b", "source": "common-practice"}


def _word_test() -> st.SearchStrategy[Any]:
    some = st.lists(st.sampled_from("abcd"), min_size=1, max_size=2, unique=True)
    return some | some.map(lambda words: {"not": words}) | st.sampled_from("abcd")


def _span_test() -> st.SearchStrategy[dict[str, float]]:
    end = st.sampled_from([9, 10, 12.5, 20, 30])
    one = st.builds(
        lambda k, e: {k: e}, st.sampled_from(["under", "at_most", "over", "at_least"]), end
    )
    both = st.builds(
        lambda lo, hi: {lo: 10, hi: 20},
        st.sampled_from(["over", "at_least"]),
        st.sampled_from(["under", "at_most"]),
    )
    return one | both


def _conditions(findings: tuple[str, ...], least: int = 1) -> st.SearchStrategy[dict[str, Any]]:
    tests = {
        **dict.fromkeys(CHOICES, _word_test()),
        **dict.fromkeys((*BINNED, PLAIN), _span_test()),
        "stretch_vs_limit": st.sampled_from([{"at_least": 1}, {"under": 1}, {"over": 0.5}]),
        **dict.fromkeys(findings, st.sampled_from(["found", "not_found"])),
    }
    names = st.lists(st.sampled_from(sorted(tests)), min_size=least, max_size=3, unique=True)
    return names.flatmap(lambda its: st.fixed_dictionaries({n: tests[n] for n in its}))


def _stated(when: dict[str, Any]) -> dict[str, Any]:
    return {"when": when, "because": "b", "source": "common-practice"}


@st.composite
def _cause(draw: Any, number: int, findings: tuple[str, ...]) -> dict[str, Any]:
    behind = draw(st.sampled_from([("s",), ("t",), ("s", "t")]))
    signs, shows = [], []
    for check in draw(st.lists(st.sampled_from((*CHOICES, *BINNED)), max_size=4, unique=True)):
        group = draw(st.sampled_from([None, None, "g", "h"]))
        for at in draw(st.sampled_from([[()], [("s",)], [(), ("t",)]])):
            if at and at[0] not in behind:
                continue
            for of_100 in draw(st.sampled_from(MENU)):
                entry = _shown(check, of_100) | ({"at": list(at)} if at else {})
                shows.append(entry | ({"group": group} if group else {}))
    for when in draw(st.lists(_conditions(findings, 2), max_size=2)):
        group = draw(st.sampled_from([None, "g"]))
        speaks, strength = draw(st.sampled_from(["for", "against"])), draw(st.sampled_from(WORDS))
        sign = _stated(when) | {"speaks": speaks, "strength": strength}
        signs.append(sign | ({"group": group} if group else {}))
    share = st.sampled_from(["very_common", "common", "occasional", "rare"])
    outs = draw(st.lists(_conditions(findings, 2), max_size=1))
    return {
        "id": f"cause{number}",
        "name": "n",
        "plainly": "p",
        "origin": "technique",
        "mechanism": "m",
        "behind": {symptom: draw(share) for symptom in behind},
        "shows": shows,
        "signs": signs,
        "ruled_out_when": [_stated(when) for when in outs],
        "responsibility": {"payer": "installer", "because": "b"},
        "prevention": "p",
        "source": "common-practice",
    }


@st.composite
def bases(draw: Any) -> Base:
    """A sound rule base of a few causes behind two symptoms."""
    findings: list[dict[str, Any]] = []
    for number in range(draw(st.integers(0, 3))):
        known = tuple(f["id"] for f in findings)
        rules = draw(st.lists(_conditions(known), min_size=1, max_size=2))
        findings.append({"id": f"f{number}", "name": "n", "rules": [_stated(w) for w in rules]})
    names = tuple(f["id"] for f in findings)
    data = {
        "scales": SCALES,
        "symptoms": [draw(_symptom("s")), draw(_symptom("t"))],
        "checks": [_check(name) for name in (*CHOICES, *BINNED, PLAIN)],
        "measures": [
            {
                "id": "stretch_vs_limit",
                "name": "n",
                "function": "stretch_vs_limit",
                "inputs": {n: n for n in BINNED},
                "usual": [{"under": 1, "usual": 97}, {"usual": 3}],
                "source": "common-practice",
            }
        ],
        "findings": findings,
        "causes": [draw(_cause(n, names)) for n in range(draw(st.integers(1, 4)))],
        "payers": [{"id": "installer", "name": "n", "carries": "c", "source": "common-practice"}],
        "contradictions": [
            _stated(draw(_conditions(names, 2))) | {"id": f"odd{n}"}
            for n in range(draw(st.integers(0, 2)))
        ],
    }
    reading = read_texts({"drawn.yaml": json.dumps(data)})
    assert reading.base is not None, reading.problems
    return reading.base


@st.composite
def _symptom(draw: Any, name: str) -> dict[str, Any]:
    words = dict.fromkeys(("name", "group", "look", "appears", "where"), name)
    return {
        "id": name,
        **words,
        "source": "common-practice",
        "shows": draw(st.sampled_from([{}, {}, {"wash": "c"}])),
        "usual": draw(st.sampled_from([{}, {"zone": {"a": 20, "d": 10}, "glue": {"c": 5}}])),
    }


def _numbers() -> st.SearchStrategy[Quantity]:
    end = st.sampled_from([5.0, 9.0, 10.0, 12.5, 15.0, 20.0, 25.0, 30.0, 40.0])
    return end.map(lambda x: Quantity(x, x)) | st.builds(
        lambda a, b: Quantity(min(a, b), max(a, b)), end, end
    )


def _answers() -> st.SearchStrategy[Value]:
    """An answer, or some of which one is right."""
    some = st.lists(st.sampled_from("abcd"), min_size=2, max_size=4, unique=True)
    return st.sampled_from("abcd") | some.map(lambda words: OneOfThese(tuple(sorted(words))))


def rows() -> st.SearchStrategy[list[Values]]:
    """Some rows of known values, whole or in part; any may be missing."""
    optional = {
        **dict.fromkeys(CHOICES, _answers()),
        **dict.fromkeys((*BINNED, PLAIN), _numbers()),
    }
    return st.lists(st.fixed_dictionaries({}, optional=optional), min_size=1, max_size=6)
