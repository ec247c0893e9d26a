"""Small wordings that several pages share: days, money, chances, reasons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from diagnose.reasoning.explanation.explain import Reason
from diagnose.report.content.plan_data import StepMoney

_NEARLY_ALL = 0.995
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day(moment: str) -> str:
    """A moment in ISO text as a reader says it; what is no moment stays as it is.

    A planned time is no truer than to a quarter of an hour: the next full one is said.
    """
    try:
        at = datetime.fromisoformat(moment)
    except ValueError:
        return moment
    at += -timedelta(minutes=at.minute, seconds=at.second) % timedelta(minutes=15)
    date = f"{_DAYS[at.weekday()]} {at.day} {_MONTHS[at.month - 1]} {at.year}"
    return f"{date}, {at:%H:%M}" if len(moment) > len("2026-01-31") else date


def money(cost: StepMoney, currency: str) -> str:
    """What a step costs with its ends."""
    ends = f"{cost.low:.0f} to {cost.high:.0f}"
    if f"{cost.low:.0f}" == f"{cost.high:.0f}":
        return f"{cost.likely:.0f} {currency}"
    return f"{cost.likely:.0f} {currency} ({ends})"


def in_hundred(chance: float) -> str:
    """A chance as a count, which is read more surely than a word."""
    if chance >= _NEARLY_ALL:
        return "more than 99 of 100"
    return f"about {max(1, round(100 * chance))} of 100"


def sources(ids: Sequence[str], citations: Mapping[str, str]) -> str:
    """Sources by number where they are listed in full, else by their ids in words."""
    numbers = {name: f"[{n}]" for n, name in enumerate(citations, 1)}
    return ", ".join(numbers.get(i, i.replace("_", " ").replace("-", " ")) for i in ids)


def sentence(words: str) -> str:
    """The words with a capital first and a stop at the end."""
    words = words.strip()
    stop = "" if words[-1:] in ".?!" else "."
    return f"{words[:1].upper()}{words[1:]}{stop}" if words else ""


def weight(reason: Reason) -> str:
    """The strength of a piece of evidence: decibans, the word for them, what cases did to it."""
    weighs = f"{decibans(reason.decibans)}, {reason.strength}"
    return f"{weighs}; {reason.shop}" if reason.shop else weighs


def decibans(value: float) -> str:
    """Decibans with their sign."""
    return f"{round(value, 1) + 0.0:+.1f}\N{NO-BREAK SPACE}dB".replace("-", "−")


def says(reason: Reason) -> str:
    """What a piece of evidence says, without the answer, which stands beside it."""
    return sentence(reason.because)
