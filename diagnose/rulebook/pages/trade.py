"""Pages of symptoms, causes, remedies, payers, cautions and sources."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.knowledge.base import Base
from diagnose.knowledge.model import (
    Cause,
    Caution,
    Evidence,
    Payer,
    Remedy,
    Sign,
    Source,
    Symptom,
)
from diagnose.knowledge.model.source import WEIGHTS
from diagnose.reasoning.explanation.inseparable import reasons
from diagnose.rulebook.pages.page import (
    Block,
    EntryPage,
    Grid,
    ItemList,
    Words,
    full,
    joined,
)
from diagnose.rulebook.pages.wording import Library


def symptom_page(library: Library, symptom: Symptom) -> EntryPage:
    """How it looks, what it is mistaken for, what is normal, what lies behind it."""
    from diagnose.report.drawings import SYMPTOM_SCENES

    return EntryPage(
        kind="symptom",
        id=symptom.id,
        name=symptom.name,
        place=library.place(symptom.id),
        lead=symptom.look,
        facts=(
            ("Appears", (symptom.appears,)),
            ("Where", (symptom.where,)),
            *(("Also called", (", ".join(symptom.also_called),)) for _ in symptom.also_called[:1]),
            ("Source", library.sources(symptom.source)),
        ),
        blocks=full((
            Block("What lies behind it", _behind_symptom(library, symptom)),
            Block("What tells most at the start", _first(library, symptom)),
            Block("Not told apart at the car", _inseparable(library, symptom=symptom.id)),
            Block("Mistaken for", _confused(library, symptom)),
            Block("Cautions", library.refs(symptom.cautions)),
            Block(
                "What looks like it and is normal",
                ItemList(tuple(
                    (f"{n.seen} {n.normal_when} (", *library.sources(n.source), ")")
                    for n in symptom.normal
                )),
            ),
            library.referrers(symptom.id),
        )),
        group=symptom.group,
        drawn=symptom.id in SYMPTOM_SCENES,
    )  # fmt: skip


MOST_FIRST = 6
"""How many checks are named that tell most at the start."""


def _first(library: Library, symptom: Symptom) -> ItemList:
    """The checks that tell most for their time while nothing is known."""
    asks = dict.fromkeys(q.asks for q in library.first_questions(symptom.id))
    return ItemList(tuple(library.refs(a) for a in list(asks)[:MOST_FIRST]), numbered=True)


def _behind_symptom(library: Library, symptom: Symptom) -> Grid:
    base = library.base
    shares = _shares(base, symptom.id)
    ranked = sorted(
        zip(base.priors(symptom.id), shares, base.behind(symptom.id), strict=False),
        key=lambda its: (-its[0], its[2].name),
    )
    rows: list[tuple[Words, ...]] = [
        (
            (library.ref(c.id),),
            (f"{base.scales.how_often(c.behind[symptom.id])} ({share})",),
            (c.plainly,),
        )
        for _, share, c in ranked
    ]
    rest = (("something that is not listed here",), (f"({shares[-1]})",), ())
    return Grid(("Cause", "How often", "In plain words"), (*rows, rest))


def _shares(base: Base, symptom: str) -> list[str]:
    """Shares of the causes as they stand, with what was judged and what closed cases counted."""
    now, counted = base.priors(symptom), base.confirmed(symptom)
    if not sum(counted):
        return [f"{share:.1%}" for share in now]
    judged, cases = base.judged.priors(symptom), sum(counted)
    return [
        f"{share:.1%}; judged {words:.1%}, {number:g} of {cases:g} closed cases"
        for share, words, number in zip(now, judged, counted, strict=True)
    ]


def _confused(library: Library, symptom: Symptom) -> Grid:
    rows = []
    for other in symptom.confused_with:
        seen: Words = ()
        if other.check is not None:
            said = " or ".join(library.says(other.check, a) for a in other.answers)
            seen = (library.ref(other.check), f": {said}" if said else "")
        rows.append(((library.ref(other.symptom),), (other.tells,), seen))
    return Grid(("With", "What tells", "It is the other when"), tuple(rows))


def cause_page(library: Library, cause: Cause) -> EntryPage:
    """Why it happens, what speaks for and against it, what to do, who pays, how to prevent it."""
    pays = cause.responsibility
    return EntryPage(
        kind="cause",
        id=cause.id,
        name=cause.name,
        place=library.place(cause.id),
        lead=cause.plainly,
        facts=(
            ("Origin", (cause.origin.words,)),
            ("At work", ("on the whole vehicle, if at all" if cause.scope == "vehicle"
                         else "at the place",)),
            ("Who pays", (library.ref(pays.payer), f": {pays.because}")),
            ("Source", library.sources(cause.source)),
        ),
        blocks=full((
            Block("What happens", (cause.mechanism,)),
            Block("Lies behind", _lies_behind(library, cause)),
            Block("Not told apart at the car", _inseparable(library, cause=cause.id)),
            Block("What speaks for it", _signs(library, cause, "for")),
            Block("What speaks against it", _signs(library, cause, "against")),
            Block(
                "Ruled out when",
                ItemList(tuple(
                    (*library.condition(o.when), f". {o.because} (",
                     *library.sources(o.source), ")")
                    for o in library.base.rule_outs(cause)
                )),
            ),
            Block("What to do, in this order", _remedies(library, cause)),
            Block("Goes with any of these", library.refs(cause.also)),
            Block(
                "Never",
                ItemList(tuple(
                    (library.ref(n.remedy), f": {n.because}") for n in cause.never
                )),
            ),
            Block(
                "Someone else pays when",
                ItemList(tuple(
                    (library.ref(o.payer), ": ", *library.condition(o.when), f". {o.because}")
                    for o in pays.unless
                )),
            ),
            Block("So that it does not happen again", (cause.prevention,)),
            library.referrers(cause.id),
        )),
        group=cause.origin.words,
    )  # fmt: skip


def _inseparable(library: Library, cause: str = "", symptom: str = "") -> ItemList:
    """The pairs that nobody tells apart: of a cause, or at a symptom."""
    base = library.base
    return ItemList(
        tuple(
            (
                *joined([(library.ref(c),) for c in pair.causes if c != cause], " and "),
                *((" at ", *library.refs(list(pair.at))) if pair.at and cause else ()),
                f": {' '.join(reasons(pair))}",
            )
            for pair in base.inseparable
            if cause in pair.causes or symptom in pair.at
        )
    )


def _lies_behind(library: Library, cause: Cause) -> ItemList:
    base = library.base
    items = []
    for symptom, said in cause.behind.items():
        names = [c.id for c in base.behind(symptom)]
        share = base.priors(symptom)[names.index(cause.id)]
        items.append((library.ref(symptom), f": {base.scales.how_often(said)} ({share:.1%})"))
    return ItemList(tuple(items))


def _signs(library: Library, cause: Cause, speaks: str) -> Grid:
    its = [s for s in library.base.signs(cause) if s.speaks == speaks]
    its.sort(key=lambda s: -abs(library.decibans(cause, s)))
    rows = tuple(_sign(library, cause, sign) for sign in its)
    return Grid(("Seen", "Strength", "Because", "Source"), rows)


def _sign(library: Library, cause: Cause, sign: Sign) -> tuple[Words, ...]:
    return (
        library.condition(sign.when),
        (library.strength(cause, sign),),
        (sign.because,),
        library.sources(sign.source),
    )


def _remedies(library: Library, cause: Cause) -> ItemList:
    return ItemList(
        tuple((library.ref(r), f": {odds:g} % hold") for r, odds in cause.remedies.items()),
        numbered=True,
    )


def remedy_page(library: Library, remedy: Remedy) -> EntryPage:
    """When it is right, how it is done, what it costs in time, what bars it."""
    from diagnose.report.content.case import hours_words

    used = [(c, c.remedies[remedy.id]) for c in library.base.causes.values()
            if remedy.id in c.remedies]  # fmt: skip
    return EntryPage(
        kind="remedy",
        id=remedy.id,
        name=remedy.name,
        place=library.place(remedy.id),
        lead=remedy.applies,
        facts=(
            ("Kind", (remedy.kind.replace("_", " "),)),
            ("Time", (hours_words(remedy),)),
            ("Piece destroyed", (remedy.destroys_piece,)),
            ("Printed anew", (remedy.reprint.replace("_", " "),)),
            ("New film", (remedy.film,)),
            ("Look again", (remedy.look_again,)),
            ("Source", library.sources(remedy.source)),
        ),
        blocks=full((
            Block("How", ItemList(tuple((s,) for s in remedy.steps), numbered=True)),
            Block("Tools", (", ".join(remedy.tools),)),
            Block("Warning", (remedy.warning or "",)),
            Block("Cautions", library.refs(remedy.cautions)),
            Block(
                "Not when",
                ItemList(tuple(
                    (*library.condition(b.when), f". {b.because}",
                     *((" Instead: ", *library.refs(b.instead)) if b.instead else ()))
                    for b in remedy.barred_when
                )),
            ),
            Block(
                "Tried already by",
                ItemList(tuple(
                    (*library.condition(t.when),
                     f". {t.because} Of repairs that will not last {t.passes_percent:g} in 100 pass"
                     " it all the same.")
                    for t in remedy.tried
                )),
            ),
            Block(
                "If it fails, dearer afterwards",
                ItemList(tuple(
                    (library.ref(r), f": {factor:g} times") for r, factor in remedy.spoils.items()
                )),
            ),
            Block(
                "Used for",
                ItemList(tuple(
                    (library.ref(c.id), f": {odds:g} % hold") for c, odds in used
                )),
            ),
            library.referrers(remedy.id),
        )),
        group=remedy.kind.replace("_", " "),
    )  # fmt: skip


def payer_page(library: Library, payer: Payer) -> EntryPage:
    """What this payer carries, and what evidence it takes."""
    as_rule = [c.id for c in library.base.causes.values() if c.responsibility.payer == payer.id]
    return EntryPage(
        kind="payer",
        id=payer.id,
        name=payer.name,
        place=library.place(payer.id),
        lead=payer.carries,
        facts=(
            *(("Does not carry", (payer.not_carries,)) for _ in [0] if payer.not_carries),
            ("Source", library.sources(payer.source)),
        ),
        blocks=full((
            Block("Evidence it takes", _evidence(library, payer.needs)),
            Block("Evidence that helps", _evidence(library, payer.helps)),
            Block("Falls if", _evidence(library, payer.falls_if)),
            Block("Papers to send", ItemList(tuple((p,) for p in payer.papers))),
            Block("Pays as a rule for", library.refs(as_rule)),
            library.referrers(payer.id),
        )),
        group="payers",
    )  # fmt: skip


def _evidence(library: Library, evidence: Sequence[Evidence]) -> ItemList:
    return ItemList(
        tuple(
            (e.says, *((" (", *library.condition(e.when), ")") if e.when else ())) for e in evidence
        )
    )


def caution_page(library: Library, caution: Caution) -> EntryPage:
    """What is said, and before which steps."""
    shown: Words = library.condition(caution.when) or ("whenever a step calls for it",)
    return EntryPage(
        kind="caution",
        id=caution.id,
        name=caution.name,
        place=library.place(caution.id),
        lead=caution.say,
        facts=(("Shown", shown), ("Source", library.sources(caution.source))),
        blocks=full((library.referrers(caution.id),)),
        group="cautions",
    )


def source_page(library: Library, source: Source) -> EntryPage:
    """What it is, how much it weighs, and which entries rest on it."""
    return EntryPage(
        kind="source",
        id=source.id,
        name=source.id,
        place=library.place(source.id),
        lead=source.title,
        facts=joined_facts(source),
        blocks=full((library.referrers(source.id),)),
        group="sources",
    )


def joined_facts(source: Source) -> tuple[tuple[str, Words], ...]:
    """Who published it, when and where it is found; its weight, reading and note."""
    facts = (
        ("Authors", source.authors),
        ("Publisher", source.publisher),
        ("Year", source.year),
        ("Reference", source.reference),
        ("Address", source.address),
        ("Weight", f"{source.weight}: {WEIGHTS[source.weight]}"),
        ("Read", source.reading),
        ("Note", source.note),
    )
    return tuple((name, (words,)) for name, words in facts if words)
