"""The whole rule base as one HTML document: a book to read through, linked and printable.

One file without outside resources; drawings stand within it. All text is escaped. It is black on
white, so that it reads the same from a black-and-white printer. Parts, groups and entries are
folded, and what is wanted is found by words; the trade's words come first, numbers, sources and
ids unfold.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from itertools import groupby

from diagnose.knowledge.base import Base
from diagnose.report.drawings import CHECK_SCENES, SYMPTOM_SCENES
from diagnose.report.drawings.scene import stacked
from diagnose.rulebook.judgement.judge import counts
from diagnose.rulebook.pages.atlas_style import STYLE
from diagnose.rulebook.pages.atlas_words import anchor, block, fact, text
from diagnose.rulebook.pages.entries import pages
from diagnose.rulebook.pages.page import Block, EntryPage, Ref, plain, words_of


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
    pages: tuple[EntryPage, ...]
    lessons: Lessons = field(default_factory=dict)


def atlas(base: Base, lessons: Lessons | None = None) -> str:
    """A rule base as an HTML document; `lessons` from worked cases stand with their causes."""
    book = Atlas(base, pages(base), lessons or {})
    chapters = [c for number, part in enumerate(PARTS, 1) for c in _part(book, number, *part)]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_policy()}">\n'
        f"<title>{_TITLE}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n"
        f"{_front(base)}{_finder(book)}<main>\n{''.join(chapters)}</main>\n"
        f"<script>{_script()}</script>\n</body>\n</html>\n"
    )


_TITLE = "Vehicle wraps: what fails, why, and what to do"


@cache
def _script() -> str:
    return files("diagnose.rulebook.pages").joinpath("atlas.js").read_text(encoding="utf-8")


def _policy() -> str:
    """Nothing is fetched, and no other script than the book's own runs."""
    digest = base64.b64encode(hashlib.sha256(_script().encode()).digest()).decode()
    return (
        f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}';"
        " form-action 'none'; base-uri 'none'"
    )


def _front(base: Base) -> str:
    said = ", ".join(f"{number} {name}" for name, number in counts(base))
    first = base.cautions.get(base.role("rules_first"))
    caution = f"<p class='first'>{text(first.say)}</p>" if first else ""
    return (
        f"<header>\n<h1>{_TITLE}</h1>\n<p>{text(said)}. Version {text(base.version)}.</p>\n"
        f"{caution}{_numbers(base)}</header>\n"
    )


def _numbers(base: Base) -> str:
    """How the numbers are read, for whoever wants them."""
    scales = base.scales
    strengths = "".join(
        f"<tr><th scope='row'>{text(w)}</th><td>{size:g} dB</td><td>{10 ** (size / 10):.3g}"
        " times</td></tr>"
        for w, size in scales.strengths.items()
    )
    shares = "".join(
        f"<tr><th scope='row'>{text(w.replace('_', ' '))}</th><td>{weight:g}</td></tr>"
        for w, weight in scales.shares.items()
    )
    return (
        "<details class='more'><summary>How the numbers are read</summary>\n"
        "<p>A sign says how many times likelier an answer is when its"
        " cause is at work. Ten decibans (dB) are ten times; what one sign adds, another takes"
        " away.</p>\n"
        "<div class='side'><table><caption>Strength of a sign</caption><tr><th>Word</th>"
        f"<th>Weight</th><th>Likelier</th></tr>{strengths}</table>"
        "<table><caption>How often a cause lies behind a symptom</caption><tr><th>Word</th>"
        f"<th>Parts</th></tr>{shares}</table></div>\n"
        f"<p>Behind every symptom {scales.unlisted_percent:g} % are kept for a cause that is not"
        " in this book.</p>\n</details>\n"
    )


def _finder(book: Atlas) -> str:
    """The line that finds entries by words, the parts, and whether numbers are shown."""
    kinds = {page.kind for page in book.pages}
    parts = "".join(
        f'<li><a href="#part-{number}">{text(title)}</a></li>'
        for number, (title, its, _) in enumerate(PARTS, 1)
        if kinds & set(its)
    )
    return (
        '<div class="finder" data-scripted hidden><form role="search">'
        '<label for="search">Find</label> <input id="search" type="search" autocomplete="off"'
        ' placeholder="grey patches, primer, sill"> <span id="count" role="status"></span></form>\n'
        '<ul id="found" aria-label="Found"></ul></div>\n'
        '<nav aria-label="Contents">\n<h2 id="contents">Contents</h2>\n'
        f'<ul class="parts">{parts}</ul>\n'
        '<p><label class="tick"><input id="numbers" type="checkbox"> Show numbers, sources'
        " and weaker signs everywhere</label></p>\n</nav>\n"
    )


def _grouped(book: Atlas, kinds: tuple[str, ...]) -> Iterator[tuple[str, list[EntryPage]]]:
    its = [p for p in book.pages if p.kind in kinds]
    order = {group: n for n, group in enumerate(dict.fromkeys(p.group for p in its))}
    its.sort(key=lambda p: order[p.group])
    for group, members in groupby(its, key=lambda p: p.group):
        yield group, list(members)


def _part(book: Atlas, number: int, title: str, kinds: tuple[str, ...], says: str) -> Iterator[str]:
    """A part of the book: folded, its groups folded in it, and the entries in these."""
    groups = list(_grouped(book, kinds))
    if not groups:
        return
    yield (
        f'<section class="part" id="part-{number}"><details><summary><h2>{number}. {text(title)}'
        f"</h2></summary>\n<p>{text(says)}</p>\n"
    )
    for group, its in groups:
        named = f"{_capital(group)} <small>{len(its)}</small>"
        yield f'<details class="group"><summary><h3>{named}</h3></summary>\n'
        yield from (_page(book, page) for page in its)
        yield "</details>\n"
    yield "</details></section>\n"


def _capital(words: str) -> str:
    return text(words[:1].upper() + words[1:])


_MORE = "Numbers, sources and weaker signs"
"""What is folded in every entry."""


def _page(book: Atlas, page: EntryPage) -> str:
    kept = [b for b in page.blocks if b.title != "Referred to by" or page.kind in REFERRED]
    also = next((plain(said) for label, said in page.facts if label == "Also called"), "")
    called = f' data-also="{text(also)}"' if also else ""
    return (
        f'<article id="{anchor(page.id)}" data-name="{text(page.name)}"'
        f' data-kind="{text(page.kind)}"{called}>\n'
        f"<details><summary><h4>{text(page.name)}</h4></summary>\n"
        f"<p class='lead'>{text(page.lead)}</p>\n{_print(page)}{_drawing(page)}"
        f"<dl>{''.join(fact(label, said) for label, said in page.facts)}</dl>\n"
        + "".join(map(block, kept))
        + _lessons(book.lessons.get(page.id, ()))
        + f"<details class='more'><summary>{_MORE}</summary>"
        f"<p class='id'>{text(page.kind)} <code>{text(page.id)}</code>, {text(page.place)}</p>"
        "</details>\n<p class='up'><a href='#contents'>Contents</a></p>\n</details></article>\n"
    )


_TOGETHER = {"What lies behind it": 6, "What tells most at the start": 6}
"""Parts of a symptom's page whose entries are printed with it, and how many at most."""


def _print(page: EntryPage) -> str:
    """What prints a symptom with its causes and first checks; it needs the script."""
    if page.kind != "symptom":
        return ""
    together = [
        anchor(name) for its in page.blocks for name in _named(its)[: _TOGETHER.get(its.title, 0)]
    ]
    return (
        f'<p><button type="button" class="print" data-with="{" ".join(together)}" data-scripted'
        " hidden>Print this symptom, its likeliest causes and first checks</button></p>\n"
    )


def _named(its: Block) -> list[str]:
    """The entries that a part names, each once, in their order."""
    return list(dict.fromkeys(w.id for said in words_of(its) for w in said if isinstance(w, Ref)))


def _drawing(page: EntryPage) -> str:
    """The drawing, one frame above the other, so that its words can be read on a phone."""
    if not page.drawn:
        return ""
    scenes = SYMPTOM_SCENES if page.kind == "symptom" else CHECK_SCENES
    made = stacked(scenes[page.id])
    svg = re.sub(r"(id=\"|url\(#)dw-", rf"\1{anchor(page.id)}-dw-", made.svg)
    return f"<figure>{svg}</figure>\n"


def _lessons(lessons: Iterable[Lesson]) -> str:
    items = "".join(f"<li><i>{text(x.title)}.</i> {text(x.lesson)}</li>" for x in lessons)
    return f"<h5>From worked cases</h5>\n<ul>{items}</ul>\n" if items else ""
