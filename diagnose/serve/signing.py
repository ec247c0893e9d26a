"""What this server signs, so that it knows it again after a restart: visitors and forms.

The secret lies beside the records and is readable by their owner only.
"""

from __future__ import annotations

import hashlib
import os
import secrets
from pathlib import Path

from itsdangerous import BadData, Signer, TimestampSigner

KEPT_SECONDS = 30 * 24 * 3600
"""How long a visitor is known again after the last visit."""

_LENGTH = 32


class BadSecret(OSError):
    """The file of the secret cannot be used; the message says what to do."""


def secret_file(records: Path) -> Path:
    """Where the secret of the pages on these records lies."""
    return records.with_name(f"{records.stem}-secret")


def secret_of(records: Path) -> bytes:
    """The secret, made where there is none; raises BadSecret."""
    path = secret_file(records)
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _read(path)
    with os.fdopen(descriptor, "wb") as file:
        file.write(secrets.token_bytes(_LENGTH))
        file.flush()
        os.fsync(file.fileno())
    return _read(path)


def _read(path: Path) -> bytes:
    if os.name == "posix" and path.stat().st_mode & 0o077:
        raise BadSecret(
            f"{path} can be read by others: delete it, then phones that were let in scan anew"
        )
    found = path.read_bytes()
    if len(found) != _LENGTH:
        raise BadSecret(f"{path} is damaged: delete it, then phones that were let in scan anew")
    return found


class Signing:
    """Signs and knows again what was signed."""

    def __init__(self, secret: bytes) -> None:
        self._visitors = TimestampSigner(secret, salt="visitor", digest_method=hashlib.sha256)
        self._forms = Signer(secret, salt="form", digest_method=hashlib.sha256)

    def new_visitor(self) -> str:
        """The id of a visitor; it says nothing and cannot be guessed."""
        return secrets.token_hex(16)

    def cookie(self, visitor: str) -> str:
        """What a browser keeps of a visitor."""
        return self._visitors.sign(visitor).decode()

    def visitor(self, cookie: str) -> str | None:
        """The visitor of a cookie that was signed here and not long ago."""
        try:
            return self._visitors.unsign(cookie, max_age=KEPT_SECONDS).decode()
        except BadData:
            return None

    def form(self, visitor: str) -> str:
        """A new mark for a form of a visitor, signed."""
        mark = secrets.token_urlsafe(12)
        return mark + self._signature(visitor, mark)

    def mark(self, visitor: str, token: str) -> str | None:
        """The mark of a form that was given to this visitor; None for any other."""
        mark, signature = token[:16], token[16:]
        fits = secrets.compare_digest(
            self._signature(visitor, mark).encode(), signature.encode("utf-8", "replace")
        )
        return mark if fits else None

    def _signature(self, visitor: str, mark: str) -> str:
        return self._forms.get_signature(f"{visitor} {mark}").decode()
