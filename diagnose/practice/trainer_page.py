"""A page for whoever trains: what an apprentice gets wrong, and what to do about it next."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from html import escape

from diagnose.knowledge.base import Base
from diagnose.practice import progress_words as words
from diagnose.practice.drills.apart import powers_between, table_between, what_differs
from diagnose.practice.drills.drill import NAMES
from diagnose.practice.exam_page import STYLE, plain
from diagnose.practice.progress.over_time import (
    by_drill,
    by_symptom,
    mixed_up,
    named_instead,
    sure_and_wrong,
)
from diagnose.practice.progress.progress import Progress
from diagnose.practice.session.judge import Judge
from diagnose.practice.wording import counted

MOST = 8
"""Entries of each part at the most."""

HALF_RIGHT = 50.0
"""Points of a drill under which what it was about is named."""

NOTHING = "Nothing practised yet."


@dataclass(frozen=True, slots=True)
class TrainerPart:
    """A part of the page: its title and its lines."""

    title: str
    lines: tuple[str, ...]


def parts(judge: Judge, name: str, progress: Progress, now: datetime) -> tuple[TrainerPart, ...]:
    """The page in parts, empty ones left out."""
    base = judge.base
    found = (
        TrainerPart("How it goes", (words.streak_words(progress, now), *_sums(progress, now))),
        TrainerPart(words.WEEKS, tuple(words.week_lines(progress, now))),
        TrainerPart("Complaints in which the cause was not found", tuple(_wrong(base, progress))),
        TrainerPart(
            "Taken for one another, and what tells them apart", tuple(_pairs(judge, progress))
        ),
        TrainerPart("Named as certain, and not so", tuple(_certain(base, progress))),
        TrainerPart("Drills, what goes worst first", tuple(_drills(base, progress))),
        TrainerPart("How sure against how often right", tuple(words.calibration_lines(progress))),
    )
    return tuple(part for part in found if part.lines)


def _sums(progress: Progress, now: datetime) -> Iterator[str]:
    cases = progress.cases
    if not cases:
        yield "No case practised yet."
        return
    hits = sum(a.hit for a in cases)
    yield f"Right in {hits} of {len(cases)} cases; practising up to grade {progress.grade()}."
    harms = sum(a.harms for a in cases)
    minutes = sum(a.minutes for a in cases)
    yield f"{minutes:.0f} working minutes; checks that harm film or paint: {harms}."
    yield f"Comes back: {next(words.due_lines(progress, now))}"


def _wrong(base: Base, progress: Progress) -> Iterator[str]:
    hard = [(s, its) for s, its in by_symptom(progress).items() if its.right < its.cases]
    for symptom, its in hard[:MOST]:
        named = named_instead(progress, symptom).most_common(3)
        instead = "; ".join(f"{words.name(base, cause)} ({count})" for cause, count in named)
        complaint = words.symptom_name(base, symptom)
        yield f"{complaint}: right {its.right} of {its.cases}. Named instead: {instead}."


def _pairs(judge: Judge, progress: Progress) -> Iterator[str]:
    for mixed, line in zip(
        mixed_up(progress)[:MOST], words.pair_lines(judge.base, progress), strict=False
    ):
        yield f"{line}. {_what_tells(judge, *mixed.causes)}".rstrip()


def _what_tells(judge: Judge, one: str, other: str) -> str:
    """The check that tells two causes apart best, what it shows of each, and how it is done."""
    if not {one, other} <= set(judge.base.causes):
        return ""
    try:
        powers = powers_between(judge, one, other)
        symptom = judge.base.symptoms[table_between(judge, one, other).symptom]
    except KeyError:
        return ""
    best = max(powers, key=lambda check: (powers[check], check))
    check = judge.base.checks[best]
    difference = what_differs(judge, best, one, other)
    return f"At {symptom.name.lower()}, look at: {check.name}. {difference} {check.how}"


def _certain(base: Base, progress: Progress) -> Iterator[str]:
    for attempt in sure_and_wrong(progress)[:MOST]:
        was = " and ".join(words.name(base, cause) for cause in attempt.right)
        complaint = words.symptom_name(base, attempt.symptom)
        named = words.name(base, attempt.named)
        yield f"{attempt.at[:10]}, {complaint}: {named} at {attempt.sure:.0%}; it was {was}."


def _drills(base: Base, progress: Progress) -> Iterator[str]:
    """Each kind of drill: how much of it was right, and what it was about where least was."""
    for kind, its in by_drill(progress).items():
        right = sum(a.points for a in its) / len(its)
        poor = dict.fromkeys(_about(base, a.item) for a in its if a.points < HALF_RIGHT)
        least = f" Least in: {'; '.join(list(poor)[:MOST])}." if poor else ""
        asks = NAMES.get(kind, kind)
        count = counted(len(its), "drill")
        yield f"{asks[:1].upper()}{asks[1:]}: {count}, {right:.0f} % right.{least}"


def _about(base: Base, item: str) -> str:
    """What a drill was about: its causes or its symptom by name."""
    named = (
        words.symptom_name(base, part) if part in base.symptoms else words.name(base, part)
        for part in item.split("|")
    )
    return " / ".join(named)


def text(judge: Judge, name: str, progress: Progress, now: datetime) -> str:
    """The page for a terminal or a plain file."""
    lines = [_title(name, now)]
    for part in parts(judge, name, progress, now) if progress.attempts else ():
        lines += ["", part.title, *(f"  {line}" for line in part.lines)]
    return "\n".join(lines if progress.attempts else [*lines, "", NOTHING]) + "\n"


def html(judge: Judge, name: str, progress: Progress, now: datetime) -> str:
    """One page to print, without anything from outside."""
    title = escape(_title(name, now))
    body = "".join(_section(part) for part in parts(judge, name, progress, now))
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title><style>{STYLE}pre{{overflow-x:auto}}</style></head><body>"
        f"<h1>{title}</h1>{body if progress.attempts else f'<p>{NOTHING}</p>'}"
        "</body></html>\n"
    )


def _section(part: TrainerPart) -> str:
    if part.title == words.WEEKS:
        inner = f"<pre>{escape(chr(10).join(part.lines))}</pre>"
    else:
        inner = f"<ul>{''.join(f'<li>{escape(line)}</li>' for line in part.lines)}</ul>"
    return f"<h2>{escape(part.title)}</h2>{inner}"


def _title(name: str, now: datetime) -> str:
    return f"Wrap diagnosis: how {plain(name)} practises, {now.date().isoformat()}"
