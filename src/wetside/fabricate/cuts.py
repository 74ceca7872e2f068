"""The pieces of tube that are cut: straights between fittings, with bends inside them."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from wetside.basis.si import Metre
from wetside.pipework.reading import Leg, Straight, Turn
from wetside.pipework.spec import Tube, Vec
from wetside.pipework.vec import add, sub, times

SQUARE, HALF = 90.0, 45.0
STOCK_ANGLE = 0.5
"""Degrees by which a turn may differ from 90° or 45° and still be made with a stock elbow."""


@dataclass(frozen=True, slots=True)
class Cut:
    """Tube from fitting to fitting, along the centre lines (the take-outs are not taken off)."""

    leg: Leg
    tube: Tube
    straights: tuple[Straight, ...]
    """More than one where the tube is bent."""

    @property
    def length_m(self) -> Metre:
        return sum(s.length_m for s in self.straights)

    def along(self, distance: Metre) -> Vec:
        """The place at a distance from the piece's start."""
        for s in self.straights:
            if distance <= s.length_m:
                return add(s.a, times(sub(s.b, s.a), distance / s.length_m))
            distance -= s.length_m
        return self.straights[-1].b


def is_bend(turn: Turn) -> bool:
    """No stock elbow makes this angle, so the tube is bent."""
    return abs(turn.angle_deg - SQUARE) > STOCK_ANGLE and abs(turn.angle_deg - HALF) > STOCK_ANGLE


def cuts(leg: Leg) -> Iterator[Cut]:
    """The leg's pieces of tube in order, before they are split into stock lengths."""
    gathered: list[Straight] = []
    for p in leg.pieces:
        if isinstance(p, Straight):
            gathered.append(p)
        elif not (isinstance(p, Turn) and is_bend(p)) and gathered:
            yield Cut(leg, gathered[0].tube, tuple(gathered))
            gathered = []
    if gathered:
        yield Cut(leg, gathered[0].tube, tuple(gathered))


def couplings_needed(length: Metre, stock: Metre) -> int:
    """Couplings in a piece longer than one stock length: one fewer than the stock lengths that it takes."""
    return max(math.ceil(length / stock - 1e-9) - 1, 0)
