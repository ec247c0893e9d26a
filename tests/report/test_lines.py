"""The report in lines: what is said in short, what warns, what each mark stands for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.knowledge.model.words import UNLISTED
from diagnose.measures.quantity import exact
from diagnose.reasoning.diagnose import Reasoner
from diagnose.reasoning.diagnosis import AnsweredComplaint
from diagnose.reasoning.explanation.explain import how_sure
from diagnose.reasoning.explanation.said import Said
from diagnose.records.case.journal import Case
from diagnose.records.case.journal import Complaint as Recorded
from diagnose.report.content.case import build
from diagnose.report.content.data import ComplaintReport, Payment, Report
from diagnose.report.formats.blocks import whole_percent
from tests.lines import markdown, text
from tests.small import REST, small

SEALED = REST.replace("remedies: {relay: 60, renew", "remedies: {relay: 60, seal: 20, renew")
ANSWERS = {"adhesive": "dirty", "cut": "closed", "panel_c": exact(20), "printed": "plain"}


@pytest.fixture(scope="module")
def made() -> Report:
    """A lifted edge of the small base: dirt leads, the cold and the print are unlikely."""
    tool = Reasoner(small(SEALED))
    car = tool.car([AnsweredComplaint("lifting", ANSWERS)])
    case = Case(
        "made_up", {"remark": "It *lifts*"}, {}, (Recorded(1, "lifting", "bonnet", ANSWERS),)
    )
    return build(tool.base, case, car, "2026-11-25 09:00", "0")


def lines(report: Report, **changes: object) -> list[str]:
    """The unbroken lines of the report, its complaint changed."""
    complaint = replace(report.complaints[0], **changes)  # type: ignore[arg-type]
    return text(replace(report, complaints=(complaint,)), width=0).splitlines()


def complaint(report: Report) -> ComplaintReport:
    """Its only complaint."""
    return report.complaints[0]


@pytest.mark.parametrize("probability", [0.97, 0.8, 0.5, 0.2])
def test_how_sure_it_is_stands_beside_the_number(made: Report, probability: float) -> None:
    """In short and under the cause: 'leads clearly, 97%', never the one without the other."""
    words = how_sure(small(), probability)

    said = lines(made, probability=probability, how_sure=words)

    sure = f"({words}, {probability:.0%}"
    assert [line for line in said if line.endswith(f"{sure}).")], "in short"
    assert [line for line in said if f"{sure}; surface preparation" in line], "under the cause"


def test_answers_that_do_not_fit_together_are_warned_of(made: Report) -> None:
    """Both answers by name and why they cannot both be right, under the mark of a warning."""
    odd = (("one of the two is wrong.", (Said("Adhesive", "wet"), Said("Care sheet", "given"))),)

    said = lines(made, contradictions=odd)

    warning = (
        "! Two answers do not fit together (Adhesive: wet; Care sheet: given)."
        " one of the two is wrong."
    )
    assert warning in said
    assert not [line for line in lines(made) if "do not fit together" in line]


def test_another_kind_of_failure_is_warned_of(made: Report) -> None:
    """What the answers rather speak for, and what tells the two apart."""
    said = lines(made, rather=(Said("Tunnelling", "A tunnel runs open to the edge."),))

    assert "! This may rather be tunnelling: A tunnel runs open to the edge." in said
    assert not [line for line in lines(made) if "may rather be" in line]


def test_a_step_says_in_how_many_cases_it_ends_the_matter(made: Report) -> None:
    """The number of the step, to the nearest of a hundred, with its time and when to look again."""
    steps = complaint(made).correction
    said = lines(made)

    assert steps
    for number, step in enumerate(steps[:4], 1):
        line = (
            f"{number}. {step.name}: {step.hours}; ends the matter in"
            f" {whole_percent(step.holds)} of such cases; look again: {step.look_again}"
        )
        assert line in said
    halved = lines(made, correction=(replace(steps[0], holds=0.374),))
    assert [line for line in halved if "ends the matter in 37% of such cases" in line]


def test_evidence_of_a_payer_is_marked(made: Report) -> None:
    """+ shown, ? missing or for the reader to judge, ! against: each on a line of its own."""
    payer = Payment(
        payer="maker",
        name="The maker",
        because="The roll.",
        cause="Bad lot",
        as_a_rule=True,
        on_file=("The lot is noted.",),
        missing=("The roll was kept.",),
        against=("The film was stretched.",),
        papers=(),
        to_judge=("The film was new.",),
    )

    said = lines(made, payments=(payer,))

    at = said.index("The maker as a rule, if it is bad lot: The roll.")
    assert said[at + 1 : at + 5] == [
        "+ shown: The lot is noted.",
        "? missing: The roll was kept.",
        "? to be judged by you: The film was new.",
        "! speaks against: The film was stretched.",
    ]


def test_the_leading_cause_is_not_among_what_else_it_could_be(made: Report) -> None:
    """The others follow with their chances; where nothing listed leads, all of them do."""
    first, second, *_ = complaint(made).ranked

    def others(said: list[str]) -> list[str]:
        at = next(n for n, line in enumerate(said) if line == "What else it could be")
        return said[at:]

    named, nobody = others(lines(made)), others(lines(made, cause_id=UNLISTED))
    assert f"- {first.name}: {first.probability:.1%}" not in named
    assert f"- {second.name}: {second.probability:.1%}" in named
    assert f"- {first.name}: {first.probability:.1%}" in nobody
    assert [line for line in named if line.startswith("- something not listed here: ")]


def test_what_was_ruled_out_names_the_answer(made: Report) -> None:
    """The plain finish rules the print out: said with the answer itself."""
    assert ("- ruled out, solvent left in the print: nothing is printed (Printed: plain)") in lines(
        made
    )


def test_a_reason_stands_with_what_was_seen_its_weight_and_its_source(made: Report) -> None:
    """Every counted reason on a line of its own; one that is not counted is left out."""
    reason = complaint(made).reasons_for[0]

    said = lines(made)

    seen = "; ".join(f"{name}: {words}" for name, words in reason.seen)
    assert [line for line in said if line.startswith(f"- {reason.because} [{seen}; ")]
    idle = replace(reason, because="Seen by something stronger.", counted=False)
    assert not [line for line in lines(made, reasons_for=(idle,)) if idle.because in line]


def test_what_must_not_be_done_is_said_in_short_and_with_its_reason(made: Report) -> None:
    """In short the names alone; under the correction each with why."""
    said = lines(made)

    assert "! Do not: seal." in said
    assert [line for line in said if line.startswith("! Do not: seal. dirt stays below")]


def test_without_a_payer_the_cost_is_undetermined(made: Report) -> None:
    """Nobody is named in short nor below."""
    said = lines(made, payments=())

    assert "- Cost: undetermined, no cause stands out." in said
    assert "Undetermined: no cause stands out." in said


def test_markdown_says_the_same_words(made: Report) -> None:
    """The same lines under the marks of Markdown; what a person typed stays what it is."""
    plain, marked = text(made, width=0), markdown(made)

    assert "## In short" in marked
    assert r"It \*lifts\*" in marked
    for line in plain.splitlines():
        words = line.lstrip("-!+=? ").strip("-=")
        assert words.casefold() in marked.replace("\\", "").casefold(), line
