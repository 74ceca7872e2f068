"""Trade symbols: what is fitted in line, at side outlets, and at the ends of tube.

Every symbol is drawn about a point, along a unit direction on the paper; `size` is half its length along the tube in
mm. Fills are the sheet's own colour, so that the tube behind doesn't show through.
"""

from collections.abc import Callable, Sequence
from math import cos, pi, sin

from wetside.pipework.spec import ItemKind
from wetside.sheets.draw.svg import XY, path_data, tag
from wetside.sheets.draw.theme import Theme

ON_BRANCH = frozenset((ItemKind.DRAIN_COCK, ItemKind.AIR_VENT, ItemKind.GAUGE, ItemKind.RELIEF_VALVE, ItemKind.VESSEL))


class _Pen:
    """Points by (along, across) about the symbol's middle; across is to the left of the direction as drawn."""

    def __init__(self, at: XY, along: XY, size: float, theme: Theme) -> None:
        self.at, self.along, self.size, self.theme = at, along, size, theme
        # across points up or to the left on the paper, so that stems and heads stand upright where they can
        a, b = (along[1], -along[0])
        self.across: XY = (-a, -b) if b > 1e-6 or (abs(b) <= 1e-6 and a > 0) else (a, b)

    def xy(self, u: float, v: float) -> XY:
        s = self.size
        return (
            self.at[0] + s * (u * self.along[0] + v * self.across[0]),
            self.at[1] + s * (u * self.along[1] + v * self.across[1]),
        )

    def shape(self, *points: XY, fill: str | None = None, closed: bool = True, width: float = 0.3) -> str:
        t = self.theme
        return tag(
            "path", d=path_data([self.xy(*p) for p in points], closed=closed, places=2),
            fill=(fill or t.sheet) if closed else "none", stroke=t.ink, stroke_width=width, stroke_linejoin="round",
            stroke_linecap=None if closed else "round",
        )  # fmt: skip

    def round_(self, u: float, v: float, r: float, *, fill: str | None = None, width: float = 0.3) -> str:
        x, y = self.xy(u, v)
        t = self.theme
        return tag("circle", cx=x, cy=y, r=r * self.size, fill=fill or t.sheet, stroke=t.ink, stroke_width=width)

    def letter(self, u: float, v: float, words: str, em: float) -> str:
        x, y = self.xy(u, v)
        size = em * self.size
        return tag(
            "text", words, x=x, y=y + 0.35 * size, font_size=size, font_weight="600", text_anchor="middle",
            fill=self.theme.ink,
        )  # fmt: skip

    def bow(self, left: str | None = None, right: str | None = None, half: float = 0.62) -> str:
        return self.shape((-1, half), (-1, -half), (0, 0), fill=left) + self.shape(
            (1, half), (1, -half), (0, 0), fill=right
        )


def _isolating(p: _Pen) -> str:
    return (
        p.bow() + p.shape((0, 0), (0, 0.8), closed=False) + p.shape((-0.5, 0.8), (0.5, 0.8), closed=False, width=0.45)
    )


def _gate(p: _Pen) -> str:
    return p.bow() + p.shape((0, -0.6), (0, 0.6), closed=False)


def _globe(p: _Pen) -> str:
    return p.bow() + p.round_(0, 0, 0.24, fill=p.theme.ink)


def _balancing(p: _Pen) -> str:
    return p.bow() + p.shape((0, 0), (0.55, 0.95), closed=False) + p.round_(0.55, 0.95, 0.2, fill=p.theme.ink)


def _lockshield(p: _Pen) -> str:
    return p.bow(right=p.theme.ink)


def _thermostatic(p: _Pen) -> str:
    return p.bow() + p.shape((0, 0), (0, 0.6), closed=False) + p.round_(0, 1.0, 0.45) + p.letter(0, 1.0, "T", 0.8)


def _zone(p: _Pen) -> str:
    box = p.shape((-0.55, 0.6), (0.55, 0.6), (0.55, 1.5), (-0.55, 1.5))
    return p.bow() + p.shape((0, 0), (0, 0.6), closed=False) + box + p.letter(0, 1.05, "M", 0.8)


def _check(p: _Pen) -> str:
    return p.shape((-0.8, 0.65), (-0.8, -0.65), (0.7, 0), fill=p.theme.ink) + p.shape(
        (0.75, 0.7), (0.75, -0.7), closed=False, width=0.5
    )


def _strainer(p: _Pen) -> str:
    return (
        p.shape((-1, 0.5), (-1, -0.5), (1, -0.5), (1, 0.5))
        + p.shape((-0.1, -0.5), (0.6, -1.3), closed=False, width=0.5)
        + p.shape((0.3, -1.5), (0.95, -1.05), closed=False)
    )


def _air_separator(p: _Pen) -> str:
    return p.round_(0, 0, 0.95) + p.shape((0, 0.95), (0, 1.25), closed=False) + p.round_(0, 1.5, 0.26) + "".join(
        p.round_(u, v, 0.13, width=0.2) for u, v in ((-0.4, -0.2), (0.05, 0.2), (0.4, -0.3))
    )  # fmt: skip


def _dirt_separator(p: _Pen) -> str:
    return (
        p.round_(0, 0, 0.95)
        + p.shape((-0.78, -0.5), (0.78, -0.5), closed=False)
        + p.shape((-0.3, -0.92), (0.3, -0.92), (0, -1.45), fill=p.theme.ink)
    )


def _meter(p: _Pen) -> str:
    return p.round_(0, 0, 0.85) + p.letter(0, 0, "F", 1.15)


def _circulator(p: _Pen) -> str:
    c, s = cos(2 * pi / 3), sin(2 * pi / 3)
    return p.round_(0, 0, 1.0, width=0.4) + p.shape((0.98, 0), (c, s), (c, -s), fill=p.theme.ink)


def _union(p: _Pen) -> str:
    return p.shape((-0.18, 0.6), (-0.18, -0.6), closed=False, width=0.4) + p.shape(
        (0.18, 0.6), (0.18, -0.6), closed=False, width=0.4
    )


def _filling(p: _Pen) -> str:
    left = p.shape((-1, 0.45), (-1, -0.45), (-0.45, 0)) + p.shape((0.1, 0.45), (0.1, -0.45), (-0.45, 0))
    return left + p.shape((0.1, 0.45), (0.1, -0.45), (0.9, 0), fill=p.theme.ink) + p.shape(
        (1, 0.5), (1, -0.5), closed=False, width=0.4
    )  # fmt: skip


IN_LINE: dict[ItemKind, Callable[[_Pen], str]] = {
    ItemKind.ISOLATING_VALVE: _isolating,
    ItemKind.GATE_VALVE: _gate,
    ItemKind.GLOBE_VALVE: _globe,
    ItemKind.CHECK_VALVE: _check,
    ItemKind.ZONE_VALVE: _zone,
    ItemKind.BALANCING_VALVE: _balancing,
    ItemKind.LOCKSHIELD: _lockshield,
    ItemKind.THERMOSTATIC: _thermostatic,
    ItemKind.STRAINER: _strainer,
    ItemKind.AIR_SEPARATOR: _air_separator,
    ItemKind.DIRT_SEPARATOR: _dirt_separator,
    ItemKind.FLOW_METER: _meter,
    ItemKind.CIRCULATOR: _circulator,
    ItemKind.UNION: _union,
    ItemKind.FILLING_LOOP: _filling,
    ItemKind.BYPASS: _check,
}


def _drain(p: _Pen) -> str:
    return (
        p.shape((0.3, 0), (1.2, 0), closed=False)
        + p.shape((0.7, 0.42), (0.7, -0.42), (1.25, 0))
        + p.shape((1.8, 0.42), (1.8, -0.42), (1.25, 0))
        + p.shape((1.8, 0.28), (2.2, 0.28), closed=False)
        + p.shape((1.8, -0.28), (2.2, -0.28), closed=False)
    )


def _vent(p: _Pen) -> str:
    return (
        p.shape((0, 0), (1.0, 0), closed=False)
        + p.shape((1.0, 0.36), (1.0, -0.36), (1.8, -0.36), (1.8, 0.36))
        + p.shape((1.8, 0), (2.1, 0.22), closed=False)
    )


def _gauge(p: _Pen) -> str:
    return p.shape((0, 0), (0.8, 0), closed=False) + p.round_(1.6, 0, 0.8) + p.shape(
        (1.45, -0.25), (1.95, 0.4), closed=False, width=0.4
    )  # fmt: skip


def _relief(p: _Pen) -> str:
    spring = [(1.3, 0.0), (1.45, 0.32), (1.65, -0.32), (1.85, 0.32), (2.05, -0.32), (2.2, 0.0)]
    return (
        p.shape((0, 0), (0.3, 0), closed=False)
        + p.shape((0.3, 0.62), (0.3, -0.62), (1.25, 0), fill=p.theme.ink)
        + p.shape((1.87, 0.95), (0.63, 0.95), (1.25, 0))
        + p.shape(*spring, closed=False, width=0.28)
    )


def _vessel(p: _Pen) -> str:
    x, y = p.xy(2.1, 0)
    r = 1.35 * p.size
    ax, ay = p.across
    half = tag(
        "path", fill=p.theme.slab, stroke=p.theme.ink, stroke_width=0.3,
        d=path_data([(x - ax * r, y - ay * r)], places=2)
        + f"A{r:.2f} {r:.2f} 0 0 {1 if p.along[0] * ay - p.along[1] * ax < 0 else 0} "
        + f"{x + ax * r:.2f} {y + ay * r:.2f}Z",
    )  # fmt: skip
    return p.shape((0, 0), (0.75, 0), closed=False) + p.round_(2.1, 0, 1.35) + half


AT_END: dict[ItemKind, Callable[[_Pen], str]] = {
    ItemKind.DRAIN_COCK: _drain,
    ItemKind.AIR_VENT: _vent,
    ItemKind.GAUGE: _gauge,
    ItemKind.RELIEF_VALVE: _relief,
    ItemKind.VESSEL: _vessel,
}
END_REACH = {ItemKind.DRAIN_COCK: 2.3, ItemKind.AIR_VENT: 2.2, ItemKind.GAUGE: 2.5, ItemKind.RELIEF_VALVE: 2.2,
             ItemKind.VESSEL: 3.5}  # fmt: skip
"""How far a symbol at a tube's end or on a side outlet reaches from its point, in sizes."""
OWNER_ITEM = {"vessel": ItemKind.VESSEL, "relief": ItemKind.RELIEF_VALVE}
"""Equipment that is drawn like an item at the end of its tube."""


def in_line(kind: ItemKind, at: XY, along: XY, size: float, theme: Theme) -> str:
    """Something that the water passes through."""
    return IN_LINE[kind](_Pen(at, along, size, theme))


def at_end(kind: ItemKind, at: XY, outward: XY, size: float, theme: Theme) -> str:
    """Something on a side outlet or at the end of tube, pointing outward."""
    return AT_END[kind](_Pen(at, outward, size, theme))


def three_way(at: XY, ways: Sequence[XY], size: float, theme: Theme) -> str:
    """A three-way valve: a wedge to each of its ways, their points meeting in its middle."""
    return "".join(_Pen(at, w, size, theme).shape((1, 0.62), (1, -0.62), (0, 0)) for w in ways)


def arrow(at: XY, along: XY, size: float, colour: str) -> str:
    """An arrow head with its tip at the point."""
    (x, y), (u, v) = at, along
    back = (x - 2 * size * u, y - 2 * size * v)
    half = size * 0.62
    points = [at, (back[0] - half * v, back[1] + half * u), (back[0] + half * v, back[1] - half * u)]
    return tag("path", d=path_data(points, closed=True, places=2), fill=colour)
