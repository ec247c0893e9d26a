"""Records and statistics as plain text: aligned columns, nothing that steers a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from textwrap import wrap

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import says
from diagnose.knowledge.model.words import UNLISTED
from diagnose.knowledge.panels import PANELS
from diagnose.measures.quantity import Quantity
from diagnose.records.aligned import cut, table
from diagnose.records.case.journal import FACTS, Case, Complaint
from diagnose.records.experience.learning import Share
from diagnose.records.experience.no_home import Lacking
from diagnose.records.experience.sign_worth import SignRecord, carried_most
from diagnose.records.experience.statistics import (
    Calibration,
    Cost,
    Recurring,
    Statistics,
    by_month,
)
from diagnose.records.store.summary import CaseSummary, ClosedComplaint
from diagnose.typed import in_a_row, on_one_line

_STACKED = 110
"""On pages narrower than this each case takes two lines instead of one."""

LONGEST = 15
"""Rows of a table of statistics; the rest is counted, and the data form holds all."""

FEW = 30
"""Closed complaints under which figures of a shop are said to be too few to tell anything."""

_MONTHS = 12
"""Months shown, the last of those with closed complaints."""

_A_MONTH = 3
"""Causes shown of each month."""


def case_list(cases: Sequence[CaseSummary], base: Base, width: int = 0) -> str:
    """The list of cases on a page of this width; 0 for any width."""
    rows = [
        (
            case.id,
            _seen(case),
            case.standing,
            ", ".join(f"{_symptom(base, s)} ({PANELS.get(p, p)})" for s, p in case.complaints),
            ", ".join(cause_name(base, cause) for cause in case.causes),
            case.title or case.vehicle,
        )
        for case in cases
    ]
    if not rows:
        return "no case"
    head = ("case", "seen", "standing", "complaint", "cause", "title")
    stacked = 0 < width < _STACKED
    listed = _stacked(rows, width) if stacked else table(head, rows, width, firm=3)
    return f"{listed}\n{count_of(len(cases), 'case')}"


def _seen(case: CaseSummary) -> str:
    """The day on which it was opened, or the month in which it was seen where that is another."""
    return case.opened[:10] if case.opened.startswith(case.month) else case.month


def _stacked(rows: Iterable[Sequence[str]], width: int) -> str:
    lines = []
    for case, seen, standing, complaint, cause, _ in rows:
        lines.append(cut(on_one_line(f"{case}  {seen}  {standing}"), width))
        lines.append(cut(on_one_line(f"  {complaint}{f': {cause}' if cause else ''}"), width))
    return "\n".join(lines)


def case_page(case: Case, base: Base) -> str:
    """One case with all that is known of it."""
    lines = [f"case {case.id} ({'closed' if case.closed else 'open'})"]
    lines += [
        f"  {fact.replace('_', ' ')}: {in_a_row(case.facts[fact])}"
        for fact in FACTS
        if case.facts.get(fact)
    ]
    lines += _answer_lines(case.circumstances, base)
    lines += _photo_lines(case.photos)
    for complaint in case.complaints:
        lines += ["", *_complaint_lines(complaint, base)]
    return "\n".join(lines)


def _complaint_lines(complaint: Complaint, base: Base) -> Iterator[str]:
    panel = PANELS.get(complaint.panel, complaint.panel)
    yield f"complaint {complaint.number}: {_symptom(base, complaint.symptom)}, {on_one_line(panel)}"
    yield from _answer_lines(complaint.answers, base)
    yield from _photo_lines(complaint.photos)
    outcome = complaint.outcome
    if not outcome:
        return
    proof = on_one_line(outcome.confirmed_by)
    yield f"  cause: {cause_name(base, outcome.cause)}, confirmed by: {proof}"
    for cause in outcome.also_causes:
        yield f"  also: {cause_name(base, cause)}"
    if outcome.remedy or outcome.held is not None:
        remedy = _named(base.remedies, outcome.remedy) if outcome.remedy else "not noted"
        yield f"  remedy: {remedy}{_held(outcome.held)}"
    if outcome.payer:
        yield f"  paid by: {_named(base.payers, outcome.payer)}"
    if outcome.cost is not None:
        yield f"  cost: {outcome.cost:,.2f}"
    if outcome.note:
        yield f"  note: {on_one_line(outcome.note)}"


def _photo_lines(photos: Iterable[tuple[str, str]]) -> Iterator[str]:
    for photo, caption in photos:
        yield f"  photo {photo[:12]} {on_one_line(caption)}".rstrip()


def _held(held: bool | None) -> str:
    return {None: "", True: " (held)", False: " (did not hold)"}[held]


def _answer_lines(answers: Mapping[str, object], base: Base) -> Iterator[str]:
    for check, answer in answers.items():
        known = base.checks.get(check)
        try:
            text = says(known, answer) if known else _as_kept(answer)  # type: ignore[arg-type]
        except KeyError:
            text = _as_kept(answer)
        yield f"  {known.name if known else on_one_line(check)}: {on_one_line(text)}"


def _as_kept(answer: object) -> str:
    """An answer to a check that the rules do not have."""
    if isinstance(answer, Quantity):
        ends = (
            f"{answer.low:g}" if answer.low == answer.high else f"{answer.low:g} to {answer.high:g}"
        )
        return f"{ends} (not in these rules)"
    return f"{answer} (not in these rules)"


def statistics_page(found: Statistics, base: Base, width: int = 0) -> str:
    """All statistics as text on a page of this width; 0 for any width."""
    vehicles = count_of(found.vehicles, "vehicle")
    parts = [_wrapped(f"{count_of(found.complaints, 'closed complaint')} on {vehicles}", width)]
    if 0 < found.complaints < FEW:
        parts.append(_wrapped(few_words(found.complaints), width))
    if not found.complaints:
        return parts[0]
    held, looked = found.held
    misled = [sign for sign in found.signs if sign.misled]
    carried = carried_most(found.signs)
    parts += [
        _wrapped(f"repairs that held: {held:,} of {looked:,} looked at again", width),
        _titled(width, "causes by month, the last twelve", _months(found, base, width)),
        _titled(width, "what comes back", _recurring(found.recurring, base, width)),
        _titled(width, "cost of callbacks", _costs(found.costs, base, width)),
        _titled(
            width, "how well stated probabilities held", _calibration(found.calibration, width)
        ),
        _titled(
            width,
            "signs that misled most often (sign – cause; dB toward the truth)",
            _signs(misled, base, width),
        ),
        _titled(
            width,
            "signs that carried most often (sign – cause; dB toward the truth)",
            _signs(carried, base, width),
        ),
    ]
    return "\n\n".join(part for part in parts if part)


def lacking_page(found: Sequence[Lacking], width: int = 0) -> str:
    """The words that the rule base lacks, those of most cases first."""
    if not found:
        return "Everything that was said in own words found a home."
    return table(LACKING_HEAD, [(its.word, its.cases, its.said) for its in found], width, firm=2)


def _titled(width: int, title: str, text: str) -> str:
    return f"{_wrapped(title, width)}\n{text}" if text else ""


def _wrapped(text: str, width: int) -> str:
    return "\n".join(wrap(text, width)) if width else text


MONTHS_HEAD = ("month", "cause", "complaints")
RECURRING_HEAD = ("kind", "which", "complaints", "vehicles", "most often", "times")
COSTS_HEAD = ("cause", "complaints", "cost not known", "total", "mean", "most")
LACKING_HEAD = ("word", "cases", "said last")
CALIBRATION_HEAD = ("stated", "conclusions", "said", "was right")


def month_rows(found: Statistics, base: Base, months: int) -> list[tuple[str, str, int]]:
    """The causes met most often in each of the last months."""
    rows: list[tuple[str, str, int]] = []
    for month, counts in [*by_month(found.months).items()][-months:]:
        often = sorted(counts.items(), key=lambda pair: -pair[1])
        rows += [(month, cause_name(base, cause), count) for cause, count in often[:_A_MONTH]]
        if rest := often[_A_MONTH:]:
            rows.append((month, count_of(len(rest), "other cause"), sum(n for _, n in rest)))
    return rows


def recurring_rows(found: Sequence[Recurring], base: Base) -> list[tuple[str | int, ...]]:
    """What comes back, the kinds one after the other."""
    return [
        (
            item.by,
            PANELS.get(item.value, item.value) if item.by == "panel" else item.value,
            item.complaints,
            item.vehicles,
            cause_name(base, item.cause),
            item.with_cause,
        )
        for item in found
    ]


def cost_rows(found: Sequence[Cost], base: Base) -> list[tuple[str | float, ...]]:
    """What causes cost, where it is known of any complaint."""
    return [
        (cause_name(base, c.cause), c.complaints, c.unknown, c.total, c.mean, c.most)
        for c in found
        if c.complaints > c.unknown
    ]


def calibration_rows(found: Calibration) -> list[tuple[str | int, ...]]:
    """How often conclusions were right, by how sure they were."""
    return [
        (f"{b.low:.0%} to {b.high:.0%} sure", b.count, f"{b.said:.0%}", f"{b.right:.0%}")
        for b in found.bands
    ]


def few_words(complaints: int) -> str:
    """That figures of so few complaints are no more than what happened."""
    return (
        f"{count_of(complaints, 'complaint')} tell what happened and not yet what is usual: with"
        f" fewer than {FEW} one more can turn every figure below."
    )


def brier_words(found: Calibration) -> str:
    """The Brier score with its interval and what it means; that they are few where they are."""
    few = f"; fewer than {FEW} are too few to tell" if found.count < FEW else ""
    return (
        f"Brier score {found.brier:.3f} (95 % interval {found.low:.3f} to {found.high:.3f},"
        f" {count_of(found.count, 'conclusion')}; 0 is perfect, 0.25 is a coin{few})"
    )


def sign_words(record: SignRecord, base: Base) -> tuple[str, str]:
    """A sign with its cause, and how it did."""
    return (
        f"{on_one_line(record.says)} – {cause_name(base, record.cause)}",
        f"{record.carried:,} carried, {record.misled:,} misled, {record.decibans:+,.1f} dB",
    )


def _months(found: Statistics, base: Base, width: int) -> str:
    return table(MONTHS_HEAD, month_rows(found, base, _MONTHS), width)


def _first(head: Sequence[str], rows: Sequence[Sequence[object]], width: int) -> str:
    """The first rows of a table, and how many more there are."""
    if not rows:
        return ""
    return "\n".join([table(head, rows[:LONGEST], width), *_rest(len(rows))])


def _recurring(found: Sequence[Recurring], base: Base, width: int) -> str:
    rows = recurring_rows(found, base)
    kinds = [[row for row in rows if row[0] == by] for by in dict.fromkeys(r[0] for r in rows)]
    return "\n".join(_first(RECURRING_HEAD, of_kind, width) for of_kind in kinds)


def _costs(found: Sequence[Cost], base: Base, width: int) -> str:
    return _first(COSTS_HEAD, cost_rows(found, base), width)


def _calibration(found: Calibration | None, width: int) -> str:
    if found is None:
        return ""
    held = table(CALIBRATION_HEAD, calibration_rows(found), width)
    return f"{held}\n{_wrapped(brier_words(found), width)}"


def _signs(found: Sequence[SignRecord], base: Base, width: int) -> str:
    """Each sign whole, for a condition that is cut says nothing; its numbers below it."""
    lines = []
    for record in found[:LONGEST]:
        text, did = sign_words(record, base)
        lines += wrap(text, width, subsequent_indent="  ") if width else [text]
        lines.append(f"    {did}")
    return "\n".join([*lines, *_rest(len(found))])


def _rest(count: int) -> list[str]:
    more = count - LONGEST
    return [f"… and {more:,} more: --json has all"] if more > 0 else []


def shares_page(shares: Sequence[Share], base: Base, width: int = 0) -> str:
    """Shares of causes by the words of the rule base and as learned, the largest first."""
    rows = [
        (cause_name(base, s.cause), f"{s.by_words:.1%}", f"{s.learned:.1%}", s.confirmed)
        for s in sorted(shares, key=lambda share: -share.learned)
    ]
    return _first(("cause", "by the words", "in this shop", "confirmed"), rows, width)


DUE_HEAD = ("case", "no.", "closed", "days", "complaint", "what was done", "look again")


def due_page(found: Sequence[tuple[ClosedComplaint, int]], base: Base, width: int = 0) -> str:
    """Closed complaints of which it is not known whether the repair held, with days since."""
    if not found:
        return "Of every repair that long ago it is known whether it held."
    rows = [
        (
            its.case_id,
            its.number,
            its.closed,
            days,
            f"{_symptom(base, its.symptom)} ({PANELS.get(its.panel, its.panel)})",
            _named(base.remedies, its.remedy) if its.remedy else "not noted",
            getattr(base.remedies.get(its.remedy), "look_again", ""),
        )
        for its, days in found
    ]
    how = "Say it with: diagnose cases held CASE --held, or --not-held"
    return f"{table(DUE_HEAD, rows, width, firm=1)}\n{how}"


def cause_name(base: Base, cause: str) -> str:
    """A cause as a reader sees it."""
    return "Something not listed" if cause == UNLISTED else _named(base.causes, cause)


def _symptom(base: Base, symptom: str) -> str:
    return _named(base.symptoms, symptom)


def _named(entries: Mapping[str, object], entry: str) -> str:
    return str(getattr(entries.get(entry), "name", on_one_line(entry)))


def count_of(number: int, of: str) -> str:
    """So many of something, in words: 1 case, 2 cases."""
    return f"{number:,} {of}{'' if number == 1 else 's'}"
