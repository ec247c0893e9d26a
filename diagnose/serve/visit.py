"""The process behind one visitor's page: `python -m diagnose.serve.visit RECORDS [RULES]`."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path


def main(arguments: Sequence[str]) -> None:
    """Run the screens; whose cases are shown comes by the environment ('' shows all)."""
    from diagnose.folders import rules_cache, shipped
    from diagnose.knowledge.reading.load import load
    from diagnose.reasoning.diagnose import Reasoner
    from diagnose.records.store.store import Store
    from diagnose.terminal.callback.app import CallbackApp

    records, *rules = arguments
    reasoner = Reasoner(load(Path(rules[0]) if rules else shipped("rules"), rules_cache()))
    owner = os.environ.get("DIAGNOSE_VISITOR") or None
    with Store.open(Path(records)) as store:
        CallbackApp(reasoner, store, lambda: datetime.now().astimezone(), owner=owner).run()


if __name__ == "__main__":
    main(sys.argv[1:])
