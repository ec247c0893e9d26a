"""A small rule base, a store and an app for the tests of the screens; its words never change."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

from textual.pilot import Pilot

from diagnose.reasoning.diagnose import Reasoner
from diagnose.records.store.store import Store
from diagnose.terminal.callback.app import CallbackApp
from tests.small import SCALES, small

RULES = """
symptoms:
  - {id: edge_lifting, name: Edge lifting, group: Edges, look: A length of edge stands off the car.,
     appears: after days, where: edges, also_called: [peeling, edges coming up],
     source: common-practice,
     confused_with: [{symptom: corner_lifting, tells: Only the tip of a corner stands up.,
                      check: reach, answers: [corner]}]}
  - {id: corner_lifting, name: Corner lifting, group: Edges, look: The tip of a corner stands up.,
     appears: after days, where: corners, source: common-practice}
  - {id: tunnelling, name: Tunnelling under the film, group: Lines, look: A long hollow ridge.,
     appears: in the sun, where: doors, source: common-practice}
cautions:
  - {id: blade, name: Blade, say: Cut away from the hand and never into the paint.,
     source: common-practice}
payers:
  - {id: shop, name: The shop, carries: labour, source: common-practice}
remedies:
  - {id: relay, name: Warm and lay again, kind: in_place, applies: early,
     steps: [Warm it., Lay it.], tools: [heat gun], hours: {from: 0.5, to: 1},
     destroys_piece: "no", reprint: "no", look_again: in 72 h, source: common-practice}
  - {id: renew, name: Lay a new piece, kind: replace, applies: always, steps: [Take off., Lay.],
     hours: {from: 2, to: 4}, destroys_piece: "yes", reprint: if_printed, look_again: in a month,
     cautions: [blade], source: common-practice}
intake: [film_finish, age_months]
checks:
  - {id: film_finish, name: Finish of the film, ask: What finish has the film?, how: Look at it.,
     tool: eyes, minutes: 1, place: at_car, harm: none, scope: vehicle, source: common-practice,
     answers: {gloss: {says: gloss, usual: 60}, matte: {says: matte, usual: 30},
               chrome: {says: chrome, usual: 10}}}
  - {id: age_months, name: Age of the wrap, ask: How many months ago was it laid?, how: Ask.,
     tool: file, minutes: 1, place: paperwork, harm: none, scope: vehicle, source: common-practice,
     number: {unit: months, from: 0, to: 240}, usual: [{under: 12, usual: 50}, {usual: 50}]}
  - {id: thumb_relay, name: Press it down, ask: Does it hold when pressed down with the thumb?,
     how: Press for five seconds and let go., mistake: Pressing on cold film., tool: thumb,
     minutes: 2, place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {holds: {says: it holds, usual: 70}, creeps_up: {says: it creeps up again, usual: 15},
               does_not_stick: {says: it does not stick at all, usual: 15}}}
  - {id: relief_cut, name: Relief cut, ask: Which cut gapes?, how: Make two short cuts.,
     tool: blade, minutes: 3, place: at_car, harm: minor, scope: complaint, cautions: [blade],
     source: common-practice,
     answers: {gapes: {says: the cut gapes, usual: 15}, closed: {says: it stays closed, usual: 85}}}
  - {id: adhesive, name: The adhesive side, ask: What is on the adhesive?, how: Use a loupe.,
     tool: loupe, minutes: 2, place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {clean: {says: clean, usual: 75}, dusty: {says: dust or sand, usual: 15},
               wet: {says: wet, usual: 10}}}
  - {id: reach, name: How far it reaches, ask: How far does it reach?, how: Slide paper under it.,
     tool: paper, minutes: 1, place: at_car, harm: none, scope: complaint, source: common-practice,
     answers: {run: {says: along the edge, usual: 80}, corner: {says: only the tip of a corner,
               usual: 20}}}
causes:
  - {id: pulled, name: Film pulled toward the edge, plainly: The film was pulled too far.,
     origin: technique, mechanism: Tension draws it back.,
     behind: {edge_lifting: common, corner_lifting: common}, source: common-practice,
     shows: [{check: thumb_relay, of_100: {creeps_up: 84},
              because: film under pull creeps up again., source: common-practice},
             {check: relief_cut, of_100: {gapes: 84},
              because: a cut in film under pull gapes., source: common-practice}],
     remedies: {relay: 60, renew: 90}, responsibility: {payer: shop, because: it is workmanship.},
     prevention: Pull along the edge.}
  - {id: dirty_edge, name: Edge not cleaned, plainly: The edge was not clean.,
     origin: surface_preparation, mechanism: Dirt keeps the adhesive off.,
     behind: {edge_lifting: common, corner_lifting: occasional}, source: common-practice,
     shows: [{check: adhesive, of_100: {dusty: 84},
              because: there is dirt on the adhesive., source: common-practice},
             {check: thumb_relay, of_100: {does_not_stick: 84},
              because: dirty adhesive does not stick., source: common-practice}],
     remedies: {renew: 80}, responsibility: {payer: shop, because: it is preparation.},
     prevention: Clean the edge.}
  - {id: cold_bay, name: Bay too cold, plainly: The bay was cold., origin: environment,
     mechanism: Stiff adhesive does not wet the paint., scope: vehicle,
     behind: {edge_lifting: occasional, tunnelling: common}, source: common-practice,
     shows: [{check: adhesive, of_100: {wet: 0}, because: water is something else.,
              source: common-practice}],
     remedies: {relay: 70}, responsibility: {payer: shop, because: it is the shop's bay.},
     prevention: Warm the bay.}
contradictions:
  - {id: wet_and_holds, when: {adhesive: wet, thumb_relay: holds},
     because: Wet adhesive holds nothing down., source: common-practice}
"""

WIDE, NARROW = (80, 24), (40, 24)
SIZES = (WIDE, NARROW)


def clock(start: datetime = datetime(2026, 3, 4, 9, 30, tzinfo=UTC)) -> Callable[[], datetime]:
    """A clock that goes on a minute with each look."""
    moments = iter(start + timedelta(minutes=n) for n in range(100_000))
    return lambda: next(moments)


def workshop(path: Path, resume: bool = True, owner: str | None = None) -> CallbackApp:
    """The app on the small rule base and a store at a path."""
    store = Store.open(path)
    return CallbackApp(reasoner(), store, clock(), resume=resume, owner=owner)


@cache
def reasoner() -> Reasoner:
    """A reasoner on the small rule base, its engines kept."""
    return Reasoner(small(RULES, SCALES))


async def settle(pilot: Pilot[str]) -> None:
    """Wait until what was set going is shown."""
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def keys(pilot: Pilot[str], *pressed: str) -> None:
    """Press keys one by one, each after what the one before set going."""
    for key in pressed:
        await pilot.press(key)
        await settle(pilot)


async def typed(pilot: Pilot[str], words: str) -> None:
    """Type words."""
    await pilot.press(*("space" if letter == " " else letter for letter in words))
    await settle(pilot)


def shown(app: CallbackApp) -> str:
    """All text on the screen, line by line."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(segment.text for segment in strip) for strip in strips)


def name(app: CallbackApp) -> str:
    """Which screen is shown."""
    return type(app.screen).__name__.removesuffix("Screen").lower()


def flat(app: CallbackApp) -> str:
    """All text on the screen with single spaces."""
    return " ".join(shown(app).split())
