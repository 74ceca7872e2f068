"""Near-boiler pipework from a few choices: laid without mistakes, every joint with room, tees as their manuals ask."""

import itertools
import math
from dataclasses import replace

import pytest

from wetside.basis.errors import JobProblem
from wetside.basis.quantity import System
from wetside.basis.rules import Verdict
from wetside.fabricate.assemble import farthest
from wetside.fabricate.fittings import fit
from wetside.fabricate.rules import judge as judge_shop
from wetside.pipework.assembly import near_boiler
from wetside.pipework.assembly_spec import Choices, NearBoiler, Part, Parting
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.reading import InLine, Pipework, Straight
from wetside.pipework.rules import judge
from wetside.pipework.spec import ItemKind, Port, Vec
from wetside.pipework.tubes import shipped_tubes
from wetside.pipework.vec import add, times

TUBES = {t.name: t for t in shipped_tubes()}
ITEMS = shipped_items()
PUMP = next(i for i in ITEMS if i.kind is ItemKind.CIRCULATOR)
WEST: Vec = (-1.0, 0.0, 0.0)
NORTH: Vec = (0.0, 1.0, 0.0)
SMALL = {"copper 22": "copper 15", "copper 28": "copper 15", "copper 35": "copper 22", "steel 3/4": "steel 1/2",
         "copper L 3/4": "copper L 1/2", "copper L 1": "copper L 1/2", "copper L 1 1/4": "copper L 3/4"}  # fmt: skip


def choices(
    tube: str = "copper 28", *, gap: float = 0.26, side: Vec = WEST, up: float = -1.0, **more: object
) -> Choices:
    """A boiler whose flow lies `gap` to the `side` of its return."""
    at, faces = (5.0, 5.0, 1.3), (0.0, 0.0, up)
    flow = Port(owner="boiler", name="flow", at=at, faces=faces, owner_kind="boiler")
    back = Port(owner="boiler", name="return", at=add(at, times(side, -gap)), faces=faces, owner_kind="boiler")
    made = Choices(
        flow=flow,
        back=back,
        tube=TUBES[tube],
        small=TUBES[SMALL[tube]],
        front=(0.0, -1.0, 0.0) if side == WEST else (1.0, 0.0, 0.0),
        system=System.US if tube.startswith("copper L") else System.METRIC,
    )
    return replace(made, **more)


def laid(c: Choices, made: NearBoiler) -> Pipework:
    pumps = [replace(PUMP, name=x) for x in c.circulators]
    more = [p for p in (c.hot, c.cold, c.cold_main, c.taps) if p is not None]
    return lay(made.runs, [c.flow, c.back, *made.ports, *more], TUBES.values(), [*ITEMS, *pumps], lambda _: "")


def broken(c: Choices, made: NearBoiler) -> list[str]:
    pipework = laid(c, made)
    shop = fit(pipework)
    assert farthest(shop) < 1e-4
    return [f"{f.rule.id} {f.subject}" for f in (*judge(pipework), *judge_shop(shop)) if f.verdict is Verdict.BREAKS]


@pytest.mark.parametrize("parting", Parting)
@pytest.mark.parametrize("tube", SMALL)
def test_every_choice_lays_closes_and_has_room(tube: str, parting: Parting) -> None:
    for gap, (side, up), circuits in itertools.product(
        (0.08, 0.26, 0.5), ((WEST, -1.0), (NORTH, 1.0), (NORTH, -1.0)), (("heating",), ("a", "b", "tank"))
    ):
        pumps = tuple(f"{x} circulator" for x in circuits)
        c = choices(tube, gap=gap, side=side, up=up, parting=parting, circuits=circuits, circulators=pumps)
        made = near_boiler(c)
        assert broken(c, made) == [], (gap, side, up, circuits)


@pytest.mark.parametrize("left_out", [*([p] for p in Part), list(Part)])
def test_anything_may_be_left_out(left_out: list[Part]) -> None:
    for parting in Parting:
        c = choices(parting=parting, without=frozenset(left_out))
        made = near_boiler(c)
        assert broken(c, made) == []
        said = " ".join(m.text for r in made.runs for m in r.moves)
        for part in left_out:
            word = {"fill": "tee fill", "vessel": "tee vessel", "relief valve": "tee relief",
                    "isolating valves": "isolating valve"}.get(part.value, part.value)  # fmt: skip
            assert word not in said


@pytest.mark.parametrize("tube", SMALL)
def test_tees_stand_as_their_manuals_ask(tube: str) -> None:
    """At most 4 diameters apart; 8 of straight tube before and after, face to face: the water may turn round."""
    c = choices(tube)
    pipework = laid(c, near_boiler(c))
    bore = c.tube.bore_m
    nodes = {n.name: n.at for n in pipework.nodes}
    assert math.dist(nodes["primary.A"], nodes["primary.B"]) <= 4.0 * bore
    legs = [leg for leg in pipework.legs if leg.run == "primary"]
    into = next(leg for leg in legs if pipework.nodes[leg.b].name == "primary.A").pieces
    out = next(leg for leg in legs if pipework.nodes[leg.a].name == "primary.B").pieces
    assert isinstance(into[-1], Straight)
    assert isinstance(into[-2], InLine)
    assert isinstance(out[0], Straight)
    assert into[-1].length_m - into[-2].item.length_m / 2.0 >= 8.0 * bore
    assert out[0].length_m - c.tube.outside_m / 2.0 >= 8.0 * bore


def test_the_order_along_the_water() -> None:
    c = choices(circulators=("heating circulator",))
    made = near_boiler(c)
    primary = next(r for r in made.runs if r.name == "primary")
    words = [m.text for m in primary.moves if m.text.startswith(("tee", "fit"))]
    assert words == [
        "tee relief", "fit isolating valve", "fit air separator", "tee A", "tee B", "tee vessel", "fit pressure gauge",
        "tee fill", "fit drain cock", "fit dirt separator", "fit isolating valve",
    ]  # fmt: skip
    flow = next(r for r in made.runs if r.name == "heating flow")
    assert [m.text for m in flow.moves if m.text.startswith("fit")] == [
        "fit isolating valve", "fit heating circulator", "fit check valve",
    ]  # fmt: skip
    assert made.pairs == (("primary.A", "primary.B"),)


def test_hot_and_cold_of_the_boiler() -> None:
    def port(owner: str, name: str, at: Vec, up: float) -> Port:
        return Port(owner=owner, name=name, at=at, faces=(0.0, 0.0, up), owner_kind="equipment")

    c = choices(
        hot=port("boiler", "hot", (5.065, 5.0, 1.3), -1.0),
        cold=port("boiler", "cold", (5.195, 5.0, 1.3), -1.0),
        cold_main=port("cold main", "", (6.4, 5.0, 0.2), 1.0),
        taps=port("hot taps", "", (6.7, 4.8, 2.5), -1.0),
    )
    made = near_boiler(c)
    assert {"cold feed", "hot feed"} <= {r.name for r in made.runs}
    assert broken(c, made) == []


def test_too_little_wall_is_told_with_what_it_takes() -> None:
    made = near_boiler(choices())
    near_boiler(choices(beside_m=made.beside_m, above_m=made.above_m, below_m=made.below_m))
    with pytest.raises(JobProblem) as told:
        near_boiler(choices(beside_m=made.beside_m - 0.01, below_m=made.below_m - 0.01))
    first, second = told.value.mistakes
    assert "west of boiler.flow" in first.wrong
    assert "below boiler.flow" in second.wrong


def test_connections_that_it_can_not_serve() -> None:
    c = choices()
    for back in (
        replace(c.back, faces=NORTH),
        replace(c.back, at=add(c.back.at, (0.0, 0.0, 0.1))),
        replace(c.back, at=add(c.back.at, (0.0, 0.1, 0.0))),
    ):
        with pytest.raises(JobProblem):
            near_boiler(replace(c, back=back))
