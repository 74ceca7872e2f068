"""Tube for a flow, circulators for a duty, emitters for a room."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.basis.quantity import System
from wetside.emitter.spec import Emitter, EmitterKind
from wetside.fluid.water import liquid
from wetside.network.choose import (
    circulator_choices,
    covering,
    least_speed,
    next_length,
    power,
    typical_circulators,
)  # fmt: skip
from wetside.network.curve import head_at
from wetside.network.duty import LEAST_DROP_K, output_by_drop
from wetside.network.net import Curve
from wetside.network.size import (
    SizeLimits,
    allowed,
    carries,
    cheapest,
    prices,
    series_of,
    speed_and_gradient,
    typical_price,
)  # fmt: skip
from wetside.network.spec import Circulator
from wetside.pipework.tubes import shipped_tubes

TUBES = {t.name: t for t in shipped_tubes()}
COPPER = tuple(TUBES[f"copper {n}"] for n in (15, 22, 28, 35, 42, 54))
METRIC = SizeLimits(system=System.METRIC)
PRICES = {t.name: typical_price(t) for t in COPPER}


def best(flow: float, limits: SizeLimits = METRIC, *, heard: bool = False) -> str | None:
    tube = cheapest(COPPER, PRICES, flow, 70.0, limits, liquid(), heard=heard)
    return None if tube is None else tube.name


def test_chadderton_example_4_2_needs_15_mm_throughout() -> None:
    """58842 Pa over 90 m of equivalent length: 653.8 Pa/m; the largest flow is .12 kg/s at 78.5 °C (see
    `published/test_copper_flow_chadderton.py`)."""
    limits = SizeLimits(system=System.METRIC, gradient_pa_m=58_842 / 90)
    for flow in (0.02, 0.04, 0.06, 0.10, 0.12):
        tube = cheapest(COPPER, PRICES, flow, 78.5, limits, liquid(), heard=False)
        assert tube is not None
        assert tube.name == "copper 15"
    speed, gradient = speed_and_gradient(TUBES["copper 15"], 0.12, 78.5, liquid())
    assert (speed, gradient) == (pytest.approx(0.85, abs=0.005), pytest.approx(608, rel=0.02))


def test_each_limit_decides_somewhere() -> None:
    free = SizeLimits(system=System.METRIC, speed_m_s=9.0, gradient_pa_m=1e5)
    assert best(0.12) == "copper 22", "the gradient"
    assert best(0.12, SizeLimits(system=System.METRIC, gradient_pa_m=1e5)) == "copper 15"
    assert best(0.16, SizeLimits(system=System.METRIC, gradient_pa_m=1e5)) == "copper 22", "the speed"
    assert best(0.20, free) == "copper 15"
    assert best(0.20, free, heard=True) == "copper 22", "what is heard in a room"
    assert best(50.0) is None


@given(flow=st.floats(1e-4, 3.0), more=st.floats(1.0, 3.0), water_c=st.floats(20.0, 85.0))
def test_more_water_never_needs_a_smaller_tube(flow: float, more: float, water_c: float) -> None:
    first = cheapest(COPPER, PRICES, flow, water_c, METRIC, liquid(), heard=True)
    second = cheapest(COPPER, PRICES, flow * more, water_c, METRIC, liquid(), heard=True)
    if second is not None:
        assert first is not None
        assert first.bore_m <= second.bore_m
        assert carries(second, flow, water_c, METRIC, liquid(), heard=True)


@given(st.permutations(COPPER), st.floats(1e-3, 1.0))
def test_order_does_not_matter(tubes: list, flow: float) -> None:
    limits = METRIC
    found = cheapest(tubes, PRICES, flow, 60.0, limits, liquid(), heard=False)
    assert found == cheapest(COPPER, PRICES, flow, 60.0, limits, liquid(), heard=False)


def test_the_cheapest_wins_and_ties_go_to_the_smaller_bore() -> None:
    level = dict.fromkeys(PRICES, 1.0)
    assert cheapest(COPPER, level, 0.05, 70.0, METRIC, liquid(), heard=False) == TUBES["copper 15"]
    bargain = PRICES | {"copper 28": 0.1}
    assert cheapest(COPPER, bargain, 0.05, 70.0, METRIC, liquid(), heard=False) == TUBES["copper 28"]


def test_tubes_to_choose_from() -> None:
    names = [t.name for t in allowed(shipped_tubes(), {"copper 15", "copper 28"}, ())]
    assert names == ["copper 15", "copper 28", "copper 35", "copper 42", "copper 54"]
    assert [t.name for t in allowed(shipped_tubes(), {"copper 15"}, ("copper 28", "copper 22"))] == [
        "copper 22", "copper 28"
    ]  # fmt: skip
    us = [t.name for t in allowed(shipped_tubes(), {"copper L 3/4"}, ())]
    assert us[:3] == ["copper L 3/4", "copper L 1", "copper L 1 1/4"]
    assert not any(" M " in n or " K " in n for n in us)
    assert series_of(TUBES["copper 22"]) != series_of(TUBES["copper 22x1"])


def test_prices_are_the_jobs_own_only_when_it_gives_all() -> None:
    two = COPPER[:2]
    assert prices(two, {"copper 15": 4.0, "copper 22": 7.0}) == ({"copper 15": 4.0, "copper 22": 7.0}, True)
    typical, own = prices(two, {"copper 15": 4.0})
    assert (typical, own) == ({n.name: PRICES[n.name] for n in two}, False)
    assert PRICES["copper 15"] == 1.0
    assert [PRICES[t.name] for t in COPPER] == sorted(PRICES.values())


def panel(**changes: object) -> Emitter:
    base = Emitter(
        name="R", room="Hall", kind=EmitterKind.PANEL, rated_w=1000.0, rated_excess_k=50.0, exponent=1.33,
        water_m3=4e-3, mass_kg=20.0, rating_note="", length_m=1.0, height_m=0.6, depth_m=0.1,
    )  # fmt: skip
    return replace(base, **changes)


def test_an_emitter_that_can_is_left_alone() -> None:
    most = output_by_drop(panel(), 60.0, LEAST_DROP_K, 20.0)
    assert covering(panel(), most, 60.0, 20.0, 20.0) is None


def test_a_panel_grows_to_the_next_length() -> None:
    choice = covering(panel(), 1200.0, 60.0, 20.0, 10.0)
    assert choice is not None
    assert 1.5 < choice.emitter.length_m < 2.4
    assert choice.emitter.rated_w == pytest.approx(1000.0 * choice.emitter.length_m)
    assert output_by_drop(choice.emitter, 60.0, 10.0, 20.0) >= 1200.0
    shorter = replace(panel(), rated_w=1000.0 * (choice.emitter.length_m - 0.2), length_m=1.0)
    assert output_by_drop(shorter, 60.0, 10.0, 20.0) < 1200.0, "no longer than it needs be"
    assert next_length(EmitterKind.PANEL, 1.21) == pytest.approx(1.4)
    assert next_length(EmitterKind.PANEL, 1.4) == pytest.approx(1.4)
    assert next_length(EmitterKind.PANEL, 9.0) == pytest.approx(9.0)


def test_a_column_radiator_grows_by_whole_sections() -> None:
    column = panel(kind=EmitterKind.COLUMN, sections=10)
    choice = covering(column, 1200.0, 60.0, 20.0, 10.0)
    assert choice is not None
    e = choice.emitter
    assert e.rated_w == pytest.approx(100.0 * e.sections)
    assert e.length_m == pytest.approx(0.1 * e.sections)
    assert output_by_drop(e, 60.0, 10.0, 20.0) >= 1200.0
    assert output_by_drop(replace(e, rated_w=100.0 * (e.sections - 1)), 60.0, 10.0, 20.0) < 1200.0


def test_a_towel_rail_only_says_what_it_needs() -> None:
    choice = covering(panel(kind=EmitterKind.TOWEL_RAIL), 1200.0, 60.0, 20.0, 10.0)
    assert choice is not None
    assert choice.factor == 1.0
    assert choice.needed_w > 1000.0


def test_water_too_cold_is_told() -> None:
    with pytest.raises(ValueError, match="raise the flow temperature"):
        covering(panel(), 500.0, 35.0, 20.0, 20.0)


@given(need=st.floats(50.0, 4000.0), more=st.floats(1.0, 2.0), supply=st.floats(45.0, 80.0), drop=st.floats(5.0, 20.0))
def test_more_need_never_asks_for_less_and_once_is_enough(need: float, more: float, supply: float, drop: float) -> None:
    first, second = (covering(panel(), w, supply, 20.0, drop) for w in (need, need * more))
    sizes = [1.0 if c is None else c.emitter.length_m for c in (first, second)]
    assert sizes[0] <= sizes[1]
    if second is not None:
        assert covering(second.emitter, need * more, supply, 20.0, drop) is None


def test_least_speed_that_serves() -> None:
    pump = Circulator(name="P", points=((0.0, 4e4), (3e-4, 3e4), (6e-4, 0.0)), watts=40.0)
    speed = least_speed(pump, 2e-4, 1.5e4)
    assert speed is not None
    curve = Curve(name="P", points=pump.points)
    assert head_at(replace(curve, speed=speed), 2e-4) >= 1.5e4
    assert head_at(replace(curve, speed=speed - 2e-4), 2e-4) < 1.5e4
    assert power(pump, speed, 2e-4, 1.5e4) == pytest.approx(40.0 * speed**3)
    assert least_speed(pump, 2e-4, 9e4) is None
    assert power(replace(pump, watts=None), speed, 2e-4, 1.5e4) == pytest.approx(2e-4 * 1.5e4 / 0.25)


def test_circulators_by_power() -> None:
    weak = Circulator(name="weak", points=((0.0, 1e4), (3e-4, 0.0)), watts=5.0)
    fit = Circulator(name="fit", points=((0.0, 4e4), (6e-4, 1e4)), watts=0.5)
    choices = circulator_choices((weak, fit), 2e-4, 2e4)
    assert choices[0].name == "fit"
    assert choices[-1].name == "weak"
    assert choices[-1].speed is None
    watts = [c.watts for c in choices if c.watts is not None]
    assert watts == sorted(watts)
    assert {c.name for c in choices if c.typical} == {c.name for c in typical_circulators()}
