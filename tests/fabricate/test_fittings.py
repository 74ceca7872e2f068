"""Fittings on the centre lines, and the joints that they make."""

import math
from collections import Counter
from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.basis.quantity import System
from wetside.fabricate.assemble import farthest
from wetside.fabricate.fittings import fit
from wetside.fabricate.reading import Fabrication, FittingKind, JointKind
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.moves import parse_move
from wetside.pipework.reading import InLine, Pipework
from wetside.pipework.spec import ItemKind, Port, Run
from wetside.pipework.tubes import shipped_tubes

PORTS = (
    Port(owner="boiler", name="flow", at=(0.0, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler"),
    Port(owner="boiler", name="return", at=(0.3, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler"),
)
SHIPPED = (shipped_tubes(), shipped_items())


def run(name: str, start: str, *moves: str, end: str = "", tube: str = "copper 22") -> Run:
    said = tuple(parse_move(m, System.METRIC) for m in moves)
    return Run(name=name, tube=tube, start=start, moves=said, end=end)


def laid(*runs: Run) -> Pipework:
    return lay(runs, PORTS, *SHIPPED, lambda _: "")


def made(*runs: Run) -> Fabrication:
    return fit(laid(*runs))


def kinds(fabrication: Fabrication) -> list[tuple[FittingKind, tuple[str, ...]]]:
    return [(f.kind, f.sizes) for f in fabrication.fittings]


def joints_expected(pipework: Pipework, fabrication: Fabrication) -> int:
    """Sockets, a union face at each connector, and the ends of items: two in line (and the ground faces of unions and
    circulators), one on a side outlet. A bushing or adapter takes one joint of its own, and the tube."""
    total = sum(f.sockets for f in fabrication.fittings)
    total += sum(1 for f in fabrication.fittings if f.kind is FittingKind.CONNECTOR)
    for leg in pipework.legs:
        for p in leg.pieces:
            if isinstance(p, InLine):
                faces = {ItemKind.UNION: 1, ItemKind.CIRCULATOR: 2}.get(p.item.kind, 0)
                total += 1 if p.item.on_branch else 2 + faces
    return total


def test_a_small_job_end_to_end() -> None:
    f = made(
        run(
            "a",
            "boiler.flow",
            "down 1 m",
            "fit isolating valve",
            "down 200 mm",
            "east 500 mm",
            "tube copper 15",
            "east 1 m",
        )
    )
    assert kinds(f) == [
        (FittingKind.CONNECTOR, ("22 mm",)),
        (FittingKind.ELBOW_90, ("22 mm",)),
        (FittingKind.REDUCER, ("22 mm", "15 mm")),
        (FittingKind.CAP, ("15 mm",)),
    ]
    assert [(j.number, j.kind, j.size, j.of) for j in f.joints] == [
        (1, JointKind.UNION, "22 mm", "boiler.flow"),
        (2, JointKind.SOLDER, "22 mm", "connector at boiler.flow"),
        (3, JointKind.SOLDER, "22 mm", "isolating valve"),
        (4, JointKind.SOLDER, "22 mm", "isolating valve"),
        (5, JointKind.SOLDER, "22 mm", "elbow 90°"),
        (6, JointKind.SOLDER, "22 mm", "elbow 90°"),
        (7, JointKind.SOLDER, "22 mm", "reducer"),
        (8, JointKind.SOLDER, "15 mm", "reducer"),
        (9, JointKind.SOLDER, "15 mm", "cap"),
    ]


def test_a_tee_takes_up_changes_of_tube() -> None:
    main = run("main", "boiler.flow", "down 1 m", "tee T", "tube copper 15", "down 1 m", tube="copper 28")
    f = made(main, run("side", "main.T", "west 1 m", tube="copper 22"))
    # nobody sells 28 × 15 × 22: a bushing in the smallest tee that is sold
    assert (FittingKind.TEE, ("28 mm", "22 mm", "22 mm")) in kinds(f)
    assert (FittingKind.BUSHING, ("22 mm", "15 mm")) in kinds(f)
    assert not any(k is FittingKind.REDUCER for k, _ in kinds(f))
    before = run("main", "boiler.flow", "down 1 m", "tube copper 22", "tee T", "down 1 m", tube="copper 28")
    assert (FittingKind.TEE, ("28 mm", "22 mm", "15 mm")) in kinds(
        made(before, run("side", "main.T", "west 1 m", tube="copper 15"))
    )


def test_the_run_of_a_tee_is_what_lies_in_line() -> None:
    main = run("main", "boiler.flow", "down 1 m", "tee T", "west 1 m", tube="copper 28")
    (tee,) = (
        f for f in made(main, run("on", "main.T", "down 1 m", tube="copper 15")).fittings if f.kind is FittingKind.TEE
    )
    assert tee.sizes == ("28 mm", "15 mm", "28 mm")
    assert (tee.run, tee.sockets) == ("main", 3)


def test_a_cross() -> None:
    main = run("main", "boiler.flow", "down 1 m", "tee T", "down 1 m", tube="copper 28")
    sides = [run(w, "main.T", f"{w} 1 m", tube=t) for w, t in (("west", "copper 22"), ("east", "copper 15"))]
    (cross,) = (f for f in made(*sides, main).fittings if f.kind is FittingKind.CROSS)
    # crosses are sold with equal ends
    assert cross.sizes == ("28 mm",) * 4
    assert cross.sockets == 4


@pytest.mark.parametrize(
    ("tube", "kind"),
    [
        ("copper 22", JointKind.SOLDER), ("steel 3/4", JointKind.THREAD),
        ("PEX 20x2", JointKind.CRIMP), ("multilayer 20x2", JointKind.PRESS),
    ],
)  # fmt: skip
def test_joint_by_material(tube: str, kind: JointKind) -> None:
    f = made(run("a", "boiler.flow", "down 1 m", "west 1 m", tube=tube))
    assert {j.kind for j in f.joints if j.of != "boiler.flow"} == {kind}


def test_turns() -> None:
    f = made(run("a", "boiler.flow", "down 1 m", "east 1 m", "northeast 1 m", "up 1 m"))
    assert [k for k, _ in kinds(f)] == [
        FittingKind.CONNECTOR, FittingKind.ELBOW_90, FittingKind.ELBOW_45, FittingKind.ELBOW_90, FittingKind.CAP,
    ]  # fmt: skip
    sharp = made(run("a", "boiler.flow", "down 1 m", "east 1 m", "northwest 1 m"))
    bend = sharp.fittings[2]
    assert (bend.kind, bend.sockets) == (FittingKind.BEND, 0)


@pytest.mark.parametrize(
    ("metres", "places"),
    [
        # 14 mm are taken off by each elbow, 2 mm stay open in a coupling
        ("3.028 m", []),
        ("3.1 m", [2.913]),
        ("6 m", [3.015]),
        ("9.5 m", [3.015, 6.017, 9.019]),
    ],
)
def test_couplings_where_the_stick_ends(metres: str, places: list[float]) -> None:
    f = made(run("a", "boiler.flow", "down 1 m", f"west {metres}", "north 1 m"))
    found = [x for x in f.fittings if x.kind is FittingKind.COUPLING]
    if metres == "3.1 m":
        # 72 mm would be left over: the first piece gives so much that the last is 100 mm
        places = [3.1 - 0.014 - 0.1 - 0.001]
    assert [x.at for x in found] == [pytest.approx((-p, 0.0, 0.5)) for p in places]
    west = [c.length_m for c in f.cuts[1:-1]]
    assert sum(west) + 0.002 * len(places) + 0.028 == pytest.approx(float(metres[:-2]))
    assert max(west) <= 3.0 + 1e-9
    assert min(west) >= 0.1 - 1e-9


def test_a_bent_tube_is_one_piece() -> None:
    f = made(run("a", "boiler.flow", "down 1 m", "east 1 m", "northwest 1 m"))
    (bend,) = (b for c in f.cuts for b in c.bends)
    assert (bend.angle_deg, bend.radius_m) == (pytest.approx(135.0), pytest.approx(0.088))
    assert bend.from_last_m == pytest.approx(1.0 - 0.014)
    # the arc is shorter than the corner by 2 R tan 67.5° - R 135°
    gain = 0.088 * (2 * math.tan(math.radians(67.5)) - math.radians(135.0))
    assert f.cuts[-1].length_m == pytest.approx(2.0 - 0.014 - gain)


def test_a_bend_wants_straight_tube_on_either_side() -> None:
    # R tan 67.5° of the bend, 15.4 mm in the elbow's cup and 14 mm to its centre
    needed = 0.088 * math.tan(math.radians(67.5)) + 0.0154 + 0.014
    f = made(run("a", "boiler.flow", "down 1 m", f"east {needed * 1000 - 5:.2f} mm", "northwest 1 m"))
    assert f.cuts[-1].short_m == pytest.approx(0.005, abs=1e-5)
    f = made(run("a", "boiler.flow", "down 1 m", f"east {needed * 1000 + 1:.2f} mm", "northwest 1 m"))
    assert f.cuts[-1].short_m == 0.0


def test_a_bent_tube_longer_than_its_stick() -> None:
    f = made(run("a", "boiler.flow", "down 1 m", "east 2 m", "northwest 2 m"))
    long = [c for c in f.cuts if c.start.startswith(("elbow", "coupling"))]
    assert [len(c.bends) for c in long] == [1, 0]
    assert long[0].length_m == pytest.approx(3.0)
    assert farthest(f) < 1e-9


def test_an_item_on_a_side_outlet_sits_on_a_tee() -> None:
    f = made(run("a", "boiler.flow", "down 1 m", "fit drain cock", "down 1 m"))
    assert (FittingKind.TEE, ("22 mm", "22 mm", "1/2 in")) in kinds(f)
    assert Counter(j.kind for j in f.joints if "drain" in j.of) == {JointKind.SOLDER: 2, JointKind.THREAD: 1}


def test_another_wall_of_the_same_size_is_coupled() -> None:
    f = made(run("a", "boiler.flow", "down 1 m", "tube copper 22x1", "down 1 m"))
    assert (FittingKind.COUPLING, ("22 mm",)) in kinds(f)


WORDS = ("east", "north", "up", "west", "south", "down")
MOVES = st.lists(
    st.one_of(
        st.sampled_from(
            ["fit union", "fit gate valve", "fit drain cock", "fit circulator", "tube copper 15", "tube PEX 20x2"]
        ),
        st.tuples(st.sampled_from(WORDS), st.integers(100, 7000)).map(lambda t: f"{t[0]} {t[1]} mm"),
    ),
    min_size=1,
    max_size=10,
)


def sensible(moves: Iterable[str]) -> list[str]:
    """Leave out what would be a mistake: going straight back, a change of tube with no tube around it."""
    kept = ["down 500 mm"]
    heading, tube, changed = "down", "copper 22", False
    for m in moves:
        verb, _, rest = m.partition(" ")
        if verb == "tube":
            if rest == tube or changed:
                continue
            tube, changed = rest, True
        elif verb != "fit":
            if WORDS.index(verb) == (WORDS.index(heading) + 3) % 6:
                continue
            heading, changed = verb, False
        kept.append(m)
    return [*kept, f"{heading} 400 mm"]


@given(MOVES)
def test_every_joint_belongs_to_a_socket_or_an_item(said: list[str]) -> None:
    moves = sensible(said)
    cut = len(moves) - 1
    heading = moves[-1].split()[0]
    side = "north" if heading not in ("north", "south") else "up"
    main = run("main", "boiler.flow", *moves[:cut], f"{heading} 300 mm", "tee T", *moves[cut:])
    branch = run("side", "main.T", f"{side} 1 m", "fit union", f"{side} 200 mm")
    pipework = laid(main, branch)
    f = fit(pipework)
    assert len(f.joints) == joints_expected(pipework, f)
    # each joint that takes tube says which piece
    assert sorted(j.cut for j in f.joints if j.cut) == sorted(c.name for c in f.cuts for _ in range(2))
    if not f.blocked:
        assert farthest(f) < 1e-6
    assert [j.number for j in f.joints] == list(range(1, len(f.joints) + 1))
    # joints are numbered run by run
    order = [j.run for j in f.joints]
    assert order == sorted(order, key=["main", "side"].index)
