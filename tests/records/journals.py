"""Journals as they may come about, for properties: from few words, so that repeats happen."""

from datetime import UTC, datetime, timedelta, timezone

from hypothesis import strategies as st

from diagnose.knowledge.logic.answers import UNKNOWN
from diagnose.measures.quantity import Quantity, between, exact
from diagnose.records.case.journal import FACTS, Event, EventKind

START = datetime(2026, 1, 1, tzinfo=UTC)
CHOICES = {"film_class": ("cast_pvc", "calendered"), "zone": ("gap", "flat")}
VEHICLE = ("film_class", "age_months")
PLACE = ("zone", "panel_temp_c")
PHOTO = "ab" * 32

texts = st.text(
    st.one_of(
        st.sampled_from("aé'\":#-{}[]&*!|>%@`,? \n\t\x00\x1b\x85\u2028\ufeff🚐0"),
        st.characters(codec="utf-8"),
    ),
    max_size=12,
)
times = st.builds(
    lambda minutes, hours: (START + timedelta(minutes=minutes)).astimezone(
        timezone(timedelta(hours=hours))
    ),
    st.integers(-100_000, 100_000),
    st.integers(-3, 3),
)
readings = st.integers(0, 1_000_000).map(lambda n: n / 10_000)
quantities: st.SearchStrategy[Quantity] = st.one_of(
    readings.map(exact), st.builds(between, readings, readings)
)


def answers(check: str) -> st.SearchStrategy:
    """Answers of a check."""
    known = st.sampled_from(CHOICES[check]) if check in CHOICES else quantities
    return st.one_of(known, st.just(UNKNOWN))


outcomes = st.fixed_dictionaries(
    {"cause": st.sampled_from(["gap_not_cleaned", "laid_cold", "unlisted"]), "confirmed_by": texts},
    optional={
        "also_causes": st.lists(st.sampled_from(["laid_cold"]), min_size=1, max_size=2),
        "remedy": st.just("clean_and_relay"),
        "held": st.booleans(),
        "payer": st.just("installer"),
        "cost": st.one_of(st.integers(0, 999), readings),
        "note": texts.filter(bool),
    },
)


@st.composite
def events(draw: st.DrawFn, number: int) -> Event:
    """One event that may follow others, about complaint 1 or 2 or the vehicle."""
    kind = draw(st.sampled_from([k for k in EventKind if k is not EventKind.OPENED]))
    complaint = draw(st.sampled_from([1, 2]))
    of_vehicle = draw(st.booleans())
    fields: dict = {"complaint": complaint}
    match kind:
        case EventKind.NOTED:
            key = draw(st.sampled_from([f for f in FACTS if f != "grade"]))
            fields = {"key": key, "text": draw(texts)}
        case EventKind.COMPLAINED:
            symptom = draw(st.sampled_from(["edge_lifting", "bubbles"]))
            fields |= {"key": symptom, "text": draw(st.sampled_from(["bonnet", "roof"]))}
        case EventKind.ANSWERED | EventKind.TAKEN_BACK:
            key = draw(st.sampled_from(VEHICLE if of_vehicle else PLACE))
            fields = {"key": key, "complaint": None if of_vehicle else complaint}
            if kind is EventKind.ANSWERED:
                fields["answer"] = draw(answers(key))
        case EventKind.SET_ASIDE:
            fields["key"] = draw(st.sampled_from(PLACE))
        case EventKind.UNDONE:
            fields = {"undoes": draw(st.integers(1, number))}
        case EventKind.PHOTO_ADDED:
            fields = {"key": PHOTO, "text": draw(texts)}
            fields["complaint"] = None if of_vehicle else complaint
        case EventKind.CONCLUDED:
            fields["data"] = {"cause": "laid_cold", "probability": draw(readings)}
        case EventKind.REMEDY_DONE:
            fields |= {"key": "clean_and_relay", "text": draw(texts)}
        case EventKind.CHECKED_AGAIN:
            fields["key"] = draw(st.sampled_from(["held", "not_held"]))
        case EventKind.CLOSED:
            fields["data"] = draw(outcomes)
    return Event(number, draw(times), kind, **fields)


@st.composite
def journals(draw: st.DrawFn, most: int = 14) -> tuple[Event, ...]:
    """A whole journal, opened first; what it says of complaints that are not there is noise."""
    journal = [Event(1, draw(times), EventKind.OPENED)]
    for number in range(2, 2 + draw(st.integers(0, most))):
        journal.append(draw(events(number)))
    return tuple(journal)
