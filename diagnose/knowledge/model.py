"""The rule base as typed, immutable objects: one class for each kind of entry.

The classes are also the file format: the JSON Schema in rules/schema.json is made from them, and
their docstrings and field descriptions are what an editor shows while a rule is written.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from functools import cached_property
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints
from pydantic_core import PydanticCustomError

from diagnose.knowledge import conditions
from diagnose.knowledge.conditions import Condition

Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$", max_length=60)]
"""A name such as relief_cut: lower case, digits, single underscores."""

Text = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]

StrengthWord = Literal["barely", "substantial", "strong", "decisive"]
ShareWord = Literal["very_common", "common", "occasional", "rare"]

COMMON_PRACTICE = "common-practice"
UNSOURCED = (COMMON_PRACTICE, "memory", "derived")
"""Words that may stand instead of a source: the trade's habit, recalled, or computed here."""


class Origin(StrEnum):
    """Where a root cause comes from; `nothing_wrong` is for what is normal and no fault."""

    SURFACE_PREPARATION = "surface_preparation"
    ENVIRONMENT = "environment"
    TECHNIQUE = "technique"
    DESIGN = "design"
    PRINT_AND_LAMINATE = "print_and_laminate"
    FILM_MANUFACTURE = "film_manufacture"
    SUBSTRATE = "substrate"
    AFTERCARE = "aftercare"
    OUTSIDE_EVENT = "outside_event"
    END_OF_LIFE = "end_of_life"
    NOTHING_WRONG = "nothing_wrong"

    @property
    def words(self) -> str:
        """The origin as a reader sees it."""
        return self.value.replace("_", " ")


class Place(StrEnum):
    """Where a check is done."""

    AT_CAR = "at_car"
    IN_BAY = "in_bay"
    PAPERWORK = "paperwork"
    LAB = "lab"


class Harm(StrEnum):
    """What a check does to the film or the paint."""

    NONE = "none"
    MINOR = "minor"
    DESTRUCTIVE = "destructive"


OriginWord = Annotated[Origin, Field(strict=False)]
PlaceWord = Annotated[Place, Field(strict=False)]
HarmWord = Annotated[Harm, Field(strict=False)]


def _as_tuple(value: Any) -> Any:
    """A source alone, or a list as JSON gives it, as the tuple that is wanted."""
    return (
        (value,) if isinstance(value, str) else tuple(value) if isinstance(value, list) else value
    )


def _as_condition(value: Any) -> Any:
    try:
        return conditions.parse(value)
    except conditions.ConditionError as error:
        raise PydanticCustomError(
            "condition", "{sentence}", {"sentence": str(error), "at": error.at}
        ) from None


_CONDITION_SCHEMA: dict[str, Any] = {
    "type": "object",
    "minProperties": 1,
    "description": "All entries must hold. A key is a check, a measure or a finding.",
    "additionalProperties": {
        "anyOf": [
            {"type": "string", "description": "this answer, or found / not_found"},
            {"type": "array", "items": {"type": "string"}, "minItems": 1},
            {
                "type": "object",
                "properties": {"not": {"type": ["string", "array"]}},
                "required": ["not"],
                "additionalProperties": False,
            },
            {
                "type": "object",
                "properties": {
                    word: {"type": "number"} for word in ("under", "at_most", "over", "at_least")
                },
                "minProperties": 1,
                "additionalProperties": False,
            },
        ]
    },
}


class _AsCondition:
    """Tells pydantic to read a Condition from plain data and how its JSON Schema looks."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(_as_condition)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> Any:
        return _CONDITION_SCHEMA


When = Annotated[Condition, _AsCondition()]
Sources = Annotated[tuple[Text, ...], BeforeValidator(_as_tuple), Field(min_length=1)]
"""A source's id, a list of them, or one of: common-practice, memory, derived."""


class Entry(BaseModel):
    """Anything in a rule file."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)


class Scales(Entry):
    """The numbers behind the words, in one place."""

    strengths: dict[StrengthWord, Annotated[float, Field(gt=0, lt=60)]] = Field(
        description="decibans of each word of strength"
    )
    shares: dict[ShareWord, Annotated[float, Field(gt=0)]] = Field(
        description="weight of each word of share; normalised over the causes of a symptom"
    )
    unlisted_percent: Annotated[float, Field(gt=0, lt=100)] = Field(
        description="kept at each symptom for a cause that is not in the rule base"
    )
    asking_minutes: Annotated[float, Field(ge=0)] = Field(
        description="added to the minutes of a check for being asked at all"
    )
    harm_minutes: dict[HarmWord, Annotated[float, Field(ge=0)]] = Field(
        description="added to the minutes of a check that harms film or paint"
    )
    away_minutes: dict[PlaceWord, Annotated[float, Field(ge=0)]] = Field(
        description="added for a check that is not done at the car"
    )
    told_percent: dict[PlaceWord, Annotated[float, Field(gt=0, le=100)]] = Field(
        description="how often a check that is asked there can be told at all (a record is there,"
        " a person remembers)"
    )
    carried_over_percent: Annotated[float, Field(gt=0, lt=100)] = Field(
        description="a cause at work on the whole vehicle explains a complaint that it lies"
        " behind with this probability"
    )
    vehicle_wide_percent: Annotated[float, Field(ge=0, lt=100)] = Field(
        description="of a whole-vehicle cause's share behind a symptom, the part in which it is at"
        " work on the whole vehicle and not at this place only"
    )
    leads_clearly_percent: Annotated[float, Field(gt=0, lt=100)]
    probable_percent: Annotated[float, Field(gt=0, lt=100)]
    possible_percent: Annotated[float, Field(gt=0, lt=100)]
    source: Sources


class Source(Entry):
    """Something published that statements rest on. No film or car brands in its title."""

    id: Id
    title: Text
    weight: Literal["A", "B", "C", "D"] = Field(
        description="A standard, government, journal, textbook; B trade body or magazine;"
        " C maker's or seller's text; D general web text"
    )
    read: Literal["full", "excerpt", "memory"] = Field(description="how much of it was read")
    note: Text | None = None


class ConfusedWith(Entry):
    """Another symptom that looks like this one, and how to tell."""

    symptom: Id
    tells: Text = Field(description="what tells the two apart, in one sentence")
    check: Id | None = Field(default=None, description="the check that tells them apart")
    answers: tuple[Id, ...] = Field(
        default=(), description="answers of that check that speak for the other symptom"
    )


class Normal(Entry):
    """What looks like this symptom and is no fault."""

    seen: Text
    normal_when: Text
    source: Sources


class Symptom(Entry):
    """A kind of visible failure."""

    id: Id
    name: Text
    group: Text
    look: Text = Field(description="how it looks and feels")
    appears: Text = Field(description="when it shows up")
    where: Text = Field(description="where on the car")
    also_called: tuple[Text, ...] = Field(
        default=(), description="words for it at the counter, found by search and in remarks"
    )
    confused_with: tuple[ConfusedWith, ...] = ()
    normal: tuple[Normal, ...] = ()
    source: Sources


class Answer(Entry):
    """One answer of a check."""

    says: Text
    usual: Annotated[float, Field(gt=0, lt=100)] = Field(
        description="percent of callbacks in general in which the check gives this answer"
    )
    phrases: tuple[Text, ...] = Field(
        default=(), description="words in a remark that say this answer"
    )


class Bin(Entry):
    """A stretch of a number's range, from where the one before ends."""

    under: float | None = Field(default=None, description="its end; the last bin has none")
    usual: Annotated[float, Field(gt=0, lt=100)] = Field(description="percent of callbacks")


class Number(Entry):
    """The unit and the sane range of a number."""

    unit: str
    low: float = Field(alias="from")
    high: float = Field(alias="to")


class Observable(Entry):
    """What has a value that signs can read: a check or a measure.

    `codes` number its answers (or bins) from 0; `usual` are their shares, summing to one.
    """

    id: Id
    name: Text
    answers: dict[Id, Answer] = Field(default_factory=dict)
    usual: tuple[Bin, ...] = Field(default=(), description="bins of a number with their shares")

    @cached_property
    def shares(self) -> tuple[float, ...]:
        """Usual share of each answer or bin, summing to one; empty if none are stated."""
        raw = [a.usual for a in self.answers.values()] or [b.usual for b in self.usual]
        return tuple(x / sum(raw) for x in raw)

    @cached_property
    def edges(self) -> tuple[float, ...]:
        """Ends of the bins but the last, rising."""
        return tuple(b.under for b in self.usual if b.under is not None)

    @cached_property
    def labels(self) -> tuple[str, ...]:
        """A word for each code: the answer's id, or the bin in words."""
        if self.answers:
            return tuple(self.answers)
        ends = [f"under {edge:g}" for edge in self.edges]
        return (*ends, f"{self.edges[-1]:g} and over") if self.edges else ()


class Check(Observable):
    """One thing a person can look at, feel, measure or read from paperwork."""

    ask: Text = Field(description="the question, as it is put to the person")
    how: Text = Field(description="how it is done")
    mistake: Text | None = Field(default=None, description="how it is done wrongly")
    tool: Text
    minutes: Annotated[float, Field(gt=0)] = Field(description="working minutes of one person")
    waits_minutes: Annotated[float, Field(ge=0)] = Field(
        default=0, description="minutes until there is an answer, beyond the working minutes"
    )
    place: PlaceWord
    harm: HarmWord
    scope: Literal["vehicle", "complaint"] = Field(
        description="vehicle: the same for all complaints on the car"
    )
    number: Number | None = None
    asked_when: When | None = Field(
        default=None, description="asked only where this holds (say, for printed film only)"
    )
    cautions: tuple[Id, ...] = ()
    source: Sources

    @property
    def unit(self) -> str:
        """The unit of a number, else ''."""
        return self.number.unit if self.number else ""


class MeasureUse(Observable):
    """A number that a function of diagnose.measures computes from answers."""

    function: Id = Field(description="its name in `diagnose measure`")
    inputs: dict[Id, Id | float] = Field(
        description="for each input of the function: a check, a measure, a word or a number"
    )
    unit: str = ""
    source: Sources


class FindingRule(Entry):
    """One way to come to a finding."""

    when: When
    because: Text
    source: Sources


class Finding(Entry):
    """An intermediate conclusion: found when one of its rules holds."""

    id: Id
    name: Text
    rules: Annotated[tuple[FindingRule, ...], Field(min_length=1)]


class Sign(Entry):
    """Evidence for or against the cause in which it stands.

    `implied`: the weight follows from the other signs on the same check; the reason is shown.
    """

    when: When
    speaks: Literal["for", "against"]
    strength: StrengthWord | Literal["implied"]
    because: Text
    source: Sources
    group: Id | None = Field(
        default=None, description="signs that see the same thing twice; only the strongest counts"
    )


class RuleOut(Entry):
    """What makes a cause physically impossible."""

    when: When
    because: Text
    source: Sources


class Never(Entry):
    """A remedy that makes this cause worse or hides it."""

    remedy: Id
    because: Text


class OtherPayer(Entry):
    """Who pays instead, where this holds."""

    payer: Id
    when: When
    because: Text


class Responsibility(Entry):
    """Who carries the cost as a rule, and where someone else does."""

    payer: Id
    because: Text
    unless: tuple[OtherPayer, ...] = ()


class Cause(Entry):
    """A root cause with all that is known of it, in one place."""

    id: Id
    name: Text
    plainly: Text = Field(description="the cause in one sentence for a customer")
    origin: OriginWord
    mechanism: Text = Field(description="one or two sentences of physics")
    behind: dict[Id, ShareWord] = Field(min_length=1, description="symptom: how often it is this")
    scope: Literal["place", "vehicle"] = Field(
        default="place", description="vehicle: at work on the whole vehicle, if at all"
    )
    signs: tuple[Sign, ...] = ()
    ruled_out_when: tuple[RuleOut, ...] = ()
    remedies: dict[Id, Annotated[float, Field(ge=0, le=100)]] = Field(
        default_factory=dict,
        description="remedies in the order in which they are tried, with percent of success",
    )
    also: tuple[Id, ...] = Field(default=(), description="steps that go with any of the remedies")
    never: tuple[Never, ...] = ()
    responsibility: Responsibility
    prevention: Text
    source: Sources


class Hours(Entry):
    """Working hours of one person."""

    low: Annotated[float, Field(ge=0)] = Field(alias="from")
    high: Annotated[float, Field(ge=0)] = Field(alias="to")
    per: Literal["job", "metre", "piece", "recess", "vehicle", "bubble"] = "job"


class BarredWhen(Entry):
    """Where a remedy must not be done."""

    when: When
    because: Text
    instead: tuple[Id, ...] = ()


class Remedy(Entry):
    """One step of a correction."""

    id: Id
    name: Text
    kind: Literal["in_place", "wait", "replace", "surface", "removal", "paperwork"]
    applies: Text = Field(description="when it is the right thing")
    steps: Annotated[tuple[Text, ...], Field(min_length=1)]
    tools: tuple[Text, ...] = ()
    hours: Hours
    waits_hours: Annotated[float, Field(ge=0)] = Field(
        default=0, description="hours of drying, curing or resting within it"
    )
    destroys_piece: Literal["no", "partly", "yes"]
    reprint: Literal["no", "if_printed", "yes"]
    film: Literal["none", "strip", "piece", "set", "vehicle"] = Field(
        default="none", description="how much new film it takes"
    )
    look_again: Text = Field(description="when to check that it held")
    look_again_hours: Annotated[float, Field(ge=0)] = 0
    spoils: dict[Id, Annotated[float, Field(gt=1)]] = Field(
        default_factory=dict, description="dearer by this factor afterwards, if this one failed"
    )
    mends: tuple[Id, ...] = Field(
        default=(), description="the symptoms that it can end; none named: any"
    )
    barred_when: tuple[BarredWhen, ...] = ()
    warning: Text | None = None
    cautions: tuple[Id, ...] = ()
    source: Sources


class Evidence(Entry):
    """A piece of evidence that a payer's answer needs, and how it shows in the answers."""

    says: Text
    when: When | None = Field(default=None, description="on file when this holds")


class Payer(Entry):
    """Who may carry the cost."""

    id: Id
    name: Text
    carries: Text
    not_carries: Text | None = None
    needs: tuple[Evidence, ...] = ()
    helps: tuple[Evidence, ...] = ()
    falls_if: tuple[Evidence, ...] = ()
    papers: tuple[Text, ...] = Field(default=(), description="what to send with the demand")
    source: Sources


class Caution(Entry):
    """A warning shown before the step that calls for it."""

    id: Id
    name: Text
    say: Text
    owner: Text | None = Field(
        default=None, description="what whoever owns or drives the car is told, in plain words"
    )
    when: When | None = Field(default=None, description="shown only where this does not fail")
    source: Sources


class Contradiction(Entry):
    """Answers that cannot both be right."""

    id: Id
    when: When
    because: Text
    source: Sources


class Aftermath(Entry):
    """What to know once film comes off, after an impact, or where a new piece meets old ones.

    topic: `under_film` what to look for when it comes off; `impact` what a film takes of a blow;
    `match` whether a new piece will match, with how far the replacement must then reach.
    """

    id: Id
    topic: Literal["under_film", "impact", "match"]
    says: Text
    when: When | None = Field(default=None, description="said only where this holds")
    symptoms: tuple[Id, ...] = Field(default=(), description="said of these complaints only")
    payer: Id | None = Field(default=None, description="to whom it belongs as a rule")
    reaches: Literal["piece", "neighbours", "side", "vehicle"] | None = Field(
        default=None, description="for `match`: how much must be replaced together"
    )
    source: Sources


class Paper(Entry):
    """Something that a payer asks to see before paying, and how it shows that it is at hand."""

    id: Id
    payer: Id
    says: Text
    when: When | None = Field(default=None, description="at hand when this holds")
    answered: tuple[Id, ...] = Field(
        default=(), description="at hand when these checks have an answer, whatever it is"
    )
    fact: Literal["vehicle", "film", "lot", "installer", "laid_on", "seen_on", "place"] | None = (
        Field(default=None, description="at hand when this is noted in the case")
    )
    source: Sources


class WorkStep(Entry):
    """A step of laying a piece, in the order of the work (that of the file)."""

    id: Id
    says: Text
    because: Text
    when: When | None = Field(default=None, description="left out unless this holds")
    prevents: tuple[Id, ...] = Field(default=(), description="causes that this step keeps away")
    source: Sources


class Inseparable(Entry):
    """Two causes that no harmless check tells apart, and why that is so."""

    causes: tuple[Id, Id]
    because: Text


class RuleFile(Entry):
    """One file of the rule base: any of these sections."""

    scales: Scales | None = None
    sources: tuple[Source, ...] = ()
    symptoms: tuple[Symptom, ...] = ()
    checks: tuple[Check, ...] = ()
    measures: tuple[MeasureUse, ...] = ()
    findings: tuple[Finding, ...] = ()
    causes: tuple[Cause, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    payers: tuple[Payer, ...] = ()
    cautions: tuple[Caution, ...] = ()
    contradictions: tuple[Contradiction, ...] = ()
    aftermath: tuple[Aftermath, ...] = ()
    papers: tuple[Paper, ...] = ()
    work_steps: tuple[WorkStep, ...] = ()
    inseparable: tuple[Inseparable, ...] = ()
    intake: tuple[Id, ...] = Field(
        default=(), description="checks asked first at every callback, in this order"
    )


def index(entries: tuple[Any, ...]) -> Mapping[str, Any]:
    """Entries by id."""
    return {entry.id: entry for entry in entries}
