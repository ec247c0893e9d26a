"""How the screens look: three sets of colours, and the layout rules.

Nothing is told by colour alone: the focused choice has a sign and a heavy frame, warnings begin
with '!', bars carry their numbers.
"""

from __future__ import annotations

from textual.theme import Theme

OVERCAST = Theme(
    name="overcast",
    primary="#1d4f5c",
    secondary="#5c4a1d",
    accent="#8a3b12",
    warning="#8a3b12",
    error="#8f1420",
    success="#1f5e33",
    foreground="#16201f",
    background="#f3f1ea",
    surface="#e7e4d8",
    panel="#d6d2c2",
    dark=False,
)
NIGHT_BAY = Theme(
    name="night bay",
    primary="#7fc8c2",
    secondary="#d3b677",
    accent="#f0a868",
    warning="#f0a868",
    error="#ff8f87",
    success="#93d39a",
    foreground="#e6ece9",
    background="#12181a",
    surface="#1b2427",
    panel="#2a3639",
    dark=True,
)
CHALK = Theme(
    name="chalk",
    primary="#ffff66",
    secondary="#ffffff",
    accent="#ffff66",
    warning="#ffff66",
    error="#ffffff",
    success="#ffffff",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#000000",
    dark=True,
)
THEMES = (NIGHT_BAY, OVERCAST, CHALK)
"""Dark, light, high contrast, in the order in which the key goes through them."""

CSS = """
Screen { background: $background; color: $foreground; layout: vertical; }
#head { height: auto; max-height: 2; padding: 0 1; }
#head { background: $primary; color: $background; text-style: bold; }
#ask { height: auto; padding: 0 1; text-style: bold; max-height: 6; }
.-tall #ask { padding: 1 1; max-height: 9; }
DrillScreen #ask { max-height: 9; }
#body { height: 1fr; layout: vertical; }
.-wide #body { layout: horizontal; }
#main { height: 1fr; width: 1fr; }
#beside { display: none; width: 40%; min-width: 34; max-width: 60; height: 1fr; }
#beside { padding: 0 1; border-left: solid $foreground 30%; }
.-wide #beside { display: block; }
#stands { height: auto; max-height: 100%; }
#stands.-shared { max-height: 50%; }
#lead { height: 2; padding: 0 1; background: $surface; }
.-wide #lead { display: none; }

Choices { height: 1fr; scrollbar-gutter: stable; scrollbar-size-vertical: 1; padding: 0; }
Choice { height: auto; width: 1fr; padding: 0; background: $surface; margin: 0; }
Choice:focus { background: $primary; color: $background; text-style: bold; }
Choice:hover { background: $panel; color: $foreground; }
#take { text-style: bold; border-top: solid $foreground 30%; }
.-tall #take { border: round $primary; padding: 0; }

Acts { height: auto; background: $panel; dock: bottom; grid-gutter: 0 1; }
Act { height: 1; padding: 0 1; width: 1fr; background: $panel; }
Act { text-wrap: nowrap; text-overflow: ellipsis; }
Act:hover { background: $primary; color: $background; }
.-tall Acts { grid-rows: 3; }
.-short .spare { display: none; }
.-tall Act { height: 3; content-align: center middle; border: round $primary; padding: 0; }

.note { height: auto; padding: 0 1; }
.caution { height: auto; padding: 0 1; color: $warning; text-style: bold; }
.doubt { color: $warning; }
.dim { color: $foreground 70%; }
#text { height: 1fr; scrollbar-size-vertical: 1; }
#text:focus { background: $background; }
Input { height: 3; border: round $primary; background: $background; }
Input:focus { border: heavy $foreground; }
.-short Input { height: 1; border: none; background: $surface; padding: 0 1; }

Finder { height: 1fr; }
Finder OptionList { height: 1fr; border: none; background: $background; padding: 0; }
Finder OptionList { scrollbar-size-vertical: 1; }
Finder OptionList > .option-list--option { padding: 0 1 0 2; }
Finder OptionList > .option-list--option-highlighted {
    background: $primary; color: $background; text-style: bold;
}
Finder OptionList > .option-list--option-disabled { color: $secondary; text-style: bold; }
#shown { height: auto; }
#shown Words { max-height: 3; }
#shown Picture { max-height: 8; }
#shown #told { max-height: 7; }
.-tall #shown Words { max-height: 6; }
.-tall #shown #told { max-height: 12; }
.-tall #shown Picture { max-height: 14; }
.-wide #shown { width: 1fr; height: 1fr; border-left: solid $foreground 30%; padding: 0 1; }
.-wide #shown Words { max-height: 8; margin: 0 0 1 0; padding: 0; }
.-wide #shown #told { max-height: 13; }
.-wide #shown #told.alone { max-height: 100%; }
.-wide #shown Picture { height: 1fr; max-height: 100%; }
Picture { height: auto; }
#riddle { max-height: 12; }
.-tall #riddle { max-height: 50%; }
#beside Picture { height: 1fr; margin: 1 0 0 0; }
#car { height: auto; }
.-wide #car { width: 1fr; height: 1fr; }
.-wide #places { width: 32; }
CarMap { height: auto; }
#above { display: none; }
.-tall #above { display: block; margin: 1 0 0 0; }
.field { height: auto; padding: 0 1; }
"""
