"""A package that is not installed costs one sentence, not a traceback."""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.cli import main
from diagnose.commands import MISUSE
from diagnose.extras import EXTRAS
from diagnose.report.formats.registry import FORMATS

ROOT = Path(__file__).resolve().parent.parent
CASE = str(sorted((ROOT / "cases").glob("*.yaml"))[0])


def test_every_optional_package_is_known() -> None:
    """What the project file lists for an extra, the sentence names for it, and no more."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    needed = {line.partition(">")[0].partition("=")[0] for line in project["dependencies"]}
    listed = {}
    for extra, lines in project["optional-dependencies"].items():
        if extra in ("all", "test", "judges", "dev"):
            continue
        for line in lines:
            name = line.partition(">")[0].replace("-", "_")
            listed |= {part.rstrip("]"): extra for part in name.split("[")}

    assert listed == EXTRAS
    assert not needed & set(EXTRAS)


def test_pdf_and_drawings_come_with_the_first_command() -> None:
    """Whoever installs what README names first can save what is offered, and sees drawings."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    first = {line.partition(">")[0].replace("-", "_") for line in project["dependencies"]}

    assert {its.needs for its in FORMATS.values() if its.needs} == {"typst"}
    assert {"typst", "resvg_py", "textual_image", "pillow"} <= first
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert "pip install -q . && .venv/bin/diagnose callback" in readme


def test_a_pdf_that_cannot_be_set_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """An installation that lost a package says which, and what works without it."""
    monkeypatch.setitem(sys.modules, "typst", None)

    assert main(["case", CASE, "--format", "pdf", "--output", "x.pdf"]) == MISUSE

    said = capsys.readouterr().err
    assert "PDF needs typst, which is not there" in said
    assert len(said.splitlines()) == 1


@pytest.fixture
def program_as_before() -> Iterator[None]:
    """Takes back what a test imports anew: later tests have the modules that they began with."""
    before = {n: m for n, m in sys.modules.items() if n.partition(".")[0] in ("diagnose", "fsrs")}
    yield
    for name in [n for n in sys.modules if n.partition(".")[0] in ("diagnose", "fsrs")]:
        del sys.modules[name]
    sys.modules.update(before)
    for name, module in before.items():
        parent, _, last = name.rpartition(".")
        if parent in before:
            setattr(before[parent], last, module)


@pytest.mark.parametrize(
    ("module", "command", "extra"),
    [
        ("fsrs", ["practice", "--plain"], "practice"),
        ("fsrs", ["practice", "progress"], "practice"),
        ("fsrs", ["practice"], "practice"),
        ("textual_plotext", ["practice", "exam"], "practice"),
        ("polars", ["claims", "nowhere.csv"], "claims"),
        ("aiohttp", ["serve"], "serve"),
    ],
)
@pytest.mark.usefixtures("program_as_before")
def test_one_sentence_says_what_to_install(
    module: str,
    command: list[str],
    extra: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
) -> None:
    """Which package is absent and how it comes, in one line, and nothing else is printed."""
    for name in list(sys.modules):
        if name.partition(".")[0] == module or name.startswith(("diagnose.", "fsrs")):
            monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, module, None)
    for stream in (sys.stdin, sys.stdout):
        monkeypatch.setattr(stream, "isatty", lambda: True)
    if command[0] == "practice":
        command = [*command, "--records", str(tmp_path / "r.sqlite3")]

    from diagnose.cli import main

    assert main(command) == MISUSE
    said = capsys.readouterr()
    assert said.out == ""
    assert f"diagnose-wraps[{extra}]" in said.err
    assert module in said.err
    assert len(said.err.splitlines()) == 1
