"""Mutated inputs for every file that the program reads from people, seeded.

Each is a sound file with some bytes turned, cut, doubled or replaced by what is known to hurt
readers. A reader may refuse it in its own words; it may not fall over, and may not grow.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import polars as pl

from diagnose.claims.mapping import mapping, propose
from diagnose.claims.policy import policy
from diagnose.claims.table import source
from diagnose.claims.table.layout import WantedColumn
from diagnose.commands import Misuse
from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.shop import read_shop
from diagnose.records.case.casefile import read_case

HURTFUL = (
    b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b'"', b"'", b",", b";", b"\t", b"\r", b"\n", b"\r\n",
    b"=1+1", b"&a [*a]", b"<<: *x", b"{{{{[[[[", b"- - - - -", b"!!python/object:x {}", b"\xc3",
    b"9" * 400, b"1e999", b"-0", b"nan", b"2062-13-45", b"\xe2\x80\xae", b": : :", b"%YAML 9",
    b"a" * 5000, b"[" * 400, b"{a: " * 300, b"\x1b[2J",
)  # fmt: skip

CSV = "symptom,panel,laid_on,seen_on,claimed,remark\n" + "".join(
    f'edge_lifting,roof,2025-03-{day:02},2025-04-20,{day}0,"edge up, dust"\n'
    for day in range(1, 20)
)
MAPPING = "columns:\n  - {column: symptom, fact: symptom}\n  - {column: laid_on, fact: laid_on}\n"


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of file: a sound one, and what reads it. How often it is drawn, beside others."""

    sound: bytes
    read: Callable[[bytes], object]
    often: int = 10


def kinds(base: Base, folder: Path) -> Mapping[str, Kind]:
    """Every kind of file that people hand in, by name."""
    case = next(path for path in sorted(shipped("cases").glob("*.yaml")))
    terms = shipped("rules") / "policies" / "example_policy.yml"
    shop = next((shipped("rules") / "shop").glob("*.y*ml"))
    names = ("symptom", "panel", "laid_on", "seen_on", "claimed", "remark")

    def table(ending: str) -> Callable[[bytes], object]:
        def read(data: bytes) -> object:
            path = folder / f"in{ending}"
            path.write_bytes(data)
            found = source.table(path, WantedColumn())
            return [piece.frame.height for piece in found.pieces(7)]

        return read

    def proposed(data: bytes) -> object:
        path = folder / "in.csv"
        path.write_bytes(data)
        piece = next(source.table(path).pieces(), None)
        return piece and propose.propose(base, piece.frame)

    def text(read: Callable[[str], object]) -> Callable[[bytes], object]:
        return lambda data: read(data.decode("utf-8", "replace"))

    frame = pl.read_csv(BytesIO(CSV.encode()))
    packed, lines, book = BytesIO(), BytesIO(), BytesIO()
    frame.write_parquet(packed)
    frame.write_ndjson(lines)
    frame.write_excel(book)
    return {
        "csv": Kind(CSV.encode(), table(".csv"), 30),
        "tsv": Kind(CSV.replace(",", "\t").encode(), table(".tsv")),
        "latin": Kind(CSV.replace("dust", "stöv").encode("latin-1"), table(".csv")),
        "utf16": Kind(CSV.encode("utf-16"), table(".csv"), 5),
        "json lines": Kind(lines.getvalue(), table(".jsonl"), 20),
        "parquet": Kind(packed.getvalue(), table(".parquet"), 20),
        "workbook": Kind(book.getvalue(), table(".xlsx"), 1),
        "proposal": Kind(CSV.encode(), proposed, 1),
        "mapping": Kind(MAPPING.encode(), text(lambda t: mapping.read("m", t, base, names))),
        "policy": Kind(terms.read_bytes(), text(lambda t: policy.read("p", t, base))),
        "case": Kind(case.read_bytes(), text(lambda t: read_case("c", t, base))),
        "shop": Kind(shop.read_bytes(), text(lambda t: read_shop("s", t, base)), 5),
    }


def mutated(sound: bytes, chance: random.Random) -> bytes:
    """The file with one to six changes."""
    data = bytearray(sound)
    for _ in range(chance.randint(1, 6)):
        at, to = sorted(chance.randint(0, len(data)) for _ in range(2))
        match chance.randrange(6):
            case 0:
                data[at:at] = chance.choice(HURTFUL)
            case 1:
                del data[at : min(to, at + 200)]
            case 2:
                data[at:at] = data[at : min(to, at + 200)]
            case 3 if data:
                data[min(at, len(data) - 1)] ^= 1 << chance.randrange(8)
            case 4:
                data[at : at + chance.randint(0, 9)] = chance.choice(HURTFUL)
            case _:
                data = data[: max(1, to)]
    return bytes(data)


def attacks(base: Base, folder: Path, count: int, seed: int) -> Iterator[tuple[str, bytes, str]]:
    """Read so many mutated files; yields what each came to: kind, bytes, '' or what fell over."""
    every = kinds(base, folder)
    names = [name for name, kind in every.items() for _ in range(kind.often)]
    chance = random.Random(seed)
    for _ in range(count):
        name = chance.choice(names)
        data = mutated(every[name].sound, chance)
        try:
            every[name].read(data)
        except Misuse as refused:
            fell = "" if "\n" not in str(refused) else f"more than a sentence: {refused}"
            yield name, data, fell
        except RecursionError as error:
            yield name, data, f"RecursionError: {error}"
        except Exception as error:
            yield name, data, f"{type(error).__name__}: {error}"
        else:
            yield name, data, ""
