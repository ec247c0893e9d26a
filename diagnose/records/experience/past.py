"""Closed complaints to hold an open one against: the shop's own, and the worked ones."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from pathlib import Path

from diagnose.folders import shipped, yaml_files
from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import known
from diagnose.records.case.casefile import read_case
from diagnose.records.case.journal import Case
from diagnose.records.experience.counting import still_known
from diagnose.records.experience.nearness import PastComplaint
from diagnose.records.store.store import Store
from diagnose.records.store.summary import Filter


def past_of(base: Base, case: Case, store: Store | None = None) -> tuple[PastComplaint, ...]:
    """The closed complaints that a case may be like: the shipped worked ones, and the shop's."""
    symptoms = {complaint.symptom for complaint in case.complaints}
    found = list(worked(base, shipped("cases"), symptoms))
    for symptom in sorted(symptoms) if store else ():
        assert store is not None
        found += of_shop(base, store, symptom, case.id)
    return tuple(one for one in found if one.case_id != case.id)


def of_shop(base: Base, store: Store, symptom: str, without: str = "") -> Iterator[PastComplaint]:
    """The shop's closed complaints of a symptom, but for those of one case."""
    wanted = Filter(symptom=symptom)
    ends = {(o.case_id, o.number): o for o in store.outcomes(wanted)}
    for one in store.known_complaints(wanted):
        end = ends[one.case_id, one.number]
        if one.case_id != without and one.symptom == symptom:
            values = base.known_at(symptom, still_known(base, one.values or {}))
            how = (end.remedy, end.held, end.cost)
            yield PastComplaint(one.case_id, one.number, symptom, one.cause, values, *how)


def worked(base: Base, folder: Path, symptoms: Collection[str]) -> Iterator[PastComplaint]:
    """The worked complaints of some symptoms; a file that names none of them is not parsed."""
    for path in yaml_files(folder):
        text = path.read_text(encoding="utf-8")
        if not any(f"symptom: {symptom}" in text for symptom in symptoms):
            continue
        found = read_case(path.name, text, base)[0]
        if found is None:
            continue
        for one in found.case.complaints:
            if one.outcome is not None and one.symptom in symptoms:
                told = known(found.case.answers(one))
                end = one.outcome
                yield PastComplaint(
                    path.stem,
                    one.number,
                    one.symptom,
                    end.cause,
                    base.known_at(one.symptom, told),
                    end.remedy,
                    end.held,
                    end.cost,
                    worked=True,
                    title=found.case.facts.get("title", ""),
                )
