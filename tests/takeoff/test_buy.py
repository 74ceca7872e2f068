"""Consumables and the buy list."""

from dataclasses import replace
from math import pi

import pytest

from wetside.basis.quantity import INCH, System
from wetside.fabricate.fittings import fit
from wetside.fabricate.spec import JointSystem, Shop
from wetside.network.spec import Boiler
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.moves import parse_move
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Material, Port, Run
from wetside.pipework.tubes import shipped_tubes
from wetside.takeoff.buy import BuyList, assumed_price, buy_list, default, terms
from wetside.takeoff.consumables import insulation_used, joints_used, solder_kg, water_used
from wetside.takeoff.count import count
from wetside.takeoff.cutting import kerf_m, lay_cuts
from wetside.takeoff.returns import Return, returns
from wetside.takeoff.spec import Buying, LeftOver, Price, StockOnSale

PORT = Port(owner="boiler", name="flow", at=(0.0, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler")
TUBES = {t.name: t for t in shipped_tubes()}
BOILER = Boiler(name="boiler", output_w=2e4, least_w=5e3, flow_c=70.0, kv_m3_h=3.0, water_m3=0.0024)


def laid(*moves: str, tube: str = "copper 22", insulation: float = 0.0) -> Pipework:
    run = Run(
        name="a", tube=tube, start="boiler.flow", moves=tuple(parse_move(m, System.METRIC) for m in moves), end="",
        insulation_m=insulation,
    )  # fmt: skip
    return lay([run], [PORT], shipped_tubes(), shipped_items(), lambda at: "Utility" if at[0] < 1.0 else "")


MOVES = ("down 1 m", "east 2 m", "fit gate valve", "east 700 mm", "north 1 m", "tube copper 15", "north 2 m", "up 1 m")


def listed(buying: Buying, pipework: Pipework | None = None, shop: Shop | None = None) -> BuyList:
    pipework, shop = pipework or laid(*MOVES), shop or Shop()
    made = fit(pipework, shop)
    cutting = lay_cuts(made, buying)
    takeoff = count(
        pipework, made, cutting, emitters=(), emitter_valves={}, items=shipped_items(), boilers=(BOILER,), tanks=(),
        equipment=(("boiler", "boiler"),),
    )  # fmt: skip
    tubes = [t for leg in pipework.legs for t in leg.tubes]
    used = (*joints_used(made, tubes, shop), *water_used(takeoff.water_m3, 0.0))
    return buy_list(takeoff, made, cutting, used, tubes=tubes, shop=shop, buying=buying)


def test_in_the_order_of_the_counter() -> None:
    b = listed(Buying())
    assert list(dict.fromkeys(x.group for x in b.lines)) == [
        "tube", "fittings 22 mm", "fittings 15 mm", "valves", "equipment", "consumables",
    ]  # fmt: skip
    by_item = {(x.item, x.size): x for x in b.lines}
    assert by_item["elbow 90°", "22 mm"].need == 2
    assert by_item["reducer", "22 × 15 mm"].group == "fittings 22 mm"
    assert (by_item["copper 22", "22 mm"].pack, by_item["copper 22", "22 mm"].pack_holds) == ("stick", 3.0)
    assert by_item["solder, lead-free", ""].pack_holds == 0.25
    for x in b.lines:
        assert x.buy == x.need + x.spare
        assert x.cost is None


def test_the_chance_of_another_trip_is_kept() -> None:
    loose, tight = listed(Buying(chance=0.2)), listed(Buying(chance=0.001))
    assert loose.spares.choice.chance <= 0.2
    assert tight.spares.choice.chance <= 0.001
    assert sum(x.spare for x in tight.lines) > sum(x.spare for x in loose.lines)
    none = listed(Buying(spoil_joint=0.0, spoil_cut=0.0, chance=0.9, trip=0.0))
    assert sum(x.spare for x in none.lines) == 0


def test_prices_of_the_job_come_first() -> None:
    b = listed(
        Buying(
            currency="crowns",
            prices=(
                Price(item="elbow 90°", size="22 mm", each=2.0),
                Price(item="gate valve", size="", each=11.0),
                Price(item="flux", size="", each=5.0),
            ),
            stock=(StockOnSale(tube="copper 22", lengths_m=(3.0, 5.0), prices=(20.0, 30.0)),),
        )
    )
    by_item = {(x.item, x.size, x.pack_holds): x for x in b.lines}
    elbow = by_item["elbow 90°", "22 mm", 1.0]
    assert elbow.cost == pytest.approx(2.0 * elbow.buy)
    assert by_item["gate valve", "22 mm", 1.0].each == 11.0
    # 0.96 + 1.96 + 0.66 + 0.98 m: one stick of 5 m is cheaper than two of 3 m
    tube = by_item["copper 22", "22 mm", 5.0]
    assert (tube.need, tube.each) == (1, 30.0)
    assert b.cost == pytest.approx(sum(x.each * x.buy for x in b.lines if x.each is not None))
    assert b.unpriced == sum(x.each is None for x in b.lines)


def test_own_offcuts_are_not_bought() -> None:
    b = listed(Buying(stock=(StockOnSale(tube="copper 15", own_m=(2.1, 1.2)),)))
    tube = next(x for x in b.lines if x.item == "copper 15")
    assert tube.need == 0


def test_what_is_assumed_is_told() -> None:
    assert set(terms(Buying()).assumed) == {"trip", "return fee", "chance", "spoil cut", "spoil joint"}
    mine = Buying(trip=55.0, return_fee=0.1, chance=0.02, spoil_cut=0.01, spoil_joint=0.03)
    assert terms(mine).assumed == ()
    assert (terms(mine).trip, terms(mine).chance) == (55.0, 0.02)
    assert assumed_price("fitting", 0.022) == default("price fitting")
    assert assumed_price("tube", 0.044) == pytest.approx(default("price tube") * 2**1.5)


def test_solder_flux_and_sealant() -> None:
    made = fit(laid(*MOVES))
    used = {u.item: u for u in joints_used(made, TUBES.values(), Shop())}
    # connector, 2 elbows, valve, reducer in 22; reducer, elbow, cap in 15
    solder = (1 + 4 + 2 + 1) * solder_kg(0.022, 0.0154) + (1 + 2 + 1) * solder_kg(0.015, 0.0106)
    assert used["solder, lead-free"].amount == pytest.approx(solder)
    assert used["flux"].amount == pytest.approx(solder / 8)
    assert used["abrasive cloth"].amount == pytest.approx(12 * 0.03)
    assert used["torch gas"].amount == pytest.approx(5.0 * (8 + 4 * (15 / 22) ** 2))
    steel = {
        u.item: u for u in joints_used(fit(laid("down 1 m", "east 1 m", tube="steel 1/2")), TUBES.values(), Shop())
    }
    assert steel["thread tape"].amount == pytest.approx(4 * 8 * pi * 0.0213)
    assert "solder, lead-free" not in steel


def test_brazing_and_rings() -> None:
    brazed = Shop(systems=((Material.COPPER, JointSystem.BRAZED),))
    made = fit(laid("down 1 m", "east 1 m", tube="copper L 3/4"), brazed)
    used = {u.item: u for u in joints_used(made, TUBES.values(), brazed)}
    # twice the published 0.21 lb for 100 joints
    assert used["brazing filler"].amount == pytest.approx(4 * 2 * 0.0021 * 0.45359237)
    plastic = fit(laid("down 1 m", "east 1 m", tube="PEX 16x2"))
    rings = [u for u in joints_used(plastic, TUBES.values(), Shop()) if u.item == "crimp ring"]
    assert [(u.size, u.amount, u.packs) for u in rings] == [("16 mm", 4, 4)]


def test_insulation_by_room() -> None:
    pipework = laid("down 1 m", "east 3 m", insulation=0.013)
    (line,) = insulation_used(pipework.legs)
    assert (line.item, line.size, line.note, line.packs) == ("insulation 13 mm", "22 mm", "no room", 5)
    assert line.amount == pytest.approx(4.0 * 1.05)
    (line,) = insulation_used(laid("down 3 m", "east 500 mm", insulation=0.5 * INCH).legs, System.US)
    assert (line.item, line.note, line.packs) == ("insulation 1/2 in", "Utility", 3)


def test_inhibitor_or_antifreeze() -> None:
    (line,) = water_used(0.12, 0.0)
    assert (line.item, line.packs) == ("inhibitor", 2)
    assert line.amount == pytest.approx(1.2)
    (line,) = water_used(0.12, 0.3)
    assert line.amount == pytest.approx(36.0)
    assert line.item.startswith("antifreeze")


def test_a_wheel_loses_nothing() -> None:
    assert kerf_m(TUBES["copper 22"], Buying()) == 0.0
    assert kerf_m(TUBES["steel 3/4"], Buying()) == 0.002
    assert kerf_m(TUBES["copper 22"], Buying(kerf_m=0.0015)) == 0.0015


PRICED = Buying(
    prices=(Price(item="elbow 90°", size="22 mm", each=2.0), Price(item="descaler", size="", each=9.0)), return_fee=0.1
)


def back(*left: LeftOver) -> list[Return]:
    buying = replace(PRICED, left=left)
    return list(returns(listed(buying), buying))


def test_what_goes_back_brings_its_price_less_the_fee() -> None:
    (elbows,) = back(LeftOver(item="elbow 90°", size="22 mm", count=3))
    assert (elbows.group, elbows.each) == ("fittings 22 mm", 2.0)
    assert elbows.back == pytest.approx(3 * 2.0 * 0.9)


def test_what_goes_back_stands_in_the_order_of_the_counter() -> None:
    found = back(
        LeftOver(item="descaler", size="", count=1),
        LeftOver(item="gate valve", size="", count=1),
        LeftOver(item="elbow 90°", size="15 mm", count=2),
        LeftOver(item="copper 15", size="", count=1),
    )
    assert [(x.item, x.size) for x in found] == [
        ("copper 15", "15 mm"), ("elbow 90°", "15 mm"), ("gate valve", "22 mm"), ("descaler", ""),
    ]  # fmt: skip
    # nothing has a price but the last, which the list does not have and the job knows
    assert [x.back for x in found] == [None, None, None, pytest.approx(8.1)]
    assert [x.line is None for x in found] == [False, False, False, True]


@pytest.mark.parametrize(
    ("item", "size", "likely"),
    [("elbow 90", "22 mm", "elbow 90°"), ("elbow 90°", "", "elbow 90° in another size"), ("anvil", "", "")],
)
def test_what_the_list_does_not_have_says_what_may_be_meant(item: str, size: str, likely: str) -> None:
    (found,) = back(LeftOver(item=item, size=size, count=1))
    assert found.line is None
    assert found.likely == likely


def test_nothing_left_over_nothing_back() -> None:
    assert back() == []
