"""Pages as one HTML file: no other file, no script, nothing fetched."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from html import escape
from importlib.resources import files
from typing import assert_never

from diagnose.report.formats.blocks import (
    Bars,
    Block,
    Document,
    Figure,
    Heading,
    Item,
    Items,
    Pairs,
    Paper,
    Row,
    Table,
    Text,
)
from diagnose.typed import clean

_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
SHORT = 8
"""Pairs up to this number stay on one page."""

_SIZES = {Paper.A4: "A4", Paper.LETTER: "letter"}


def render(document: Document, paper: Paper) -> bytes:
    """The document as UTF-8 bytes; the same document gives the same bytes."""
    return "\n".join([*_head(document, paper), *_body(document), "</html>", ""]).encode()


def fragment(document: Document) -> str:
    """The blocks alone, to stand in a page of somebody else's; nothing in them names a style."""
    blocks = enumerate(document.blocks, 1)
    return "\n".join(line for n, block in blocks for line in _block(block, f"b{n}"))


def _safe(words: str) -> str:
    return escape(clean(words))


def _head(document: Document, paper: Paper) -> Iterator[str]:
    style = files("diagnose.report.formats").joinpath("pages.css").read_text(encoding="utf-8")
    yield '<!doctype html>\n<html lang="en-GB">\n<head>\n<meta charset="utf-8">'
    yield f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield '<meta name="robots" content="noindex">'
    yield f"<title>{_safe(document.title)}: {_safe(document.subject.lower())}</title>"
    yield f"<style>\n@page {{ size: {_SIZES[paper]}; margin: 14mm 16mm 15mm; }}\n{style}</style>"
    yield "</head>"


def _body(document: Document) -> Iterator[str]:
    yield "<body>\n<main>\n<header>"
    yield f"<p>{_safe(document.subject)}</p>\n<h1>{_safe(document.title)}</h1>\n</header>"
    kept = len(document.blocks) - 1 if _signed(document.blocks) else None
    for number, block in enumerate(document.blocks, 1):
        if number == kept:
            yield '<div class="end">'
        yield from _block(block, f"b{number}")
    if kept:
        yield "</div>"
    yield f"</main>\n<footer><p>{_safe(document.foot)}</p></footer>\n</body>"


def _signed(blocks: Sequence[Block]) -> bool:
    """Whether a line to sign ends the page: it goes with the list above it, never alone."""
    return len(blocks) > 1 and isinstance(blocks[-2], Items) and isinstance(blocks[-1], Text)


def _block(block: Block, scope: str) -> Iterator[str]:
    match block:
        case Heading():
            breaks = ' class="page"' if block.page else ""
            yield f"<h{block.level}{breaks}>{_safe(block.words)}</h{block.level}>"
        case Text():
            yield f'<p class="{block.kind}">{_safe(block.words)}</p>'
        case Items():
            tag = "ol" if block.numbered else "ul"
            yield f'<{tag} class="{block.kind}">'
            yield from map(_item, block.items)
            yield f"</{tag}>"
        case Pairs():
            yield from _pairs(block)
        case Table():
            yield from _table(block)
        case Bars():
            yield from _bars(block)
        case Figure():
            yield _figure(block, scope)
        case Row():
            inner = "".join(_figure(f, f"{scope}-{n}") for n, f in enumerate(block.figures))
            yield f'<div class="row">{inner}</div>'
        case _:
            assert_never(block)


def _item(item: Item) -> str:
    lead = f"<strong>{_safe(item.lead)}</strong> " if item.lead else ""
    below = "".join(f"<li>{_safe(words)}</li>" for words in item.below)
    return f"<li>{lead}{_safe(item.words)}{f'<ul>{below}</ul>' if below else ''}</li>"


def _pairs(block: Pairs) -> Iterator[str]:
    short = ' class="short"' if len(block.pairs) <= SHORT else ""
    yield f'<dl{short} aria-label="{_safe(block.caption)}">'
    for name, words in block.pairs:
        yield f"<div><dt>{_safe(name)}</dt><dd>{_safe(words)}</dd></div>"
    yield "</dl>"


def _table(block: Table) -> Iterator[str]:
    yield f"<table><caption>{_safe(block.caption)}</caption>\n<thead><tr>"
    yield "".join(
        f'<th scope="col"{_number(n, block)}>{_safe(words)}</th>'
        for n, words in enumerate(block.head)
    )
    yield "</tr></thead>\n<tbody>"
    for row in block.rows:
        first, *rest = (
            f"<{'td' if n else 'th scope=row'}{_number(n, block)}>{_safe(words)}"
            f"</{'td' if n else 'th'}>"
            for n, words in enumerate(row)
        )
        yield f"<tr>{first}{''.join(rest)}</tr>"
    yield "</tbody></table>"


def _number(column: int, block: Table) -> str:
    return ' class="number"' if column in block.numbers else ""


def _bars(block: Bars) -> Iterator[str]:
    heads = "".join(f'<th scope="col">{_safe(words)}</th>' for words in (block.name, "Share"))
    yield f'<table class="bars"><caption>{_safe(block.caption)}</caption>'
    yield f"<thead><tr>{heads}</tr></thead>\n<tbody>"
    for name, share, words in block.in_words:
        inner = f'<rect width="{100 * share:.1f}" height="1"/>'
        box = 'viewBox="0 0 100 1" preserveAspectRatio="none"'
        bar = f'<svg class="bar" {box} aria-hidden="true">{inner}</svg>'
        said = f"<div>{bar}<b>{_safe(words)}</b></div>"
        yield f"<tr><th scope=row>{_safe(name)}</th><td>{said}</td></tr>"
    yield "</tbody></table>"


def _figure(figure: Figure, scope: str) -> str:
    if not figure.svg.startswith("<svg"):
        raise ValueError("A figure is an SVG document that begins with its own element.")
    return (
        f'<figure class="share{100 * figure.share:.0f}">{_scoped(figure.svg, scope)}'
        f"<figcaption>{_safe(figure.caption)}</figcaption></figure>"
    )


def _scoped(svg: str, scope: str) -> str:
    """A drawing whose ids are its own, so that it may stand in one page with others."""
    svg = re.sub(r'(\bid="|url\(#|href="#)', rf"\g<1>{scope}-", svg)
    return re.sub(r'aria-labelledby="([^"]*)"', lambda m: _labelled(m[1], scope), svg)


def _labelled(ids: str, scope: str) -> str:
    return f'aria-labelledby="{" ".join(f"{scope}-{i}" for i in ids.split())}"'
