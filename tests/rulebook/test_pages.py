"""Pages: any entry of the base as text and as data, linked to what it names."""

from __future__ import annotations

import json

import pytest

from diagnose.knowledge.base import Base
from diagnose.rulebook.pages.entries import NoEntryError, listing, page, pages
from diagnose.rulebook.pages.page import EntryPage, data, refs
from diagnose.rulebook.pages.render import text
from diagnose.rulebook.pages.wording import KINDS, Library
from tests.rulebook.frame import framed

pytestmark = pytest.mark.xdist_group("pages")


@pytest.fixture(scope="module")
def all_pages(base: Base) -> tuple[EntryPage, ...]:
    """Every page of the shipped base."""
    return pages(base)


def test_every_entry_has_a_page(base: Base, all_pages: tuple[EntryPage, ...]) -> None:
    """Nothing with an id of its own is left out, and no id leads to two pages."""
    ids = [p.id for p in all_pages]

    assert sorted(ids) == sorted(entry for s in KINDS for entry in getattr(base, s))
    assert len(ids) == len(set(ids))
    assert [i for _, i, _ in listing(base)] == ids


def test_every_mention_leads_to_a_page(all_pages: tuple[EntryPage, ...]) -> None:
    """A reader can follow each name to its own page."""
    known = {p.id for p in all_pages}

    assert {r for p in all_pages for r in refs(p)} <= known


def test_a_cause_shows_all_that_stands_in_it(base: Base) -> None:
    """Each reason, remedy and symptom of a cause is on its page, with the number of each weight."""
    library = Library(base)
    for cause in base.causes.values():
        shown = " ".join(text(page(library, cause.id), 1000).split())
        said = [s.because for s in (*cause.shows, *cause.signs, *cause.ruled_out_when)]
        said += [cause.plainly, cause.mechanism, cause.prevention, cause.responsibility.because]
        said += [f"[{name}]" for name in (*cause.behind, *cause.remedies, *cause.also)]
        missing = [words for words in said if " ".join(words.split()) not in shown]
        assert missing == [], cause.id


def test_a_place_is_the_line_of_the_entry(base: Base) -> None:
    """File and line on the page lead to where the entry begins."""
    from tests.conftest import ROOT

    library = Library(base)
    for kind, entry, _ in listing(base):
        file, line = page(library, entry).place.split(":")
        text_ = (ROOT / "rules" / file).read_text(encoding="utf-8").splitlines()[int(line) - 1]
        assert f"id: {entry}" in text_, (kind, entry)


def test_a_page_of_the_small_base_reads_so() -> None:
    """The whole page of a finding, word for word."""
    shown = text(page(Library(framed()), "tension"), 60)

    assert shown == (
        "Tension\n=======\nfinding tension, rules.yaml:1\n\n"
        "Found as soon as one of its rules holds.\n\n\n"
        "Found when\n----------\n- Relief cut [cut]: gapes\n    Because: it gapes\n"
        "    Source: common practice\n\n"
        "Tells by a rule of its own, or with others\n"
        "------------------------------------------\n"
        "- Pulled to the edge [pulled]: Tension [tension]: found, for\n"
        "  it, substantial (7.5 dB)\n\n"
        "Referred to by\n--------------\n- causes: Pulled to the edge [pulled]\n"
    )


@pytest.mark.parametrize("width", [30, 40, 80, 100])
def test_a_page_keeps_to_the_width(base: Base, width: int) -> None:
    """No line is wider than asked for, but for a word that is longer by itself."""
    library = Library(base)
    for entry in ("pulled_to_edge", "relief_cut", "edge_lifting", "replace_piece", "installer"):
        for line in text(page(library, entry), width).splitlines():
            assert len(line) <= width or len(line.split()) <= 2, line


def test_control_characters_do_not_get_to_the_terminal() -> None:
    """What stands in a rule file as an escape sequence comes out as plain letters."""
    evil = 'causes:\n  - {id: pulled, plainly: "\\e[2Jgone \\u202e back"}\n'

    shown = text(page(Library(framed(evil)), "pulled"))

    assert "[2Jgone back" in shown
    assert not any(ord(c) < 32 and c != "\n" for c in shown)


def test_a_page_as_data_is_plain_json(all_pages: tuple[EntryPage, ...]) -> None:
    """Every page goes to JSON and back unchanged, with its kind, place and parts."""
    for p in all_pages:
        plain = data(p)
        assert json.loads(json.dumps(plain)) == plain
        assert {"kind", "id", "name", "place", "lead", "facts", "parts"} == set(plain)


def test_an_unknown_id_names_the_nearest(base: Base) -> None:
    """A slip in an id is answered with what was meant."""
    with pytest.raises(NoEntryError, match="did you mean pulled_to_edge"):
        page(Library(base), "puled_to_edge")


def test_what_refers_to_an_entry_is_told() -> None:
    """A caution is named with the remedy that calls for it, a source with what cites it."""
    example = (
        "sources:\n  - {id: book_of_bond, title: A book, publisher: A press, year: undated, weight: B,"
        " reference: page 3, read: full, looked_up: 2026-03-01}\n"
        "causes:\n  - {id: pulled, source: book_of_bond}\n"
    )
    library = Library(framed(example))

    assert "remedies: New piece [renew]" in text(page(library, "blade"))
    assert "causes: Pulled to the edge [pulled]" in text(page(library, "book_of_bond"))


def test_a_page_names_what_it_cites_in_full() -> None:
    """Whoever reads a cause finds its sources without a second look; a source tells all it knows."""
    example = (
        "sources:\n  - {id: book_of_bond, title: A book, authors: A. Hand, publisher: A press,"
        " year: 1999, weight: B, reference: page 3, address: 'https://example.org/book', read: excerpt,"
        " looked_up: 2026-03-01}\ncauses:\n  - {id: pulled, source: book_of_bond}\n"
    )
    library = Library(framed(example))
    cited = "A. Hand: A book. A press, 1999. page 3. https://example.org/book"
    told = text(page(library, "book_of_bond"))

    assert f"book_of_bond: {cited}" in " ".join(text(page(library, "pulled")).split())
    for word in ("A. Hand", "A press", "1999", "page 3", "read in parts; looked up on 2026-03-01"):
        assert word in told


def test_what_takes_its_part_of_the_rest_is_told_in_numbers() -> None:
    """Where a weight follows from the other numbers of a row the page says what it comes to.

    0.5 of 100 are dirty; of the other 99.5 clean takes 70 parts of 85, where 70 are usual.
    """
    more = "{check: adhesive, of_100: {clean: rest}, because: no dirt, source: memory}"
    shown = text(page(Library(framed(f"causes:\n  - {{id: pulled, shows: [{more}]}}")), "pulled"))

    assert "no dirt" in shown
    assert "barely (0.7 dB)" in shown
