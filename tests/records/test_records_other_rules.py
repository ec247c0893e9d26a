"""A case that was kept under other rules: it opens, and what is not known here is said."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cli import main
from diagnose.dialogue.dialogue import Dialogue
from diagnose.dialogue.journals import StoredJournal
from diagnose.dialogue.step import Stage
from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.command import base_of
from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.case.complaints import known_part, unknown_here
from diagnose.records.case.journal import EventKind
from diagnose.records.store.store import Store

AT = datetime(2026, 3, 5, 9, tzinfo=UTC)


@pytest.fixture(scope="module")
def shipped_base() -> Base:
    """The shipped rules."""
    return base_of(None)


@pytest.fixture
def records(tmp_path: Path) -> Path:
    """One case with a complaint, a check, an answer and a remedy that the shipped rules lack.

    Another of which they know no complaint at all.
    """
    path = tmp_path / "records.db"
    with Store.open(path) as store:
        for symptoms in (("staining", "own_symptom"), ("own_symptom",)):
            case = store.begin(AT)
            for number, symptom in enumerate(symptoms, 1):
                store.append(case, AT, EventKind.COMPLAINED, key=symptom, text="bonnet")
                for check, answer in (("stain_form", "own_form"), ("own_check", "one")):
                    its = {"key": check, "answer": answer, "complaint": number}
                    store.append(case, AT, EventKind.ANSWERED, **its)
                store.append(case, AT, EventKind.REMEDY_DONE, key="own_remedy", complaint=number)
    return path


def test_what_is_not_known_here_is_named_and_counts_for_nothing(
    records: Path, shipped_base: Base
) -> None:
    """The known complaint stays; each thing that these rules lack is named once."""
    with Store.open(records) as store:
        both, other = (store.case(name) for name in sorted(store.ids()))

    assert [c.symptom for c in known_part(shipped_base, both).complaints] == ["staining"]
    assert known_part(shipped_base, other).complaints == ()
    assert unknown_here(shipped_base, both) == (
        "this answer to Form of the mark: own_form",
        "the check own_check",
        "the remedy own_remedy",
        "the symptom own_symptom (complaint 2)",
    )


def test_its_report_is_of_what_is_known_and_says_the_rest(
    records: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where no complaint is known, one sentence says under which rules to look for it."""
    first, second = sorted(Store.open(records).ids())

    assert main(["case", first, "--records", str(records), "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [c["symptom_id"] for c in told["complaints"]] == ["staining"]
    assert "the symptom own_symptom (complaint 2)" in json.dumps(told["facts"])
    assert main(["case", second, "--records", str(records)]) == 2
    assert "do not have own_symptom: name those under --rules" in capsys.readouterr().err


def test_its_callback_goes_on(records: Path, shipped_base: Base) -> None:
    """Questions of the known complaint are asked; without one, what is wrong is asked first."""
    reasoner = Reasoner(shipped_base)
    with Store.open(records) as store:
        first, second = sorted(store.ids())
        both = Dialogue(reasoner, StoredJournal(store, first, lambda: AT))
        other = Dialogue(reasoner, StoredJournal(store, second, lambda: AT))

        assert both.symptom == "staining"
        assert both.diagnosis() is not None
        assert other.step().stage is Stage.WORDS
