"""Supports placed on runs, what they carry, and what heat does to them."""

import numpy as np
import pytest
from shed import PUMP, by_hand, pipes, read, run

from wetside.basis.errors import JobProblem
from wetside.basis.quantity import G, System
from wetside.frame.mass import fitting_kg, item_kg, strength, tube_kg_m
from wetside.frame.reading import Supporting
from wetside.frame.spec import SupportKind, Timber
from wetside.pipework.tubes import shipped_tubes

TUBES = {t.name: t for t in shipped_tubes()}
LONG = run(["down 500 mm", "east ..."])
HANGING = run(["down 300 mm", "fit pump", "down 200 mm", "east ..."])


def worst_share(s: Supporting) -> float:
    return max(x.length_m / x.allowed_m for x in s.spans if x.allowed_m)


def up(s: Supporting) -> float:
    return sum(x.load_n for x in s.supports) - sum(c.force_n[2] for c in s.connections)


def test_weight_is_that_of_tube_water_fittings_and_items() -> None:
    tube = TUBES["copper 22"]
    s = read(pipes(HANGING))
    length = 0.5 + 7.0
    fittings = fitting_kg(tube, 2) + 2 * fitting_kg(tube, 1)
    expected = (length * tube_kg_m(tube) + item_kg(PUMP) + fittings) * G
    assert s.weight_n == pytest.approx(expected)


def test_supports_and_ports_carry_the_whole_weight() -> None:
    s = read(pipes(HANGING))
    # the radiator's end carries the rest: less than half a span of tube
    rest = s.weight_n - up(s)
    assert 0.0 < rest < 1.8 * tube_kg_m(TUBES["copper 22"]) * G


def test_automatic_supports_keep_the_table_and_are_few() -> None:
    s = read(pipes(LONG))
    assert worst_share(s) <= 1.0
    # 7.5 m of 22 mm tube at 1.8 m
    assert 4 <= len(s.supports) <= 6
    spread = [x.length_m for x in s.spans if "boiler" not in x.first]
    assert max(spread) - min(spread) < 0.45


@pytest.mark.parametrize("tube", ["copper 15", "copper 28", "steel 3/4", "PEX 20x2", "multilayer 20x2"])
@pytest.mark.parametrize("table", ["metric", "trade", "city", "irc 2018"])
def test_every_table_is_kept_where_it_knows_the_tube(tube: str, table: str) -> None:
    s = read(pipes(run(["down 500 mm", "east ..."], tube=tube)), table=table)
    if all(x.allowed_m for x in s.spans):
        assert worst_share(s) <= 1.0 + 1e-9
    assert s.supports


def test_the_adopted_code_lowers_the_spacing() -> None:
    free = read(pipes(LONG), table="metric")
    capped = read(pipes(LONG), table="metric", code="city")
    assert len(capped.supports) > len(free.supports)
    assert worst_share(capped) <= 1.0
    assert "ceiling city" in capped.spacing and "no adopted code" in free.spacing


def test_us_jobs_take_the_trade_table_under_the_code() -> None:
    s = read(pipes(run(["down 500 mm", "east ..."], tube="copper L 3/4")), system=System.US)
    assert s.spacing.startswith("trade") and "ceiling irc 2018" in s.spacing


def test_a_free_riser_hangs_in_one_clamp() -> None:
    moves = [
        "down 300 mm",
        "south 50 mm",
        "up to 2.3 m",
        "east 2 m",
        "north 3 m",
        "down to 0.4 m",
        "east ...",
        "south ...",
    ]
    s = read(pipes(run(moves), radiator=(6.0, 2.0, 0.4), facing=(0.0, 1.0, 0.0)))
    drop = [x for x in s.supports if x.at[:2] == pytest.approx((3.0, 3.05))]
    assert [x.kind for x in drop].count(SupportKind.RISER_CLAMP) == 1
    assert {x.kind for x in drop} <= {SupportKind.RISER_CLAMP, SupportKind.STANDOFF}
    clamp = next(x for x in drop if x.kind is SupportKind.RISER_CLAMP)
    # it carries the riser, and the others on it carry nothing
    assert clamp.load_n == pytest.approx(1.9 * tube_kg_m(TUBES["copper 22"]) * G, rel=0.5)
    assert all(abs(x.load_n) < 1e-6 for x in drop if x is not clamp)


def test_along_the_wall_standoffs_in_mid_room_hangers() -> None:
    beside = read(pipes(run(["down 500 mm", "east ..."])))
    level = [x for x in beside.supports if x.at[0] > 2.5]
    assert {x.kind for x in level} <= {SupportKind.STANDOFF, SupportKind.ANCHOR, SupportKind.HANGER}
    assert SupportKind.STANDOFF in {x.kind for x in level}
    far = run(["down 500 mm", "north 3 m", "east ...", "south ..."])
    hung = read(pipes(far, radiator=(8.0, 1.0, 1.0), facing=(0.0, 1.0, 0.0)))
    middle = [x for x in hung.supports if x.at[1] > 2.9 and 2.0 < x.at[0] < 7.0]
    assert middle and all(x.kind in (SupportKind.HANGER, SupportKind.ANCHOR) for x in middle)


def test_across_joists_supports_meet_them_along_joists_anywhere() -> None:
    over = (
        run(["down 200 mm", "up 0.0 m"])
        if False
        else run(["down 300 mm", "south 50 mm", "up to 2.65 m", "east ...", "down ..."])
    )
    timbers = (Timber(low_m=2.5, high_m=2.8, what="joist", spacing_m=0.4, first_m=0.13, run_north=True),)
    s = read(pipes(over, radiator=(8.0, 0.05, 1.0), facing=(0.0, 0.0, 1.0)), timbers=timbers)
    above = [x for x in s.supports if 2.5 < x.at[2] < 2.8]
    assert above
    for x in above:
        steps = (x.at[0] - 0.13) / 0.4
        assert steps == pytest.approx(round(steps), abs=1e-6)
        assert x.fixed_to == "joist"
    assert worst_share(s) <= 1.0
    along = (Timber(low_m=2.5, high_m=2.8, what="joist", spacing_m=0.4, first_m=0.13, run_north=False),)
    t = read(pipes(over, radiator=(8.0, 0.05, 1.0), facing=(0.0, 0.0, 1.0)), timbers=along)
    assert all(x.fixed_to != "joist" for x in t.supports)


def test_joists_too_far_apart_leave_a_span_that_breaks() -> None:
    over = run(["down 300 mm", "south 50 mm", "up to 2.65 m", "east ...", "down ..."])
    timbers = (Timber(low_m=2.5, high_m=2.8, what="joist", spacing_m=2.2, first_m=0.4, run_north=True),)
    s = read(pipes(over, radiator=(8.0, 0.05, 1.0), facing=(0.0, 0.0, 1.0)), timbers=timbers)
    assert 1.0 < worst_share(s) < 2.0


def test_studs_are_met() -> None:
    timbers = (Timber(low_m=0.0, high_m=2.5, what="stud", spacing_m=0.6, first_m=0.25),)
    s = read(pipes(LONG), timbers=timbers)
    level = [x for x in s.supports if x.at[2] == pytest.approx(1.0)]
    assert level and all(((x.at[0] - 0.25) / 0.6) == pytest.approx(round((x.at[0] - 0.25) / 0.6)) for x in level)


def test_heavy_items_get_a_support_on_either_side() -> None:
    s = read(pipes(run(["down 500 mm", "east 2.5 m", "fit pump", "east ..."])))
    at = 1.0 + 2.5
    assert any(0 < at - x.at[0] <= 0.45 for x in s.supports)
    assert any(0 < x.at[0] - at <= 0.45 for x in s.supports)


def test_supports_by_hand_are_kept_and_the_rest_is_filled() -> None:
    hand = (by_hand("mine", "clip", 2.0), by_hand("far", "hanger", 5.5, bears_n=999.0))
    s = read(pipes(LONG), supports=hand)
    named = {x.name: x for x in s.supports}
    assert named["mine"].along_m == 2.0 and named["mine"].why == "by hand"
    assert named["far"].bears_n == 999.0 and named["far"].bears_given
    assert worst_share(s) <= 1.0
    alone = read(pipes(LONG), supports=hand, automatic=False)
    assert {x.name for x in alone.supports} == {"mine", "far"}
    assert worst_share(alone) > 1.0


def test_a_place_is_put_on_the_run() -> None:
    from wetside.frame.spec import Support

    s = read(
        pipes(LONG),
        supports=(Support(name="a", run="run", kind=SupportKind.CLIP, at=(4.0, 0.15, 1.02)),),
        automatic=False,
    )
    assert s.supports[0].at == pytest.approx((4.0, 0.1, 1.0))
    assert s.supports[0].along_m == pytest.approx(3.5)


def test_mistakes_in_supports_are_all_told() -> None:
    from wetside.frame.spec import Support

    wrong = (
        by_hand("a", "clip", 2.0, run="rum"),
        by_hand("b", "clip", 99.0),
        Support(name="c", run="run", kind=SupportKind.CLIP, at=(4.0, 3.0, 1.0)),
        Support(name="d", run="run", kind=SupportKind.CLIP),
    )
    with pytest.raises(JobProblem) as told:
        read(pipes(LONG), supports=wrong)
    assert [m.place.name for m in told.value.mistakes] == ["a", "b", "c", "d"]
    assert 'did you mean "run"?' in told.value.mistakes[0].remedy
    with pytest.raises(JobProblem, match="no spacing table"):
        read(pipes(LONG), table="metrix")


def test_hot_tube_pushes_where_it_is_held() -> None:
    """A straight between the boiler and the radiator, all of it held at both ends, wants a bend."""
    # 0.5 m down and 7 m along: the short leg takes up the growth of the long one
    s = read(pipes(LONG), automatic=False)
    figures = strength(TUBES["copper 22"].material)
    growth = 7.0 * figures.expansion_per_k * (80.0 - 10.0)
    bend = max(s.bends, key=lambda b: b.movement_m)
    assert bend.movement_m == pytest.approx(growth)
    assert bend.free_m == pytest.approx(0.5)
    assert bend.needed_m > bend.free_m
    assert s.runs[0].movement_m == pytest.approx(growth, rel=0.05)
    loop = max(s.loops, key=lambda x: x.growth_m)
    assert loop.growth_m == pytest.approx(growth) and loop.offset_m > bend.needed_m
    assert s.runs[0].stress_pa > 0.5 * (s.runs[0].allowable_pa or 0.0)
    cold = read(pipes(LONG), automatic=False, cold_c=80.0)
    assert cold.bends == () and cold.loops == ()
    assert cold.runs[0].movement_m < 1e-9


def test_an_anchor_shares_the_growth() -> None:
    s = read(pipes(LONG), automatic=False, supports=(by_hand("a", "anchor", 0.5 + 3.5),))
    figures = strength(TUBES["copper 22"].material)
    bend = max(s.bends, key=lambda b: b.movement_m)
    assert bend.movement_m == pytest.approx(3.5 * figures.expansion_per_k * 70.0)


def test_tap_water_and_cold_feeds_stay_cool() -> None:
    s = read(pipes(LONG))
    assert s.runs[0].hot_c == 80.0


def test_a_hanger_lets_tube_move_and_a_clip_does_not() -> None:
    near = 0.5 + 0.2
    clipped = read(pipes(LONG), automatic=False, supports=(by_hand("a", "standoff", 0.25),))
    hung = read(pipes(LONG), automatic=False, supports=(by_hand("a", "hanger", near),))
    assert max(b.free_m for b in clipped.bends if b.movement_m > 1e-3) < 0.5
    assert max(b.free_m for b in hung.bends if b.movement_m > 1e-3) == pytest.approx(0.5)
    # by heat alone, east: the way in which the long leg grows
    by_heat = [x.supports[0].hot_force_n[0] - x.supports[0].force_n[0] for x in (clipped, hung)]
    assert abs(by_heat[0]) > 10.0
    assert abs(by_heat[1]) < 1e-6


def test_floors_and_walls_that_tube_passes() -> None:
    through = run(["down 300 mm", "south 50 mm", "up to 3.6 m", "east ...", "south ..."])
    s = read(pipes(through, radiator=(13.0, -1.0, 3.6), facing=(0.0, 1.0, 0.0)))
    words = {p.through for p in s.passages}
    assert "floor of two" in words
    level = run(["down 500 mm", "east 12 m", "south ..."])
    t = read(pipes(level, radiator=(13.0, -1.0, 1.0), facing=(0.0, 1.0, 0.0)))
    (wall,) = t.passages
    assert wall.through == "wall of shed" and wall.at == pytest.approx((12.0, 0.1, 1.0))
    assert read(pipes(level, radiator=(13.0, -1.0, 1.0), facing=(0.0, 1.0, 0.0)), walls=False).passages == ()


def test_heavy_things_are_listed_heaviest_first() -> None:
    s = read(pipes(LONG))
    assert [(h.name, h.mass_kg) for h in s.heavy] == [("boiler", 40.0)]


def test_a_relief_valve_hangs_on_its_tube() -> None:
    from shed import port

    from wetside.pipework.lay import lay

    ports = (
        port("boiler", "flow", (1.0, 0.1, 1.5), (0.0, 0.0, -1.0), "boiler"),
        port("relief valve", "", (3.0, 0.1, 1.0), (-1.0, 0.0, 0.0), "relief"),
    )
    r = run(["down 500 mm", "east ..."], end="relief valve")
    made = lay((r,), ports, shipped_tubes(), (), lambda at: "shed")
    s = read(made, automatic=False)
    # everything hangs on the boiler
    assert -s.connections[0].force_n[2] == pytest.approx(s.weight_n)
    assert np.hypot(s.connections[0].moment_n_m[0], s.connections[0].moment_n_m[1]) > 0.5 * s.weight_n
