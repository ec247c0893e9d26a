"""One page a claim: decision, grounds in plain words, what is missing and by when, the other side.

The text comes from a template that the shop can change: plain text with $names, `#` and `##` before
a heading, `**` around what is bold. What stands in the table never acts as markup.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape
from pathlib import Path
from string import Template
from typing import Any

import polars as pl

from diagnose.claims.decision.grounds import MOST_AGAINST, MOST_FOR
from diagnose.claims.results.outgoing import QUESTION, addressee
from diagnose.claims.table.numbers import currency
from diagnose.claims.table.text import visible
from diagnose.knowledge.base import Base

DAYS = 21
"""Days in which what is missing is asked for."""

RECORD = ("claim", "customer", "laid_on", "seen_on", "claimed")
WRITTEN = (
    *("day", "until", "please", "decision", "because", "complaint", "cause"),
    *("grounds", "missing", "against", "carried"),
)
"""Names that a template may use, beside those of the record."""

DECIDED = {
    "accept": "we accept it",
    "decline": "we decline it",
    "ask": "open, we have questions first",
    "inspect": "open, the car has to be looked at first",
}
"""A decision as the letter says it."""

BY_TERMS = ("not our work", "no fault found")
"""Decisions that rest on what the terms look at, and on no cause."""

_WEIGHT = re.compile(r"\s*\([^()]*\)\s*$")
_SEEN = re.compile(r"^(?P<because>.*?)\s*\[(?P<seen>[^\]]*)\]$", re.DOTALL)
_PLAIN = re.compile(r"\d+(\.\d+)?")
_UNSAFE = re.compile(r"[^\w.-]+")


class BadLetter(Exception):
    """A template that cannot be used; one sentence with what to do."""


@dataclass(frozen=True, slots=True)
class Letters:
    """A folder of letters, the template of their text, and the day on which they are written."""

    folder: Path
    template: Template
    base: Base
    today: date

    @classmethod
    def into(cls, folder: Path, text: str, base: Base, today: date) -> Letters:
        """Letters into a new folder; raises BadLetter for a template with unknown names."""
        template = Template(text)
        known = {*RECORD, *WRITTEN}
        if not template.is_valid():
            raise BadLetter("a $ stands without a name behind it: write $$ for the sign")
        strange = sorted(set(template.get_identifiers()) - known)
        if strange:
            raise BadLetter(f"'${strange[0]}' is not known here: {', '.join(sorted(known))}")
        if folder.exists() and any(folder.iterdir()):
            raise BadLetter(f"the folder {folder} holds files already: give another one")
        return cls(folder, template, base, today)

    def write(self, frame: pl.DataFrame, named: Mapping[str, str]) -> None:
        """Write a page for each row, as HTML and, where typst is there, as PDF."""
        self.folder.mkdir(parents=True, exist_ok=True)
        for row in frame.rows(named=True):
            text = self.text(row, named)
            number = str(row[named["claim"]] or "") if "claim" in named else ""
            name = "-".join(filter(None, (f"row-{row['row']}", _UNSAFE.sub("_", number)[:40])))
            title = f"Claim {number}".strip()
            (self.folder / f"{name}.html").write_text(as_html(text, title), encoding="utf-8")
            pdf = as_pdf(text)
            if pdf is not None:
                (self.folder / f"{name}.pdf").write_bytes(pdf)

    def text(self, row: Mapping[str, Any], named: Mapping[str, str]) -> str:
        """The letter of a row, with its marks."""
        unknown = {"claim": f"in row {row['row']} of the table", "customer": "whoever sent it in"}
        said = {
            fact: _cell(row.get(named.get(fact, "")), unknown.get(fact, "not given"))
            for fact in RECORD
        }
        missing = [*self._missing(row)]
        until = (self.today + timedelta(days=DAYS)).isoformat()
        said |= {
            "day": self.today.isoformat(),
            "until": until,
            "please": f"Please let us have it by {until}." if missing else "",
            "decision": DECIDED.get(row["decision"], _cell(row["decision"])),
            "because": _cell(row["because"]),
            "complaint": _cell(row["symptom_named"], "not clear from what was sent in"),
            "cause": _likeliest(row),
            "grounds": _listed(_grounds(row)),
            "against": _listed(_signs(row, "sign_against", MOST_AGAINST)),
            "missing": _listed(missing, "nothing"),
            "claimed": _money(row, row.get(named.get("claimed", ""))) or "not given",
            "carried": _money(row, row["amount_carried"])
            or ("nothing yet" if _is_open(row) else "nothing"),
        }
        return self.template.substitute(said)

    def _missing(self, row: Mapping[str, Any]) -> Iterator[str]:
        """What is asked of whom; nothing more of what is settled."""
        if not _is_open(row):
            return
        whom = {check.ask: addressee(check) for check in self.base.checks.values()}
        first = QUESTION.findall(row["ask_first"] or "")
        asked = (*(its.strip() for its in first), row["ask_for_1"])
        for text in dict.fromkeys(filter(None, asked)):
            yield f"{text} ({whom.get(text, 'shop')})"
        if row["papers_missing"]:
            yield f"What shows this: {row['papers_missing']}"


def _is_open(row: Mapping[str, Any]) -> bool:
    return row["decision"] in ("ask", "inspect")


def _grounds(row: Mapping[str, Any]) -> Iterator[str]:
    """The signs for the likeliest cause; where another claim or the terms alone decide, that."""
    if row["settled"] or row["decision"] in BY_TERMS:
        yield str(row["because"])
    else:
        yield from _signs(row, "sign_for", MOST_FOR)


def _cell(value: object, nothing: str = "not given") -> str:
    """A cell in one line, its marks and dollar signs taken for what they are."""
    text = " ".join(visible(str(value)).split()) if value not in (None, "") else nothing
    return text.replace("**", "* *")


def _money(row: Mapping[str, Any], value: object) -> str:
    """An amount with its money; '' where there is none, or none that could be read."""
    if value is None or not row["currency"]:
        return ""
    said = f"{float(str(value)):,.2f}" if _PLAIN.fullmatch(str(value)) else _cell(value)
    code = _cell(row["currency"])
    return said if currency(said) else f"{code} {said}"


def _likeliest(row: Mapping[str, Any]) -> str:
    """The leading cause and how likely it is."""
    if not row["cause_1"]:
        return "not known yet"
    percent = row["cause_1_percent"]
    chance = "" if percent is None else f" (about {min(99, max(1, round(percent)))} of 100)"
    return f"{_cell(row['cause_1'])}{chance}"


def _signs(row: Mapping[str, Any], name: str, most: int) -> Iterator[str]:
    """Signs in plain words: what was seen, then what it says; without weights and sources."""
    for number in range(1, most + 1):
        text = row[f"{name}_{number}"]
        if text:
            plain = _WEIGHT.sub("", text)
            told = _SEEN.match(plain)
            yield f"{told['seen']}. {told['because'].rstrip('.')}." if told else plain


def _listed(texts: Iterable[str], nothing: str = "nothing on record") -> str:
    lines = [f"- {_cell(text)}" for text in texts]
    return "\n".join(lines) or f"- {nothing}"


# drawing


def _blocks(text: str) -> Iterator[tuple[str, list[str]]]:
    """Blocks of a text: h1, h2, ul, p, each with its lines."""
    for block in re.split(r"\n\s*\n", text.strip()):
        lines = [line.strip() for line in block.splitlines() if line.strip()]
        if not lines:
            continue
        if lines[0].startswith("## "):
            yield "h2", [lines[0][3:]]
        elif lines[0].startswith("# "):
            yield "h1", [lines[0][2:]]
        elif all(line.startswith("- ") for line in lines):
            yield "ul", [line[2:] for line in lines]
        else:
            yield "p", lines


_STYLE = (
    "body{font:11pt/1.45 sans-serif;max-width:42em;margin:2em auto;padding:0 1em;color:#111}"
    "h1{font-size:1.5em}h2{font-size:1.1em;margin-top:1.4em}@page{margin:2cm}"
)


def as_html(text: str, title: str) -> str:
    """The letter as a page of its own."""

    def bold(line: str) -> str:
        return re.sub(r"\*\*(.+?)\*\*", r"<strong>\1</strong>", escape(line))

    body = []
    for kind, lines in _blocks(text):
        inner = (
            "".join(f"<li>{bold(line)}</li>" for line in lines)
            if kind == "ul"
            else " ".join(map(bold, lines))
        )
        body.append(f"<{kind}>{inner}</{kind}>")
    head = f"<meta charset='utf-8'><title>{escape(title)}</title><style>{_STYLE}</style>"
    return f"<!doctype html><html lang='en'><head>{head}</head><body>{''.join(body)}</body></html>"


_PAGE = """#set page(paper: "a4", margin: 2cm)
#set text(size: 10.5pt)
#let blocks = json(bytes(sys.inputs.blocks))
#let runs(line) = for (n, part) in line.split("**").enumerate() {
  if calc.odd(n) { strong(part) } else { text(part) }
}
#for (kind, lines) in blocks {
  if kind == "h1" { heading(level: 1, runs(lines.join(" "))) }
  else if kind == "h2" { heading(level: 2, runs(lines.join(" "))) }
  else if kind == "ul" { list(..lines.map(runs)) }
  else { par(runs(lines.join(" "))) }
}
"""
"""The page; the letter comes in as data, so nothing in it is read as markup."""


def as_pdf(text: str) -> bytes | None:
    """The letter as PDF; None where typst is not installed."""
    import json

    try:
        import typst
    except ImportError:
        return None
    found = typst.compile(_PAGE.encode(), sys_inputs={"blocks": json.dumps([*_blocks(text)])})
    return found if isinstance(found, bytes) else None
