"""The shape of a policy as a YAML file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, PlainValidator
from pydantic_core import InitErrorDetails, PydanticCustomError, ValidationError

from diagnose.knowledge.model import Entry, Origin, When
from diagnose.knowledge.reading.salvage import Way
from diagnose.near import near

OTHER = "other_surface"
"""The key among the surfaces that names the one of all panels not listed."""

_SHARES = "a share is full, linear, {full_until: months} or {steps: [{until:, percent:}]}"


def _day(text: str) -> str:
    try:
        date.fromisoformat(text)
    except ValueError:
        raise ValueError(f"'{text}' is no day of the calendar: write it as 2025-03-31") from None
    return text


def _origin(value: Any) -> Origin:
    known = [origin.value for origin in Origin]
    if value not in known:
        hint = near(str(value), set(known)) or f": one of {', '.join(known)}"
        raise ValueError(f"no origin is called '{value}'{hint}")
    return Origin(value)


def _at_once(faults: list[tuple[Way, str]]) -> ValidationError:
    """Several faults below one place, each at its own."""
    lines = [
        InitErrorDetails(
            type=PydanticCustomError("sentence", "{sentence}", {"sentence": sentence}),
            loc=tuple(way),
            input=None,
        )
        for way, sentence in faults
    ]
    return ValidationError.from_exception_data("policy", lines)


def _is_months(number: Any) -> bool:
    return isinstance(number, int | float) and not isinstance(number, bool) and number >= 0


def _months(value: Any) -> Any:
    """A number of months, or one for each surface."""
    each: Mapping[Any, Any] = value if isinstance(value, dict) else {None: value}
    faults: list[tuple[Way, str]] = [
        (() if surface is None else (surface,), f"'{number}' is no number of months")
        for surface, number in each.items()
        if not _is_months(number)
    ]
    if faults:
        raise _at_once(faults)
    return value


def _share(value: Any) -> Any:
    """full, linear, {full_until: months} or {steps: [{until:, percent:}]}, as written."""
    if value in ("full", "linear"):
        return value
    match value:
        case {"full_until": until, **rest} if _is_months(until) and not rest:
            return value
        case {"steps": tuple() | list() as steps, **rest} if steps and not rest:
            faults = list(_step_faults(steps))
            if not faults:
                return value
            raise _at_once(faults)
    raise ValueError(_SHARES)


def _step_faults(steps: Any) -> Iterator[tuple[Way, str]]:
    sound = True
    for number, step in enumerate(steps):
        fits = isinstance(step, dict) and set(step) == {"until", "percent"}
        if not (fits and _is_months(step["until"]) and _is_months(step["percent"])):
            sound = False
            yield ("steps", number), "a step is {until: months, percent: 0 to 100}"
        elif step["percent"] > 100:
            yield ("steps", number), "no more than 100 percent can be carried"
    if sound and any(a["until"] >= b["until"] for a, b in pairwise(steps)):
        yield (), "the steps must rise"


def _percent(number: Any) -> Any:
    if not _is_months(number) or number > 100:
        raise ValueError(f"'{number}' is no percent from 0 to 100")
    return number


def _from_nought(number: Any) -> Any:
    if not _is_months(number):
        raise ValueError(f"'{number}' is no number from 0 on")
    return number


def _currency(value: Any) -> Any:
    if not isinstance(value, str):
        raise ValueError(f"'{value}' is no currency: write its code, such as EUR")
    return value


def _panels(value: Any) -> Any:
    if isinstance(value, str) or (
        isinstance(value, tuple) and all(isinstance(panel, str) for panel in value)
    ):
        return value
    raise PydanticCustomError("of_key", "needs a list of panels")


Day = Annotated[str, AfterValidator(_day)]


Percent = Annotated[float, PlainValidator(_percent)]
Number = Annotated[float, PlainValidator(_from_nought)]


class NeedText(Entry):
    """What must be shown before a cover pays."""

    says: str
    when: When


class CoverText(Entry):
    """A payer who answers for faults of some origins."""

    payer: str
    months: Annotated[Any, PlainValidator(_months)]
    because: str
    origins: tuple[Annotated[Origin, PlainValidator(_origin)], ...] | None = None
    share: Annotated[Any, PlainValidator(_share)] = "full"
    needs: tuple[NeedText, ...] | None = None
    carries: tuple[Literal["labour", "film"], ...] | None = None


class ExclusionText(Entry):
    """What is not covered, where it holds, and what it bears on (all, where nothing is named)."""

    when: When
    because: str
    payers: tuple[str, ...] | None = None
    origins: tuple[Annotated[Origin, PlainValidator(_origin)], ...] | None = None
    causes: tuple[str, ...] | None = None
    symptoms: tuple[str, ...] | None = None
    if_unknown: Literal["ask", "pay"] = "ask"


class TermsText(Entry):
    """What counts for film laid between two days."""

    name: str
    valid_from: Day
    valid_to: Day
    covers: tuple[CoverText, ...]
    excludes: tuple[ExclusionText, ...] | None = None
    not_our_work: tuple[ExclusionText, ...] | None = None
    no_fault: tuple[ExclusionText, ...] | None = None
    deductible: Number = 0.0
    cap: Number | None = None
    notice_days: Number | None = None
    first_owner_only: bool = False


class SurenessText(Entry):
    """From how many percent a claim is decided."""

    accept: Percent | None = None
    decline: Percent | None = None
    cause: Percent | None = None
    against: Percent | None = None


class PolicyText(Entry):
    """The whole file."""

    name: str
    money: Annotated[str, PlainValidator(_currency)] = ""
    sureness: SurenessText | None = None
    shop_pays_first: bool = False
    surfaces: dict[str, Annotated[str | tuple[str, ...], PlainValidator(_panels)]] | None = None
    terms: tuple[TermsText, ...]

    @property
    def known_surfaces(self) -> tuple[str, ...]:
        """Every surface, the one of all other panels last."""
        named = [name for name in self.surfaces or {} if name != OTHER]
        return (*named, str((self.surfaces or {}).get(OTHER, "all")))
