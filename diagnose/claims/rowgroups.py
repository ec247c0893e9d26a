"""Parquet files of the same columns put one after another, without reading the rows in them.

A Parquet file is its row groups and a footer that says where each column of each group starts.
Groups are copied as they are; the footers become one, with the places moved. The footer is a
Thrift structure in the compact protocol; it is read as fields by number, so that what is not known
here is passed on. Source: the format's own description (parquet.thrift, Apache Parquet) and
Thrift's of the compact protocol.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any, BinaryIO, NamedTuple

MAGIC = b"PAR1"

SCHEMA, ROWS, GROUPS = 2, 3, 4
"""Fields of a footer."""
GROUP_COLUMNS, GROUP_START, GROUP_NUMBER = 1, 5, 7
CHUNK_PLACES, CHUNK_ABOUT, ABOUT_PLACES = (2, 4, 6), 3, (9, 10, 11, 14)
"""Fields of a column's chunk that are places in the file, and those of what is said about it."""

STOP, TRUE, FALSE, BYTE, DOUBLE, BINARY, LIST, SET, STRUCT = 0, 1, 2, 3, 7, 8, 9, 10, 12
WHOLE = (4, 5, 6)
"""Kinds of a field."""


class Field(NamedTuple):
    """A value with its kind; of a structure a dict by number, of a list the kind of its items."""

    kind: int
    value: Any


def put_together(output: Path, parts: Sequence[Path]) -> None:
    """Write the rows of all parts, in order; ValueError where their columns are not the same."""
    with output.open("wb") as file:
        file.write(MAGIC)
        whole: dict[int, Field] = {}
        for part in parts:
            footer = _append(file, part)
            whole = _joined(whole, footer) if whole else footer
        end = bytearray()
        _write(end, Field(STRUCT, whole))
        file.write(end + len(end).to_bytes(4, "little") + MAGIC)


def _append(file: BinaryIO, part: Path) -> dict[int, Field]:
    """Copy the groups of a part; its footer with the places at which they now stand."""
    moved = file.tell() - len(MAGIC)
    with part.open("rb") as source:
        size = source.seek(-8, io.SEEK_END)
        length = int.from_bytes(source.read(4), "little")
        source.seek(size - length)
        footer: dict[int, Field] = _read(io.BytesIO(source.read(length)), STRUCT)
        source.seek(len(MAGIC))
        file.write(source.read(size - length - len(MAGIC)))
    for group in footer[GROUPS].value[1]:
        _move(group, (GROUP_START,), moved)
        for chunk in group[GROUP_COLUMNS].value[1]:
            _move(chunk, CHUNK_PLACES, moved)
            _move(chunk[CHUNK_ABOUT].value, ABOUT_PLACES, moved)
    return footer


def _move(fields: dict[int, Field], places: Sequence[int], moved: int) -> None:
    for number in places:
        if number in fields and fields[number].value > 0:
            fields[number] = fields[number]._replace(value=fields[number].value + moved)


def _joined(whole: dict[int, Field], footer: dict[int, Field]) -> dict[int, Field]:
    if whole[SCHEMA] != footer[SCHEMA]:
        raise ValueError("parts of one table have different columns")
    kind, groups = whole[GROUPS].value
    for number, group in enumerate(footer[GROUPS].value[1], len(groups)):
        if GROUP_NUMBER in group:
            group[GROUP_NUMBER] = group[GROUP_NUMBER]._replace(value=number)
    rows = whole[ROWS].value + footer[ROWS].value
    return whole | {
        ROWS: whole[ROWS]._replace(value=rows),
        GROUPS: whole[GROUPS]._replace(value=(kind, groups + footer[GROUPS].value[1])),
    }


def _read(data: BinaryIO, kind: int) -> Any:
    """A value of a kind."""
    if kind in (TRUE, FALSE):
        return kind == TRUE
    if kind in WHOLE:
        number = _varint(data)
        return (number >> 1) ^ -(number & 1)
    if kind in (BYTE, DOUBLE, BINARY):
        return data.read({BYTE: 1, DOUBLE: 8}.get(kind) or _varint(data))
    if kind in (LIST, SET):
        head = data.read(1)[0]
        size = head >> 4 if head >> 4 < 15 else _varint(data)
        return head & 15, [_item(data, head & 15) for _ in range(size)]
    if kind != STRUCT:
        raise ValueError(f"a footer with a field of kind {kind}")
    fields: dict[int, Field] = {}
    number = 0
    while head := data.read(1)[0]:
        number = number + (head >> 4) if head >> 4 else _read(data, WHOLE[0])
        fields[number] = Field(head & 15, _read(data, head & 15))
    return fields


def _item(data: BinaryIO, kind: int) -> Any:
    """An item of a list, where truth is a byte of its own."""
    return _read(data, data.read(1)[0] if kind in (TRUE, FALSE) else kind)


def _varint(data: BinaryIO) -> int:
    found = shift = 0
    while True:
        byte = data.read(1)[0]
        found |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            return found


def _write(out: bytearray, field: Field) -> None:
    """The inverse of `_read`."""
    kind, value = field
    if kind in WHOLE:
        _write_varint(out, value << 1 if value >= 0 else (-value << 1) - 1)
    elif kind in (BYTE, DOUBLE):
        out += value
    elif kind == BINARY:
        _write_varint(out, len(value))
        out += value
    elif kind in (LIST, SET):
        its, items = value
        out.append(min(len(items), 15) << 4 | its)
        if len(items) >= 15:
            _write_varint(out, len(items))
        for item in items:
            if its in (TRUE, FALSE):
                out.append(TRUE if item else FALSE)
            else:
                _write(out, Field(its, item))
    elif kind == STRUCT:
        last = 0
        for number, its in value.items():
            step = number - last
            out.append((step << 4 if 0 < step < 16 else 0) | its.kind)
            if not 0 < step < 16:
                _write(out, Field(WHOLE[0], number))
            _write(out, its)
            last = number
        out.append(STOP)


def _write_varint(out: bytearray, number: int) -> None:
    while number > 127:
        out.append(number & 127 | 128)
        number >>= 7
    out.append(number)
