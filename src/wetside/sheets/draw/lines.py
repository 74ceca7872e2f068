"""Legs as lines through points in space, ready to be projected; also lines cut off at some reach from the boiler."""

from collections.abc import Collection, Iterable
from dataclasses import replace

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.pipework.reading import InLine, Leg, NodeKind, Pipework, Reducer, Straight, Turn
from wetside.pipework.spec import Tube, Vec

SAME = 1e-3
_NUDGE = 6e-3
"""Items fitted at one spot are moved this far apart, so that the drawing can spread them."""


@record(kw_only=False)
class Bead:
    """A point of a line and what sits there."""

    at: Vec
    item: InLine | None = None
    reducer: bool = False
    turn: bool = False


@record
class Line:
    leg: Leg
    beads: tuple[Bead, ...]
    tubes: tuple[Tube, ...]
    """One for each stretch between two beads."""
    a: int | None
    b: int | None
    """Nodes at the ends; `None` where the line is cut off."""


def _toward(p: Vec, q: Vec, by: Metre) -> Vec:
    d = [v - u for u, v in zip(p, q, strict=True)]
    n = sum(x * x for x in d) ** 0.5
    f = by / n if n > 0 else 0.0
    return (p[0] + d[0] * f, p[1] + d[1] * f, p[2] + d[2] * f)


def distance(p: Vec, q: Vec) -> Metre:
    return sum((u - v) ** 2 for u, v in zip(p, q, strict=True)) ** 0.5


def line_of(leg: Leg) -> Line | None:
    """The leg's line, or `None` for a leg without tube."""
    straights = [p for p in leg.pieces if isinstance(p, Straight)]
    if not straights:
        return None
    beads: list[Bead] = [Bead(straights[0].a)]
    tubes: list[Tube] = []
    here = straights[0].a
    tube = straights[0].tube
    waiting: list[InLine] = []

    def let_go(until: Vec | None) -> None:
        """Items met since the last tube, put one after the other ahead of `here` (or before it at the line's end)."""
        nonlocal here
        if not waiting:
            return
        if until is None:
            back = beads[-2].at if len(beads) > 1 else here
            room = min(_NUDGE, distance(here, back) / (len(waiting) + 1))
            end = beads.pop()
            for k, item in enumerate(waiting):
                beads.append(Bead(_toward(here, back, room * (len(waiting) - k)), item=item))
                tubes.append(tube)
            beads.append(end)
        else:
            room = min(_NUDGE, distance(here, until) / (len(waiting) + 1))
            plain = len(beads) > 1 and not beads[-1].turn and not beads[-1].reducer and beads[-1].item is None
            start = here
            for k, item in enumerate(waiting):
                if k == 0 and plain:
                    beads[-1] = replace(beads[-1], item=item)
                    continue
                here = _toward(start, until, room * (k + (0 if plain else 1)))
                beads.append(Bead(here, item=item))
                tubes.append(tube)
        waiting.clear()

    for p in leg.pieces:
        match p:
            case Straight():
                tube = p.tube
                let_go(p.b)
                here = p.b
                beads.append(Bead(here))
                tubes.append(p.tube)
            case Turn():
                beads[-1] = replace(beads[-1], turn=True)
            case Reducer():
                beads[-1] = replace(beads[-1], reducer=True)
            case InLine():
                waiting.append(p)
    let_go(None)
    return Line(leg=leg, beads=tuple(beads), tubes=tuple(tubes), a=leg.a, b=leg.b)


def lines_of(pipework: Pipework, legs: Collection[str] | None = None) -> list[Line]:
    """Lines of the legs named, or of all."""
    chosen = (leg for leg in pipework.legs if legs is None or leg.name in legs)
    return [line for leg in chosen if (line := line_of(leg)) is not None]


def _cut_line(line: Line, inside: set[int], middle: Vec, reach: Metre, stub: Metre) -> list[Line]:
    """The parts of a line near the middle: from each end that is inside, until it goes out of reach."""
    found: list[Line] = []
    a_in, b_in = line.a in inside, line.b in inside
    if all(distance(b.at, middle) <= reach for b in line.beads) and (a_in or b_in):
        return [line]
    for forward in (True, False):
        if not (a_in if forward else b_in):
            continue
        beads = list(line.beads if forward else reversed(line.beads))
        tubes = list(line.tubes if forward else reversed(line.tubes))
        kept, kept_tubes = [beads[0]], list[Tube]()
        for k in range(1, len(beads)):
            kept_tubes.append(tubes[k - 1])
            if distance(beads[k].at, middle) > reach:
                room = distance(beads[k - 1].at, beads[k].at)
                out = max(stub, reach - distance(beads[k - 1].at, middle))
                kept.append(Bead(_toward(beads[k - 1].at, beads[k].at, min(out, room * 0.9))))
                break
            kept.append(beads[k])
        if forward:
            found.append(replace(line, beads=tuple(kept), tubes=tuple(kept_tubes), b=None))
        else:
            found.append(replace(line, beads=tuple(reversed(kept)), tubes=tuple(reversed(kept_tubes)), a=None))
    return found


def boiler_middle(pipework: Pipework, names: Iterable[str]) -> Vec | None:
    """Middle of the boilers' connections."""
    wanted = set(names)
    ports = [n.at for n in pipework.nodes if n.port is not None and n.port.owner in wanted]
    if not ports:
        return None
    return tuple(sum(p[k] for p in ports) / len(ports) for k in range(3))  # pyright: ignore[reportReturnType]


def near_boiler(pipework: Pipework, boilers: Iterable[str], reach: Metre = 2.2, stub: Metre = 0.25) -> list[Line]:
    """Lines near the boilers, those that lead further cut off.

    A line belongs to the near-boiler pipework when tube joins it to a boiler without leaving the reach.

    :param stub: how much of a line that leaves the reach is kept beyond its last bead
    """
    middle = boiler_middle(pipework, boilers)
    if middle is None:
        return []
    names = set(boilers)
    lines = lines_of(pipework)
    inside = {i for i, n in enumerate(pipework.nodes) if n.port is not None and n.port.owner in names}
    grown = True
    while grown:
        grown = False
        for line in lines:
            if (line.a in inside) == (line.b in inside):
                continue
            if all(distance(b.at, middle) <= reach for b in line.beads):
                inside |= {line.leg.a, line.leg.b}
                grown = True
    # a tank or an emitter next to the boiler is reached by tube but its other side may be far: its lines are cut
    found: list[Line] = []
    for line in lines:
        found.extend(_cut_line(line, inside, middle, reach, stub))
    return found


def serves(pipework: Pipework, line: Line, *, near: Collection[int] = (), through: bool = False) -> tuple[str, ...]:
    """What a cut line leads to: rooms aren't known here, so the names of equipment reached through the cut end.

    The tube is followed away from the kept end, never back through it, and through tees.

    :param near: nodes in the picture, which are not entered again
    :param through: go on through emitters, to those behind them in series
    """
    start = line.leg.b if line.b is None else line.leg.a
    back = line.leg.a if line.b is None else line.leg.b
    next_to: dict[int, list[int]] = {}
    for leg in pipework.legs:
        if leg.name == line.leg.name:
            continue
        next_to.setdefault(leg.a, []).append(leg.b)
        next_to.setdefault(leg.b, []).append(leg.a)
    seen, todo, owners = {back, start, *near}, [start], list[str]()
    while todo:
        i = todo.pop(0)
        node = pipework.nodes[i]
        if node.kind is NodeKind.PORT and node.port is not None:
            if node.port.owner not in owners:
                owners.append(node.port.owner)
            if not through or node.port.owner_kind != "emitter":
                continue
            beyond = [j for j, n in enumerate(pipework.nodes) if n.port is not None and n.port.owner == node.port.owner]
            todo.extend(j for j in beyond if j not in seen)
            seen.update(beyond)
        for j in next_to.get(i, ()):
            if j not in seen:
                seen.add(j)
                todo.append(j)
    return tuple(owners)
