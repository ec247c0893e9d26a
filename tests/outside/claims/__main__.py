"""Print the table: each way of mapping, and every row decided otherwise than by both clerks.

Of the claims that rules are judged by, the figures alone.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from diagnose.folders import rules_cache, shipped
from diagnose.knowledge.reading.load import load
from tests.outside.claims.make_sheets import JUDGING, SECOND, STUDY, THIRD, Sheets
from tests.outside.claims.verdicts import Claim, agreed, as_clerks, decided, score, verdicts

SETS = (
    ("written by", STUDY),
    ("written by, second", SECOND),
    ("written by, third", THIRD),
    ("judged by", JUDGING),
)


def main() -> None:
    """Score the shipped base."""
    base = load(shipped("rules"), rules_cache())
    for name, sheets in SETS:
        one, other = verdicts("a", sheets), verdicts("b", sheets)
        print(f"{name}: {len(one)} and {len(other)} verdicts, {len(agreed(sheets))} alike")
        for as_proposed in (True, False) if sheets is STUDY else (True,):
            with TemporaryDirectory() as folder:
                found = dict(decided(base, Path(folder), as_proposed, sheets))
            print(_line(found, as_proposed, sheets))
            if "--rows" in sys.argv and sheets is not JUDGING:
                print("\n".join(_rows(found, sheets)))


def _line(found: Mapping[Claim, Mapping[str, str]], as_proposed: bool, sheets: Sheets) -> str:
    its = score(found, sheets)
    return (
        f"{'as proposed' if as_proposed else 'as corrected'}: {its.alike} of {its.rows} as the"
        f" clerks ({100 * its.alike / its.rows:.0f} %); wrong accepts {its.wrong_accepts}, wrong"
        f" declines {its.wrong_declines}; questions {its.questions}"
        f" ({100 * its.questions / its.rows:.0f} %), where the clerks decide"
        f" {its.questions_where_clerks_decide}; with what to ask {its.told_whom}"
    )


def _rows(found: Mapping[Claim, Mapping[str, str]], sheets: Sheets) -> Iterator[str]:
    rows = agreed(sheets)
    for claim, wanted in rows.items():
        row = found.get(claim, {"decision": "missing"})
        if as_clerks(row["decision"], {*rows.values()}) != wanted:
            told = ("because", "symptom_named", "cause_1", "cause_1_percent", "payer_percent",
                    "not_answered_percent", "contradictions")  # fmt: skip
            each = " | ".join(str(row.get(name)) for name in told)
            yield f"  {' '.join(claim)} | clerks: {wanted} | program: {row['decision']} | {each}"


if __name__ == "__main__":
    main()
