"""Colours of a drawing inside the page: named, so that one picture serves the light and the dark page alike.

Only for the page: outside a browser these names mean nothing.
"""

from wetside.sheets.draw.theme import Theme

SCREEN = Theme(
    name="screen", sheet="var(--sheet)", ink="var(--ink)", mute="var(--mute)", line="var(--line)", grid="var(--grid)",
    plum="var(--plum)", wash="var(--wash)", flow="var(--flow)", back="var(--return)", other="var(--other)",
    slab="var(--film)", holds="var(--holds)", near="var(--near)", breaks="var(--breaks)", unknown="var(--unknown)",
    accepted="var(--accepted)",
)  # fmt: skip
