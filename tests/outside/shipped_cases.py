"""The worked cases as rows of known values, by symptom."""

from __future__ import annotations

from pathlib import Path

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import known
from diagnose.knowledge.model.conditions import Values
from diagnose.records.case.casefile import read_case

ROOT = Path(__file__).resolve().parents[2]


def case_rows(base: Base) -> dict[str, list[Values]]:
    """For each symptom, what the worked cases know of it."""
    rows: dict[str, list[Values]] = {symptom: [] for symptom in base.symptoms}
    for path in sorted((ROOT / "cases").glob("*.yaml")):
        case_file, problems = read_case(path.name, path.read_text(encoding="utf-8"), base)
        assert case_file, problems
        case = case_file.case
        for complaint in case.complaints:
            rows[complaint.symptom].append(known(case.answers(complaint)))
    return rows
