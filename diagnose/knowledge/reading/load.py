"""Reading a folder of rule files into a Base, or into every problem that stands in the way."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from diagnose import caches
from diagnose.folders import shipped, yaml_files
from diagnose.garbage import uncollected
from diagnose.knowledge import marked
from diagnose.knowledge.base import Base
from diagnose.knowledge.entry_places import EntryPlaces
from diagnose.knowledge.marked import ParsedFile, Problem, Spot
from diagnose.knowledge.model import Entry, RuleFile, Wording, index
from diagnose.knowledge.model.conditions import Condition
from diagnose.knowledge.reading.additions import (
    NAMES,
    SHIPPED,
    adds,
    put_together,
    told_of_shipped,
)
from diagnose.knowledge.reading.parsed import Parse
from diagnose.knowledge.reading.salvage import (
    ids_at,
    names_in,
    not_of,
    one_each,
    passing,
    weighing,
    without,
)
from diagnose.knowledge.reading.shape import shape_problem, tuples
from diagnose.knowledge.soundness.draft import ONCE, Draft, flatten
from diagnose.knowledge.soundness.verify import verify
from diagnose.knowledge.soundness.walk import NAMED


class BrokenRules(Exception):
    """A rule base that cannot be used; `problems` are all of its faults, by place."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = tuple(problems)


@dataclass(frozen=True, slots=True)
class ReadRules:
    """What came of reading: a base, or the problems."""

    base: Base | None
    problems: tuple[Problem, ...]


def load(folder: Path, cache: Path | None = None, parse: Parse | None = None) -> Base:
    """The base of a folder; raises BrokenRules with every problem of every file.

    With a `cache` folder, a base that was found sound is kept there as JSON under its version, and
    the same files are not parsed and verified a second time. `parse` may know some of them.
    """
    with uncollected():
        return _load(folder, cache, parse)


def _load(folder: Path, cache: Path | None, parse: Parse | None) -> Base:
    texts = texts_of(folder)
    kept = cache / f"{version(texts)}-{caches.code(READERS)[:12]}.json" if cache else None
    if kept is not None and (base := _from_cache(kept, texts)) is not None:
        return base
    reading = read_texts(texts, folder, parse)
    if reading.base is None:
        raise BrokenRules(reading.problems)
    if kept is not None:
        caches.keep(kept, as_json(reading.base), MOST_KEPT)
    # The parsed files are the larger part: whoever asks for a place has them parsed again.
    return replace(reading.base, places=_places(texts))


def read(folder: Path) -> ReadRules:
    """Read all rule files below a folder."""
    with uncollected():
        return read_texts(texts_of(folder), folder)


Texts = dict[str, str | Problem]


def texts_of(folder: Path) -> Texts:
    """The texts of the rule files of a folder, or why one cannot be read.

    Of a folder that only adds to the shipped rules the shipped ones come first.
    """
    own = _rule_files(folder)
    under = _rule_files(shipped("rules")) if adds(own) else {}
    files = {**{SHIPPED + name: path for name, path in under.items()}, **own}
    return {name: _text(name, path) for name, path in files.items()}


def is_additions(folder: Path) -> bool:
    """Whether a folder only adds to the shipped rules."""
    return adds(_rule_files(folder))


NO_RULES = ("policies", "shop")
"""Folders of a rule base that hold a shop's terms and figures."""


def _rule_files(folder: Path) -> dict[str, Path]:
    named = {path.relative_to(folder): path for path in yaml_files(folder)}
    return {name.as_posix(): path for name, path in named.items() if name.parts[0] not in NO_RULES}


READERS = ("knowledge", "measures")
"""The code that finds a base sound; when it changes, a kept base is read anew."""

MOST_KEPT = 24
"""Bases that are kept, near to a megabyte each."""


def _from_cache(kept: Path, texts: Texts) -> Base | None:
    """The base kept under this name; None where there is none or it cannot be read."""
    try:
        return from_json(kept.read_bytes(), version(texts), texts)
    except (OSError, ValueError):
        return None


def from_json(written: str | bytes, of_content: str, texts: Texts | None = None) -> Base:
    """A base that `as_json` wrote; its places are known where the `texts` are given.

    Raises ValueError for anything else.
    """
    file = RuleFile.model_validate_json(written)
    if file.scales is None:
        raise ValueError("no scales")
    return _base(Draft(file, _places(texts or {})), of_content)


def _places(texts: Texts) -> EntryPlaces:
    return EntryPlaces(lambda: _documents(texts))


def _documents(texts: Texts) -> list[ParsedFile]:
    with uncollected():
        found = [marked.read(name, t)[0] for name, t in texts.items() if isinstance(t, str)]
    return put_together(found)[0] if adds(texts) else found


def as_json(base: Base) -> str:
    """A base as one rule file in JSON."""
    sections = {
        name: list(found.values()) if isinstance(found := getattr(base, name), Mapping) else found
        for name in RuleFile.model_fields
    }
    return json.dumps(sections, default=_plain, ensure_ascii=False)


def _plain(value: Any) -> Any:
    if isinstance(value, Condition):
        return value.data()
    if isinstance(value, Entry):
        given = value.model_fields_set
        fields = type(value).model_fields
        return {fields[n].alias or n: v for n, v in value if n in given}
    raise TypeError(type(value).__name__)


def _text(name: str, path: Path) -> str | Problem:
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        spot = Spot(name, 1, 1)
        return Problem(spot, f"not UTF-8 text (byte {error.start}): save the file as UTF-8")
    except OSError as error:
        return Problem(Spot(name, 1, 1), f"cannot be read: {error.strerror}")


def read_texts(
    texts: Texts, folder: Path | str = "(no folder)", parse: Parse | None = None
) -> ReadRules:
    """Read files given by name and text; `folder` only names where they are from."""
    if not texts:
        sentence = "there is no rule file (*.yaml, *.yml) in this folder"
        return ReadRules(None, (Problem(Spot(str(folder), 1, 1), sentence),))
    problems: list[Problem] = [text for text in texts.values() if isinstance(text, Problem)]
    readable = not problems
    documents, faulty = _parsed(texts, problems, parse or marked.read)
    shaped = [
        _shape(document, problems)
        for document in documents
        if document.data is not None or document.name not in faulty
    ]
    files = [part.file for part in shaped if part.file]
    draft = Draft(flatten(files), EntryPlaces(lambda: documents))
    unread = [t for d in documents if d.data is None and isinstance(t := texts[d.name], str)]
    if not any("scales:" in text for text in unread):
        problems += _once(documents)
    if readable and not any(part.file is None for part in shaped):
        lost = frozenset(name for part in shaped for name in part.lost)
        lost |= {name for text in unread for name in names_in(text)}
        mended = frozenset(name for part in shaped for name in part.mended)
        problems += not_of(lost, verify(draft, mended))
    if problems:
        told = map(told_of_shipped, problems) if adds(texts) else problems
        return ReadRules(None, tuple(sorted(told)))
    return ReadRules(_base(draft, version(texts)), ())


def _parsed(
    texts: Texts, problems: list[Problem], parse: Parse
) -> tuple[list[ParsedFile], set[str]]:
    """The documents, additions put together with what they add to; the names of faulty ones."""
    documents: list[ParsedFile] = []
    faulty = set()
    for name, text in texts.items():
        if isinstance(text, Problem):
            continue
        document, faults = parse(name, text)
        documents.append(document)
        if faults:
            faulty.add(name)
        problems += faults
    if adds(texts):
        documents, unfit = put_together(documents)
        problems += unfit
    return documents, faulty


def version(texts: Texts) -> str:
    """Twelve hex digits that change with any change of a rule file."""
    digest = hashlib.sha256()
    for name, text in sorted(texts.items()):
        digest.update(f"{name}\0{text}\0".encode())
    return digest.hexdigest()[:12]


def _base(draft: Draft, of_content: str) -> Base:
    file = draft.file
    assert file.scales is not None
    sections: dict[str, Any] = {name: index(getattr(file, name)) for name in NAMED}
    return Base(
        scales=file.scales,
        **sections,
        inseparable=file.inseparable,
        words=file.words or Wording(source=("derived",)),
        intake=file.intake,
        version=of_content,
        places=draft.places,
    )


def _once(documents: Sequence[ParsedFile]) -> Iterator[Problem]:
    for section in ONCE:
        having = [d for d in documents if isinstance(d.data, dict) and section in d.data]
        if section == "scales" and documents and not having:
            sentence = (
                "no file has the section 'scales' with the numbers behind the words (a folder that"
                f" only adds to the shipped rules says so by a file {NAMES[0]})"
            )
            yield Problem(Spot(documents[0].name, 1, 1), sentence)
        for d in having[1:]:
            sentence = f"'{section}' stands in {having[0].name} already: keep one"
            yield Problem(d.spot((section,)), sentence)


@dataclass(frozen=True, slots=True)
class _Shaped:
    """The entries with their shape; the ids of those mended for it, and of those left out."""

    file: RuleFile | None
    mended: frozenset[str] = frozenset()
    lost: frozenset[str] = frozenset()


def _shape(document: ParsedFile, problems: list[Problem]) -> _Shaped:
    if document.data is None:
        problems.append(Problem(Spot(document.name, 1, 1), "the file is empty: remove it"))
        return _Shaped(None)
    try:
        return _Shaped(RuleFile.model_validate(tuples(document.data)))
    except ValidationError as error:
        details = error.errors(include_url=False)
    problems += [shape_problem(document, detail, RuleFile) for detail in one_each(details)]
    return _salvaged(document.data, details)


def _salvaged(data: Any, details: Sequence[ErrorDetails]) -> _Shaped:
    """What of a document with faults of shape can be verified all the same."""
    if not isinstance(data, dict):
        return _Shaped(None)
    mended = ids_at(data, weighing(detail["loc"] for detail in details))
    data = passing(data, details)
    try:
        return _Shaped(RuleFile.model_validate(tuples(data)), mended)
    except ValidationError as error:
        faults = [detail["loc"] for detail in error.errors(include_url=False)]
    left = without(data, faults)
    if left is None:
        return _Shaped(None)
    return _Shaped(RuleFile.model_validate(tuples(left)), mended, ids_at(data, faults))
