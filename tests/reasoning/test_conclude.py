"""What follows from the standings: remedies, bars, payers, cautions, and the words for them."""

from __future__ import annotations

import pytest

from diagnose.measures.quantity import exact
from diagnose.reasoning.conclusion import Concluder, Following
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint, Diagnosis
from diagnose.reasoning.explanation import explain
from tests.small import REST, SCALES, small


@pytest.fixture(scope="module")
def tool() -> Reasoner:
    """A reasoner on the small base."""
    return Reasoner(small())


def diagnose(tool: Reasoner, **answers: object) -> Diagnosis:
    """The diagnosis of lifting."""
    return tool.diagnose(AnsweredComplaint("lifting", answers))  # type: ignore[arg-type]


def test_remedies_come_from_the_causes_in_play_the_likeliest_first(tool: Reasoner) -> None:
    """A pull calls for re-laying before a new piece."""
    proposed = [remedy for remedy, _ in diagnose(tool, cut="gapes").conclusion.proposed]

    assert proposed == ["relay", "renew"]


def test_what_is_likely_enough_is_acted_on_and_nothing_less(tool: Reasoner) -> None:
    """A cause of one in ten has its remedy proposed and its payer named; one of forty has not."""
    found = diagnose(tool)
    chances = {s.cause.id: s.probability for s in found.differential.standings}

    assert 0.08 < chances["cold"] < 0.11
    assert 0.02 < chances["solvent_left"] < 0.08
    assert {p.cause for p in found.conclusion.pays} == {"pulled", "dirty_edge", "cold"}
    causes = {remedy: set(its) for remedy, its in found.conclusion.proposed}
    assert causes == {"relay": {"pulled", "cold"}, "renew": {"pulled", "dirty_edge", "cold"}}


def test_a_remedy_is_barred_by_what_was_found_and_by_the_cause(tool: Reasoner) -> None:
    """Nobody seals over dirt: the finding bars it, and so does the cause that leads."""
    found = diagnose(tool, adhesive="dirty", cut="closed").conclusion

    assert {(b.remedy, b.cause) for b in found.barred} == {("seal", None), ("seal", "dirty_edge")}
    assert found.barred[0].instead == ("relay",) or found.barred[1].instead == ("relay",)


def test_a_bar_of_a_cause_that_does_not_lead_is_a_warning(tool: Reasoner) -> None:
    """Should it be dirt after all, sealing is wrong: said, but not forbidden."""
    found = diagnose(tool, lines="seen").conclusion

    assert [b.remedy for b in found.warnings] == ["seal"]
    assert not found.barred


def test_who_pays_as_a_rule_and_who_pays_instead(tool: Reasoner) -> None:
    """With a care sheet handed over the owner pays for dirt; else the shop does."""
    rule = diagnose(tool, adhesive="dirty", cut="closed").conclusion.pays
    instead = diagnose(tool, adhesive="dirty", cut="closed", care="given").conclusion.pays

    assert next(p for p in rule if p.cause == "dirty_edge").payer == "installer"
    assert next(p for p in instead if p.cause == "dirty_edge").payer == "owner"


def test_cautions_come_with_the_remedies_that_call_for_them(tool: Reasoner) -> None:
    """A new piece means blades."""
    assert diagnose(tool, cut="gapes").conclusion.cautions == ("blade",)


def test_why_and_why_not(tool: Reasoner) -> None:
    """Reasons name the answer; what failed names the very condition and answer."""
    found = diagnose(tool, cut="closed", adhesive="dirty")
    dirty, pulled = found.differential.of("dirty_edge"), found.differential.of("pulled")

    why = explain.reasons(tool.base, dirty, found.trace.values)
    assert ("Adhesive", "dirty") in why[0].seen + why[1].seen
    missed = explain.failed(tool.base, pulled, found.trace.values)
    assert ("Relief cut", "stays closed") in [f.seen for f in missed]
    against = [r for r in explain.reasons(tool.base, pulled, found.trace.values) if r.decibans < 0]
    assert against[0].because == "dirt did it"


@pytest.mark.parametrize(
    ("cause", "answers", "says"),
    [
        ("pulled", {"cut": "closed"}, "This cause would rather show 'gapes'."),
        (
            "pulled",
            {"adhesive": "wet"},
            "Not seen, though it would speak against this cause: 'dirty'.",
        ),
        (
            "cold",
            {"panel_c": exact(12)},
            "Not seen, though it would speak against this cause: 18 °C and over.",
        ),
        (
            "cold",
            {"adhesive": "clean"},
            "About 67 of 100 cars with this cause show it; usually 60 do.",
        ),
    ],
)
def test_silence_says_what_the_cause_would_have_left(
    tool: Reasoner, cause: str, answers: dict[str, object], says: str
) -> None:
    """An answer that no sign names: the reader learns what would stand in its place."""
    found = diagnose(tool, **answers)

    (reason,) = explain.reasons(tool.base, found.differential.of(cause), found.trace.values)

    assert reason.silent
    assert reason.because == says


def test_what_would_change_it_does_change_it(tool: Reasoner) -> None:
    """The answer named as turning the lead does so when it is given."""
    found = diagnose(tool)
    change = explain.would_change(found)
    assert change is not None

    turned = diagnose(tool, **{change.observable: change.answer})

    assert turned.differential.leading is not None
    assert turned.differential.leading.cause.id == change.leading
    assert turned.differential.leading.cause.id != found.differential.leading.cause.id  # type: ignore[union-attr]


def test_answers_that_cannot_both_be_right_are_shown(tool: Reasoner) -> None:
    """Both answers and the reason."""
    found = diagnose(tool, adhesive="wet", care="given")

    ((because, seen),) = explain.contradictions(tool.base, found)
    assert because == "one of the two is wrong"
    assert seen == (("Adhesive", "wet"), ("Care sheet", "given"))


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.97, "leads clearly"), (0.8, "probable"), (0.5, "possible"), (0.2, "not settled")],
)
def test_how_sure_it_is_in_words(tool: Reasoner, chance: float, words: str) -> None:
    """The bands of the scales."""
    assert explain.how_sure(tool.base, chance) == words


def test_what_is_dangerous_as_it_is_comes_first(reasoner: Reasoner) -> None:
    """Film that hangs off a roof is a danger on the road before anybody works on it."""
    loose = reasoner.diagnose(AnsweredComplaint("panel_loss", {}))

    assert loose.conclusion.cautions[0] == "road_safety"
    assert len(loose.conclusion.cautions) > 3


def test_one_network_for_all_symptoms_concludes_as_one_for_each(tool: Reasoner) -> None:
    """A remedy that ends one symptom and not another is proposed at the first only."""
    base = tool.base
    shared = Following(base, tuple(base.symptoms))
    compared = 0
    for symptom in base.symptoms:
        for answers in ({}, {"cut": "gapes"}, {"adhesive": "dirty", "cut": "closed"}):
            found = tool.diagnose(AnsweredComplaint(symptom, answers))
            alone = Concluder(base, symptom).run(found.trace, found.differential)
            together = Concluder(base, symptom, shared).run(found.trace, found.differential)
            assert together == alone == found.conclusion
            compared += 1

    assert compared == 3 * len(base.symptoms) > 3


ESTIMATED = """
estimates:
  - id: lifting
    source: memory
    rows:
      - check: lines
        answers: [seen, none]
        of_100:
          cold: 4 96
          pulled: 60 40
"""


def test_a_row_that_nobody_gave_a_reason_for_says_how_often_it_is_met() -> None:
    """No sign of the cause speaks of it, so nothing is said of what it would rather show."""
    tool = Reasoner(small(REST + ESTIMATED, SCALES + "  estimated_percent: 50\n"))
    found = diagnose(tool, lines="seen")

    (reason,) = explain.reasons(tool.base, found.differential.of("cold"), found.trace.values)

    assert reason.decibans < 0
    assert reason.because.startswith("About 4 of 100 cars with this cause show it; usually ")
