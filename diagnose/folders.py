"""Where the rule base and the worked cases lie: in the wheel, or in the checkout."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def shipped(name: str) -> Path:
    """The shipped folder `rules` or `cases`."""
    packed = _PACKAGE / "_data" / name
    return packed if packed.is_dir() else _PACKAGE.parent / name


def root() -> Path:
    """The folder that this package lies in, for processes of its own."""
    return _PACKAGE.parent


def yaml_files(folder: Path, *, below: bool = True) -> list[Path]:
    """The YAML files of a folder, by either ending, and those of the folders `below` it."""
    found = folder.rglob("*") if below else folder.glob("*")
    return sorted(path for path in found if path.suffix in YAML and path.is_file())


YAML = (".yaml", ".yml")
"""How the name of a YAML file ends."""


def rules_cache() -> Path:
    """Where rule bases found sound are kept, so that starting is fast."""
    return _cache() / "rules"


def parsed_cache() -> Path:
    """Where the data of rule and case files are kept, so that only what changed is parsed."""
    return _cache() / "parsed"


def results_cache() -> Path:
    """Where it is kept what worked cases came to, so that only what changed is run again."""
    return _cache() / "results"


def leads_cache() -> Path:
    """Where it is kept which answers let causes lead, so that only what changed is searched."""
    return _cache() / "leads"


def _cache() -> Path:
    from platformdirs import user_cache_path

    return user_cache_path("diagnose-wraps", appauthor=False)


def program() -> str:
    """The version of this program."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("diagnose-wraps")
    except PackageNotFoundError:
        return "uninstalled"
