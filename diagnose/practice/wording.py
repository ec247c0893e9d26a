"""What both faces of the practice say: the case as it came in, the feedback, the progress."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, says
from diagnose.knowledge.panels import PANELS
from diagnose.practice.items.bank import Item
from diagnose.practice.progress.drills import Drill, Marking
from diagnose.practice.progress.progress import Attempt, Progress
from diagnose.practice.progress.schedule import CAUSE, cards_standing, causes_of
from diagnose.practice.session.belief import Belief
from diagnose.practice.session.feedback import Feedback, Missed, Step
from diagnose.practice.session.score import PAYER, REMEDY, Score
from diagnose.practice.session.session import Session
from diagnose.reasoning.explanation.explain import cause_name

FACT_NAMES = {
    "vehicle": "Vehicle",
    "film": "Film",
    "laid_on": "Laid on",
    "handed_on": "Handed over on",
    "seen_on": "Seen on",
    "place": "Place",
}

TOLD_SOMETHING = 0.05
"""Bits from which a check told something, whatever was to be expected: shown as 0.1, not 0.0."""

SCORING = (
    "Belief earns from −100 to 100 by the quadratic score (Brier), 100·(1 − Σ(p − o)²), reckoned"
    " over what the evidence you had seen supports. So say what you truly believe: nothing earns"
    " more, and a lucky guess earns nothing extra. The first remedy earns up to 20 and the payer up"
    " to 10, by how likely each is right with what you had seen. Each working minute costs 0.2, a"
    " check that harms a little 2, a destructive one 10, a remedy that makes it worse 20."
)


def opening(base: Base, item: Item) -> tuple[str, ...]:
    """The case as it came in."""
    symptom = base.symptoms[item.symptom]
    facts = [f"{FACT_NAMES[f]}: {item.facts[f]}" for f in FACT_NAMES if f in item.facts]
    lines = ["; ".join(facts)] if facts else []
    if "remark" in item.facts:
        lines.append(f'Said at the counter: "{item.facts["remark"]}"')
    lines += [f"Complaint: {symptom.name}, {PANELS[item.panel].lower()}.", symptom.look]
    return (*lines, *(f"Known: {base.checks[c].name}: {_says(base, c, item)}" for c in item.given))


def _says(base: Base, check: str, item: Item) -> str:
    return says(base.checks[check], item.given[check])


def looked(base: Base, session: Session) -> tuple[str, ...]:
    """What was found out so far, with the minutes."""
    lines = []
    for look in session.looks:
        check = base.checks[look.check]
        lines.append(f"{check.name}: {look_words(base, session.item, look.check)}")
    harms = [base.checks[c].name for c in session.harms(base)]
    harmed = f"; harm done by: {', '.join(harms)}" if harms else ""
    minutes = session.minutes(base)
    so_far = f"{minutes:g} working minute{'' if minutes == 1 else 's'} so far"
    return (*lines, f"{so_far}{harmed}.")


def look_words(base: Base, item: Item, check: str) -> str:
    """What the record answers."""
    answer = item.answer(check)
    if answer is UNKNOWN:
        return "the record does not say"
    return says(base.checks[check], answer)


def harm_words(harm: str) -> str:
    """What a check does to film or paint, to stand behind its minutes."""
    return {"none": "", "minor": ", slight harm"}.get(harm, f", {harm}")


def check_line(base: Base, check: str) -> str:
    """A check with what it costs."""
    found = base.checks[check]
    harm = harm_words(found.harm)
    return f"{found.name} ({found.minutes:g} min{harm})"


def belief_words(base: Base, belief: Belief, most: int = 4) -> str:
    """A belief in few words, the likeliest first."""
    ranked = sorted(belief.items(), key=lambda pair: (-pair[1], pair[0]))[:most]
    return "; ".join(f"{cause_name(base, c)} {p:.0%}" for c, p in ranked if p >= 0.005)


# Feedback


def feedback_lines(base: Base, found: Feedback) -> tuple[str, ...]:
    """Everything that is told after a session."""
    parts = (
        ("Verdict", _verdict(base, found.session)),
        ("Why it happens", why_lines(base, found)),
        ("Score", score_lines(found.score)),
        ("Your path", path_lines(base, found.yours)),
        (
            "The path by what tells most for its minutes, of what this record can tell",
            path_lines(base, found.engine),
        ),
        ("Your belief in the right cause", _moves(found)),
        ("The sign you missed", missed_lines(base, found.missed)),
        ("What this case teaches", [found.session.item.lesson or "No lesson was written down."]),
    )
    lines: list[str] = []
    for title, its in parts:
        lines += ["", title, *(f"  {line}" for line in its)]
    return tuple(lines[1:])


def why_lines(base: Base, found: Feedback) -> Iterator[str]:
    """The physics of the right cause, what told it from another, and how that is checked."""
    for name in found.session.item.right:
        if name in base.causes:
            yield f"{base.causes[name].plainly} {base.causes[name].mechanism}"
    if found.apart:
        check = base.checks[found.apart.check]
        answer = found.session.item.answer(check.id)
        yield (
            f"What told it from '{cause_name(base, found.apart.other)}': {check.name},"
            f" {says(check, answer)}. {found.apart.because}"
        )
        yield f"How that is done: {check.how}"


def _verdict(base: Base, session: Session) -> Iterator[str]:
    item, decision = session.item, session.decision
    assert decision is not None
    right = " and ".join(cause_name(base, c) for c in item.right)
    hit = "Right" if decision.cause in item.right else "Not so"
    yield f"{hit}: you named {cause_name(base, decision.cause)}; it was {right}."
    yield f"Confirmed by: {item.outcome.confirmed_by}"
    if item.outcome.remedy:
        held = {True: ", and it held", False: ", and it did not hold", None: ""}[item.outcome.held]
        chosen = _remedy(base, decision.remedy)
        yield f"Done: {_remedy(base, item.outcome.remedy)}{held}. You chose: {chosen}."
    if item.outcome.payer:
        paid = base.payers[item.outcome.payer].name
        yield f"Paid by: {paid}. You said: {_payer(base, decision.payer)}."
    yield f"Worked case: {item.title}{f' ({item.twist})' if item.twist else ''}."


def _remedy(base: Base, remedy: str) -> str:
    return base.remedies[remedy].name if remedy else "no remedy"


def _payer(base: Base, payer: str) -> str:
    return base.payers[payer].name if payer else "nobody"


def score_lines(score: Score) -> tuple[str, ...]:
    """The points, one line for each part, each with what it was reckoned by."""
    luck = "by what you had seen there was no luck in it"
    if abs(score.luck) >= 1:
        word = "good" if score.luck > 0 else "bad"
        luck = f"how this case ended would have made {score.luck:+.0f}, {word} luck, not counted"
    return (
        f"{score.total:.0f} points in all, reckoned by what you had seen and been told",
        f"belief {score.belief:+.0f}; the best belief {score.possible:+.0f}; {luck}",
        f"first remedy {score.remedy:.0f} of {REMEDY:.0f}, payer {score.payer:.0f} of {PAYER:.0f}",
        f"minutes −{score.minutes:.1f}, harm −{score.harm:.0f}",
    )


def path_lines(base: Base, steps: Sequence[Step]) -> tuple[str, ...]:
    """A path, check by check."""
    lines = [f"{n}. {_step(base, step)}" for n, step in enumerate(steps, 1)]
    minutes = sum(step.minutes for step in steps)
    told = sum(step.told for step in steps)
    if not steps:
        return ("No check.",)
    total = f"{counted(len(steps), 'check')}, {minutes:g} min, {told:.1f} bits told"
    return (*lines, f"{total} (one bit halves what is open).")


def _step(base: Base, step: Step) -> str:
    check = base.checks[step.check]
    if step.answer is UNKNOWN:
        told = "the record does not say"
    else:
        leads = f"{cause_name(base, step.leading)} then leads with {step.chance:.0%}"
        told = f"{says(check, step.answer)}; told {step.told:.1f} bits, {leads}"
    harm = harm_words(step.harm)
    words = f"{check.name} ({step.minutes:g} min{harm}): {told}."
    if step.expected == 0 and step.told < TOLD_SOMETHING and step.speaks:
        words += " It moved little here, and it speaks for what it was."
    elif step.expected == 0 and step.told < TOLD_SOMETHING:
        words += " Wasted: hardly anything was to be expected of it at this point."
    elif step.expected == 0:
        words += " Hardly anything was to be expected of it here; it told something all the same."
    if step.better:
        name, bits = step.better
        words += f" More for its minutes: {base.checks[name].name}, {bits:.1f} bits expected."
    return words


def _moves(found: Feedback) -> Iterator[str]:
    for move in found.moves:
        yield (
            f"after {counted(move.after, 'check')}: yours {move.stated:.0%}, by what you had seen"
            f" {move.ought:.0%}"
        )


def missed_lines(base: Base, missed: Missed | None) -> tuple[str, ...]:
    """The sign that was missed, with its reason."""
    if missed is None:
        return ("None: you looked at everything that spoke for it.",)
    names = ", ".join(base.checks[c].name for c in missed.checks)
    how = "you saw it, and named another cause" if missed.seen else _not_looked(base, missed)
    source = ", ".join(missed.source)
    return (f"{names} ({how}).", f"{missed.because} ({missed.decibans:+.1f} dB; source: {source})")


def _not_looked(base: Base, missed: Missed) -> str:
    """Which of the checks of a sign nobody did."""
    if missed.unseen == missed.checks:
        return "you did not look at it"
    return f"you did not look at: {', '.join(base.checks[c].name for c in missed.unseen)}"


def counted(number: int, of: str) -> str:
    """A number of something: '1 case', '2 cases'."""
    return f"{number} {of}" if number == 1 else f"{number} {of}s"


# Drills


def marking_lines(base: Base, drill: Drill, marking: Marking) -> tuple[str, ...]:
    """What was right, missed and wrong in a drill, with the reasons."""
    names = {option.id: option.says for option in drill.options}
    lines = [_share(drill, marking)] if drill.several else []
    lines += [f"Right: {names[i]}. {drill.because[i]}" for i in marking.found]
    missed = "Missed" if drill.several else "It is"
    lines += [f"{missed}: {names[i]}. {drill.because[i]}" for i in marking.missed]
    lines += [f"Not so: {names[i]}. {drill.because[i]}" for i in marking.wrong]
    return tuple(lines)


def _share(drill: Drill, marking: Marking) -> str:
    found = f"{len(marking.found)} of {len(drill.right)} found"
    wrong = f", {len(marking.wrong)} taken in error" if marking.wrong else ""
    return f"{found}{wrong}: {marking.share:.0%} right."


# Progress


def progress_lines(base: Base, progress: Progress, now: datetime) -> tuple[str, ...]:
    """How an apprentice stands."""
    if not progress.attempts:
        return ("Nothing practised yet.",)
    parts = (
        ("Cases", _sessions(progress)),
        ("Causes", _causes(base, progress, now)),
        ("Taken for one another", _confused(base, progress)),
        ("How sure against how often right", _calibration(progress)),
    )
    lines: list[str] = []
    for title, its in parts:
        lines += ["", title, *(f"  {line}" for line in its)]
    return tuple(lines[1:])


def _sessions(progress: Progress) -> Iterator[str]:
    cases = progress.cases
    drilled = len(progress.attempts) - len(cases)
    yield f"{counted(len(cases), 'case')} and {counted(drilled, 'drill')} practised."
    if cases:
        last = cases[-10:]
        yield f"Causes right: {sum(a.hit for a in cases)} of {len(cases)}."
        yield f"Points a case: {_mean(cases):.0f}; in the last {len(last)}: {_mean(last):.0f}."
    yield f"Practising up to grade: {progress.grade()}."


def _mean(attempts: Sequence[Attempt]) -> float:
    return sum(a.points for a in attempts) / len(attempts)


def _causes(base: Base, progress: Progress, now: datetime) -> Iterator[str]:
    standings = cards_standing(progress.cards, now)
    for word in ("known", "fading", "learning"):
        its = [n for n, s in standings.items() if s == word and n.startswith(CAUSE)]
        names = [_name(base, causes_of(n)[0]) for n in its]
        if names:
            yield f"{word} ({len(names)}): {'; '.join(sorted(names))}"


def _confused(base: Base, progress: Progress) -> Iterator[str]:
    for (one, other), count in progress.confused()[:10]:
        names = f"{_name(base, one)} / {_name(base, other)}"
        yield f"{names}: {counted(count, 'time')}"
    if not progress.confused():
        yield "None."


def _name(base: Base, cause: str) -> str:
    """A cause by its name; one that the rule base no longer has by its id."""
    return base.causes[cause].name if cause in base.causes else cause.replace("_", " ")


def _calibration(progress: Progress) -> Iterator[str]:
    for band in progress.calibration():
        yield f"said {band.said:.0%}: right in {band.right:.0%} of {band.count}"
