"""What the checks of this folder rest on, besides the sources of the rule base."""

from __future__ import annotations

from pathlib import Path

import yaml

from diagnose.knowledge.model import Source

HERE = Path(__file__).parent


def own_sources() -> dict[str, Source]:
    """The sources of data/sources.yaml, each held to what a source of the rule base must say."""
    text = (HERE / "data" / "sources.yaml").read_text(encoding="utf-8")
    data = yaml.load(text, yaml.BaseLoader)
    read = [Source.model_validate(entry) for entry in data["sources"]]
    assert len({source.id for source in read}) == len(read)
    return {source.id: source for source in read}
