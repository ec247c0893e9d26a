"""The whole rule base, indexed for use."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType

from diagnose.knowledge.entry_places import EntryPlaces
from diagnose.knowledge.logic.cause_row import CauseRow
from diagnose.knowledge.logic.estimated import (
    NOT_MET,
    NOT_MOVED,
    EstimatedOfCause,
    Leaning,
    Met,
    Moved,
    estimated,
    leanings,
    met,
    moved,
)
from diagnose.knowledge.logic.experience import NOTHING, Experience, Learned
from diagnose.knowledge.logic.lessons import lessons, shares
from diagnose.knowledge.logic.likelihood import Made, UsualHere, rows
from diagnose.knowledge.model import (
    ALL_SYMPTOMS,
    Aftermath,
    Cause,
    Caution,
    Check,
    Contradiction,
    Estimates,
    Finding,
    Inseparable,
    MeasureUse,
    Observable,
    Payer,
    PlaceKind,
    Remedy,
    RequiredPaper,
    RuleOut,
    Scales,
    ShownAnswers,
    Sign,
    Source,
    Symptom,
    WholeCases,
    Wording,
    WorkStep,
)
from diagnose.knowledge.model.conditions import Condition, NoneOf, Values
from diagnose.knowledge.panels import sideless


@dataclass(frozen=True)
class Base:
    """A rule base that has passed every check. All mappings are by id, in file order.

    With an `experience` its shares and rows are those that closed cases left of what was judged.
    """

    scales: Scales
    sources: Mapping[str, Source]
    symptoms: Mapping[str, Symptom]
    checks: Mapping[str, Check]
    measures: Mapping[str, MeasureUse]
    findings: Mapping[str, Finding]
    causes: Mapping[str, Cause]
    estimates: Mapping[str, Estimates]
    whole_cases: Mapping[str, WholeCases]
    remedies: Mapping[str, Remedy]
    payers: Mapping[str, Payer]
    cautions: Mapping[str, Caution]
    contradictions: Mapping[str, Contradiction]
    aftermath: Mapping[str, Aftermath]
    papers: Mapping[str, RequiredPaper]
    work_steps: Mapping[str, WorkStep]
    place_kinds: Mapping[str, PlaceKind]
    inseparable: tuple[Inseparable, ...]
    words: Wording
    intake: tuple[str, ...]
    version: str
    places: EntryPlaces = field(repr=False, compare=False)
    experience: Experience = field(default=NOTHING, repr=False, compare=False)

    def learned(self, experience: Experience) -> Base:
        """The same base with what closed cases counted; what is judged is made once for both."""
        if not experience:
            return self.judged
        found = replace(self, experience=experience)
        found.__dict__["judged"] = self.judged
        return found

    def with_checks(self, more: Mapping[str, Check]) -> Base:
        """The same base with checks that no cause has a row on; the rows are made once for both."""
        found = replace(self, checks={**self.checks, **more})
        for made_once in ("_rows", "_made", "_over_all", "_learned"):
            found.__dict__[made_once] = getattr(self, made_once)
        return found

    @cached_property
    def judged(self) -> Base:
        """The same base as it stands in the files."""
        return replace(self, experience=NOTHING) if self.experience else self

    @cached_property
    def row_by_row(self) -> Base:
        """The same base without what whole complaints moved: as rows were put down one by one."""
        return replace(self, whole_cases={}) if self.whole_cases else self

    @cached_property
    def observables(self) -> Mapping[str, Observable]:
        """Checks and measures by id: what signs can read."""
        return MappingProxyType({**self.checks, **self.measures})

    @cached_property
    def roles(self) -> Mapping[str, tuple[str, ...]]:
        """Ids of the entries by the role that they have in the program, in file order."""
        found: dict[str, tuple[str, ...]] = {}
        for section in (self.checks, self.findings, self.payers, self.cautions):
            for entry in section.values():
                if entry.role:
                    found[entry.role] = (*found.get(entry.role, ()), entry.id)
        return MappingProxyType(found)

    def role(self, name: str) -> str:
        """The id of the one entry that has a role; '' where none has it."""
        return next(iter(self.roles.get(name, ())), "")

    @cached_property
    def _behind(self) -> Mapping[str, tuple[Cause, ...]]:
        return {
            symptom: tuple(c for c in self.causes.values() if symptom in c.behind)
            for symptom in self.symptoms
        }

    def behind(self, symptom: str) -> tuple[Cause, ...]:
        """The causes that lie behind a symptom, in file order."""
        return self._behind[symptom]

    @cached_property
    def _rows(self) -> dict[tuple[str, str | None], Mapping[str, CauseRow]]:
        return {}

    @cached_property
    def _made(self) -> Made:
        return Made() if self.judged is self else self.judged._made

    def rows(self, cause: Cause, symptom: str | None = None) -> Mapping[str, CauseRow]:
        """What a cause makes of each check that it shows something on, behind a symptom.

        Without a symptom its general rows as judged, against the shares over all callbacks. Made
        when first asked for.
        """
        key = (cause.id, symptom)
        if key not in self._rows:
            learned = (
                self._lessons(symptom).get(cause.id, {}) if symptom and self.experience else {}
            )
            if self.judged is self:
                self._rows[key] = self._made_rows(cause, symptom, learned)
            else:
                moved = self._made_rows(cause, symptom, learned) if learned else {}
                self._rows[key] = {**self.judged.rows(cause, symptom), **moved}
        return self._rows[key]

    def _made_rows(
        self, cause: Cause, symptom: str | None, learned: Mapping[str, Learned]
    ) -> Mapping[str, CauseRow]:
        """The rows of a cause; where closed cases made something of some of them, these alone."""
        known = self._estimated(cause, symptom) if symptom else {}
        moves = self._moved(cause) if symptom else NOT_MOVED
        here = self._usual_at(symptom)
        return rows(cause, self.scales, here, learned, known, self._made, moves)

    @cached_property
    def _over_all(self) -> Mapping[str, Mapping[str, Leaning]]:
        if self.judged is not self:
            return self.judged._over_all
        its = self.estimates.get(ALL_SYMPTOMS)
        return leanings(its, self.observables) if its else {}

    def _estimated(self, cause: Cause, symptom: str) -> EstimatedOfCause:
        """By check what was estimated of a cause: at a symptom, else over all its symptoms."""
        its = self.estimates.get(symptom)
        here = estimated(its, cause.id, self.observables) if its else {}
        leaning = self._over_all.get(cause.id, {})
        return {**{check: how for check, how in leaning.items() if check not in here}, **here}

    @cached_property
    def _usual(self) -> dict[str | None, UsualHere]:
        return {} if self.judged is self else self.judged._usual

    def _usual_at(self, symptom: str | None) -> UsualHere:
        if symptom not in self._usual:
            at = self.symptoms[symptom] if symptom else None
            self._usual[symptom] = UsualHere(self.observables, at, self._met(symptom))
        return self._usual[symptom]

    @cached_property
    def _moved_rows(self) -> dict[str, Moved]:
        return {} if self.judged is self else self.judged._moved_rows

    def _moved(self, cause: Cause) -> Moved:
        """What whole complaints make of the rows of a cause."""
        if cause.id not in self.whole_cases:
            return NOT_MOVED
        if cause.id not in self._moved_rows:
            its = self.whole_cases[cause.id]
            self._moved_rows[cause.id] = moved(its, self.observables)
        return self._moved_rows[cause.id]

    def share(self, cause: Cause, symptom: str) -> float:
        """Of a hundred cars with a symptom those with a cause, as whole complaints left it."""
        written = self.scales.weight(cause.behind[symptom])
        its = self.whole_cases.get(cause.id)
        return written * its.shares.get(symptom, 1) if its else written

    @cached_property
    def _met_at(self) -> dict[str, Met]:
        return {} if self.judged is self else self.judged._met_at

    def _met(self, symptom: str | None) -> Met:
        """What answers are met at a symptom, by what was estimated of its causes."""
        if symptom is None or symptom not in self.estimates:
            return NOT_MET
        if symptom not in self._met_at:
            its = self.estimates[symptom]
            weights = {
                cause.id: self.scales.weight(cause.behind[symptom])
                for cause in self.behind(symptom)
            }
            share = self.scales.estimated_percent / 100
            self._met_at[symptom] = met(its, self.observables, weights, share)
        return self._met_at[symptom]

    @cached_property
    def _learned(self) -> dict[str, Mapping[str, Mapping[str, Learned]]]:
        return {}

    def _lessons(self, symptom: str) -> Mapping[str, Mapping[str, Learned]]:
        """What closed cases made of the rows of each cause behind a symptom, by check."""
        if symptom not in self._learned:
            how = (self.judged.rows, self._worth, self.scales.worth_cases)
            self._learned[symptom] = lessons(symptom, self.behind(symptom), self.experience, *how)
        return self._learned[symptom]

    def _worth(self, entries: Sequence[ShownAnswers]) -> float:
        """How many closed cases the entries of a row are worth, by what they rest on.

        A row of which nothing is written was estimated from memory.
        """
        worth = self.scales.worth_cases
        if not entries:
            return worth.of("memory")
        each = [
            max(worth.of(self.sources[s].weight if s in self.sources else s) for s in e.source)
            for e in entries
        ]
        return sum(each) / len(each)

    def usual(self, observable: str, symptom: str | None = None) -> tuple[float, ...]:
        """The usual shares of a check's answers at a symptom; empty if none are stated."""
        return self._usual_at(symptom).shares(observable)

    def outcome_shares(self, observable: str, symptom: str | None = None) -> tuple[float, ...]:
        """The usual share of all that it can turn out to be; they sum to one."""
        kind = self.observables[observable].kind
        return kind.outcome_shares(self.usual(observable, symptom))

    def signs(self, cause: Cause, symptom: str | None = None) -> tuple[Sign, ...]:
        """All that speaks for or against a cause: what its rows say, then its signs as written."""
        told = (sign for row in self.rows(cause, symptom).values() for sign in row.signs if sign)
        return (*{id(sign): sign for sign in told}.values(), *cause.signs)

    def rule_outs(self, cause: Cause, symptom: str | None = None) -> tuple[RuleOut, ...]:
        """All that rules a cause out: what its rows say, then what is written."""
        told = (out for row in self.rows(cause, symptom).values() for out in row.outs)
        return (*told, *cause.ruled_out_when)

    def known_at(self, symptom: str, values: Values) -> Values:
        """Known answers and, where nothing else was answered, what the symptom shows by itself."""
        return {**self.symptoms[symptom].shows, **values}

    def contradicting(self, symptom: str) -> tuple[Contradiction, ...]:
        """What cannot both be right at a symptom: answers, and an answer beside its own look."""
        return (*self.contradictions.values(), *self.seen_otherwise(symptom))

    def seen_otherwise(self, symptom: str) -> tuple[Contradiction, ...]:
        """What cannot be right beside a symptom's own look: an answer that says something else."""
        its = self.symptoms[symptom]
        return tuple(
            _otherwise(its, self.observables[check], word) for check, word in its.shows.items()
        )

    def makes_sense(self, check: Check, symptom: str) -> bool:
        """Whether there is anything to look at: a bump to prick, an edge to press back.

        What tells a symptom from one that it is mistaken for makes sense only where there is that
        to look at: a flat mark has no bump to feel. What the symptom shows by itself never does.
        """
        return check.id not in self.symptoms[symptom].shows and self.is_seen_at(check, symptom)

    def is_seen_at(self, check: Check, symptom: str) -> bool:
        """Whether a symptom has what a check looks at, whatever it may be mistaken for."""
        group = self.symptoms[symptom].group
        return not check.asked_at or symptom in check.asked_at or group in check.asked_at

    def absent_on(self, check: Check, panel: str) -> bool:
        """Whether a place of the car has nothing for a check: no metal under film on glass."""
        its = sideless(panel)
        return any(its in self.place_kinds[kind].panels for kind in check.not_on)

    def mending(self, cause: Cause, symptom: str) -> Mapping[str, float]:
        """The remedies of a cause that can end this symptom, with percent of success, in order."""
        return {
            remedy: percent
            for remedy, percent in cause.remedies.items()
            if self.mends(remedy, symptom)
        }

    def inseparable_at(self, symptom: str, first: str, second: str) -> Inseparable | None:
        """What is said of two causes that nobody tells apart at a symptom, if they are such."""
        return next(
            (
                pair
                for pair in self.inseparable
                if {*pair.causes} == {first, second} and (not pair.at or symptom in pair.at)
            ),
            None,
        )

    def mends(self, remedy: str, symptom: str) -> bool:
        """Whether a remedy can end a symptom: film laid anew ends no residue on bare paint."""
        listed = self.remedies[remedy].mends
        return not listed or symptom in listed or self.symptoms[symptom].group in listed

    def priors(self, symptom: str) -> tuple[float, ...]:
        """Share of each cause of `behind(symptom)`, then of the unlisted cause; sums to one.

        A confirmed cause that does not lie behind the symptom counts for the unlisted one.
        """
        unlisted = self.scales.unlisted_percent / 100
        weights = [self.share(cause, symptom) for cause in self.behind(symptom)]
        total = sum(weights)
        listed = [w / total * (1 - unlisted) for w in weights]
        judged = (*listed, unlisted) if listed else (1.0,)
        if not self.experience:
            return judged
        return shares(judged, self.confirmed(symptom), self.scales.worth_cases)

    def confirmed(self, symptom: str) -> tuple[float, ...]:
        """How often each of `priors` was confirmed, in the same order."""
        its = self.experience.confirmed(symptom)
        listed = [its.get(cause.id, 0.0) for cause in self.behind(symptom)]
        return (*listed, sum(its.values()) - sum(listed))


def _otherwise(symptom: Symptom, check: Observable, word: str) -> Contradiction:
    """That a person sees something else than what a symptom is by its own look."""
    return Contradiction.model_construct(
        id=f"{symptom.id}_shows_{check.id}",
        when=Condition((NoneOf(check.id, (word,)),)),
        because=(
            f"{symptom.name} by itself means '{check.answers[word].says}': look again, or see"
            " whether it is another symptom."
        ),
        source=symptom.source,
    )
