"""What both faces of the practice say: the case as it came in, the feedback, the progress."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from diagnose.knowledge.base import Base
from diagnose.knowledge.logic.answers import UNKNOWN, says
from diagnose.knowledge.logic.said import word
from diagnose.knowledge.panels import PANELS
from diagnose.practice.drills.drill import Drill, Marking
from diagnose.practice.items.bank import PracticeItem
from diagnose.practice.session.belief import Belief
from diagnose.practice.session.feedback import Feedback, Missed, PathStep
from diagnose.practice.session.score import PAYER, REMEDY, Score
from diagnose.practice.session.session import Session
from diagnose.reasoning.explanation.explain import cause_name
from diagnose.rounding import in_whole

FACT_NAMES = {
    "vehicle": "Vehicle",
    "film": "Film",
    "laid_on": "Laid on",
    "handed_on": "Handed over on",
    "seen_on": "Seen on",
    "place": "Place",
}

PLACES = {
    "at_car": "At the car",
    "in_bay": "In the bay",
    "paperwork": "Papers and people",
    "lab": "Laboratory",
}
"""Where checks are done, in the order in which they are listed."""

SHORTEST_WORD = 3
"""Letters from which a word is looked for in checks."""

TOLD_SOMETHING = 0.05
"""How far a check has to move what ought to be believed (in bits) to have told anything."""

_TOLD = ((1.0, "very much"), (0.4, "much"), (0.15, "something"), (TOLD_SOMETHING, "a little"))

SCORING = (
    "Belief earns from −100 to 100: for each cause the difference between the chance you gave it"
    " and what is so is squared, and the squares are taken off. It is reckoned over what the"
    " evidence you had seen supports. So say what you truly believe: nothing earns"
    " more. Naming the right cause never costs, and naming a wrong one never earns. The first"
    " remedy earns up to 20 and the payer up to 10, by how likely each is right with what you had"
    " seen. Each working minute costs 0.2, a check that harms a little 2, a destructive one 10, a"
    " remedy that makes it worse 20."
)


def opening(base: Base, item: PracticeItem) -> tuple[str, ...]:
    """The case as it came in."""
    symptom = base.symptoms[item.symptom]
    facts = [f"{FACT_NAMES[f]}: {item.facts[f]}" for f in FACT_NAMES if f in item.facts]
    lines = ["; ".join(facts)] if facts else []
    if "remark" in item.facts:
        lines.append(f'Said at the counter: "{item.facts["remark"]}"')
    lines += [f"Complaint: {symptom.name}, {PANELS[item.panel].lower()}.", symptom.look]
    return (*lines, *(f"Known: {base.checks[c].name}: {_says(base, c, item)}" for c in item.given))


def _says(base: Base, check: str, item: PracticeItem) -> str:
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


def look_words(base: Base, item: PracticeItem, check: str) -> str:
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


def by_place(base: Base, checks: Iterable[str]) -> list[str]:
    """Checks grouped by where they are done, by name in each place."""
    places = list(PLACES)
    its = base.checks
    return sorted(checks, key=lambda name: (places.index(its[name].place), its[name].name))


def with_word(base: Base, checks: Sequence[str], word: str) -> list[str]:
    """The checks with a word in their name; where none has, those that ask for it."""
    if len(word) < SHORTEST_WORD:
        return []
    its = base.checks
    named = [c for c in checks if word in its[c].name.casefold()]
    return named or [c for c in checks if word in its[c].ask.casefold()]


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
        ("Score", (*score_lines(found.score), *_unsettled(found))),
        ("Your path, and what each check told", path_lines(base, found.yours)),
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
    yield from apart_lines(base, found)
    if found.contrast:
        yield _contrast(base, found)


def apart_lines(base: Base, found: Feedback) -> Iterator[str]:
    """The one sign that told the cause from what was believed, and how it is checked."""
    if found.apart:
        check = base.checks[found.apart.check]
        answer = found.session.item.answer(check.id)
        yield (
            f"What told it from '{cause_name(base, found.apart.other)}': {check.name},"
            f" {says(check, answer)}. {found.apart.because}"
        )
        yield f"How that is done: {check.how}"


def _contrast(base: Base, found: Feedback) -> str:
    """What told this case from the one before, which looked the same and was something else."""
    contrast, item = found.contrast, found.session.item
    assert contrast is not None
    before = contrast.before
    head = (
        f"The case before was {base.symptoms[before.symptom].name.lower()} too, and it was"
        f" '{cause_name(base, before.right[0])}'."
    )
    if not contrast.check:
        how = f"here '{item.outcome.confirmed_by}', there '{before.outcome.confirmed_by}'"
        return f"{head} No check of both records tells the two apart; what was done did: {how}."
    check = base.checks[contrast.check]
    here, there = (says(check, i.answer(check.id)) for i in (item, before))
    return f"{head} What tells the two apart: {check.name}, here {here}, there {there}."


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


WORTH_TELLING = 5
"""Points of luck from which it is told."""


def score_lines(score: Score) -> tuple[str, ...]:
    """The points, one line for each part, each with what it was reckoned by."""
    luck = ""
    if abs(score.luck) >= WORTH_TELLING:
        ended, word = score.reckoned + score.luck, "good" if score.luck > 0 else "bad"
        luck = (
            f"; held against how this case ended it would be {round(ended)}, which is {word} luck"
            " and not counted"
        )
    parts = (score.belief, score.remedy, score.payer, -score.minutes, -score.harm)
    belief, remedy, payer, minutes, harm = in_whole(parts)
    return (
        f"{counted(sum((belief, remedy, payer, minutes, harm)), 'point')}: belief {belief}, remedy"
        f" {remedy} of {REMEDY:.0f}, payer {payer} of {PAYER:.0f}; taken off {-minutes} for minutes"
        f" and {-harm} for harm",
        f"belief: by what you had seen and been told yours was worth {round(score.reckoned)} of at"
        f" most {score.possible:.0f}{_bounded(score)}{luck}",
    )


def _unsettled(found: Feedback) -> tuple[str, ...]:
    """That a record does not lead to what was confirmed, where that is so."""
    if found.settled:
        return ()
    return (
        "All that was recorded does not lead to it: it came out later. So your belief is held"
        " against what was confirmed.",
    )


def _bounded(score: Score) -> str:
    """Why the belief counts otherwise than it was reckoned."""
    if score.belief > score.reckoned:
        return ", but naming the right cause never costs"
    if score.belief < score.reckoned:
        return ", but naming a wrong cause never earns"
    return ""


def path_lines(base: Base, steps: Sequence[PathStep]) -> tuple[str, ...]:
    """A path, check by check; what would have told more is named when it first would have."""
    if not steps:
        return ("No check.",)
    named: set[str] = set()
    lines = []
    for number, step in enumerate(steps, 1):
        words = _step(base, step)
        if step.better and step.better[0] not in named:
            named.add(step.better[0])
            words += f" More for its minutes: {base.checks[step.better[0]].name}."
        lines.append(f"{number}. {words}")
    minutes = sum(step.minutes for step in steps)
    return (*lines, f"{counted(len(steps), 'check')}, {minutes:g} min.")


def _step(base: Base, step: PathStep) -> str:
    check = base.checks[step.check]
    if step.answer is UNKNOWN:
        told = "the record does not say"
    else:
        leads = f"{cause_name(base, step.leading)} then leads with {step.chance:.0%}"
        told = f"{says(check, step.answer)}; told {_much(step.told)}, {leads}"
    harm = harm_words(step.harm)
    words = f"{check.name} ({step.minutes:g} min{harm}): {told}."
    if step.expected == 0 and step.told < TOLD_SOMETHING and step.speaks:
        words += " It moved little here, and it speaks for what it was."
    elif step.expected == 0 and step.told < TOLD_SOMETHING:
        words += " Wasted: hardly anything was to be expected of it at this point."
    elif step.expected == 0:
        words += " Hardly anything was to be expected of it here; it told something all the same."
    return words


def _much(bits: float) -> str:
    """How much a check told, in words."""
    return next((words for least, words in _TOLD if bits >= least), "nothing new")


def _moves(found: Feedback) -> Iterator[str]:
    for move in found.moves:
        ought = f", by what you had seen {move.ought:.0%}" if found.settled else ""
        yield f"after {counted(move.after, 'check')}: yours {move.stated:.0%}{ought}"


_SIGNS = {
    "barely": "a slight sign",
    "substantial": "a clear sign",
    "strong": "a strong sign",
    "decisive": "a decisive sign",
}


def missed_lines(base: Base, missed: Missed | None) -> tuple[str, ...]:
    """The sign that was missed, with its reason."""
    if missed is None:
        return ("None of weight: you looked at what spoke for it.",)
    names = ", ".join(base.checks[c].name for c in missed.checks)
    how = "you saw it, and named another cause" if missed.seen else _not_looked(base, missed)
    source = ", ".join(missed.source)
    strength = word(base.scales, missed.decibans)
    return (f"{names} ({how}).", f"{missed.because} ({_SIGNS[strength]}; source: {source})")


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
    wrong = f", {len(marking.wrong)} in error, which takes some back" if marking.wrong else ""
    return f"{found}{wrong}: {marking.share:.0%} right."
