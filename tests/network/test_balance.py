"""Balancing on the small house and its variants: flows as designed, the least throttling, nothing by order or name."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from smallhouse import (
    BOILER,
    EMITTERS,
    ROOM_C,
    VALVES,
    Runs,
    all_runs,
    circulator,
    items,
    laid,
    radiator,
    run,
    without_tee,
)

from wetside.network.balance import BalanceReading, balance
from wetside.network.duty import PLENTY, kv_for_drop, shares, valve_drop
from wetside.network.equipment import Equipment
from wetside.network.net import Regulation
from wetside.network.ways import Wish, turns_for
from wetside.pipework.spec import Item, ItemKind

LOADS = {"Hall": 900.0, "Parlour": 1200.0, "Attic": 700.0}


def equipment(**changes: Any) -> Equipment:
    told: dict[str, Any] = {
        "emitters": EMITTERS,
        "emitter_valves": VALVES,
        "items": items(),
        "boilers": (BOILER,),
        "circulators": (circulator("heating circulator"),),
        "room_c": ROOM_C,
    }
    return Equipment(**(told | changes))


def wish(**loads: float) -> Wish:
    return Wish(load_w=LOADS | loads, drop_k=15.0, drops_k={})


def balanced(runs: Runs | None = None, extra: tuple[Item, ...] = (), **changes: Any) -> BalanceReading:
    drops = changes.pop("drops_k", {})
    loads = changes.pop("loads", {})
    if extra:
        changes.setdefault("items", items(*extra))
    w = replace(wish(**loads), drops_k=drops)
    return balance(laid(runs or all_runs(), extra), equipment(**changes), w)


def off(reading: BalanceReading) -> dict[str, float]:
    return {e.name: e.flow_kg_s / e.design_kg_s - 1.0 for e in reading.emitters}


def direct(runs: Runs) -> Runs:
    """No closely spaced tees: the heating runs go straight to the boiler, whose own circulator drives them."""
    found = {n: r for n, r in runs.items() if n != "primary"}
    flow, back = runs["heating flow"], runs["heating return"]
    kept = tuple(m for m in flow.moves if getattr(m, "item", "") != "heating circulator")
    down, tee, on = run("x", "copper 22", "a", "down 0.6 m, tee V, down 0.1 m").moves
    return found | {
        "heating flow": replace(flow, start="boiler.flow", moves=(down, tee, on, *kept)),
        "heating return": replace(back, start="boiler.return", moves=(down, *back.moves)),
        "to vessel": replace(runs["to vessel"], start="heating flow.V"),
    }


def in_series(runs: Runs) -> Runs:
    """R1 and R2 one behind the other: what leaves R1 enters R2."""
    found = without_tee(without_tee(runs, "heating flow", "2"), "heating return", "1")
    found = {n: r for n, r in found.items() if n not in ("R1 return", "R2 flow")}
    return found | {"R1 to R2": run("R1 to R2", "copper 15", "R1.return", "down 0.1 m, east 1 m, up 0.1 m", "R2.flow")}


def two_circuits(runs: Runs) -> Runs:
    """R1 and R2 on one circuit; R3 on one of its own, off a second pair of tees, with a circulator of its own."""
    more = [
        run("primary", "copper 22", "boiler.flow",
            "down 0.3 m, fit isolating valve, down 0.2 m, tee A, down 0.08 m, tee B, down 0.1 m, tee C, down 0.08 m, "
            "tee D, down 0.02 m, tee V, down 0.2 m, east 0.3 m, up 0.98 m", "boiler.return"),
        run("heating flow", "copper 22", "primary.A",
            "west 0.2 m, fit heating circulator, west 0.5 m, tee 1, west 2 m, up 0.2 m", "R2.flow"),
        run("heating return", "copper 22", "primary.B", "west 0.7 m, tee 1, west 2 m, up 0.2 m", "R2.return"),
        run("attic flow", "copper 15", "primary.C", "west 0.2 m, fit attic circulator, west 8 m, up 3 m", "R3.flow"),
        run("attic return", "copper 15", "primary.D", "west 8.2 m, up 3 m", "R3.return"),
    ]  # fmt: skip
    found = {n: r for n, r in runs.items() if n not in ("R2 flow", "R2 return")}
    return found | {r.name: r for r in more}


def test_flows_are_as_designed_behind_closely_spaced_tees() -> None:
    b = balanced()
    assert max(map(abs, off(b).values())) < 0.01
    assert b.worst == pytest.approx(max(map(abs, off(b).values())))
    assert {e.name: e.output_w >= e.share_w * 0.999 for e in b.emitters} == {e.name: True for e in EMITTERS}
    given = {e.room: e.output_w for e in b.emitters}
    assert all(given[room] >= w for room, w in LOADS.items())
    for e in b.emitters:
        assert e.supply_c - e.return_c <= 15.01, "no more than the design drop"


def test_least_throttling() -> None:
    """One valve of the circuit stays open, and its circulator just serves: slower, that way falls short."""
    b = balanced()
    assert sum(e.fully_open for e in b.emitters) >= 1
    heating, boiler = (next(c for c in b.circulators if c.built_in is x) for x in (False, True))
    assert heating.serves == ("R1", "R2", "R3")
    assert (boiler.serves, boiler.setting) == ((), boiler.setting_before)
    assert heating.setting < heating.setting_before
    open_one = next(e for e in b.emitters if e.fully_open)
    slower = balance(
        laid(all_runs()),
        equipment().with_valves(b.settings).with_circulators({heating.name: 0.97 * heating.setting}),
        wish(),
    )
    assert next(e for e in slower.emitters if e.name == open_one.name).before_kg_s < 0.99 * open_one.design_kg_s


def test_balancing_twice_changes_nothing() -> None:
    b = balanced()
    again = balance(laid(all_runs()), equipment().with_valves(b.settings).with_circulators(b.turned), wish())
    assert {(s.emitter, s.kv_m3_h) for s in again.settings} == {(s.emitter, s.kv_m3_h) for s in b.settings}
    assert again.turned == {}


def test_whatever_it_is_set_to_now() -> None:
    """Valves nearly shut and a circulator at another speed lead to the same settings."""
    b = balanced()
    other = equipment(circulators=(circulator("heating circulator", 0.6),))
    start = other.with_valves([replace(s, kv_m3_h=0.05 * (k + 1)) for k, s in enumerate(b.settings)])
    c = balance(laid(all_runs()), start, wish())
    assert {s.emitter: s.kv_m3_h for s in c.settings} == pytest.approx(
        {s.emitter: s.kv_m3_h for s in b.settings}, rel=5e-3
    )
    assert c.circulators[0].setting == pytest.approx(b.circulators[0].setting, abs=2e-3)


def test_order_and_names_do_not_matter() -> None:
    b = balanced()
    runs = all_runs()
    turned = dict(reversed(runs.items()))
    c = balance(laid(turned), equipment(emitters=EMITTERS[::-1]), wish())
    assert {e.name: e.kv_m3_h for e in c.emitters} == pytest.approx({e.name: e.kv_m3_h for e in b.emitters}, rel=5e-3)
    new = {n: n if n == "primary" else f"z {n}" for n in runs}

    def end(ref: str) -> str:
        owner, dot, rest = ref.rpartition(".")
        return f"{new.get(owner, owner)}{dot}{rest}"

    renamed = {new[n]: replace(r, name=new[n], start=end(r.start), end=end(r.end)) for n, r in runs.items()}
    d = balance(laid(renamed), equipment(), wish())
    assert {e.name: e.kv_m3_h for e in d.emitters} == pytest.approx({e.name: e.kv_m3_h for e in b.emitters}, rel=5e-3)


def test_a_boilers_own_circulator_is_set_when_it_drives() -> None:
    b = balanced(direct(all_runs()), circulators=())
    assert max(map(abs, off(b).values())) < 0.01
    one = b.circulators[0]
    assert one.built_in
    assert one.serves == ("R1", "R2", "R3")
    assert one.setting < one.setting_before
    assert any(e.fully_open for e in b.emitters)


def test_two_circulators_with_circuits_of_their_own() -> None:
    """Each circulator is brought to what its circuit needs."""
    pump = Item(name="attic circulator", kind=ItemKind.CIRCULATOR)
    small = replace(circulator("attic circulator"), points=((0.0, 9e3), (1e-4, 5e3), (2e-4, 0.0)))
    pumps = (circulator("heating circulator"), small)
    b = balanced(two_circuits(all_runs()), (pump,), circulators=pumps)
    assert max(map(abs, off(b).values())) < 0.01
    serves = {c.name: c.serves for c in b.circulators}
    assert serves["heating circulator"] == ("R1", "R2")
    assert serves["attic circulator"] == ("R3",)
    by_name = {e.name: e for e in b.emitters}
    assert by_name["R3"].fully_open
    assert by_name["R1"].fully_open or by_name["R2"].fully_open


def test_series_gets_one_flow_and_says_so() -> None:
    b = balanced(in_series(all_runs()))
    first, second, third = (next(e for e in b.emitters if e.name == n) for n in ("R1", "R2", "R3"))
    assert first.design_kg_s == second.design_kg_s
    assert first.flow_kg_s == pytest.approx(second.flow_kg_s, rel=1e-9)
    assert "in series with R1, R2" in first.note
    assert "series" not in third.note
    assert max(map(abs, off(b).values())) < 0.01
    assert first.output_w >= LOADS["Hall"]
    assert second.output_w >= LOADS["Parlour"]
    assert first.supply_c - second.return_c <= 15.1
    assert (first.kv_m3_h is None) != (second.kv_m3_h is None), "one of their two valves sets both"


def test_a_weak_circulator_is_told_and_shared_out_fairly() -> None:
    weak = replace(circulator("heating circulator"), points=((0.0, 900.0), (1e-3, 500.0)))
    b = balanced(circulators=(weak,))
    heating = next(c for c in b.circulators if not c.built_in)
    assert "too weak" in heating.note
    assert heating.setting == 1.0
    assert all("too weak" in e.note for e in b.emitters)
    assert max(map(abs, off(b).values())) < 0.01, "of what it can drive"
    full = {e.name: e.design_kg_s for e in balanced().emitters}
    parts = [e.design_kg_s / full[e.name] for e in b.emitters]
    assert max(parts) < 0.95
    assert max(parts) / min(parts) < 1.1


def test_a_circulator_that_holds_a_pressure() -> None:
    held = replace(circulator("heating circulator"), regulation=Regulation.CONSTANT, set_pa=30e3)
    b = balanced(circulators=(held,))
    heating = next(c for c in b.circulators if not c.built_in)
    assert heating.regulation == "constant pressure"
    assert heating.setting < 30e3
    assert heating.head_pa == pytest.approx(heating.setting, rel=0.03)
    assert max(map(abs, off(b).values())) < 0.01


def test_no_valve_no_setting() -> None:
    valves = VALVES | {"R2": ("thermostatic valve", "")}
    b = balanced(emitter_valves=valves)
    second = next(e for e in b.emitters if e.name == "R2")
    assert second.kv_m3_h is None
    assert "no lockshield or balancing valve" in second.note
    assert second.flow_kg_s >= 0.99 * second.design_kg_s, "the circulator is not slowed beyond what it needs"
    assert max(abs(v) for n, v in off(b).items() if n != "R2") < 0.01


def test_a_valve_in_a_run_sets_the_way_too() -> None:
    valve = Item(name="BV", kind=ItemKind.BALANCING_VALVE, kv_m3_h=1.0, open_kv_m3_h=2.0)
    runs = all_runs()
    r = runs["R2 flow"]
    runs["R2 flow"] = replace(
        r, moves=(r.moves[0], *run("x", "copper 15", "a", "fit BV, north 0.2 m").moves, r.moves[1])
    )
    b = balanced(runs, (valve,), emitter_valves=VALVES | {"R2": ("", "")})
    second = next(e for e in b.emitters if e.name == "R2")
    assert second.in_run
    assert second.valve == "BV"
    assert max(map(abs, off(b).values())) < 0.01


def test_turns_by_the_items_curve() -> None:
    one = Item(name="L", kind=ItemKind.LOCKSHIELD, turns=((0.5, 0.1), (1.0, 0.3), (3.0, 0.9)))
    assert turns_for(one, 0.2) == pytest.approx(0.75)
    assert turns_for(one, 0.05) == pytest.approx(0.25)
    assert turns_for(one, 0.9) == pytest.approx(3.0)
    assert turns_for(Item(name="L", kind=ItemKind.LOCKSHIELD), 0.2) is None
    b = balanced(extra=(one,), emitter_valves=dict.fromkeys(VALVES, ("thermostatic valve", "L")))
    for e in b.emitters:
        assert e.open_kv_m3_h == 0.9
        assert e.kv_m3_h is not None
        assert e.turns == pytest.approx(turns_for(one, e.kv_m3_h))
    assert next(e for e in b.emitters if e.fully_open).turns == pytest.approx(3.0)


def test_authority_is_of_the_thermostatic_valve() -> None:
    b = balanced()
    for e in b.emitters:
        assert e.authority_of == "thermostatic valve"
        assert e.authority is not None
        assert 0.0 < e.authority < 1.0
    plain = balanced(emitter_valves=dict.fromkeys(VALVES, ("", "lockshield valve")))
    open_one = next(e for e in plain.emitters if e.fully_open)
    others = [e for e in plain.emitters if not e.fully_open]
    assert open_one.authority_of == "R1 lockshield" or open_one.authority_of.endswith("lockshield")
    assert all(o.authority is not None and o.authority > (open_one.authority or 1.0) for o in others)


def test_a_shut_emitter_is_left_out() -> None:
    shut = Item(name="stop", kind=ItemKind.ISOLATING_VALVE, shut=True)
    b = balanced(extra=(shut,), emitter_valves=VALVES | {"R3": ("stop", "lockshield valve")})
    assert [e.name for e in b.emitters] == ["R1", "R2"]
    assert b.notes == ("R3 stands: a shut valve keeps water from it",)
    assert max(map(abs, off(b).values())) < 0.01


def test_a_drop_of_its_own() -> None:
    b = balanced(drops_k={"R1": 8.0})
    first, second = b.emitters[:2]
    assert first.supply_c - first.return_c == pytest.approx(8.0, abs=0.1)
    assert second.supply_c - second.return_c > 8.5


def test_shares_of_a_room() -> None:
    two = (radiator("a", "Hall", 1000.0), radiator("b", "Hall", 3000.0), radiator("c", "Attic"))
    assert shares(two, {"Hall": 1000.0}) == pytest.approx({"a": 250 * PLENTY, "b": 750 * PLENTY, "c": 0.0})


def test_kv_and_drop_are_inverse() -> None:
    assert valve_drop(1000 / 3600, 1.0, 1000.0) == pytest.approx(1e5), "1 m3/h of cold water, 1 bar"
    assert kv_for_drop(0.02, valve_drop(0.02, 0.37, 978.0), 978.0) == pytest.approx(0.37)
    with pytest.raises(ValueError, match="some resistance"):
        kv_for_drop(0.02, 0.0, 978.0)


@settings(max_examples=12)
@given(
    rated=st.tuples(*[st.floats(900.0, 3000.0)] * 3),
    need=st.tuples(*[st.floats(0.1, 0.55)] * 3),
    head=st.floats(0.6, 1.6),
    drop=st.floats(6.0, 22.0),
)
def test_any_house_is_within_one_percent(
    rated: tuple[float, ...], need: tuple[float, ...], head: float, drop: float
) -> None:
    """And either a valve stays open or the circulator can go no slower."""
    emitters = tuple(radiator(e.name, e.room, w) for e, w in zip(EMITTERS, rated, strict=True))
    pump = circulator("heating circulator")
    pump = replace(pump, points=tuple((q, head * h) for q, h in pump.points))
    loads = {e.room: s * e.rated_w for e, s in zip(emitters, need, strict=True)}
    b = balance(
        laid(all_runs()), equipment(emitters=emitters, circulators=(pump,)), Wish(load_w=loads, drop_k=drop, drops_k={})
    )
    assert b.worst < 0.01
    heating = next(c for c in b.circulators if not c.built_in)
    assert any(e.fully_open for e in b.emitters) or "lowest" in heating.note
    for e in b.emitters:
        assert e.kv_m3_h is not None
        assert e.open_kv_m3_h is not None
        assert e.kv_m3_h <= e.open_kv_m3_h * (1 + 1e-3)
