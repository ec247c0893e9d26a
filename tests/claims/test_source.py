"""Reading tables: every kind, in pieces, with rows that are none set aside."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.claims.table import delimited, source
from diagnose.claims.table.delimited import Delimited
from diagnose.claims.table.sheets import Sheet, write_workbook
from diagnose.claims.table.source import BadTable

FRAME = pl.DataFrame({"symptom": ["edge_lifting", None, "fading"], "remark": ["a, b", 'x "y"', ""]})


def rows(path: Path, size: int = 1000) -> list[tuple[object, ...]]:
    """All readable rows of a table, without their numbers."""
    return [row[1:] for piece in source.table(path).pieces(size) for row in piece.frame.rows()]


@pytest.mark.parametrize("kind", [".csv", ".tsv", ".jsonl", ".parquet", ".xlsx", ".ods"])
def test_every_kind_gives_the_same_rows(tmp_path: Path, kind: str) -> None:
    """A table read as CSV, TSV, JSON lines, Parquet, XLSX or ODS is the same table."""
    path = tmp_path / f"claims{kind}"
    if kind in (".xlsx", ".ods"):
        write_workbook(path, [Sheet("claims", [FRAME])], kind)
    elif kind == ".parquet":
        FRAME.write_parquet(path)
    elif kind == ".jsonl":
        FRAME.write_ndjson(path)
    else:
        FRAME.write_csv(path, separator="\t" if kind == ".tsv" else ",")
    found = [tuple(cell or None for cell in row) for row in rows(path)]

    assert found == [("edge_lifting", "a, b"), (None, 'x "y"'), ("fading", None)]


@pytest.mark.parametrize(
    ("body", "good", "reasons"),
    [
        ("a,b\nc,d\n", [2, 3], []),
        ("a,b\r\nc,d", [2, 3], []),
        ("a\nc,d\n", [3], ["the row has 1 cells, the header 2"]),
        ("a,b,c\nc,d\n", [3], ["the row has 3 cells, the header 2"]),
        ('a,5" gap\nc,d\n', [2, 3], []),
        ('a,"b\nc"\nd,e\n', [2, 3], []),
        ("a,b\n\nc,d\n", [2, 4], []),
        ("a,b\x00\nc,d\n", [3], ["the row holds a null byte: export the table anew"]),
        ("a,\udce9\nc,d\n", [3], ["not UTF-8 text: save the file as UTF-8"]),
        ('a,"b\nc,d\n', [3], ["the row cannot be read: unexpected end of data"]),
        ('a,"b"c\nd,e\n', [3], ["the row cannot be read: ',' expected after '\"'"]),
    ],
)
def test_a_dirty_csv_loses_no_row(
    tmp_path: Path, body: str, good: list[int], reasons: list[str]
) -> None:
    """What is no row of the table is set aside with its number and why; the rest goes on."""
    path = tmp_path / "dirty.csv"
    path.write_bytes(("x,y\n" + body).encode("utf-8", "surrogateescape"))
    pieces = list(source.table(path).pieces())
    found = [n for piece in pieces for n in piece.frame["row"].to_list()]
    aside = [a for piece in pieces for a in piece.aside]

    assert found == good
    assert [a.reason for a in aside] == reasons


CELL = st.text(alphabet='ab,;"\n é', max_size=5)


@given(st.lists(st.tuples(CELL, CELL.map(lambda t: t or "x"), CELL), min_size=1, max_size=30))
def test_the_fast_reader_reads_as_the_slow_one(lines: list[tuple[str, str, str]]) -> None:
    """Whatever stands in well-formed cells, both ways of reading give the same text."""
    buffer = io.StringIO()
    csv.writer(buffer, lineterminator="\n").writerows([("x", "y", "z"), *lines])
    path = Path("unused.csv")
    reader = Delimited.__new__(Delimited)
    reader._path, reader._separator, reader.names = path, ",", ("x", "y", "z")
    body = buffer.getvalue().split("\n", 1)[1].encode()
    fast = reader._fast(body)
    slow = list(reader._slow(io.BytesIO(body), io.BytesIO(b""), 2))

    assert not [bad for _, found in slow for bad in found]
    if fast is not None:
        texts = [tuple(cell or "" for cell in row) for row in fast.rows()]
        assert texts == [row[1:] for frame, _ in slow for row in frame.rows()]


def test_blocks_smaller_than_the_file_give_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rows that are cut by the end of a block are put together again, in quotes too."""
    lines = [(f"n{n}", 'a "quoted"\nremark' if n % 7 == 0 else "plain") for n in range(400)]
    path = tmp_path / "long.csv"
    with path.open("w", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([("x", "y"), *lines])
    monkeypatch.setattr(delimited, "BLOCK", 300)

    assert rows(path, 50) == lines


@pytest.mark.parametrize("size", [1, 7, 50])
def test_pieces_have_one_length_whatever_the_kind(tmp_path: Path, size: int) -> None:
    """The same file always falls into the same pieces, bad rows counted."""
    path = tmp_path / "claims.csv"
    path.write_text("x,y\n" + "".join("a,b\n" if n % 5 else "a\n" for n in range(50)))
    counts = [p.frame.height + len(p.aside) for p in source.table(path).pieces(size)]

    assert sum(counts) == 50
    assert set(counts[:-1]) <= {size}


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("claims.doc", b"x", "give a table that ends in .csv, .tsv, .parquet, .*, .xlsx, .ods"),
        ("empty.csv", b"", "empty"),
        ("twice.csv", b"a,a\n1,2\n", "'a' more than once"),
        ("broken.parquet", b"no parquet", "cannot be read as parquet"),
        ("broken.xlsx", b"no sheet", "broken, or is no xlsx file: open it and save"),
        ("missing.csv", None, "cannot be read"),
        ("latin.csv", "Größe;b\n1;2\n".encode("latin-1"), "the header is not UTF-8 text: save it"),
        ("export.csv", "a;b\n1;2\n".encode("utf-16"), "UTF-16 text: save it as CSV in UTF-8"),
    ],
)
def test_a_file_that_is_no_table_gets_one_sentence(
    tmp_path: Path, name: str, content: bytes | None, says: str
) -> None:
    """Wrong ending, empty, doubled header, broken or missing: said in one line."""
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)

    with pytest.raises(BadTable, match=says) as found:
        source.table(path)
    assert "\n" not in str(found.value)


@pytest.mark.parametrize("sign", [";", "|", "\t"])
def test_a_first_line_that_names_the_separator(tmp_path: Path, sign: str) -> None:
    """'sep=;' is no header; rows keep the numbers that the sheet shows."""
    path = tmp_path / "export.csv"
    lines = [f"sep={sign}", f"symptom{sign}remark", f"fading{sign}a, b, c", "short"]
    path.write_text("\r\n".join(lines) + "\r\n", newline="")
    found = source.table(path)
    piece = next(found.pieces())

    assert found.names == ("symptom", "remark")
    assert piece.frame.rows() == [(3, "fading", "a, b, c")]
    assert [a.row for a in piece.aside] == [4]


def test_a_locked_workbook_is_said_to_be_locked() -> None:
    """What the reader says of a workbook with a password becomes what to do about it."""
    told = source._unreadable("a.xlsx", ".xlsx", "Xlsx error: Workbook is password protected")

    assert told == "a.xlsx is locked with a password: save it without one"


def sheets(path: Path, **rows: list[list[str]]) -> Path:
    """A workbook with these sheets."""
    import xlsxwriter  # type: ignore[import-untyped]

    with xlsxwriter.Workbook(str(path)) as book:
        for name, its in rows.items():
            sheet = book.add_worksheet(name)
            for number, row in enumerate(its):
                sheet.write_row(number, 0, row)
    return path


def test_a_sheet_with_a_doubled_header_is_refused_as_a_csv_is(tmp_path: Path) -> None:
    """Two columns 'remark' could not be told apart; one without a name is called by its number."""
    twice = sheets(tmp_path / "twice.xlsx", claims=[["symptom", "remark", "remark"], ["a"] * 3])
    blank = sheets(tmp_path / "blank.xlsx", claims=[["symptom", "", " remark "], ["a"] * 3])

    with pytest.raises(BadTable, match="'remark' more than once"):
        source.table(twice)
    assert source.table(blank).names == ("symptom", "column 2", "remark")


def test_a_line_that_is_no_json_is_set_aside(tmp_path: Path) -> None:
    """A broken line, a list, a key that no other row has: each named with its number."""
    path = tmp_path / "claims.jsonl"
    good = '{"symptom": "fading", "age": 3}\n'
    path.write_text(good + "{broken\n[1]\n" + good)
    pieces = list(source.table(path).pieces())

    assert [p.frame["row"].to_list() for p in pieces] == [[1, 4]]
    assert [a.row for p in pieces for a in p.aside] == [2, 3]
