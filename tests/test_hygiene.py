"""What must not come along: heavy imports, words that do not belong, a top level that grows."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

LIGHT = [
    (
        "import diagnose.reasoning.diagnose",
        ("textual", "polars", "sqlite3", "PIL", "scipy", "rich", "numpy", "experta"),
    ),
    (
        "import diagnose.knowledge.reading.load",
        ("textual", "numpy", "experta", "polars", "sqlite3"),
    ),
    ("import diagnose.measures.registry", ("textual", "numpy", "pydantic", "yaml", "pint")),
    ("import diagnose.cli", ("textual", "numpy", "pydantic", "experta", "polars", "yaml")),
    (
        "from diagnose.cli import main; main(['case', CASE, '--output', '/dev/null/x'])",
        ("textual", "polars", "PIL", "scipy"),
    ),
]


@pytest.mark.parametrize(("code", "forbidden"), LIGHT)
def test_what_is_light_stays_light(code: str, forbidden: tuple[str, ...]) -> None:
    """A fresh process that does this has none of these modules afterwards."""
    case = sorted((ROOT / "cases").glob("*.yaml"))[0]
    program = (
        f"import sys; CASE = {str(case)!r}\n{code}\n"
        f"came = [m for m in {forbidden!r} if m in sys.modules]\n"
        "assert not came, came"
    )

    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False, cwd=ROOT
    )

    assert done.returncode == 0, done.stderr


def tracked() -> list[Path]:
    """The files git knows, or all of the checkout's where there is no git."""
    try:
        done = subprocess.run(
            ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
        )
    except (OSError, subprocess.CalledProcessError):
        return [p for p in ROOT.rglob("*") if p.is_file() and ".venv" not in p.parts]
    return [ROOT / name for name in done.stdout.splitlines() if (ROOT / name).is_file()]


def test_the_top_level_is_as_agreed() -> None:
    """Nothing lies at the top but what every contributor expects there."""
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "diagnose", "rules", "tests", "cases"}
    top = {path.relative_to(ROOT).parts[0] for path in tracked()}

    assert {name for name in top if not name.startswith(".")} <= agreed


UNWANTED = re.compile(r"NotImplementedError|\bTODO\b|\bFIXME\b|mark\.(skip|xfail)\b")


def test_nothing_is_left_open_in_the_program() -> None:
    """No stub and no note to self in the program or the rules."""
    found = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in tracked()
        if path.suffix in (".py", ".yaml") and path.parts[len(ROOT.parts)] in ("diagnose", "rules")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if UNWANTED.search(line)
    ]

    assert not found


def test_one_name_stands_for_one_class() -> None:
    """Whoever reads a name finds one class of it, whatever room it stands in."""
    classes = [
        node.name
        for path in sorted((ROOT / "diagnose").rglob("*.py"))
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    ]

    assert len(classes) > 500
    assert [name for name, times in Counter(classes).items() if times > 1] == []
