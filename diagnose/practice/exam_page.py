"""The result of an exam to print: as text, and as one HTML page without anything from outside."""

from __future__ import annotations

import re
from html import escape

from diagnose.knowledge.base import Base
from diagnose.practice.exam import PASS_POINTS, PASS_RIGHT, Result, Row
from diagnose.reasoning.explain import cause_name

HEADS = ("Case", "Grade", "Complaint", "Named", "Sure", "Confirmed", "Points", "Minutes")

_STYLE = (
    "body{font:11pt/1.4 serif;margin:2em auto;max-width:60em;color:#111;background:#fff}"
    "table{border-collapse:collapse;width:100%}"
    "th,td{border:1px solid #777;padding:.25em .4em;text-align:left;vertical-align:top}"
    "td.number{text-align:right}caption{text-align:left;padding:.5em 0}"
    "@media print{body{margin:0}tr{break-inside:avoid}}"
)


def verdict(result: Result) -> str:
    """The result in one sentence."""
    word = "Passed" if result.passed else "Not passed"
    return (
        f"{word}: {result.right} of {len(result.rows)} causes right, {result.mean:.0f} points a"
        f" case (needed: {PASS_RIGHT} and {PASS_POINTS:.0f})."
    )


def text(base: Base, result: Result) -> str:
    """The result for a terminal or a plain file."""
    lines = [
        f"Wrap diagnosis: exam of {_plain(result.apprentice)}, {result.on}",
        verdict(result),
        "",
    ]
    for number, row in enumerate(result.rows, 1):
        mark = "right" if row.hit else "not so"
        cells = _cells(base, number, row)
        lines.append(f"{cells[0]}. {cells[2]} ({cells[1]}): {mark}, {cells[6]} points")
        lines.append(f"    named {cells[3]} ({cells[4]}), confirmed {cells[5]}")
        harm = f", {row.harms} harmful checks" if row.harms else ""
        lines.append(f"    {cells[7]} working minutes{harm}")
    lines += ["", f"Rule base {result.rules}.", "Signed: ____________________"]
    return "\n".join(lines) + "\n"


def html(base: Base, result: Result) -> str:
    """The result as one page of HTML; everything typed by a person is escaped."""
    name = escape(_plain(result.apprentice))
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in HEADS)
    rows = "".join(_row(base, number, row) for number, row in enumerate(result.rows, 1))
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f"<title>Exam of {name}</title><style>{_STYLE}</style></head><body>"
        f"<h1>Wrap diagnosis: exam of {name}</h1><p>{escape(result.on)}</p>"
        f"<p><strong>{escape(verdict(result))}</strong></p>"
        f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>"
        f"<p>Rule base {escape(result.rules)}.</p><p>Signed: ____________________</p>"
        "</body></html>\n"
    )


def _cells(base: Base, number: int, row: Row) -> tuple[str, ...]:
    confirmed = " and ".join(cause_name(base, cause) for cause in row.right)
    return (
        str(number),
        row.grade,
        base.symptoms[row.symptom].name,
        cause_name(base, row.named),
        f"{row.sure:.0%}",
        confirmed,
        f"{row.points:.0f}",
        f"{row.minutes:g}",
    )


def _row(base: Base, number: int, row: Row) -> str:
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


def _plain(words: str) -> str:
    """A name without control or direction-changing characters."""
    return re.sub(r"[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", "", words)
