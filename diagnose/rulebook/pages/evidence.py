"""Pages of what is seen and reckoned: checks, measures and findings."""

from __future__ import annotations

from diagnose.knowledge.model import Check, Finding, MeasureUse, Observable
from diagnose.rulebook.pages.page import Block, EntryPage, Grid, ItemList, Words, full, joined
from diagnose.rulebook.pages.wording import Library, weight

HARM = {
    "none": "none",
    "minor": "leaves a small mark",
    "destructive": "destroys what it is done on",
}


def check_page(library: Library, check: Check) -> EntryPage:
    """The question, how it is done right and wrong, its answers and what each tells."""
    from diagnose.report.drawings import CHECK_SCENES

    waits = f", then {check.waits_minutes:g} min of waiting" if check.waits_minutes else ""
    return EntryPage(
        kind="check",
        id=check.id,
        name=check.name,
        place=library.place(check.id),
        lead=check.ask,
        facts=(
            ("Tool", (check.tool,)),
            ("Takes", (f"{check.minutes:g} min{waits}",)),
            ("Done", (check.place.value.replace("_", " "),)),
            ("Harm", (HARM[check.harm.value],)),
            ("Holds for", ("the whole vehicle" if check.scope == "vehicle" else "the place",)),
            *(("Asked only when", library.condition(check.asked_when))
              for _ in [0] if check.asked_when),
            *(("Asked only at", library.symptoms(check.asked_at))
              for _ in [0] if check.asked_at),
            *(("Never asked on", library.kinds_of_place(check.not_on))
              for _ in [0] if check.not_on),
            *(("Number", (f"{check.number.low:g} to {check.number.high:g} {check.number.unit}",))
              for _ in [0] if check.number),
            ("Source", library.sources(check.source)),
        ),
        blocks=full((
            Block("How", (check.how,)),
            Block("Done wrongly", (check.mistake or "",)),
            Block("Cautions", library.refs(check.cautions)),
            Block("What each answer tells", _tells(library, check)),
            _together(library, check.id),
            library.referrers(check.id),
        )),
        group=check.place.value.replace("_", " "),
        drawn=check.id in CHECK_SCENES,
    )  # fmt: skip


def measure_page(library: Library, measure: MeasureUse) -> EntryPage:
    """What is reckoned from what, and what the result tells."""
    given = [
        (
            f"{name}: ",
            *((library.ref(v),) if isinstance(v, str) and v in library.section else (str(v),)),
        )
        for name, v in measure.inputs.items()
    ]
    return EntryPage(
        kind="measure",
        id=measure.id,
        name=measure.name,
        place=library.place(measure.id),
        lead=f"Reckoned by the program (`diagnose measure {measure.function}`).",
        facts=(
            ("From", joined(given)),
            *(("Unit", (measure.unit,)) for _ in [0] if measure.unit),
            ("Source", library.sources(measure.source)),
        ),
        blocks=full((
            Block("What each result tells", _tells(library, measure)),
            _together(library, measure.id),
            library.referrers(measure.id),
        )),
        group="measures",
    )  # fmt: skip


def finding_page(library: Library, finding: Finding) -> EntryPage:
    """The ways in which it is found, and what it tells."""
    rows = tuple(
        (library.condition(r.when), (r.because,), library.sources(r.source)) for r in finding.rules
    )
    return EntryPage(
        kind="finding",
        id=finding.id,
        name=finding.name,
        place=library.place(finding.id),
        lead="Found as soon as one of its rules holds.",
        facts=(),
        blocks=full((
            Block("Found when", Grid(("Seen", "Because", "Source"), rows)),
            _together(library, finding.id),
            library.referrers(finding.id),
        )),
        group="findings",
    )  # fmt: skip


def _tells(library: Library, observable: Observable) -> Grid:
    """Each answer or bin, its usual share, the causes it speaks for and against by itself."""
    rows = []
    for code, label in enumerate(observable.labels):
        share = f"{100 * observable.shares[code]:.2g} %" if observable.shares else ""
        unit = f" ({observable.kind.unit})" if observable.kind.unit else ""
        said = f"{observable.kind.label_says(label)}{unit}"
        rows.append((
            (said,),
            (share,),
            _causes(library, observable, code, "for"),
            _causes(library, observable, code, "against"),
        ))  # fmt: skip
    return Grid(("Answer", "Usual", "Speaks for", "Speaks against"), tuple(rows))


def _causes(library: Library, observable: Observable, code: int, speaks: str) -> Words:
    found = [
        (abs(row.decibans[code]), cause.id)
        for cause in library.base.causes.values()
        if (row := library.base.rows(cause).get(observable.id))
        and (sign := row.signs[code])
        and sign.speaks == speaks
    ]
    found.sort(key=lambda f: (-f[0], library.name(f[1])))
    return joined([
        (library.ref(c), f" {weight(size)}") for size, c in found
    ])  # fmt: skip


def _together(library: Library, subject: str) -> Block:
    """Signs in which it counts together with something else, or as a finding."""
    items: list[Words] = []
    for cause in library.base.causes.values():
        for sign in cause.signs:
            if subject in sign.when.subjects():
                way = f", {sign.speaks} it, {library.strength(cause, sign)}"
                items.append((library.ref(cause.id), ": ", *library.condition(sign.when), way))
    return Block("Tells by a rule of its own, or with others", ItemList(tuple(items)))
