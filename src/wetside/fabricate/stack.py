"""Tolerances added up along a run: how far it can miss what it must meet, and the piece to cut last."""

import math
from collections.abc import Iterable

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.fabricate.reading import Cut, Fabrication
from wetside.fabricate.spec import Shop
from wetside.pipework.reading import Closure, NodeKind, Pipework
from wetside.pipework.spec import Vec

SLACK: Metre = 0.002
"""What two joints and the tube between them give way (common practice, no source)."""


@record
class StackUp:
    """One run built from its start, before any piece is cut to fit."""

    run: str
    meets: str
    """The port or tee that it must meet."""
    pieces: int
    worst: Vec
    """Every piece and fitting off the same way, along each axis."""
    likely: Vec
    """Root of the sum of squares, along each axis."""
    fit_last: tuple[str, ...]
    """Pieces to measure and cut when the rest is dry-fitted: one for each axis along which the worst case is more than
    the joints give, the last that lies along it."""

    @property
    def worst_m(self) -> Metre:
        return math.hypot(*self.worst)

    @property
    def likely_m(self) -> Metre:
        return math.hypot(*self.likely)


def worst_case(parts: Iterable[Metre]) -> Metre:
    """Sum of the sizes of all tolerances."""
    return sum(abs(p) for p in parts)


def root_sum_square(parts: Iterable[Metre]) -> Metre:
    """Root of the sum of the squares of all tolerances, for independent ones."""
    return math.sqrt(sum(p * p for p in parts))


def stack_up(pipework: Pipework, fabrication: Fabrication, shop: Shop | None = None) -> tuple[StackUp, ...]:
    """The stack-up of each run that must meet a port or tee.

    Counted along the tube: the length of each cut and both take-outs at it. Angles are taken as true: the assembly is
    dry-fitted and squared before it is joined. Tolerances are assumptions of the shop.
    """
    shop = shop or Shop()
    ends = {leg.run: pipework.nodes[leg.b] for leg in pipework.legs}
    by_run: dict[str, list[Cut]] = {}
    for cut in fabrication.cuts:
        by_run.setdefault(cut.run, []).append(cut)
    closing = {c.run: c for c in pipework.closures}
    return tuple(
        _stack(run, ends[run].name, cuts, fabrication, shop)
        for run, cuts in by_run.items()
        if ends[run].kind is not NodeKind.CAP and isinstance(closing.get(run), Closure)
    )


def _stack(run: str, meets: str, cuts: list[Cut], fabrication: Fabrication, shop: Shop) -> StackUp:
    parts: tuple[list[Metre], list[Metre], list[Metre]] = ([], [], [])
    along: list[str] = ["", "", ""]
    for cut in cuts:
        a, b = fabrication.bodies[cut.a].ends[cut.a_end], fabrication.bodies[cut.b].ends[cut.b_end]
        for axis in range(3):
            parts[axis].extend(
                p for p in (a.away[axis] * shop.cut_m, a.away[axis] * shop.take_m, b.away[axis] * shop.take_m) if p
            )
            if abs(a.away[axis]) > 0.7 and not cut.bends:
                along[axis] = cut.name
    worst = (worst_case(parts[0]), worst_case(parts[1]), worst_case(parts[2]))
    likely = (root_sum_square(parts[0]), root_sum_square(parts[1]), root_sum_square(parts[2]))
    last = tuple(dict.fromkeys(along[axis] for axis in range(3) if worst[axis] > SLACK and along[axis]))
    return StackUp(run=run, meets=meets, pieces=len(cuts), worst=worst, likely=likely, fit_last=last)
