"""How an apprentice stands, in lines: weeks, complaints, causes, pairs, the first week."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from diagnose.knowledge.base import Base
from diagnose.practice.progress.first_week import Week
from diagnose.practice.progress.over_time import (
    Some,
    by_symptom,
    due_by,
    mixed_up,
    streak,
    weeks,
)
from diagnose.practice.progress.progress import Progress
from diagnose.practice.progress.schedule import CAUSE, cards_standing, causes_of
from diagnose.practice.wording import counted

BAR, LEAST, FULL = 20, -100.0, 100.0
"""Columns of the bar of a week, the points at which it is empty, and those that fill it."""

LATELY = 10

WEEKS = "Week by week, points a case, the bar from −100 to 100"


def progress_lines(base: Base, progress: Progress, now: datetime) -> tuple[str, ...]:
    """How an apprentice stands."""
    if not progress.attempts:
        return ("Nothing practised yet.",)
    parts = (
        ("Cases", _sessions(progress, now)),
        (WEEKS, week_lines(progress, now)),
        ("By complaint, the hardest first", symptom_lines(base, progress)),
        ("What comes back", due_lines(progress, now)),
        ("Causes", _causes(base, progress, now)),
        ("Taken for one another", pair_lines(base, progress)),
        ("How sure against how often right", calibration_lines(progress)),
    )
    lines: list[str] = []
    for title, its in parts:
        said = [f"  {line}" for line in its]
        lines += ["", title, *said] if said else []
    return tuple(lines[1:])


def _sessions(progress: Progress, now: datetime) -> Iterator[str]:
    cases = progress.cases
    drilled = len(progress.attempts) - len(cases)
    yield f"{counted(len(cases), 'case')} and {counted(drilled, 'drill')} practised."
    yield streak_words(progress, now)
    if cases:
        every, last = Some.of(cases), Some.of(cases[-LATELY:])
        yield f"Causes right: {every.right} of {every.cases}."
        lately = f"in the last {last.cases}: {round(last.points)}"
        yield f"Points a case: {round(every.points)}; {lately}."
    yield f"Practising up to grade: {progress.grade()}."


def streak_words(progress: Progress, now: datetime) -> str:
    """The days in a row in a sentence."""
    days = streak(progress, now)
    if not days:
        return "No days in a row just now; a single day off never ends them."
    return f"Days in a row: {days}; a single day off does not end them."


def stand(progress: Progress, now: datetime) -> str:
    """Where an apprentice stands, in a line under the menu."""
    done = f"{counted(len(progress.cases), 'case')} done so far."
    days, due = streak(progress, now), due_by(progress, now)["now"]
    row = f" Days in a row: {days}." if days else ""
    return f"{done}{row} Due now: {due}." if progress.attempts else done


def week_lines(progress: Progress, now: datetime) -> Iterator[str]:
    """A bar for each week, so that the weeks under each other make a curve."""
    for monday, week in weeks(progress, now.tzinfo).items():
        bar = "#" * round(BAR * min(1.0, max(0.0, (week.points - LEAST) / (FULL - LEAST))))
        sums = f"{round(week.points):4}, right {week.right} of {week.cases}"
        yield f"{monday.isoformat()} |{bar:.<{BAR}}| {sums}"


def symptom_lines(base: Base, progress: Progress) -> Iterator[str]:
    """Each complaint with its cases."""
    for symptom, its in by_symptom(progress).items():
        sums = f"right {its.right} of {its.cases}, {round(its.points)} points a case"
        yield f"{symptom_name(base, symptom)}: {sums}"


def due_lines(progress: Progress, now: datetime) -> Iterator[str]:
    """How much comes back when."""
    yield ", ".join(f"{word} {count}" for word, count in due_by(progress, now).items()) + "."


def pair_lines(base: Base, progress: Progress) -> Iterator[str]:
    """Pairs taken for one another, and whether they are told apart by now."""
    found = mixed_up(progress)[:LATELY]
    for mixed in found:
        one, other = (name(base, cause) for cause in mixed.causes)
        since = f"told apart {counted(mixed.apart_since, 'time')} since"
        yield f"{one} / {other}: {counted(mixed.times, 'time')}, {since}"
    if not found:
        yield "None."


def name(base: Base, cause: str) -> str:
    """A cause by its name; one that the rule base no longer has by its id."""
    return base.causes[cause].name if cause in base.causes else cause.replace("_", " ")


def symptom_name(base: Base, symptom: str) -> str:
    """A symptom by its name; one that the rule base no longer has by its id."""
    known = base.symptoms.get(symptom)
    return known.name if known else symptom.replace("_", " ")


def calibration_lines(progress: Progress) -> Iterator[str]:
    """How often right, by how sure."""
    for band in progress.calibration():
        yield f"said {band.said:.0%}: right in {band.right:.0%} of {band.count}"


def _causes(base: Base, progress: Progress, now: datetime) -> Iterator[str]:
    standings = cards_standing(progress.cards, now)
    for word in ("known", "fading", "learning"):
        its = [n for n, s in standings.items() if s == word and n.startswith(CAUSE)]
        names = [name(base, causes_of(n)[0]) for n in its]
        if names:
            yield f"{word} ({len(names)}): {'; '.join(sorted(names))}"


# The first week


def week_plan(base: Base, week: Week) -> tuple[str, ...]:
    """The first week with what is done; a case to come tells its complaint and grade only."""
    lines = ["The first week: five cases a day, from plain to treacherous."]
    for number, day in enumerate(week.days, 1):
        done = sum(item.id in week.done for item in day)
        lines.append(f"  Day {number}: {done} of {len(day)} done")
        for item in day:
            attempt = week.done.get(item.id)
            mark = "to come" if attempt is None else "right" if attempt.hit else "not so"
            points = f", {round(attempt.points)} points" if attempt else ""
            complaint = base.symptoms[item.symptom].name
            lines.append(f"    {complaint} ({item.grade}): {mark}{points}")
    return tuple(lines)


def week_head(week: Week) -> str:
    """Where an apprentice stands in the first week, as a menu says it."""
    if week.next is None:
        return "First week: done"
    day = week.days[week.day - 1]
    return f"First week: day {week.day}, case {day.index(week.next) + 1} of {len(day)}"


RESTS = "The five of today are done. The next come tomorrow; 'case' goes on by itself meanwhile."
WEEK_DONE = "The first week is done. 'case' goes on with what serves you most."
