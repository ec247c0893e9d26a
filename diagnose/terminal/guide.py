"""The help page."""

GUIDE = (
    "A callback in four steps",
    "  1. Say in your own words what is wrong, and where. What is read out of them is shown line by"
    " line: strike a line or take it by its number, change it by c, go on by Enter. An empty line"
    " leads to the list.",
    "  2. Where it is still open, say where: point at the car, or pick the place from the list.",
    "  3. Answer the questions. Each shows how things stand: the causes with their share.",
    "  4. When enough is known it says so. Conclude, read what to do, save it; r shows everything"
    " behind it.",
    "",
    "Every answer is on the disk before the next question shows. Leave at any moment, by q, by"
    " Ctrl-C or by closing the window; the next start offers to go on.",
    "",
    "Keys; each can be touched as well:",
    "  1 to 9, 0, then letters: the answer that it stands before; arrows and Enter for any",
    "  u: tried it, could not tell",
    "  n: cannot be checked here and now",
    "  w: why is this asked",
    "  h: how is it done",
    "  y: why this cause",
    "  x: what would change it",
    "  d: all causes with their shares",
    "  b: back, takes the last entry back",
    "  c: the answers so far, to change any of them",
    "  s: stop asking and conclude",
    "  a: conclude, and another complaint on this vehicle",
    "  g: go on asking although it is enough",
    "  v: vehicle, film, lot, installer, dates",
    "  f: look up a symptom, cause, check or remedy",
    "  t: colours, dark, light or high contrast",
    "  m: everything else",
    "  q, Ctrl-C: leave; all is kept",
    "",
    "'Unsure' and 'not here' are never evidence, neither for nor against.",
    "The shares are chances, not proof: the report says what was not checked.",
    "",
    "Heat, blades, solvents, high voltage, airbags and sensors can hurt: follow the cautions, your"
    " local rules, the safety data sheets, and the bulletins of film and vehicle makers.",
)
