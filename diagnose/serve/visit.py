"""The process behind one visitor's page: `python -m diagnose.serve.visit RECORDS [RULES]`."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path


def main(arguments: Sequence[str]) -> None:
    """Run the screens; whose cases are shown comes by the environment ('' shows all)."""
    from diagnose.knowledge.load import load
    from diagnose.reasoning.diagnose import Reasoner
    from diagnose.records.store import Store
    from diagnose.terminal.app import CallbackApp
    from diagnose.where import rules_cache, shipped

    records, *rules = arguments
    reasoner = Reasoner(load(Path(rules[0]) if rules else shipped("rules"), rules_cache()))
    owner = os.environ.get("DIAGNOSE_VISITOR") or None
    with Store.open(Path(records)) as store:
        CallbackApp(reasoner, store, lambda: datetime.now().astimezone(), owner=owner).run()


if __name__ == "__main__":
    main(sys.argv[1:])
