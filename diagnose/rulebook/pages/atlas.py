"""The whole rule base as one HTML document: a book to read through, linked and printable.

One file without outside resources; drawings stand within it. All text is escaped. It is black on
white, so that it reads the same from a black-and-white printer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from itertools import groupby

from diagnose.knowledge.base import Base
from diagnose.report.drawings import check_drawing, symptom_drawing
from diagnose.rulebook.judgement.judge import counts
from diagnose.rulebook.pages.atlas_style import STYLE
from diagnose.rulebook.pages.entries import pages
from diagnose.rulebook.pages.page import Block, Grid, ItemList, Page, Ref, Words
from diagnose.typed import clean


@dataclass(frozen=True, slots=True)
class Lesson:
    """What a worked case taught: its title and the sentence to keep."""

    title: str
    lesson: str


Lessons = Mapping[str, Sequence[Lesson]]
"""For a cause, what was learned from it."""

PARTS = (
    ("What is seen", ("symptom",), "Find the picture first, then read what it is mistaken for."),
    ("What lies behind it", ("cause",), "Each cause in one place, with all that tells it."),
    ("What to look at", ("check",), "How each check is done, and what each answer tells."),
    (
        "What is reckoned and concluded",
        ("measure", "finding"),
        "Numbers that come out of several answers, and findings that stand between answers and"
        " causes.",
    ),
    ("What to do", ("remedy",), "Every remedy, when it is right and what bars it."),
    ("What to beware of", ("caution",), "Read these before the work and not after it."),
    ("Who pays", ("payer",), "What each may carry, and the evidence that it takes."),
    ("What it rests on", ("source",), "Common practice is named as such; the rest is cited here."),
)

REFERRED = frozenset({"caution", "source", "payer"})
"""Kinds whose pages keep the list of what refers to them; in others the text says it already."""


@dataclass(frozen=True)
class Atlas:
    """The pages of a base, and what is told beside them."""

    base: Base
    pages: tuple[Page, ...]
    lessons: Lessons = field(default_factory=dict)


def atlas(base: Base, lessons: Lessons | None = None) -> str:
    """A rule base as an HTML document; `lessons` from worked cases stand with their causes."""
    book = Atlas(base, pages(base), lessons or {})
    chapters = [c for number, part in enumerate(PARTS, 1) for c in _part(book, number, *part)]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{_TITLE}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n"
        f"{_front(base)}{_contents(book)}<main>\n{''.join(chapters)}</main>\n</body>\n</html>\n"
    )


_TITLE = "Vehicle wraps: what fails, why, and what to do"


def _front(base: Base) -> str:
    said = ", ".join(f"{number} {name}" for name, number in counts(base))
    scales = base.scales
    strengths = "".join(
        f"<tr><th scope='row'>{_text(w)}</th><td>{size:g} dB</td><td>{10 ** (size / 10):.3g}"
        " times</td></tr>"
        for w, size in scales.strengths.items()
    )
    shares = "".join(
        f"<tr><th scope='row'>{_text(w.replace('_', ' '))}</th><td>{weight:g}</td></tr>"
        for w, weight in scales.shares.items()
    )
    first = base.cautions.get(base.role("rules_first"))
    caution = f"<p class='first'>{_text(first.say)}</p>" if first else ""
    return (
        f"<header>\n<h1>{_TITLE}</h1>\n<p>{_text(said)}. Version {_text(base.version)}.</p>\n"
        f"{caution}"
        "<h2>How to read it</h2>\n<p>A sign says how many times likelier an answer is when its"
        " cause is at work. Ten decibans (dB) are ten times; what one sign adds, another takes"
        " away.</p>\n"
        "<div class='side'><table><caption>Strength of a sign</caption><tr><th>Word</th>"
        f"<th>Weight</th><th>Likelier</th></tr>{strengths}</table>"
        "<table><caption>How often a cause lies behind a symptom</caption><tr><th>Word</th>"
        f"<th>Parts</th></tr>{shares}</table></div>\n"
        f"<p>Behind every symptom {scales.unlisted_percent:g} % are kept for a cause that is not"
        " in this book.</p>\n</header>\n"
    )


def _grouped(book: Atlas, kinds: tuple[str, ...]) -> Iterator[tuple[str, list[Page]]]:
    its = [p for p in book.pages if p.kind in kinds]
    order = {group: n for n, group in enumerate(dict.fromkeys(p.group for p in its))}
    its.sort(key=lambda p: order[p.group])
    for group, members in groupby(its, key=lambda p: p.group):
        yield group, list(members)


def _contents(book: Atlas) -> str:
    items = []
    for number, (title, kinds, _) in enumerate(PARTS, 1):
        groups = "".join(
            f"<li><span>{_text(_capital(group))}</span> "
            + ", ".join(f'<a href="#{_anchor(p.id)}">{_text(p.name)}</a>' for p in its)
            + "</li>\n"
            for group, its in _grouped(book, kinds)
        )
        if groups:
            items.append(
                f'<li><a href="#part-{number}">{number}. {_text(title)}</a>\n<ul>{groups}</ul></li>'
            )
    return (
        '<nav aria-label="Contents">\n<h2 id="contents">Contents</h2>\n<ul>\n'
        + "\n".join(items)
        + "\n</ul>\n</nav>\n"
    )


def _part(book: Atlas, number: int, title: str, kinds: tuple[str, ...], says: str) -> Iterator[str]:
    groups = list(_grouped(book, kinds))
    if not groups:
        return
    yield f'<section class="part">\n<h2 id="part-{number}">{number}. {_text(title)}</h2>\n'
    yield f"<p>{_text(says)}</p>\n"
    for group, its in groups:
        yield f"<h3>{_text(_capital(group))}</h3>\n"
        for page in its:
            yield _page(book, page)
    yield "</section>\n"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _page(book: Atlas, page: Page) -> str:
    facts = "".join(
        f"<div><dt>{_text(label)}</dt><dd>{_words(words)}</dd></div>" for label, words in page.facts
    )
    kept = [b for b in page.blocks if b.title != "Referred to by" or page.kind in REFERRED]
    return (
        f'<article id="{_anchor(page.id)}">\n<h4>{_text(page.name)}</h4>\n'
        f"<p class='id'>{_text(page.kind)} <code>{_text(page.id)}</code>, {_text(page.place)}"
        " <a href='#contents' class='up'>contents</a></p>\n"
        f"<p class='lead'>{_text(page.lead)}</p>\n{_drawing(page)}<dl>{facts}</dl>\n"
        + "".join(map(_block, kept))
        + _lessons(book.lessons.get(page.id, ()))
        + "</article>\n"
    )


def _drawing(page: Page) -> str:
    if not page.drawn:
        return ""
    made = symptom_drawing(page.id) if page.kind == "symptom" else check_drawing(page.id)
    if made is None:
        return ""
    svg = re.sub(r"(id=\"|url\(#)dw-", rf"\1{_anchor(page.id)}-dw-", made.svg)
    return f"<figure>{svg}</figure>\n"


def _block(block: Block) -> str:
    return f"<h5>{_text(block.title)}</h5>\n{_body(block.body)}\n"


def _body(body: Words | ItemList | Grid) -> str:
    if isinstance(body, ItemList):
        tag = "ol" if body.numbered else "ul"
        return f"<{tag}>{''.join(f'<li>{_words(i)}</li>' for i in body.items)}</{tag}>"
    if isinstance(body, Grid):
        head = "".join(f"<th scope='col'>{_text(h)}</th>" for h in body.head)
        rows = "".join(f"<tr>{_cells(body.head, row)}</tr>\n" for row in body.rows)
        kind = f"by-{body.head[0].lower()}"
        return f"<table class='{kind}'><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    return f"<p>{_words(body)}</p>"


def _cells(head: Sequence[str], row: Sequence[Words]) -> str:
    """The cells of a row; each carries its head, for screens too narrow for a table."""
    return "".join(
        f'<td data-head="{_text(h)}">{_words(c)}</td>' for h, c in zip(head, row, strict=True)
    )


def _lessons(lessons: Iterable[Lesson]) -> str:
    items = "".join(f"<li><i>{_text(x.title)}.</i> {_text(x.lesson)}</li>" for x in lessons)
    return f"<h5>From worked cases</h5>\n<ul>{items}</ul>\n" if items else ""


def _words(words: Words) -> str:
    return "".join(_link(w) if isinstance(w, Ref) else _text(w, strip=False) for w in words)


def _link(ref: Ref) -> str:
    return f'<a href="#{_anchor(ref.id)}">{_text(ref.words)}</a>'


def _anchor(entry: str) -> str:
    return f"e-{escape(entry, quote=True)}"


def _text(words: str, strip: bool = True) -> str:
    """Text that stays text; a run between links keeps the blanks at its ends."""
    said = clean(words)
    if not strip and words:
        said = (" " if words[0].isspace() else "") + said + (" " if words[-1].isspace() else "")
        said = " " if not said.strip() else said
    return escape(said, quote=True)
