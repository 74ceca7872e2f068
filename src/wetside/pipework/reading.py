"""The pipework in space: nodes, and legs made of pieces in order. Other floors read this and nothing else of a run."""

import math
from enum import StrEnum

from wetside.basis.record import record
from wetside.basis.si import Degree, Metre, WattPerMK
from wetside.pipework.spec import Item, Port, Tube, Vec


class NodeKind(StrEnum):
    PORT = "port"
    TEE = "tee"
    CAP = "cap"


@record
class Node:
    """Where legs end: a port, a tee (also a cross), or a capped end."""

    name: str
    """`owner.port`, `run.tee`, or `run end`."""
    kind: NodeKind
    at: Vec
    port: Port | None = None


@record(kw_only=False)
class Straight:
    a: Vec
    b: Vec
    tube: Tube

    @property
    def length_m(self) -> Metre:
        return math.dist(self.a, self.b)


@record(kw_only=False)
class Turn:
    """A change of direction: an elbow."""

    at: Vec
    angle_deg: Degree
    tube: Tube
    into: Vec
    out_of: Vec
    """Unit direction of travel before and after."""


@record(kw_only=False)
class Reducer:
    at: Vec
    tube: Tube
    to: Tube


@record(kw_only=False)
class InLine:
    at: Vec
    direction: Vec
    tube: Tube
    item: Item


Piece = Straight | Turn | Reducer | InLine


@record
class Leg:
    """Tube between two nodes, in the direction that the run was written in.

    A run cut by tees gives legs `run 1`, `run 2`, …; a run without tees gives one leg named as the run.
    """

    name: str
    run: str
    a: int
    b: int
    """Indices into `Pipework.nodes`."""
    pieces: tuple[Piece, ...]
    insulation_m: Metre
    insulation_w_mk: WattPerMK
    room: str
    first: int = 0
    """Index of the run's move that the leg begins with, for messages."""

    @property
    def length_m(self) -> Metre:
        return sum(p.length_m for p in self.pieces if isinstance(p, Straight))

    @property
    def tubes(self) -> tuple[Tube, ...]:
        seen: dict[str, Tube] = {}
        for p in self.pieces:
            if isinstance(p, Straight):
                seen.setdefault(p.tube.name, p.tube)
        return tuple(seen.values())


@record
class Closure:
    """How far a run's end misses its port, end minus where the moves arrive."""

    run: str
    gap: Vec
    move: int = 0
    """Index of the last move along the widest part of the gap; of the last move of all where none goes that way."""
    said: str = ""
    """That move as the person wrote it."""

    @property
    def size_m(self) -> Metre:
        return sum(g * g for g in self.gap) ** 0.5


@record
class Pipework:
    nodes: tuple[Node, ...]
    legs: tuple[Leg, ...]
    closures: tuple[Closure, ...]
    """One for each run that ends at a port or tee, also when the gap is nothing."""
