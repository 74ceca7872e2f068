"""One run walked through space: distances settled, moves turned into pieces, cut into legs at tees."""

from dataclasses import dataclass, field

import numpy as np

from wetside.basis.errors import MistakeList
from wetside.basis.quantity import System, tape
from wetside.basis.si import Metre
from wetside.pipework.reading import InLine, Piece, Reducer, Straight, Turn
from wetside.pipework.spec import ChangeTube, Fit, Go, Item, Run, Tee, Tube, Vec
from wetside.pipework.vec import SAME, add, angle_between, dot, opposite, same, sub, times, towards


@dataclass(slots=True)
class TeePoint:
    """A tee of the run, with the directions of travel before and after it."""

    name: str
    index: int
    """The run's move that leaves it."""
    at: Vec
    into: Vec
    out_of: Vec


@dataclass(slots=True)
class Walked:
    """A run in space. One entry of `legs` more than of `tees`; `firsts` are the moves that the legs begin with."""

    run: Run
    arrival: Vec
    leaves: Vec
    """Direction of travel at the start."""
    arrives: Vec
    """Direction of travel at the end."""
    legs: list[list[Piece]]
    firsts: list[int]
    tees: list[TeePoint]


def says(go: Go) -> str:
    """The move as the person wrote it, for messages."""
    if go.text:
        return f'"{go.text.strip()}"'
    if go.distance_m is not None:
        return f'"{towards(go.direction)} {tape(go.distance_m, System.METRIC)}"'
    if go.level_m is not None:
        return f'"{towards(go.direction)} to {go.level_m:g} m"'
    return f'"{towards(go.direction)} …"'


def is_open(go: Go) -> bool:
    return go.distance_m is None and go.level_m is None


def open_moves(run: Run) -> list[tuple[int, Go]]:
    """The moves whose distance the run's end must settle, with their index."""
    return [(i, m) for i, m in enumerate(run.moves) if isinstance(m, Go) and is_open(m)]


def distances(run: Run, start: Vec, end: Vec | None, mistakes: MistakeList) -> dict[int, Metre] | None:
    """The distance of every `Go` of the run by index, or `None` after reporting why there is none.

    Open moves take up the gap that the others leave; with fewer than three of them what they can't reach stays as the
    run's closure. A `Go` with a level goes to that coordinate.
    """
    found: dict[int, Metre] = {}
    opens: list[tuple[int, Go]] = []
    here = start
    before = len(mistakes.found)
    for i, m in enumerate(run.moves):
        if not isinstance(m, Go):
            continue
        if m.distance_m is not None:
            found[i] = m.distance_m
        elif m.level_m is not None:
            found[i] = _to_level(run, i, m, here, opens, mistakes)
        else:
            opens.append((i, m))
            continue
        here = add(here, times(m.direction, found[i]))
    if len(mistakes.found) > before:
        return None
    if opens and end is not None:
        ways = np.array([m.direction for _, m in opens], dtype=float).T
        lengths, *_ = np.linalg.lstsq(ways, np.array(sub(end, here), dtype=float), rcond=None)
        for (i, m), length in zip(opens, lengths.tolist(), strict=True):
            found[i] = float(length)
            if abs(length) < SAME:
                mistakes.add("run", run.name, "moves", f"{says(m)} comes out as nothing", "leave the move out", i)
            elif length < 0.0:
                back = towards(times(m.direction, -1.0))
                mistakes.add(
                    "run", run.name, "moves",
                    f"{says(m)} would have to go back {tape(-length, System.METRIC)} to reach {run.end}",
                    f'write "{back} …" instead, or change the moves before it', i,
                )  # fmt: skip
    return None if len(mistakes.found) > before else found


def _to_level(run: Run, i: int, m: Go, here: Vec, opens: list[tuple[int, Go]], mistakes: MistakeList) -> Metre:
    axis = next((a for a in range(3) if abs(abs(m.direction[a]) - 1.0) < SAME), None)
    if axis is None or m.level_m is None:
        mistakes.add("run", run.name, "moves", f"{says(m)} goes along no single axis", "give the distance", i)
        return 0.0
    for _, o in opens:
        if abs(o.direction[axis]) > SAME:
            mistakes.add(
                "run", run.name, "moves",
                f"{says(o)} can't be settled by the run's end, because {says(m)} comes after it on the same axis",
                f"give the distance of {says(o)}, or leave {says(m)} open instead", i,
            )  # fmt: skip
            return 0.0
    distance = (m.level_m - here[axis]) * m.direction[axis]
    if distance < SAME:
        if distance > -SAME:
            wrong, remedy = f"{says(m)}: the run is there already", "leave the move out"
        else:
            wrong = f"{says(m)}: the run is at {here[axis]:.3f} m there and would have to go back"
            remedy = f'write "{towards(times(m.direction, -1.0))} to {m.level_m:g} m"'
        mistakes.add("run", run.name, "moves", wrong, remedy, i)
    return distance


@dataclass(slots=True)
class _Pen:
    """Where the walk is, and the straight that is being drawn."""

    here: Vec
    tube: Tube
    heading: Vec | None
    since: Vec
    pieces: list[Piece] = field(default_factory=list[Piece])

    def lift(self) -> None:
        """Ends the straight that is being drawn."""
        if not same(self.since, self.here):
            self.pieces.append(Straight(self.since, self.here, self.tube))
        self.since = self.here


def walk(
    run: Run,
    start: Vec,
    faces: Vec | None,
    end_faces: Vec | None,
    length: dict[int, Metre],
    tubes: dict[str, Tube],
    items: dict[str, Item],
) -> Walked:
    """Turn a checked run into pieces.

    :param faces: how a tube leaves the port that the run starts at; `None` at a tee
    :param end_faces: how a tube leaves the port that the run ends at; `None` at a tee or a cap
    :param length: distance of every `Go` by index
    """
    goes = [m for m in run.moves if isinstance(m, Go)]
    leaves = goes[0].direction
    pen = _Pen(start, tubes[run.tube], faces, start)
    legs: list[list[Piece]] = []
    firsts, tees = [0], list[TeePoint]()
    for i, m in enumerate(run.moves):
        match m:
            case Go():
                if pen.heading is not None and not same(pen.heading, m.direction):
                    pen.lift()
                    angle = angle_between(pen.heading, m.direction)
                    pen.pieces.append(Turn(pen.here, angle, pen.tube, pen.heading, m.direction))
                pen.heading = m.direction
                pen.here = add(pen.here, times(m.direction, length[i]))
            case Fit():
                pen.lift()
                pen.pieces.append(InLine(pen.here, pen.heading or leaves, pen.tube, items[m.item]))
            case ChangeTube():
                pen.lift()
                pen.pieces.append(Reducer(pen.here, pen.tube, tubes[m.tube]))
                pen.tube = tubes[m.tube]
            case Tee():
                pen.lift()
                after = next(n.direction for n in run.moves[i:] if isinstance(n, Go))
                tees.append(TeePoint(m.name, i, pen.here, pen.heading or leaves, after))
                legs.append(pen.pieces)
                firsts.append(i + 1)
                # the tee itself turns the tube where it stands at a corner
                pen.pieces, pen.heading = [], after
    pen.lift()
    arrives = goes[-1].direction
    if end_faces is not None:
        enter = times(end_faces, -1.0)
        if not same(arrives, enter) and not opposite(arrives, enter):
            pen.pieces.append(Turn(pen.here, angle_between(arrives, enter), pen.tube, arrives, enter))
    legs.append(pen.pieces)
    return Walked(run, pen.here, leaves, arrives, legs, firsts, tees)


def longest_middle(pieces: list[Piece]) -> Vec:
    """Middle of the longest straight among the pieces."""
    straights = [p for p in pieces if isinstance(p, Straight)]
    s = max(straights, key=lambda p: p.length_m)
    return times(add(s.a, s.b), 0.5)


def independent(directions: list[Vec]) -> bool:
    """Whether open moves in these directions can be told apart."""
    if len(directions) > 3:
        return False
    basis: list[Vec] = []
    for d in directions:
        rest = d
        for b in basis:
            rest = sub(rest, times(b, dot(rest, b)))
        if dot(rest, rest) < SAME:
            return False
        basis.append(times(rest, dot(rest, rest) ** -0.5))
    return True
