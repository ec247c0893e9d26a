"""`diagnose rules check` and `diagnose rules usual`."""

from __future__ import annotations

import argparse

from diagnose.commands import (
    DONE,
    PROBLEM,
    Misuse,
    Parsers,
    add_command,
    add_rules,
    print_json,
)
from diagnose.folders import leads_cache, shipped
from diagnose.knowledge.reading.command import base_of


def add_check(parts: Parsers[argparse.ArgumentParser]) -> None:
    """Add `rules check`."""
    its = add_command(
        parts,
        "check",
        "Check a rule base: first that it can be used, then what it means and where it is weak.",
        "diagnose rules check --rules my/ --strict",
        check,
    )
    add_rules(its)
    its.add_argument("--json", action="store_true", help="the result as JSON")
    its.add_argument("--strict", action="store_true", help="warnings fail as errors do")
    its.add_argument("--weakest", type=int, default=10, metavar="N", help="rows of the tables of"
                     " what is weak (10)")  # fmt: skip
    its.add_argument("--notes", action="store_true", help="show notes too, which never fail")
    its.add_argument("--explain", metavar="KIND", help="why a kind of problem matters, with"
                     " examples; 'all' lists them")  # fmt: skip


def check(options: argparse.Namespace) -> int:
    """Every problem of a rule base, each with its place, and what is weak."""
    from diagnose.knowledge.reading.load import read
    from diagnose.rulebook.judgement import judge

    if options.explain:
        return _explain(options.explain)
    reading = read(options.rules or shipped("rules"))
    if reading.base is None:
        if options.json:
            print_json({"problems": [judge.problem_data(p) for p in reading.problems]})
        else:
            print("\n".join(map(str, reading.problems)))
            count = len(reading.problems)
            print(f"{count} problem{'s' * (count != 1)}: the rule base cannot be used.")
        return PROBLEM
    found = judge.judge(reading.base, leads_cache())
    if options.json:
        print_json(judge.data(found, options.weakest))
    else:
        print(judge.text(found, options.weakest, options.notes), end="")
    fails = found.number("error") or (options.strict and found.number("warning"))
    return PROBLEM if fails else DONE


def _explain(kind: str) -> int:
    from diagnose.near import near
    from diagnose.rulebook.judgement.judge import ALL, manual

    known = {anomaly.id: anomaly for anomaly in ALL}
    if kind == "all":
        for anomaly in ALL:
            print(f"{anomaly.severity:8} {anomaly.id}: {anomaly.why}")
        return DONE
    if kind not in known:
        raise Misuse(f"no kind of problem is called '{kind}'{near(kind, set(known))}")
    print(manual(known[kind]), end="")
    return DONE


def add_usual(parts: Parsers[argparse.ArgumentParser]) -> None:
    """Add `rules usual`."""
    its = add_command(
        parts,
        "usual",
        "Play the most usual car of a cause: what it shows, what is asked, who wins and by what.",
        "diagnose rules usual pulled_to_edge",
        usual,
    )
    its.add_argument("cause", nargs="?", metavar="CAUSE", help="without it, a table of the causes"
                     " that lose their own case")  # fmt: skip
    add_rules(its)
    its.add_argument("--json", action="store_true", help="the result as JSON")


def usual(options: argparse.Namespace) -> int:
    """The most usual cars."""
    from diagnose.near import near
    from diagnose.rulebook.change.replay import Replay
    from diagnose.rulebook.judgement import usual_told
    from diagnose.rulebook.judgement.usual import all_won

    base = base_of(options.rules)
    replay = Replay(base)
    if options.cause is None:
        every = all_won(replay)
        if options.json:
            print_json([usual_told.won_data(base, won) for won in every])
        else:
            print(usual_told.losers_text(base, every), end="")
        return DONE
    if options.cause not in base.causes:
        hint = near(options.cause, set(base.causes))
        raise Misuse(f"no cause is called '{options.cause}'{hint}")
    cases = usual_told.played(replay, options.cause)
    if options.json:
        print_json(usual_told.data(base, cases))
    else:
        print(usual_told.text(base, cases), end="")
    return DONE
