"""Print the table: each way of mapping, and every row decided otherwise than by both clerks."""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from diagnose.folders import rules_cache, shipped
from diagnose.knowledge.reading.load import load
from tests.outside.claims.verdicts import agreed, decided, score, verdicts


def main() -> None:
    """Score the shipped base."""
    base = load(shipped("rules"), rules_cache())
    one, other = verdicts("a"), verdicts("b")
    same = agreed()
    print(f"{len(one)} and {len(other)} verdicts, {len(same)} alike")
    for as_proposed in (True, False):
        with TemporaryDirectory() as folder:
            found = dict(decided(base, Path(folder), as_proposed))
        its = score(found)
        print(
            f"{'as proposed' if as_proposed else 'as corrected'}: {its.alike} of {its.rows} as the"
            f" clerks ({100 * its.alike / its.rows:.0f} %); wrong accepts {its.wrong_accepts}, wrong"
            f" declines {its.wrong_declines}; questions {its.questions}"
            f" ({100 * its.questions / its.rows:.0f} %), where the clerks decide"
            f" {its.questions_where_clerks_decide}; with what to ask {its.told_whom}"
        )
        if "--rows" in sys.argv:
            for claim, wanted in same.items():
                row = found.get(claim, {"decision": "missing"})
                if row["decision"] != wanted:
                    print(" ", *claim, "| clerks:", wanted, "| program:", row["decision"], "|",
                          row.get("because"), "|", row.get("symptom_named"), "|",
                          row.get("cause_1"), row.get("cause_1_percent"), "|",
                          row.get("payer_percent"), row.get("not_answered_percent"),
                          "|", row.get("contradictions"))  # fmt: skip


if __name__ == "__main__":
    main()
