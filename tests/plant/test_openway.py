"""The way from the boiler to the relief valve, on small graphs of runs."""

import pytest

from wetside.pipework.reading import InLine, Leg, Node, NodeKind, Piece, Pipework
from wetside.pipework.spec import Item, ItemKind, Material, Port, Tube
from wetside.plant.openway import SHUTTERS, valves_between

TUBE = Tube(
    name="copper 22", material=Material.COPPER, size="22 mm", outside_m=0.022, wall_m=0.001, roughness_m=1.5e-6,
    stock_m=3.0, source="typical",
)  # fmt: skip


def item(kind: ItemKind, name: str = "", on_branch: bool = False) -> InLine:
    return InLine((0, 0, 0), (0, 0, 1), TUBE, Item(name=name or kind.value, kind=kind, on_branch=on_branch))


def net(*runs: tuple[str, str, tuple[Piece, ...]]) -> Pipework:
    """Runs as (start, end, pieces); names with a dot, or of the relief valve, are ports."""
    names = list(dict.fromkeys(n for a, b, _ in runs for n in (a, b)))

    def node(name: str) -> Node:
        owner, _, port = name.partition(".")
        if owner not in ("boiler", "relief"):
            return Node(name=name, kind=NodeKind.TEE, at=(0, 0, 0))
        made = Port(owner=owner, name=port, at=(0, 0, 0), faces=(0, 0, 1), owner_kind=owner)
        return Node(name=name, kind=NodeKind.PORT, at=(0, 0, 0), port=made)

    legs = tuple(
        Leg(
            name=f"run {i}", run=f"run {i}", a=names.index(a), b=names.index(b), pieces=pieces, insulation_m=0.0,
            insulation_w_mk=0.035, room="",
        )
        for i, (a, b, pieces) in enumerate(runs)
    )  # fmt: skip
    return Pipework(nodes=tuple(node(n) for n in names), legs=legs, closures=())


def test_open_tube() -> None:
    assert valves_between(net(("boiler.flow", "relief", ())), "boiler", "relief") == ()


@pytest.mark.parametrize("kind", sorted(SHUTTERS))
def test_anything_that_shuts_counts(kind: ItemKind) -> None:
    found = valves_between(net(("boiler.flow", "relief", (item(kind),))), "boiler", "relief")
    assert found == (f"{kind.value} in run run 0",)


@pytest.mark.parametrize("kind", sorted(set(ItemKind) - SHUTTERS))
def test_nothing_else_counts(kind: ItemKind) -> None:
    assert valves_between(net(("boiler.flow", "relief", (item(kind),))), "boiler", "relief") == ()


def test_valve_on_a_side_outlet_does_not_close_the_run() -> None:
    beside = item(ItemKind.ISOLATING_VALVE, on_branch=True)
    assert valves_between(net(("boiler.flow", "relief", (beside,))), "boiler", "relief") == ()


def test_one_open_way_is_enough() -> None:
    shut, other = item(ItemKind.GATE_VALVE), item(ItemKind.CHECK_VALVE)
    pipework = net(
        ("boiler.flow", "T", (shut,)), ("T", "relief", ()), ("boiler.return", "U", ()), ("U", "T", (other,)),
        ("U", "relief", ()),
    )  # fmt: skip
    assert valves_between(pipework, "boiler", "relief") == ()


def test_fewest_valves_are_named_in_order() -> None:
    first, second = item(ItemKind.GATE_VALVE, "V1"), item(ItemKind.ZONE_VALVE, "V2")
    extra = item(ItemKind.GLOBE_VALVE, "V3")
    pipework = net(
        ("boiler.flow", "T", (first,)), ("T", "relief", (second,)), ("boiler.return", "relief", (extra, first, second)),
    )  # fmt: skip
    assert valves_between(pipework, "boiler", "relief") == ("V1 in run run 0", "V2 in run run 1")


def test_relief_valve_fitted_in_a_run() -> None:
    inline = item(ItemKind.RELIEF_VALVE, on_branch=True)
    before = net(("boiler.flow", "T", (inline, item(ItemKind.ISOLATING_VALVE))))
    after = net(("boiler.flow", "T", (item(ItemKind.ISOLATING_VALVE), inline)))
    assert valves_between(before, "boiler", "relief") == ()
    assert valves_between(after, "boiler", "relief") == ("isolating valve in run run 0",)


def test_tap_water_side_is_not_the_boiler() -> None:
    assert valves_between(net(("boiler.hot", "relief", ())), "boiler", "relief") is None
    assert valves_between(net(("boiler.cold", "relief", ())), "boiler", "relief") is None


def test_not_joined_at_all() -> None:
    assert valves_between(net(("boiler.flow", "T", ()), ("U", "relief", ())), "boiler", "relief") is None
    assert valves_between(net(("boiler.flow", "T", ())), "boiler", "relief") is None
