"""YAML read as plain data in which every place can be found again.

Safe and strict: no tags, no anchors, no aliases (so no small file can grow large in memory),
duplicate keys are problems, and only `true`, `false` and plain decimal numbers mean something else
than text. `no`, `on`, `12:30`, `012` and dates stay text.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import yaml

_Safe: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Loader(_Safe):  # type: ignore[misc]
    """The safe loader, guessing no types: every plain scalar stays as written."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012 (the loader's own name)
    _depth = 0

    def resolve(self, kind: Any, value: Any, implicit: Any) -> str:
        """The tag of a node, which nobody reads: not looked for, there are so many nodes."""
        return str(self.DEFAULT_SCALAR_TAG)

    def descend_resolver(self, parent: yaml.Node | None, index: Any) -> None:
        """Called before each node: none stands in more than DEEPEST others."""
        self._depth += 1
        if parent is not None and self._depth > DEEPEST + 1:
            raise yaml.MarkedYAMLError(problem="nested too deeply", problem_mark=parent.start_mark)

    def ascend_resolver(self) -> None:
        """Called behind each node."""
        self._depth -= 1


LARGEST = 4_000_000
"""Characters in the largest file that is read."""

DEEPEST = 40

_SUSPECT = re.compile(r"(?<![^\s\[{,:])[&*!]\S")
"""Text that may hold what is refused; text without it need not be looked at event by event."""

_SECOND = "\n---"
"""What a second document begins with."""

_NUMBER = re.compile(r"[-+]?(0|[1-9][0-9]*)(\.[0-9]+)?")


@dataclass(frozen=True, slots=True, order=True)
class Spot:
    """A place in a file; line and column count from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """What is wrong, where, and which kind of problem it is."""

    spot: Spot
    sentence: str
    kind: str = "shape"
    severity: str = "error"

    def __str__(self) -> str:
        return f"{self.spot}: {self.sentence}"


@dataclass(frozen=True, slots=True)
class ParsedFile:
    """A file's data and the tree from which places are found, made when one is asked for."""

    name: str
    data: Any
    tree: Callable[[], yaml.Node | None]

    def spot(self, path: Sequence[str | int]) -> Spot:
        """The place of the deepest part of `path` that exists: a key's, or an item's."""
        root = self.tree()
        if root is None:
            return Spot(self.name, 1, 1)
        node, mark = root, root.start_mark
        for step in path:
            found = _child(node, step)
            if found is None:
                break
            mark, node = found
        return Spot(self.name, mark.line + 1, mark.column + 1)

    def changed(self, path: Sequence[str | int]) -> Spot | None:
        """Where what is put over a part of the file begins; None where nothing is."""
        return None


def _child(node: yaml.Node, step: str | int) -> tuple[yaml.Mark, yaml.Node] | None:
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if key.value == str(step):
                return key.start_mark, value
    if isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
        item = node.value[step]
        return item.start_mark, item
    return None


def read(name: str, text: str) -> tuple[ParsedFile, list[Problem]]:
    """Parse one document; the data is None where it cannot be read."""
    if len(text) > LARGEST:
        return _unreadable(name, 0, 0, f"the file is longer than {LARGEST:,} characters: split it")
    try:
        refused = _refused_event(text)
        if refused:
            return _unreadable(name, *refused)
        root = yaml.compose(text, Loader=Loader)
        problems: list[Problem] = []
        data = None if root is None else _plain(root, name, problems)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        said = " ".join(part for part in (error.context, error.problem) if part)
        line, column = (mark.line, mark.column) if mark else (0, 0)
        return _unreadable(name, line, column, f"not readable as YAML: {said}")
    except (yaml.YAMLError, RecursionError) as error:
        return _unreadable(name, 0, 0, f"not readable as YAML: {error}")
    return ParsedFile(name, data, lambda: root), problems


def _unreadable(
    name: str, line: int, column: int, sentence: str
) -> tuple[ParsedFile, list[Problem]]:
    return ParsedFile(name, None, lambda: None), [
        Problem(Spot(name, line + 1, column + 1), sentence)
    ]


def _refused_event(text: str) -> tuple[int, int, str] | None:
    """What must not be composed: anchors, aliases, tags, a second document.

    The common file has none of the signs of these, so the text is looked at before the events.
    """
    if _SECOND not in text and not _SUSPECT.search(text):
        return None
    documents = 0
    for event in yaml.parse(text, Loader=Loader):
        mark: Any = event.start_mark
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            return mark.line, mark.column, "no anchors or aliases (& and *) here: write it out"
        if getattr(event, "tag", None):
            return mark.line, mark.column, "tags (!) are not used here: write plain values"
        documents += isinstance(event, yaml.DocumentStartEvent)
        if documents > 1:
            return mark.line, mark.column, "one document a file: remove the second ---"
    return None


def _plain(node: yaml.Node, name: str, problems: list[Problem]) -> Any:
    if isinstance(node, yaml.MappingNode):
        return dict(_entries(node, name, problems))
    if isinstance(node, yaml.SequenceNode):
        return [_plain(item, name, problems) for item in node.value]
    return _scalar(node)


def _entries(
    node: yaml.MappingNode, name: str, problems: list[Problem]
) -> Iterator[tuple[str, Any]]:
    seen: dict[str, int] = {}
    for key, value in node.value:
        if not isinstance(key, yaml.ScalarNode):
            problems.append(Problem(_at(name, key), "a key must be a plain word"))
            continue
        if key.value in seen:
            sentence = f"'{key.value}' stands here twice; first in line {seen[key.value]}"
            problems.append(Problem(_at(name, key), sentence))
            continue
        seen[key.value] = key.start_mark.line + 1
        yield key.value, _plain(value, name, problems)


def _at(name: str, node: yaml.Node) -> Spot:
    return Spot(name, node.start_mark.line + 1, node.start_mark.column + 1)


def _scalar(node: yaml.Node) -> Any:
    text = node.value
    if getattr(node, "style", None) in ("'", '"', "|", ">"):
        return text
    if text in ("true", "false"):
        return text == "true"
    if text in ("", "null", "~"):
        return None
    if _NUMBER.fullmatch(text):
        return float(text) if "." in text else int(text)
    return text
