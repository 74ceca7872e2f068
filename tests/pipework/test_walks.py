"""Invariants of laid runs, on walks that nobody chose."""

import itertools
import math

from hypothesis import assume, given
from hypothesis import strategies as st

from wetside.pipework.clash import near_pairs
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.reading import InLine, Pipework, Straight, Turn
from wetside.pipework.spec import Fit, Go, Move, Port, Run, Tee, Vec
from wetside.pipework.tubes import shipped_tubes
from wetside.pipework.vec import DIRECTIONS, add, opposite, same, sub, times

AXES: list[Vec] = [DIRECTIONS[w] for w in ("east", "west", "north", "south", "up", "down")]
distance = st.integers(20, 4000).map(lambda mm: mm / 1000)
step = st.tuples(st.sampled_from(AXES), distance)
walk = st.lists(step, min_size=1, max_size=12).filter(
    lambda steps: not any(opposite(a[0], b[0]) for a, b in itertools.pairwise(steps))
)


def port(name: str, at: Vec, faces: Vec) -> Port:
    return Port(owner=name, name="", at=at, faces=faces, owner_kind="boiler")


def laid(runs: list[Run], ports: list[Port]) -> Pipework:
    return lay(runs, ports, shipped_tubes(), shipped_items(), lambda _: "room")


def said(steps: list[tuple[Vec, float]]) -> tuple[Move, ...]:
    return tuple(Go(d, x) for d, x in steps)


def end_of(steps: list[tuple[Vec, float]], start: Vec = (0.0, 0.0, 0.0)) -> Vec:
    for d, x in steps:
        start = add(start, times(d, x))
    return start


@given(walk)
def test_length_is_the_sum_of_the_moves_and_pieces_hang_together(steps: list[tuple[Vec, float]]) -> None:
    pw = laid(
        [Run(name="a", tube="copper 22", start="p", moves=said(steps), end="")], [port("p", (0, 0, 0), steps[0][0])]
    )
    (leg,) = pw.legs
    assert math.isclose(leg.length_m, sum(x for _, x in steps), rel_tol=1e-9)
    at = (0.0, 0.0, 0.0)
    heading = steps[0][0]
    for p in leg.pieces:
        if isinstance(p, Straight):
            assert same(p.a, at)
            assert same(times(sub(p.b, p.a), 1 / p.length_m), heading)
            at = p.b
        if isinstance(p, Turn):
            assert same(p.at, at)
            assert same(p.into, heading)
            assert 0.0 < p.angle_deg < 180.0
            heading = p.out_of
    assert same(at, end_of(steps))
    # turns and straights alternate: no two straights in a row without something between
    kinds = [type(p) for p in leg.pieces]
    assert all(a is not b for a, b in itertools.pairwise(kinds))


@given(walk, st.data())
def test_open_distances_close_exactly(steps: list[tuple[Vec, float]], data: st.DataObject) -> None:
    """Leave up to one move an axis open: the walk finds its own distances again."""
    by_axis = [[i for i, (d, _) in enumerate(steps) if abs(d[axis]) > 0.5] for axis in range(3)]
    opened = {data.draw(st.sampled_from(which)) for which in by_axis if which and data.draw(st.booleans())}
    moves = tuple(Go(d) if i in opened else Go(d, x) for i, (d, x) in enumerate(steps))
    end = end_of(steps)
    assume(not same(end, (0.0, 0.0, 0.0)))
    ports = [port("p", (0, 0, 0), steps[0][0]), port("q", end, times(steps[-1][0], -1.0))]
    pw = laid([Run(name="a", tube="copper 22", start="p", moves=moves, end="q")], ports)
    assert pw.closures[0].size_m < 1e-9
    assert math.isclose(pw.legs[0].length_m, sum(x for _, x in steps), rel_tol=1e-9)


def turned(v: Vec, by: Vec = (0.0, 0.0, 0.0)) -> Vec:
    """A quarter turn about the vertical, then moved."""
    return (-v[1] + by[0], v[0] + by[1], v[2] + by[2])


@given(walk, st.tuples(distance, distance, distance))
def test_a_turned_and_moved_job_gives_the_turned_and_moved_pipework(steps: list[tuple[Vec, float]], by: Vec) -> None:
    def job(turn: bool) -> Pipework:
        ways = [(turned(d) if turn else d, x) for d, x in steps]
        at = by if turn else (0.0, 0.0, 0.0)
        return laid([Run(name="a", tube="copper 22", start="p", moves=said(ways), end="")], [port("p", at, ways[0][0])])

    plain, moved = job(turn=False), job(turn=True)
    for p, q in zip(plain.legs[0].pieces, moved.legs[0].pieces, strict=True):
        if isinstance(p, Straight):
            assert isinstance(q, Straight)
            assert same(turned(p.a, by), q.a)
            assert same(turned(p.b, by), q.b)
        if isinstance(p, Turn):
            assert isinstance(q, Turn)
            assert same(turned(p.into), q.into)
            assert math.isclose(p.angle_deg, q.angle_deg)


@given(walk, st.data())
def test_a_tee_or_an_item_in_a_straight_keeps_the_length(steps: list[tuple[Vec, float]], data: st.DataObject) -> None:
    i = data.draw(st.integers(0, len(steps) - 1))
    d, x = steps[i]
    share = data.draw(st.floats(0.1, 0.9))
    side = next(a for a in AXES if a[0] * d[0] + a[1] * d[1] + a[2] * d[2] == 0)
    halves = (Go(d, x * share), Go(d, x * (1 - share)))
    before, after = said(steps[:i]), said(steps[i + 1 :])
    ports = [port("p", (0, 0, 0), steps[0][0])]
    branch = Run(name="b", tube="copper 15", start="a.T", moves=(Go(side, 1.0),), end="")
    cut = laid(
        [
            branch,
            Run(name="a", tube="copper 22", start="p", moves=(*before, halves[0], Tee("T"), halves[1], *after), end=""),
        ],
        ports,
    )
    own = [leg for leg in cut.legs if leg.run == "a"]
    assert len(own) == 2
    assert math.isclose(sum(leg.length_m for leg in own), sum(x for _, x in steps), rel_tol=1e-9)
    fitted = laid(
        [
            Run(
                name="a",
                tube="copper 22",
                start="p",
                moves=(*before, halves[0], Fit("union"), halves[1], *after),
                end="",
            )
        ],
        ports,
    )
    assert math.isclose(fitted.legs[0].length_m, sum(x for _, x in steps), rel_tol=1e-9)
    (item,) = (p for p in fitted.legs[0].pieces if isinstance(p, InLine))
    assert same(item.at, cut.nodes[own[0].b].at)
    assert same(item.direction, d)


@given(walk, walk, st.tuples(distance, distance, distance))
def test_clashes_do_not_depend_on_the_order_of_runs(
    one: list[tuple[Vec, float]], two: list[tuple[Vec, float]], off: Vec
) -> None:
    ports = [port("p", (0, 0, 0), one[0][0]), port("q", off, two[0][0])]
    runs = [
        Run(name="a", tube="copper 22", start="p", moves=said(one), end=""),
        Run(name="b", tube="copper 28", start="q", moves=said(two), end=""),
    ]

    def seen(order: list[Run]) -> list[tuple[frozenset[str], float]]:
        return [(frozenset((n.first.name, n.second.name)), round(n.apart_m, 9)) for n in near_pairs(laid(order, ports))]

    assert seen(runs) == seen(runs[::-1])
