"""What a document says as JSON, for other programs."""

from __future__ import annotations

import json

from diagnose.report.formats.blocks import Document, Paper


def render(document: Document, paper: Paper) -> bytes:
    """The document's data as UTF-8 bytes; paper has no say in it."""
    return (json.dumps(document.data, ensure_ascii=False, indent=1) + "\n").encode()
