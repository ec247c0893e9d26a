"""The table of published complaints: `python -m tests.outside.real [study|judging] [--each]`.

Figures only; `--each` lists every entry of the study half (never of the judging half, which is
scored and not read).
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from statistics import median

from diagnose.folders import shipped
from diagnose.knowledge.base import Base
from diagnose.knowledge.reading.load import load
from tests.outside.real.entries import HALVES, Half
from tests.outside.real.score import MANY, Scored, fifths, log_score, scored, shares


def _share(part: int, whole: int) -> str:
    return f"{part} of {whole} ({part / whole:.0%})" if whole else "none"


def _places(name: str, places: Sequence[int | None]) -> str:
    known = [p for p in places if p is not None]
    found = shares(known)
    if not known:
        return f"  {name:34} –"
    return (
        f"  {name:34} first {found.first:4.0%}   first three {found.three:4.0%}   of {found.count}"
    )


def lines(base: Base, half: Half, found: Sequence[Scored]) -> Iterator[str]:
    """The table of one half."""
    stated = [s for s in found if s.stated]
    listed = [s for s in stated if s.listed]
    many = [s for s in listed if s.count >= MANY]
    held = [s.held for s in found if s.held]
    seen = sum(h.full + h.part + h.none for h in held)
    yield f"\n{half.name} half: {len(found)} entries from {len({s.entry.page for s in found})} pages"
    yield f"  single events                      {_share(sum(s.entry.kind == 'A' for s in found), len(found))}"
    yield f"  with a stated cause                {len(stated)}"
    yield f"  observations held in full          {_share(sum(h.full for h in held), seen)}"
    yield f"  in part                            {_share(sum(h.part for h in held), seen)}"
    yield f"  cause missing                      {_share(len(stated) - len(listed), len(stated))}"
    off = sum(not s.behind for s in listed)
    yield f"  cause not behind the symptom       {_share(off, len(listed))}"
    yield _places("told all, of all stated", [s.told.place if s.listed else 0 for s in stated])
    yield _places("told all, with an entry", [s.told.place for s in listed])
    yield _places(f"told all, {MANY} answers and more", [s.told.place for s in many])
    yield _places("specialist on the answers", [s.answers for s in listed])
    yield _places("specialist on the text", [s.text for s in listed])
    yield _places(f"on the answers, {MANY} and more", [s.answers for s in many])
    yield f"  log score (told, with an entry)    {log_score([s.told for s in listed]):.3f}"
    yield from _asking(listed)
    yield "  stated against right, told all (of all stated)"
    for low, count, says, right in fifths(s.told for s in stated):
        yield f"    {low:3.0%} to {low + 0.2:4.0%}   {count:4}   says {says:4.0%}   right {right:4.0%}"
    abstain = [s for s in found if not s.stated]
    clear = sum(
        s.told.leading_probability * 100 >= base.scales.leads_clearly_percent for s in abstain
    )
    yield f"  cannot be told, yet called clear   {_share(clear, len(abstain))}"


def _asking(listed: Sequence[Scored]) -> Iterator[str]:
    trials = [s.asking for s in listed if s.asking]
    if trials:
        yield _places("asking, with an entry", [t.place for t in trials])
        checks, minutes = [t.checks for t in trials], [t.minutes for t in trials]
        yield f"  asking: median checks, minutes     {median(checks):g}, {median(minutes):g}"


def each(found: Sequence[Scored]) -> Iterator[str]:
    """Every entry in a line."""
    for s in found:
        place = "abstain" if not s.stated else "missing" if not s.listed else str(s.told.place)
        yield (
            f"{s.entry.id:6}{s.told.symptom:26}{s.count:3} answers  {s.told.leading:28}"
            f"{s.told.leading_probability:5.0%}  {place:8} answers {s.answers} text {s.text}"
            f"  {', '.join(s.mapped.accept)}"
        )


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(prog="python -m tests.outside.real")
    parser.add_argument("half", nargs="*", choices=[*HALVES, []], help="one half; as given both")
    parser.add_argument("--each", action="store_true", help="every entry of the study half")
    parser.add_argument("--told", action="store_true", help="told all only, which is quick")
    options = parser.parse_args()
    base = load(shipped("rules"))
    for name in options.half or HALVES:
        half = Half(name)
        found = scored(base, half, asking=not options.told)
        print("\n".join(lines(base, half, found)))
        if options.each and name == "study":
            print("\n".join(each(found)))


if __name__ == "__main__":
    main()
