"""The parts of an entry of the book as HTML: words first, numbers and sources marked to be folded.

What is marked, the weaker signs too, is shown once its entry's numbers are unfolded, or all are
asked for.
All text is escaped.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape

from diagnose.rulebook.pages.page import Block, Grid, ItemList, Ref, Words
from diagnose.typed import clean

NUMBERS = frozenset({"Usual", "Source"})
"""Heads of columns, and names of facts, that are folded."""

ASIDE = frozenset(
    {
        "Tells by a rule of its own, or with others",
        "Lies behind",
        "Someone else pays when",
        "Mistaken for",
        "Used for",
    }
)
"""Parts that lead away from the entry, and stay out where one symptom is printed."""

_NUMBER = re.compile(
    r" ?\((?:\d[\d.]*%(?:; judged [^()]*)?|[\d.]+(?:e[-+]?\d+)? dB)\)"
    r"| [\d.]+(?:e[-+]?\d+)? dB|: \d[\d.]* % hold"
)
"""A share, a weight or a chance as the pages of entries write them after words."""


def block(its: Block) -> str:
    """A titled part; one that a printed symptom has no need of is marked."""
    kind = ' class="aside"' if its.title in ASIDE else ""
    return f"<div{kind}><h5>{text(its.title)}</h5>\n{_body(its.body)}</div>\n"


def fact(label: str, said: Words) -> str:
    """A name with what is said of it."""
    return f"<div{_folded(label)}><dt>{text(label)}</dt><dd>{words(said)}</dd></div>"


def _body(body: Words | ItemList | Grid) -> str:
    if isinstance(body, ItemList):
        tag = "ol" if body.numbered else "ul"
        return f"<{tag}>{''.join(f'<li>{words(i)}</li>' for i in body.items)}</{tag}>"
    if isinstance(body, Grid):
        head = "".join(f"<th scope='col'{_folded(h)}>{text(h)}</th>" for h in body.head)
        rows = "".join(
            f"<tr{_weak(body.head, place)}>{_cells(body.head, row)}</tr>\n"
            for place, row in enumerate(body.rows)
        )
        kind = f"by-{body.head[0].lower()}"
        return f"<table class='{kind}'><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    return f"<p>{words(body)}</p>"


STRONGEST = 10
"""Signs of a cause that are shown at once; they stand in the order of their weight."""


def _weak(head: Sequence[str], place: int) -> str:
    return ' class="n"' if "Strength" in head and place >= STRONGEST else ""


def _cells(head: Sequence[str], row: Sequence[Words]) -> str:
    """The cells of a row; each carries its head, for screens too narrow for a table."""
    return "".join(
        f'<td data-head="{text(h)}"{_folded(h)}>{words(c)}</td>'
        for h, c in zip(head, row, strict=True)
    )


def _folded(label: str) -> str:
    return ' class="n"' if label in NUMBERS else ""


def words(said: Words) -> str:
    """A run of text with its links; numbers in it are marked."""
    return "".join(_link(w) if isinstance(w, Ref) else _run(w) for w in said)


def _run(said: str) -> str:
    """Text between links, its numbers each in an element of their own."""
    found, at = [], 0
    for number in _NUMBER.finditer(said):
        found += [text(said[at : number.start()], strip=False)]
        found += [f'<span class="n">{text(number[0], strip=False)}</span>']
        at = number.end()
    return "".join((*found, text(said[at:], strip=False)))


def _link(ref: Ref) -> str:
    return f'<a href="#{anchor(ref.id)}">{text(ref.words)}</a>'


def anchor(entry: str) -> str:
    """The id of an entry's page in the book."""
    return f"e-{escape(entry, quote=True)}"


def text(said: str, strip: bool = True) -> str:
    """Text that stays text; a run between links keeps the blanks at its ends."""
    plain = clean(said)
    if not strip and said:
        plain = (" " if said[0].isspace() else "") + plain + (" " if said[-1].isspace() else "")
        plain = " " if not plain.strip() else plain
    return escape(plain, quote=True)
