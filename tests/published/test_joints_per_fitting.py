"""Joints per fitting, by definition (from memory): elbow 2, coupling 2, reducer 2, tee 3, cross 4, cap 1, adapter from
tube to thread 1 soldered and 1 other, union 2 soldered and 1 ground face."""

from collections import Counter

import pytest

from wetside.basis.quantity import System
from wetside.fabricate.fittings import fit
from wetside.fabricate.reading import Joint, JointKind
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.moves import parse_move
from wetside.pipework.spec import Port, Run
from wetside.pipework.tubes import shipped_tubes

PORT = Port(owner="boiler", name="flow", at=(0.0, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler")


def joints(**moves: str) -> tuple[Joint, ...]:
    runs = [
        Run(
            name=name,
            tube="copper 22",
            start="boiler.flow" if name == "main" else "main.T",
            moves=tuple(parse_move(m, System.METRIC) for m in said.split(", ")),
            end="",
        )
        for name, said in moves.items()
    ]
    return fit(lay(runs, [PORT], shipped_tubes(), shipped_items(), lambda _: "")).joints


@pytest.mark.parametrize(
    ("moves", "of", "count"),
    [
        ({"main": "down 1 m, east 1 m"}, "elbow 90°", 2),
        ({"main": "down 1 m, east 1 m, northeast 1 m"}, "elbow 45°", 2),
        ({"main": "down 4 m"}, "coupling", 2),
        ({"main": "down 1 m, tube copper 15, down 1 m"}, "reducer", 2),
        ({"main": "down 1 m, tee T, down 1 m", "side": "east 1 m"}, "tee main.T", 3),
        ({"main": "down 1 m, tee T, down 1 m", "side": "east 1 m", "other": "west 1 m"}, "tee main.T", 4),
        ({"main": "down 1 m"}, "cap", 1),
        ({"main": "down 1 m, fit union, down 1 m"}, "union", 3),
    ],
)
def test_joints(moves: dict[str, str], of: str, count: int) -> None:
    assert Counter(j.of for j in joints(**moves))[of] == count


def test_kinds_at_a_union_and_an_adapter() -> None:
    found = joints(main="down 1 m, fit union, down 1 m")
    assert Counter(j.kind for j in found if j.of == "union") == {JointKind.SOLDER: 2, JointKind.UNION: 1}
    assert [j.kind for j in found[:2]] == [JointKind.UNION, JointKind.SOLDER]
