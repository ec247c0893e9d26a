"""What all commands share: how they end, how they refuse, and how they read and write files."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import pytest

from diagnose.cli import main
from diagnose.commands import DONE, MISUSE, PROBLEM, CommandFailed, Misuse, add_command, run
from diagnose.files import CannotWrite, text_of, write


def ended(does: Callable[[argparse.Namespace], int], interrupted: str = "Left.") -> int:
    """The exit code of a command that does this."""
    top = argparse.ArgumentParser()
    parts = top.add_subparsers()
    add_command(parts, "try", "Tries.", "diagnose try", does, interrupted=interrupted)
    return run(top.parse_args(["try"]))


def raises(error: BaseException) -> Callable[[argparse.Namespace], int]:
    """A command that ends so."""

    def does(options: argparse.Namespace) -> int:
        raise error

    return does


@pytest.mark.parametrize(
    ("error", "code", "sentence"),
    [
        (Misuse("give a name"), MISUSE, "diagnose: give a name"),
        (CommandFailed("the disk is full"), PROBLEM, "diagnose: the disk is full"),
        (ModuleNotFoundError(name="polars"), MISUSE, "pip install 'diagnose-wraps[claims]'"),
        (PermissionError(13, "Permission denied", "a.txt"), MISUSE, "a.txt: Permission denied"),
        (KeyboardInterrupt(), PROBLEM, "Left."),
    ],
)
def test_however_a_command_ends_it_is_one_sentence_and_a_code(
    error: BaseException, code: int, sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """No traceback, and nothing on the standard output."""
    assert ended(raises(error)) == code

    out, err = capsys.readouterr()
    assert (out, err.count("diagnose:") <= 1) == ("", True)
    assert sentence in err


def test_what_nobody_foresaw_stays_a_traceback() -> None:
    """A fault of the program does not pass for one of the input."""
    for error in (ZeroDivisionError(), OSError("no file in it"), ModuleNotFoundError(name="own")):
        with pytest.raises(type(error)):
            ended(raises(error))


def test_only_a_command_that_keeps_things_says_so_when_it_is_left(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ctrl-C in a callback: all is kept; in a check of the rules there is nothing to keep."""

    def pressed(*_: object) -> None:
        raise KeyboardInterrupt

    # by module: another test may have taken modules away from their packages
    monkeypatch.setattr(import_module("diagnose.callback"), "reasoner_of", pressed)
    monkeypatch.setattr(import_module("diagnose.knowledge.reading.load"), "read", pressed)

    assert main(["callback", "--plain"]) == main(["rules", "check"]) == PROBLEM
    assert capsys.readouterr().err == "\nLeft. Everything entered is kept.\n\nLeft.\n"


@pytest.mark.parametrize("output", ["no_folder/schema.json", "."])
def test_a_schema_that_cannot_be_written_is_said(
    output: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The name of the file and why, as with every file that a command writes."""
    path = tmp_path / output

    assert main(["rules", "schema", "--output", str(path)]) == MISUSE
    assert f"{path} cannot be written: " in capsys.readouterr().err


def test_the_schema_is_written_over_the_old_one(tmp_path: Path) -> None:
    """It is made of the program, so nothing that a person wrote is lost."""
    path = tmp_path / "schema.json"

    assert main(["rules", "schema", "--output", str(path)]) == DONE
    first = path.read_bytes()
    assert main(["rules", "schema", "--output", str(path)]) == DONE
    assert path.read_bytes() == first
    assert [each.name for each in tmp_path.iterdir()] == ["schema.json"]


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    """With what to do about it."""
    path = tmp_path / "case.yaml"
    path.write_bytes("lack: weiß".encode("latin-1"))

    with pytest.raises(Misuse, match="it is not UTF-8 text, save it as UTF-8"):
        text_of(path)


def test_a_new_file_is_never_written_over_another(tmp_path: Path) -> None:
    """Whoever may say --overwrite is told of it, and nobody else."""
    path = tmp_path / "a.txt"
    write(path, b"mine")

    with pytest.raises(CannotWrite, match=r"exists already: give another name$"):
        write(path, b"yours")
    with pytest.raises(CannotWrite, match="exists already: give another name, or say --overwrite"):
        write(path, b"yours", overwrite=False)
    assert path.read_bytes() == b"mine"
