"""The result of an exam to print: as text, and as one HTML page without anything from outside."""

from __future__ import annotations

import re
from html import escape

from diagnose.knowledge.base import Base
from diagnose.practice.progress.exam import PASS_POINTS, PASS_RIGHT, ExamRow, Result
from diagnose.practice.wording import counted
from diagnose.reasoning.explanation.explain import cause_name

HEADS = ("Case", "Grade", "Complaint", "Named", "Sure", "Confirmed", "Points", "Minutes")

TO_LEARN = "How the causes that were not found come about"

STYLE = (
    "body{font:11pt/1.4 serif;margin:2em auto;padding:0 1em;max-width:60em}"
    "body{color:#111;background:#fff}"
    "table{border-collapse:collapse;width:100%}"
    "th,td{border:1px solid #777;padding:.25em .4em;text-align:left;vertical-align:top}"
    "td.number{text-align:right}caption{text-align:left;padding:.5em 0}"
    "dt{font-weight:bold;margin-top:.4em}dd{margin:0}h2{font-size:13pt}"
    "@media print{body{margin:0;padding:0}tr,dt,dd{break-inside:avoid}}"
)


def verdict(result: Result) -> str:
    """The result in one sentence."""
    word = "Passed" if result.passed else "Not passed"
    return (
        f"{word}: {result.right} of {len(result.rows)} causes right, {round(result.mean)} points a"
        f" case (needed: {PASS_RIGHT} and {PASS_POINTS:.0f})."
    )


def text(base: Base, result: Result) -> str:
    """The result for a terminal or a plain file."""
    lines = [
        f"Wrap diagnosis: exam of {plain(result.apprentice)}, {result.on}",
        verdict(result),
        "",
    ]
    for number, row in enumerate(result.rows, 1):
        mark = "right" if row.hit else "not so"
        cells = _cells(base, number, row)
        lines.append(f"{cells[0]}. {cells[2]} ({cells[1]}): {mark}, {cells[6]} points")
        lines.append(f"    named {cells[3]} ({cells[4]}), confirmed {cells[5]}")
        minutes = f"{cells[7]} working minute{'' if row.minutes == 1 else 's'}"
        harm = f", {counted(row.harms, 'harmful check')}" if row.harms else ""
        lines.append(f"    {minutes}{harm}")
    lines += _learn_lines(base, result)
    lines += ["", f"Rule base {result.rules}.", "Signed: ____________________"]
    return "\n".join(lines) + "\n"


def html(base: Base, result: Result) -> str:
    """The result as one page of HTML; everything typed by a person is escaped."""
    name = escape(plain(result.apprentice))
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in HEADS)
    rows = "".join(_row(base, number, row) for number, row in enumerate(result.rows, 1))
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f"<title>Exam of {name}</title><style>{STYLE}</style></head><body>"
        f"<h1>Wrap diagnosis: exam of {name}</h1><p>{escape(result.on)}</p>"
        f"<p><strong>{escape(verdict(result))}</strong></p>"
        f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>"
        f"{_learn_page(base, result)}"
        f"<p>Rule base {escape(result.rules)}.</p><p>Signed: ____________________</p>"
        "</body></html>\n"
    )


def to_learn(base: Base, result: Result) -> dict[str, str]:
    """Of each cause that was not found, its name and how it comes about."""
    missed = [cause for row in result.rows if not row.hit for cause in row.right]
    known = [base.causes[cause] for cause in dict.fromkeys(missed) if cause in base.causes]
    return {cause.name: cause.mechanism for cause in known}


def _learn_lines(base: Base, result: Result) -> list[str]:
    found = to_learn(base, result)
    return ["", TO_LEARN, *(f"    {name}: {how}" for name, how in found.items())] if found else []


def _learn_page(base: Base, result: Result) -> str:
    found = to_learn(base, result).items()
    items = "".join(f"<dt>{escape(name)}</dt><dd>{escape(how)}</dd>" for name, how in found)
    return f"<h2>{TO_LEARN}</h2><dl>{items}</dl>" if items else ""


def _cells(base: Base, number: int, row: ExamRow) -> tuple[str, ...]:
    confirmed = " and ".join(cause_name(base, cause) for cause in row.right)
    return (
        str(number),
        row.grade,
        base.symptoms[row.symptom].name,
        cause_name(base, row.named),
        f"{row.sure:.0%}",
        confirmed,
        f"{round(row.points)}",
        f"{row.minutes:g}",
    )


def _row(base: Base, number: int, row: ExamRow) -> str:
    right = "✓ " if row.hit else "✗ "
    cells = list(_cells(base, number, row))
    cells[3] = right + cells[3]
    numeric = (0, 4, 6, 7)
    marked = [
        f'<td class="number">{escape(cell)}</td>'
        if place in numeric
        else f"<td>{escape(cell)}</td>"
        for place, cell in enumerate(cells)
    ]
    return f"<tr>{''.join(marked)}</tr>"


def plain(words: str) -> str:
    """A name without control or direction-changing characters."""
    return re.sub(r"[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", "", words)
