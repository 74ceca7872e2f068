"""Sizing a whole job: limits kept, ends, asks for nothing twice, nothing by order, more heat never smaller."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetside import open_job
from wetside.fluid.water import liquid
from wetside.house.reading import HouseLoad
from wetside.network.size import SizeLimits, carries
from wetside.pipework.retube import retubed, tubes_of
from wetside.pipework.spec import ChangeTube, Go, Run, Tee
from wetside.study.design import Design, Limits
from wetside.study.sizing import EMPTY, SizeReading, own_prices, size
from wetside.study.study import Study
from wetside.takeoff.spec import Buying, StockOnSale

DEMOS = Path(__file__).parents[2] / "src" / "wetside" / "jobfile" / "demos"
JOBS = ("net-loft", "schoolhouse")


@cache
def study(job: str) -> Study:
    return open_job(DEMOS / job)


def sized(design: Design, rooms: HouseLoad | None = None) -> SizeReading:
    s = Study(design)
    return size(design, rooms or s.rooms, s.pipework, s.flow)


def result(r: SizeReading) -> dict[str, str]:
    return {leg.name: leg.tube for leg in r.legs}


def bores(design: Design, r: SizeReading) -> dict[str, float]:
    tubes = {t.name: t.bore_m for t in design.tubes}
    return {leg.name: tubes[leg.tube] for leg in r.legs}


def applied(design: Design, r: SizeReading) -> Design:
    """The design as the sizes say."""
    runs = {x.name: x for x in r.runs}
    grown = {c.was.name: c.emitter for c in r.emitters}
    return replace(
        design,
        runs=tuple(runs.get(x.name, x) for x in design.runs),
        emitters=tuple(grown.get(e.name, e) for e in design.emitters),
    )


def hotter(rooms: HouseLoad, factor: float) -> HouseLoad:
    return replace(rooms, rooms=tuple(replace(r, load_w=factor * r.load_w) for r in rooms.rooms))


@pytest.mark.parametrize("job", JOBS)
def test_every_limit_is_kept_and_flows_are_as_designed(job: str) -> None:
    s = study(job)
    r = s.sized
    assert all(leg.fits for leg in r.legs)
    assert r.cost < r.cost_before
    assert r.balance is not None
    assert r.balance.worst < 0.01
    set_ones = {e.name for e in r.balance.emitters if e.kv_m3_h is not None}
    assert set_ones
    need = {x.name: x.load_w for x in s.rooms.rooms if x.heated}
    given: dict[str, float] = {}
    for e in r.balance.after.emitters:
        given[e.room] = given.get(e.room, 0.0) + e.output_w
    covered = {room: w for room, w in given.items() if room in need}
    assert all(w >= 0.999 * need[room] for room, w in covered.items())


def test_no_smaller_tube_would_do() -> None:
    """Each leg has the smallest tube that carries its flow, save the one kept wide between closely spaced tees."""
    s = study("net-loft")
    tubes = {t.name: t for t in s.design.tubes}
    limits = SizeLimits(system=s.design.system)
    for leg in s.sized.legs:
        smaller = [tubes[t] for t in s.sized.tubes if tubes[t].bore_m < tubes[leg.tube].bore_m]
        if leg.name != "primary 3":
            assert not any(carries(t, leg.flow_kg_s, 60.0, limits, liquid(), heard=True) for t in smaller)


@pytest.mark.parametrize("job", JOBS)
def test_sizing_again_changes_nothing(job: str) -> None:
    s = study(job)
    once = s.sized
    assert once.runs
    again = sized(applied(s.design, once))
    assert again.runs == ()
    assert again.emitters == ()
    assert result(again) == result(once)


@pytest.mark.parametrize("tube", ["copper 54", "copper 15"])
def test_what_is_drawn_now_does_not_matter(tube: str) -> None:
    """From everything far too wide, or far too narrow, to the same sizes."""
    s = study("net-loft")
    d = replace(s.design, limits=replace(s.design.limits, tubes=s.sized.tubes))
    drawn = replace(d, runs=tuple(retubed(r, (tube,) * len(tubes_of(r))) for r in d.runs))
    assert result(sized(drawn)) == result(sized(d))


def test_order_and_names_do_not_matter() -> None:
    s = study("net-loft")
    d = s.design
    turned = replace(d, runs=d.runs[::-1], emitters=d.emitters[::-1], items=d.items[::-1], tubes=d.tubes[::-1])
    assert result(sized(turned)) == result(s.sized)
    new = {r.name: r.name if r.name == "primary" else f"z {r.name}" for r in d.runs}

    def end(ref: str) -> str:
        owner, dot, rest = ref.rpartition(".")
        return f"{new.get(owner, owner)}{dot}{rest}"

    renamed = replace(d, runs=tuple(replace(r, name=new[r.name], start=end(r.start), end=end(r.end)) for r in d.runs))
    ways = tuple(replace(v, tee=end(v.tee)) for v in d.apparatus.three_ways)
    renamed = replace(renamed, apparatus=replace(d.apparatus, three_ways=ways))
    other = {n.removeprefix("z "): t for n, t in result(sized(renamed)).items()}
    assert other == result(s.sized)


@settings(max_examples=4)
@given(st.floats(0.5, 1.0), st.floats(1.0, 1.2))
def test_more_heat_never_needs_smaller_tube(base: float, more: float) -> None:
    """As long as the radiators can do it: a larger radiator may need less water than a strained one."""
    s = study("net-loft")
    few, many = (sized(s.design, hotter(s.rooms, f * 0.8)) for f in (base, base * more))
    if few.emitters or many.emitters:
        return
    first, second = bores(s.design, few), bores(s.design, many)
    assert all(first[n] <= second[n] for n in first)


@pytest.mark.parametrize("factor", [1.0, 1.5, 2.5])
def test_emitters_grow_with_the_need(factor: float) -> None:
    s = study("net-loft")
    r = sized(s.design, hotter(s.rooms, factor))
    rated = {e.name: e.rated_w for e in s.design.emitters} | {c.was.name: c.emitter.rated_w for c in r.emitters}
    less = {e.name: e.rated_w for e in s.design.emitters} | {
        c.was.name: c.emitter.rated_w for c in study("net-loft").sized.emitters
    }
    assert all(rated[n] >= less[n] for n in rated)
    assert r.passes <= 12


def test_impossible_limits_end_and_are_told() -> None:
    s = study("net-loft")
    r = sized(replace(s.design, limits=Limits(speed_m_s=0.01, tubes=("copper 15", "copper 22"))))
    assert not all(leg.fits for leg in r.legs)
    assert all(leg.tube == "copper 22" for leg in r.legs if not leg.fits)


def test_own_prices() -> None:
    s = study("net-loft")
    named = ("copper 15", "copper 22", "copper 28")
    stock = tuple(
        StockOnSale(tube=t, lengths_m=(3.0, 5.0), prices=(p * 3.0, p * 4.9))
        for t, p in zip(named, (4.0, 1.0, 9.0), strict=True)
    )
    d = replace(s.design, buying=Buying(stock=stock), limits=replace(s.design.limits, tubes=named))
    assert own_prices(d) == pytest.approx({"copper 15": 3.92, "copper 22": 0.98, "copper 28": 8.82})
    r = sized(d)
    assert r.own_prices
    assert "copper 15" not in result(r).values(), "22 mm is the bargain here"


def test_tube_changes_only_at_tees() -> None:
    for run in study("net-loft").sized.runs:
        for k, move in enumerate(run.moves):
            if isinstance(move, ChangeTube):
                assert isinstance(run.moves[k - 1], Tee)


def test_the_short_piece_between_close_tees_stays_as_wide_as_its_run() -> None:
    tubes = result(study("net-loft").sized)
    assert tubes["primary 3"] == tubes["primary 2"] == tubes["primary 4"]


def test_legs_without_flow_keep_their_tube() -> None:
    s = study("net-loft")
    assert not {"vessel line", "relief line", "cold feed"} & set(result(s.sized))


def test_lowest_flow_temperature_heats_every_room_and_less_does_not() -> None:
    s = study("net-loft-mended")
    lowest = s.sized.lowest
    assert lowest is not None
    assert lowest.flow_c is not None
    need = {r.name: r.load_w for r in s.rooms.rooms if r.heated}

    def short(flow_c: float) -> set[str]:
        boilers = tuple(replace(b, flow_c=flow_c) for b in s.design.boilers)
        colder = flow_c - s.design.boilers[0].flow_c
        a = s.design.apparatus
        ways = tuple(v if v.set_c is None else replace(v, set_c=v.set_c + colder) for v in a.three_ways)
        fitted = replace(applied(s.design, s.sized), boilers=boilers, apparatus=replace(a, three_ways=ways))
        balance = Study(fitted).balanced
        given: dict[str, float] = {}
        for e in balance.after.emitters:
            given[e.room] = given.get(e.room, 0.0) + e.output_w
        return {room for room, w in need.items() if given.get(room, w) < 0.998 * w}

    assert short(lowest.flow_c + 0.3) == set()
    assert lowest.room in short(lowest.flow_c - 1.5)


def test_a_job_without_runs_has_nothing_to_size() -> None:
    s = Study(replace(study("net-loft").design, runs=()))
    assert s.sized == EMPTY
    assert s.balanced.emitters == ()


def test_retubed() -> None:
    go = Go((1.0, 0.0, 0.0), 1.0, text="east 1 m")
    run = Run(name="r", tube="a", start="x", end="y",
              moves=(go, ChangeTube("b", "tube b"), go, Tee("T", "tee T"), go, Tee("U", "tee U"), go))  # fmt: skip
    assert tubes_of(run) == ("b", "b", "b")
    new = retubed(run, ("c", "c", "d"))
    assert new.tube == "c"
    assert [m.text for m in new.moves] == ["east 1 m", "east 1 m", "tee T", "east 1 m", "tee U", "tube d", "east 1 m"]
    assert tubes_of(new) == ("c", "c", "d")
    with pytest.raises(ValueError, match="has 3 legs"):
        retubed(run, ("c",))
