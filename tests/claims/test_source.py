"""Reading tables: every kind, in pieces, with rows that are none set aside."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from subprocess import CompletedProcess

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.claims.table import delimited, source
from diagnose.claims.table.delimited import Delimited
from diagnose.claims.table.layout import Layout, WantedColumn
from diagnose.claims.table.sheets import Sheet, write_workbook
from diagnose.claims.table.source import BadTable
from diagnose.claims.table.workbook import Workbook

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
        ("é,\udce9\nc,d\n", [3], ["not UTF-8 text: save the file as UTF-8"]),
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
    reader = Delimited(path, Layout(), ("x", "y", "z"))
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
        ("broken.parquet", b"no parquet", "cannot be read as parquet"),
        ("broken.xlsx", b"no sheet", "broken, or is no xlsx file: open it and save"),
        ("missing.csv", None, "cannot be read"),
        ("export.jsonl", '{"a": 1}'.encode("utf-16"), "UTF-16 text: save it as UTF-8"),
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


def test_a_locked_workbook_is_said_to_be_locked(tmp_path: Path) -> None:
    """What the reader says of a workbook with a password becomes what to do about it."""
    said = b"Xlsx error: Workbook is password protected"
    told = Workbook(tmp_path / "a.xlsx")._broken(CompletedProcess([], 1, b"", said))

    assert told == "a.xlsx is locked with a password: save it without one"


def test_a_stray_cell_in_the_last_corner_gets_one_sentence(tmp_path: Path) -> None:
    """A kilobyte that asks for half a terabyte is refused, and the cell is named."""
    import xlsxwriter

    path = tmp_path / "far.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["symptom", "remark"])
        sheet.write(1_048_575, 16_383, "x")

    with pytest.raises(BadTable, match=r"more than 4 GB to unpack \(the cell XFD1048576 is filled"):
        source.table(path)


def test_a_workbook_packed_beyond_reason_is_not_unpacked(tmp_path: Path) -> None:
    """A cell of 100 MB of one letter packs into a few kilobytes: no clerk wrote that."""
    import zipfile

    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b"x" * 100_000_000)

    with pytest.raises(BadTable, match=r"would unpack from 0.1 to 100 MB: save the sheet as CSV"):
        source.table(path)


def sheets(path: Path, **rows: list[list[str]]) -> Path:
    """A workbook with these sheets."""
    import xlsxwriter  # type: ignore[import-untyped]

    with xlsxwriter.Workbook(str(path)) as book:
        for name, its in rows.items():
            sheet = book.add_worksheet(name)
            for number, row in enumerate(its):
                sheet.write_row(number, 0, row)
    return path


def test_two_columns_of_one_name_are_told_apart(tmp_path: Path) -> None:
    """The second 'remark' is numbered; a column without a name is called by its place."""
    named = sheets(tmp_path / "a.xlsx", claims=[["symptom", "", " remark ", "remark"], ["a"] * 4])

    assert source.table(named).names == ("symptom", "column 2", "remark", "remark (2)")


TITLED = [["Callbacks of spring", "", ""], ["", "", ""], ["No", "Fault", "Note"], ["7", "up", "x"]]


@pytest.mark.parametrize("kind", [".csv", ".xlsx"])
def test_a_header_below_titles_is_found(tmp_path: Path, kind: str) -> None:
    """A title and an empty row stand above it; rows are numbered as the sheet counts."""
    path = tmp_path / f"claims{kind}"
    if kind == ".xlsx":
        sheets(path, claims=TITLED)
    else:
        path.write_text("\n".join(";".join(row) for row in TITLED) + "\n")
    found = source.table(path)

    assert found.names == ("No", "Fault", "Note")
    assert next(found.pieces()).frame.rows() == [(4, "7", "up", "x")]
    assert found.layout.told() == "Read: row 3 as the header."


def test_the_widest_sheet_is_read_unless_another_is_named(tmp_path: Path) -> None:
    """A cover sheet and a price list stand before the claims."""
    path = sheets(
        tmp_path / "book.xlsx",
        front=[["Read me"]],
        prices=[["film", "a metre"], ["cast", "12"]],
        claims=TITLED,
    )

    assert source.table(path).names == ("No", "Fault", "Note")
    assert source.table(path, WantedColumn(sheet="prices")).names == ("film", "a metre")
    assert source.table(path, WantedColumn(header=4)).names == ("7", "up", "x")
    with pytest.raises(BadTable, match="no sheet 'claim': 'front', 'prices', 'claims'"):
        source.table(path, WantedColumn(sheet="claim"))


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252", "utf-8-sig", "utf-16", "utf-16-le"])
def test_a_text_in_another_encoding_is_read_as_it_was_meant(tmp_path: Path, encoding: str) -> None:
    """As spreadsheets of many countries save it: letters come out whole, no row is lost."""
    path = tmp_path / "export.csv"
    path.write_bytes("Größe;Käufer\nüber 5 mm;Påhl\nøst;é\n".encode(encoding))

    assert source.table(path).names == ("Größe", "Käufer")
    assert rows(path) == [("über 5 mm", "Påhl"), ("øst", "é")]


def test_an_encoding_may_be_named(tmp_path: Path) -> None:
    """Where bytes can be read in more than one way the clerk knows best."""
    path = tmp_path / "export.csv"
    path.write_bytes("Größe;b\n1;2\n".encode("cp437"))

    assert source.table(path, WantedColumn(encoding="cp437")).names == ("Größe", "b")
    with pytest.raises(BadTable, match="no encoding is called 'klingon'"):
        source.table(path, WantedColumn(encoding="klingon"))


def test_a_line_that_is_no_json_is_set_aside(tmp_path: Path) -> None:
    """A broken line, a list, a key that no other row has: each named with its number."""
    path = tmp_path / "claims.jsonl"
    good = '{"symptom": "fading", "age": 3}\n'
    path.write_text(good + "{broken\n[1]\n" + good)
    pieces = list(source.table(path).pieces())

    assert [p.frame["row"].to_list() for p in pieces] == [[1, 4]]
    assert [a.row for p in pieces for a in p.aside] == [2, 3]


def test_a_row_longer_than_a_block_is_one_row_set_aside(tmp_path: Path) -> None:
    """Twenty megabytes without an end of line are neither cut into rows nor held in memory."""
    path = tmp_path / "long.csv"
    with path.open("wb") as file:
        file.write(b"claim,symptom\n1,fading\n2,")
        file.writelines([b"edge lifting " * 10_000] * 160)
        file.write(b"\n3,fading\n")
    (piece,) = source.table(path).pieces()

    assert piece.frame["claim"].to_list() == ["1", "3"]
    assert [(a.row, "larger than field limit" in a.reason) for a in piece.aside] == [(3, True)]
    assert len(piece.aside[0].value) <= 80
