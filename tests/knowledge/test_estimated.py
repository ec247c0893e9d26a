"""What a panel estimated of rows joins what stands with a cause."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.cause_row import portions
from diagnose.knowledge.logic.estimated import Estimated, Leaning
from diagnose.knowledge.model.kinds import SeveralKind
from diagnose.knowledge.reading.load import read_texts
from tests.small import REST, SCALES

PORTIONS = st.lists(st.floats(0.01, 1), min_size=3, max_size=3).map(
    lambda ns: tuple(n / sum(ns) for n in ns)
)


@given(PORTIONS, PORTIONS, st.floats(0, 0.99))
def test_a_joined_row_is_a_row(
    judged: tuple[float, ...], parts: tuple[float, ...], share: float
) -> None:
    """It adds up to one, and each of its numbers moves from the judged toward the estimated."""
    now = Estimated(parts).joined(judged, share, together=False)

    assert sum(now) == pytest.approx(1)
    assert Estimated(judged).joined(judged, share, together=False) == pytest.approx(judged)
    assert Estimated(parts).joined(judged, 0, together=False) == pytest.approx(judged)


@given(PORTIONS, st.floats(0, 0.99))
def test_what_rules_out_and_what_was_not_before_the_panel_stays(
    judged: tuple[float, ...], share: float
) -> None:
    """A 0 stays a 0; an answer that was not on the sheet keeps its part."""
    left, right, _ = judged
    both = (left / (left + right), right / (left + right), 0.0)

    assert Estimated((0.2, 0.3, 0.5)).joined(both, share, together=False)[2] == 0
    assert Estimated((0.2, 0.8, None)).joined(judged, share, together=False)[2] == judged[2]


def test_of_answers_that_can_be_right_together_each_is_pooled_by_itself() -> None:
    """What all hold for as likely as not stays so, whatever the others come to."""
    now = Estimated((0.5, 0.9, 0.1)).joined((0.5, 0.9, 0.4), 0.5, together=True)

    assert now[:2] == pytest.approx((0.5, 0.9))
    assert 0.1 < now[2] < 0.4


@given(PORTIONS, PORTIONS, PORTIONS)
def test_what_was_estimated_over_all_symptoms_leans_from_what_is_met_at_one(
    usual: tuple[float, ...], shown: tuple[float, ...], here: tuple[float, ...]
) -> None:
    """Where answers are met as in general the row is the estimated one; elsewhere it leans alike."""
    leaning = Leaning(tuple(n / b for n, b in zip(shown, usual, strict=True)), together=False)

    assert leaning.at(usual).parts == pytest.approx(shown)
    row = leaning.at(here).parts
    assert sum(p or 0 for p in row) == pytest.approx(1)
    leans = [(p or 0) / b for p, b in zip(row, here, strict=True)]
    assert leans[0] / leans[1] == pytest.approx(leaning.times[0] / leaning.times[1])  # type: ignore[operator]


def test_answers_that_can_be_right_together_lean_by_their_odds() -> None:
    """Twice the odds of an even chance are two of three; what is as usual stays."""
    row = Leaning((2.0, 1.0, None), together=True).at((0.5, 0.9, 0.2)).parts

    assert row == (pytest.approx(2 / 3), pytest.approx(0.9), None)


def test_rows_and_usual_shares_of_the_shipped_base_still_add_up(base: Base) -> None:
    """Each row that was estimated is one, and so is what is met at its symptom."""
    looked = 0
    for symptom in base.symptoms:
        for table in base.estimates[symptom].rows:
            usual = base.usual(table.check, symptom)
            if isinstance(base.observables[table.check].kind, SeveralKind):
                continue
            assert sum(usual) == pytest.approx(1, abs=1e-6)
            for cause in table.of_100:
                row = base.rows(base.causes[cause], symptom).get(table.check)
                if row is not None:
                    looked += 1
                    assert sum(portions(row, usual)) == pytest.approx(1, abs=1e-6)
    assert looked > 10_000


WRONG = """
estimates:
  - id: {symptom}
    source: memory
    rows:
      - check: {check}
        answers: [{answers}]
        of_100:
          {cause}: {numbers}
"""


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"symptom": "liftin"}, "no symptom is called 'liftin' (did you mean lifting?)"),
        ({"check": "adhesiv"}, "no check is called 'adhesiv' (did you mean adhesive?)"),
        ({"answers": "clen, wet"}, "adhesive has no answer 'clen' (did you mean clean?)"),
        ({"cause": "puled"}, "no cause is called 'puled' (did you mean pulled?)"),
        ({"numbers": "20 70"}, "the numbers add up to 90: make it 100"),
        ({"numbers": "20 30 50"}, "3 numbers for 2 answers"),
        ({"numbers": "twenty 80"}, "'twenty 80' are no numbers with spaces between"),
    ],
)
def test_what_is_wrong_with_estimates_is_told(changed: dict[str, str], says: str) -> None:
    """Names that nothing has, numbers that cannot be."""
    right = {"symptom": "lifting", "check": "adhesive", "answers": "clean, wet",
             "cause": "pulled", "numbers": "20 80"}  # fmt: skip
    sound = read_texts({"small.yaml": SCALES + REST, "estimates.yaml": WRONG.format(**right)})
    wrong = read_texts(
        {"small.yaml": SCALES + REST, "estimates.yaml": WRONG.format(**(right | changed))}
    )

    assert sound.base is not None, sound.problems
    assert any(says in p.sentence for p in wrong.problems), wrong.problems


OVER_ALL = """
estimates:
  - id: all_symptoms
    source: memory
    rows:
      - check: adhesive
        answers: [clean, wet]
{usual}
        of_100:
          pulled: 80 20
"""


def test_a_cause_of_which_nothing_was_estimated_at_a_symptom_leans_as_over_all() -> None:
    """Four of five against one of two: it speaks for the cause; estimates at the symptom win."""
    over_all = OVER_ALL.format(usual="        usual: 50 50")
    at_it = WRONG.format(
        symptom="lifting", check="adhesive", answers="clean, wet", cause="pulled", numbers="20 80"
    )
    scales = SCALES.replace(
        "  unlisted", "  over_all_percent: 50\n  estimated_percent: 50\n  unlisted"
    )
    weights = []
    for texts in ([], [over_all], [over_all, at_it]):
        files = {f"{n}.yaml": text for n, text in enumerate((scales + REST, *texts))}
        base = read_texts(files).base
        assert base is not None
        row = base.rows(base.causes["pulled"], "lifting")["adhesive"]
        weights.append(row.decibans[base.observables["adhesive"].labels.index("clean")])

    written, leaning, here = weights
    assert leaning > written > here


@pytest.mark.parametrize(
    ("usual", "says"),
    [
        ("", "over all symptoms say what is usual too"),
        ("        usual: 50 40", "the numbers add up to 90: make it 100"),
        ("        usual: 100 0", "what is usual is met sometimes"),
        ("        usual: half half", "'half half' are no numbers with spaces between"),
    ],
)
def test_estimates_over_all_symptoms_say_what_is_usual(usual: str, says: str) -> None:
    """A row leans from what is usual, so that must be there and be possible."""
    read = read_texts({"small.yaml": SCALES + REST, "estimates.yaml": OVER_ALL.format(usual=usual)})

    assert any(says in p.sentence for p in read.problems), read.problems


def test_usual_numbers_stand_over_all_symptoms_only() -> None:
    """At one symptom what is usual follows from its causes."""
    text = WRONG.format(
        symptom="lifting", check="adhesive", answers="clean, wet", cause="pulled", numbers="20 80"
    ).replace("        of_100", "        usual: 50 50\n        of_100")
    read = read_texts({"small.yaml": SCALES + REST, "estimates.yaml": text})

    assert any("leave them out" in p.sentence for p in read.problems), read.problems


def test_rows_as_judged_and_rows_at_a_symptom_are_kept_apart() -> None:
    """Whichever is asked for first: what stands in the files is without estimates, a symptom's has them."""
    scales = SCALES.replace(
        "  unlisted", "  over_all_percent: 50\n  estimated_percent: 50\n  unlisted"
    )
    files = {"a.yaml": scales + REST, "b.yaml": OVER_ALL.format(usual="        usual: 50 50")}
    found = []
    for order in ((None, "lifting"), ("lifting", None)):
        base = read_texts(files).base
        assert base is not None
        rows = {at: base.rows(base.causes["pulled"], at)["adhesive"].decibans for at in order}
        found.append((rows[None], rows["lifting"]))

    assert found[0] == found[1]
    assert found[0][0] != found[0][1]


MOVED = """
whole_cases:
  - id: {cause}
    source: memory
    shares: {{{symptom}: {times}}}
    shows:
      {check}: {answers}
"""
MOVES = {"symptom": "lifting", "check": "adhesive", "answers": "wet 2, clean 0.5",
         "cause": "pulled", "times": "1.5"}  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"symptom": "liftin"}, "no symptom is called 'liftin' (did you mean lifting?)"),
        ({"check": "adhesiv"}, "no check is called 'adhesiv' (did you mean adhesive?)"),
        ({"answers": "wte 2"}, "adhesive has no answer 'wte' (did you mean wet?)"),
        ({"answers": "wet twice"}, "'wet twice' are no answers with numbers above 0"),
        ({"answers": "wet 0"}, "'wet 0' are no answers with numbers above 0"),
        ({"cause": "puled"}, "no cause is called 'puled' (did you mean pulled?)"),
        ({"times": "0"}, "greater than 0"),
    ],
)
def test_what_is_wrong_with_moves_is_told(changed: dict[str, str], says: str) -> None:
    """Names that nothing has, numbers that cannot be."""
    wrong = MOVED.format(**(MOVES | changed))
    read = read_texts({"small.yaml": SCALES + REST, "moved.yaml": wrong})

    assert any(says in p.sentence for p in read.problems), read.problems


def test_whole_complaints_move_a_row_and_a_share() -> None:
    """Wet is met twice as often and clean half as often, and both are a hundred as before."""
    texts = {"small.yaml": SCALES + REST, "moved.yaml": MOVED.format(**MOVES)}
    before, after = read_texts({"small.yaml": SCALES + REST}).base, read_texts(texts).base
    assert before is not None
    assert after is not None
    cause = after.causes["pulled"]

    def numbers(base: Base, symptom: str | None) -> dict[str, float]:
        row = base.rows(cause, symptom)["adhesive"]
        usual = base.usual("adhesive", symptom)
        return dict(zip(base.observables["adhesive"].labels, portions(row, usual), strict=True))

    old, new = numbers(before, "lifting"), numbers(after, "lifting")
    assert new["wet"] / new["clean"] == pytest.approx(4 * old["wet"] / old["clean"])
    assert sum(new.values()) == pytest.approx(1)
    assert numbers(after, None) == numbers(before, None), (
        "as it stands in the files it is not moved"
    )
    at = [c.id for c in after.behind("lifting")].index("pulled")

    def odds(base: Base) -> float:
        share = base.priors("lifting")
        return share[at] / (sum(share[:-1]) - share[at])

    assert odds(after) == pytest.approx(1.5 * odds(before))
