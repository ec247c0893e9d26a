"""The whole run: sums, bytes, harmless text, interruptions."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.claims.classify import Decided
from diagnose.claims.mapping.mapping import Column, Mapped
from diagnose.claims.run import Decide, run
from diagnose.claims.table import source
from diagnose.claims.table.source import Piece
from diagnose.claims.table.write import written
from diagnose.knowledge.base import Base
from tests.claims.tables import COMPLETE, every, job, made_up, write_csv
from tests.examples import examples

pytestmark = pytest.mark.xdist_group("claims_run")

NASTY = [
    '=HYPERLINK("http://port-alder.example")',
    "+1+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(A1)",
    "\tx",
    "＝1",
    "\x1b]0;x\x07\x1b[2J",
    "\x9b31m",
    "\u202egnp",
    "[bold red]no[/]",
    "<b>x</b>",
    "'=x",
    "''=x",
]


@dataclass(frozen=True)
class Backlog:
    """Made-up claims, decided in pieces of some size; `whole` is what a run in one go writes."""

    path: Path
    rows: int
    size: int
    whole: bytes


@pytest.fixture(scope="module")
def backlog(base: Base, campaign: int, tmp_path_factory: pytest.TempPathFactory) -> Backlog:
    """Six pieces of claims: of 500 rows in a large campaign, in a small one of few."""
    folder = tmp_path_factory.mktemp("claims")
    path, size = folder / "made.parquet", 500 if campaign >= 400 else 40
    made_up(base, 6 * size, every=every()).write_parquet(path)
    run(job(base, path, folder / "whole.csv", size=size))
    return Backlog(path, 6 * size, size, (folder / "whole.csv").read_bytes())


DIRTY = st.fixed_dictionaries(
    {
        "symptom": st.sampled_from(["edge_lifting", "fading", "Fading", "no such thing", "", "?"]),
        "film_class": st.sampled_from(["cast_pvc", "cast vinyl", "unknown", "", "paper"]),
        "install_panel_temp_c": st.sampled_from(["20", "68 °F", "18..22", "", "?", "999", "warm"]),
        "laid_on": st.sampled_from(["2025-01-31", "2025-02-30", "31.01.2025", ""]),
        "claimed": st.sampled_from(["100", "12,50", "-3", "much", ""]),
        "remark": st.sampled_from(["", "no bubbles", "=1+1", "matte film, edge lifting"]),
    }
)


@settings(max_examples=examples(40))
@given(lines=st.lists(DIRTY, min_size=1, max_size=12))
def test_decided_and_set_aside_sum_up_to_the_input(
    base: Base, tmp_path_factory: pytest.TempPathFactory, lines: list[dict[str, str]]
) -> None:
    """Whatever stands in the cells: each row is in the one table or in the other, never in both."""
    folder = tmp_path_factory.mktemp("sums")
    its = job(base, write_csv(folder / "in.csv", lines), folder / "out.csv", size=5)
    result = run(its)
    decided = pl.read_csv(folder / "out.csv")["row"].to_list()
    aside = pl.read_csv(folder / "out.set_aside.csv")["row"].to_list()

    assert sorted(decided + aside) == list(range(2, len(lines) + 2))
    assert (result.rows, result.decided, result.aside) == (len(lines), len(decided), len(aside))


def test_a_cell_that_cannot_be_read_is_told_beside_its_row(base: Base, tmp_path: Path) -> None:
    """Every such cell of a row is told; the row is decided without them."""
    row = COMPLETE | {"film_class": "papre", "install_panel_temp_c": "999"}
    run(job(base, write_csv(tmp_path / "in.csv", [COMPLETE, row]), tmp_path / "out.csv"))
    found = pl.read_csv(tmp_path / "out.csv")["not_read"].to_list()

    assert found[0] is None
    assert "film_class 'papre': is no answer of Kind of film" in found[1]
    assert "install_panel_temp_c '999': lies outside -10 to 60" in found[1]


def test_a_row_is_set_aside_where_no_complaint_can_be_made_out(base: Base, tmp_path: Path) -> None:
    """With its number, its customer and why; totals and empty rows are seen as such."""
    rows = [
        COMPLETE | {"claim": "C-7", "customer": "Fell Cabs", "symptom": "the usual"},
        {"claim": "Total", "claimed": "900"},
        {"claim": ""},
        COMPLETE,
    ]
    run(job(base, write_csv(tmp_path / "in.csv", rows), tmp_path / "out.csv"))
    found = pl.read_csv(tmp_path / "out.set_aside.csv").rows(named=True)

    assert [(f["row"], f["claim"], f["customer"]) for f in found] == [
        (2, "C-7", "Fell Cabs"), (3, "Total", ""), (4, "", ""),
    ]  # fmt: skip
    assert "no complaint can be made out" in found[0]["reason"]
    assert [f["reason"] for f in found[1:]] == ["a row of totals, no claim", "the row is empty"]


def test_a_number_out_of_bounds_is_told_as_it_was_written(base: Base, tmp_path: Path) -> None:
    """Neither the cell nor the bounds are turned into powers of ten."""
    row = COMPLETE | {"claimed": "99999999999"}
    run(job(base, write_csv(tmp_path / "in.csv", [row]), tmp_path / "out.csv"))
    found = pl.read_csv(tmp_path / "out.csv", infer_schema=False).row(0, named=True)

    assert "claimed '99999999999': lies outside 0 to 1,000,000,000" in found["not_read"]


def test_what_a_remark_says_stands_in_one_order_whatever_the_other_rows_say(
    base: Base, tmp_path: Path
) -> None:
    """Rows read together or one by one give the same words in the same order."""
    phrases = [a.phrases[0] for c in base.checks.values() for a in c.answers.values() if a.phrases]
    two = [f"{phrases[n]}. {phrases[-1 - n]}" for n in range(8)]
    rows = [COMPLETE | {"remark": said} for said in (*phrases[::-1], *two)]
    given = write_csv(tmp_path / "in.csv", rows)
    together, alone = tmp_path / "together.csv", tmp_path / "alone.csv"
    run(job(base, given, together))
    run(job(base, given, alone, size=100))

    assert "; " in "".join(pl.read_csv(together)["from_remark"].drop_nulls().to_list())
    assert together.read_bytes() == alone.read_bytes()


class AsDecided:
    """Stands for `Decide`: hands over pieces that were decided before, in their order."""

    def __init__(self, decided: Sequence[Decided]) -> None:
        self._decided = decided

    def __call__(self, pieces: Iterator[Piece]) -> Iterator[Decided]:
        """One decided piece for each piece."""
        for piece, decided in zip(pieces, self._decided, strict=True):
            assert piece.number == decided.number
            yield decided


SMALL_PIECES = 90


@pytest.fixture(scope="module")
def by_threads(
    base: Base, campaign: int, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, list[AsDecided]]:
    """A table, and its pieces as one thread decides them and as two do."""
    folder = tmp_path_factory.mktemp("threads")
    path = folder / "made.parquet"
    made_up(base, 400 if campaign >= 400 else 200, every=every()).write_parquet(path)
    its = job(base, path, folder / "unused.csv", size=SMALL_PIECES)
    each = [Decide(its, threads)(its.table.pieces(its.size)) for threads in (1, 2)]
    return path, [AsDecided(tuple(decided)) for decided in each]


@pytest.mark.parametrize("kind", [".csv", ".tsv", ".jsonl", ".parquet", ".xlsx", ".ods"])
def test_the_same_table_gives_the_same_bytes(
    base: Base, by_threads: tuple[Path, list[AsDecided]], tmp_path: Path, kind: str
) -> None:
    """One thread or two, small pieces each time: every file of the output is the same."""
    path, decided = by_threads
    for name, decide in zip(("one", "two"), decided, strict=True):
        (tmp_path / name).mkdir()
        its = job(base, path, tmp_path / name / f"out{kind}", size=SMALL_PIECES)
        run(its, decide=decide)
    files = [path.name for path in written(tmp_path / "one" / f"out{kind}")]

    for name in files:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()
    assert sorted(p.name for p in (tmp_path / "one").iterdir()) == sorted(files)


def test_each_row_carries_the_versions(base: Base, tmp_path: Path) -> None:
    """Rule base, policy and program stand on every row."""
    its = job(base, write_csv(tmp_path / "in.csv", [COMPLETE] * 3), tmp_path / "out.csv")
    run(its)
    found = pl.read_csv(tmp_path / "out.csv", infer_schema=False)
    versions = found.select("rules_version", "policy_version", "program_version").unique().rows()

    assert versions == [(base.version, its.policy.version, "0")]


@pytest.mark.parametrize("kind", [".csv", ".tsv", ".xlsx", ".ods", ".jsonl"])
def test_cells_that_start_formulas_or_steer_a_terminal_do_no_harm(
    base: Base, tmp_path: Path, kind: str
) -> None:
    """No cell of the output is a formula, and none holds a control character."""
    lines = [COMPLETE | {"remark": text, "film": text, "installer": text} for text in NASTY]
    result = run(job(base, write_csv(tmp_path / "in.csv", lines), tmp_path / f"out{kind}"))
    content = (tmp_path / f"out{kind}").read_bytes()

    assert result.decided == len(NASTY)
    if kind in (".csv", ".tsv"):
        cells = pl.read_csv(content, infer_schema=False, separator="\t" if kind == ".tsv" else ",")[
            "remark"
        ].to_list()
        assert not [c for c in cells if c[0] in "=+-@\t\r＝＋－＠"]
    if kind == ".xlsx":
        assert b"<f>" not in _unzipped(tmp_path / f"out{kind}")
    if kind == ".ods":
        assert b"table:formula" not in _unzipped(tmp_path / f"out{kind}")
    text = (_unzipped(tmp_path / f"out{kind}") if kind in (".xlsx", ".ods") else content).decode()
    assert not set(text) & {"\x1b", "\x07", "\x9b", "\u202e"}


def test_a_control_character_in_one_piece_fits_the_other_pieces(base: Base, tmp_path: Path) -> None:
    """A known word with an escape after it is known, and stands visibly in the one Parquet file."""
    lines = [COMPLETE, COMPLETE | {"symptom": f"{COMPLETE['symptom']}\x1f"}, COMPLETE]
    pl.DataFrame(lines).write_parquet(tmp_path / "in.parquet")
    run(job(base, tmp_path / "in.parquet", tmp_path / "out.parquet", size=1))
    found = pl.read_parquet(tmp_path / "out.parquet")

    assert found["symptom"].to_list() == [
        COMPLETE["symptom"], f"{COMPLETE['symptom']}␟", COMPLETE["symptom"]
    ]  # fmt: skip


def test_numbers_that_stand_for_words_stay_numbers(base: Base, tmp_path: Path) -> None:
    """A code of the clerk's is read through the mapping, and passed on as the number it was."""
    lines = [COMPLETE | {"symptom": 7}] * 2
    pl.DataFrame(lines).write_parquet(tmp_path / "in.parquet")
    its = job(base, tmp_path / "in.parquet", tmp_path / "out.parquet")
    said = Column("symptom", "symptom", {"7": COMPLETE["symptom"]})
    others = tuple(c for c in its.mapping.columns if c.fact != "symptom")
    run(replace(its, mapping=Mapped((said, *others))))
    found = pl.read_parquet(tmp_path / "out.parquet")

    assert found["symptom"].to_list() == [7, 7]
    assert found["symptom_named"].to_list() == [base.symptoms[COMPLETE["symptom"]].name] * 2


def _unzipped(path: Path) -> bytes:
    import zipfile

    with zipfile.ZipFile(path) as book:
        return b"".join(book.read(n) for n in book.namelist() if "sheet" in n or "content" in n)


def test_what_was_guarded_is_read_back_as_it_was(base: Base, tmp_path: Path) -> None:
    """The apostrophe before a formula goes away again: the output is a table like the input."""
    lines = [COMPLETE | {"remark": t} for t in NASTY if t.isprintable()]
    given_ = write_csv(tmp_path / "in.csv", lines)
    run(job(base, given_, tmp_path / "out.csv"))
    first, back = (
        [t for piece in source.table(path).pieces() for t in piece.frame["remark"].to_list()]
        for path in (given_, tmp_path / "out.csv")
    )

    assert back == first
    assert "=x" in first


def test_a_table_with_a_header_only_gives_empty_tables(base: Base, tmp_path: Path) -> None:
    """No claims is no fault."""
    path = tmp_path / "in.csv"
    path.write_text("symptom,remark\n")
    result = run(job(base, path, tmp_path / "out.csv"))

    assert (result.rows, result.decided, result.aside) == (0, 0, 0)
    assert pl.read_csv(tmp_path / "out.csv").columns[:4] == ["row", "symptom", "remark", "decision"]


def test_columns_named_like_results_are_kept_as_given(base: Base, tmp_path: Path) -> None:
    """The clerk's own 'payer' and 'row' stay beside the program's."""
    lines = [COMPLETE | {"payer": "we", "row": "9", "decision": "later"}]
    run(job(base, write_csv(tmp_path / "in.csv", lines), tmp_path / "out.csv"))
    found = pl.read_csv(tmp_path / "out.csv", infer_schema=False).row(0, named=True)

    assert (found["given payer"], found["given row"], found["given decision"]) == (
        *("we", "9", "later"),
    )
    assert found["row"] == "2"


class Stopped(Exception):
    """Stands for whatever ends a run midway."""


class StopsAfter(Decide):
    """Decides some pieces, then ends."""

    def __call__(self, pieces: Iterator[Piece]) -> Iterator[Decided]:
        """Three pieces, then the end."""
        for number, decided in enumerate(super().__call__(pieces)):
            if number == 3:
                raise Stopped
            yield decided


def test_an_interrupted_run_goes_on_and_ends_the_same(
    base: Base, backlog: Backlog, tmp_path: Path
) -> None:
    """What was decided is not decided again, and the output is that of a run in one go."""
    halved = tmp_path / "halved.csv"
    its = job(base, backlog.path, halved, size=backlog.size)
    with pytest.raises(Stopped):
        run(its, decide=StopsAfter(its))
    kept = {p.name: p.stat().st_mtime_ns for p in its.folder.glob("*.decided.parquet")}

    assert not halved.exists()
    assert len(kept) == 3
    decided: list[int] = []
    again = Decide(its)

    def counting(pieces: Iterator[Piece]) -> Iterator[Decided]:
        for one in again(pieces):
            decided.append(one.number)
            yield one

    run(its, resume=True, decide=counting)

    assert decided == [3, 4, 5]
    assert halved.read_bytes() == backlog.whole
    assert not its.folder.exists()


def test_an_interruption_that_comes_twice_is_told_once(
    base: Base, backlog: Backlog, tmp_path: Path
) -> None:
    """A second Ctrl-C while the threads end leaves no trace on the screen, and nothing half."""
    its = job(base, backlog.path, tmp_path / "out.csv", size=backlog.size)
    decide = Decide(its)

    def interrupted_at_the_end(pieces: Iterator[Piece]) -> Iterator[Decided]:
        try:
            yield from decide(pieces)
        finally:
            raise KeyboardInterrupt

    def interrupted(rows: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(its, tell=interrupted, decide=interrupted_at_the_end)
    assert not its.output.exists()
    assert len(list(its.folder.glob("*.decided.parquet"))) == 1


def test_other_rules_or_another_table_do_not_resume(
    base: Base, backlog: Backlog, tmp_path: Path
) -> None:
    """Parts of another job are not taken for this one's."""
    its = job(base, backlog.path, tmp_path / "out.csv", size=backlog.size)
    with pytest.raises(Stopped):
        run(its, decide=StopsAfter(its))
    other, rows = tmp_path / "other.parquet", backlog.size * 7 // 5
    pl.read_parquet(backlog.path).head(rows).write_parquet(other)

    again = run(job(base, other, tmp_path / "out.csv", size=backlog.size), resume=True)

    assert again.rows == rows


def test_an_edit_in_the_middle_that_keeps_the_length_does_not_resume(
    base: Base, tmp_path: Path
) -> None:
    """A cell far from both ends of a large file was mended: its rows are decided anew."""
    path, padding = tmp_path / "in.csv", "x" * 1500
    write_csv(path, [COMPLETE | {"claim": f"C{n:04}", "remark": padding} for n in range(2000)])
    assert path.stat().st_size > 3_000_000
    before = job(base, path, tmp_path / "out.csv").fingerprint()
    path.write_bytes(path.read_bytes().replace(b"C1000", b"C9999"))

    assert job(base, path, tmp_path / "out.csv").fingerprint() != before


KILLED = """
    import sys
    from pathlib import Path
    from diagnose.claims.run import run
    from diagnose.knowledge.reading.load import load
    from diagnose.folders import shipped
    from tests.claims.tables import job

    given, output, size, kept = sys.argv[1:]
    run(job(load(shipped("rules"), Path(kept)), Path(given), Path(output), size=int(size)))
"""


def test_killed_midway_no_half_file_is_left(
    base: Base, backlog: Backlog, tmp_path: Path, of_the_run: Path
) -> None:
    """Kill -9 in the middle: no output at all; resumed, the output of a run in one go.

    Its pieces are smaller than those of the run in one go, so that the middle is long.
    """
    output, size = tmp_path / "out.csv", backlog.size // 5
    given = [str(each) for each in (backlog.path, output, size, of_the_run / "cache")]
    command = [sys.executable, "-c", textwrap.dedent(KILLED), *given]
    its = job(base, backlog.path, output, size=size)
    with subprocess.Popen(command, cwd=Path(__file__).parents[2]) as process:
        until = time.monotonic() + 120
        while len(list(its.folder.glob("*.decided.parquet"))) < 2 and time.monotonic() < until:
            time.sleep(0.01)
        os.kill(process.pid, signal.SIGKILL)
    kept = len(list(its.folder.glob("*.decided.parquet")))

    assert kept >= 2
    assert not output.exists()
    run(its, resume=True)
    assert output.read_bytes() == backlog.whole


def test_every_piece_has_its_rows_set_aside_in_a_parquet_file(base: Base, tmp_path: Path) -> None:
    """Seven pieces, a bad row in each: the table of rows set aside names all seven."""
    lines = [COMPLETE | {"symptom": "the usual" if n % 3 == 1 else "fading"} for n in range(21)]
    its = job(base, write_csv(tmp_path / "in.csv", lines), tmp_path / "out.parquet", size=3)
    run(its, decide=Decide(its))

    assert pl.read_parquet(tmp_path / "out.set_aside.parquet")["row"].to_list() == [
        *range(3, 24, 3)
    ]
    assert pl.read_parquet(tmp_path / "out.parquet").height == 14
