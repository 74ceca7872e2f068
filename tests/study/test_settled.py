"""Rooms as they settle: the same conductances as the heat load, and what a house does in other states."""

from functools import cache
from importlib.resources import files
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from wetside.basis.errors import JobProblem
from wetside.basis.rules import Verdict
from wetside.jobfile.read import read_job
from wetside.network.flow import flow
from wetside.network.settle import net_rooms
from wetside.study.study import Study
from wetside.study.trial import Trial, at_work

DEMOS = ["net-loft", "net-loft-mended", "schoolhouse", "schoolhouse-mended"]


@cache
def study(demo: str) -> Study:
    return Study(read_job(Path(str(files("wetside.jobfile"))) / "demos" / demo))


@pytest.mark.parametrize("demo", DEMOS)
def test_heat_out_at_design_temperatures_is_the_heat_load(demo: str) -> None:
    """Room by room: the conductances that rooms settle by are those that their loads come from."""
    load = study(demo).rooms
    rooms = net_rooms(load, load.outside_c)
    design = {r.name: r.inside_c for r in load.rooms}
    out = {r.name: sum(w * (design[r.name] - t) for w, t in r.fixed) for r in rooms}
    for r in rooms:
        for other, w in r.links:
            out[r.name] += w * (design[r.name] - design[other])
            out[other] += w * (design[other] - design[r.name])
    for r in load.rooms:
        wanted = r.load_w - r.reheat_w if r.heated else 0.0
        assert out[r.name] == pytest.approx(wanted, abs=0.01 + 1e-6 * abs(wanted))


@pytest.mark.parametrize("demo", DEMOS)
def test_settled_rooms_balance(demo: str) -> None:
    """Told by the reading: what emitters and tube give a room is what leaves it."""
    s = study(demo)
    f = s.settled
    state = {r.name: r for r in f.rooms}
    rooms = net_rooms(s.rooms, s.rooms.outside_c)
    out = {r.name: sum(w * (state[r.name].temperature_c - t) for w, t in r.fixed) for r in rooms}
    for r in rooms:
        for other, w in r.links:
            over = state[r.name].temperature_c - state[other].temperature_c
            out[r.name] += w * over
            out[other] -= w * over
    moved = sum(b.output_w for b in f.boilers)
    for name, watts in out.items():
        assert watts == pytest.approx(state[name].emitters_w + state[name].tube_w, abs=1e-6 * moved + 1e-6)
    assert f.residual_head_pa < 1.0
    assert f.residual_energy < 1e-6


def test_the_undersized_radiator_is_told_in_degrees() -> None:
    """The flawed loft's study stays cold on the design day; its twin's comes to its temperature."""
    flawed = {r.name: r for r in study("net-loft").settled.rooms}["Study"]
    assert flawed.temperature_c < flawed.wanted_c - 1.0
    told = [(f.rule.id, f.subject) for f in study("net-loft").findings if f.verdict is Verdict.BREAKS]
    assert ("NET-07", "Study") in told
    mended = study("net-loft-mended")
    assert all(r.temperature_c > r.wanted_c - 1.0 for r in mended.settled.rooms if r.heated)


def test_colder_outside_colder_rooms_and_more_heat() -> None:
    s = study("net-loft")
    states = [s.flow_at(t) for t in (-20.0, -7.0, 5.0, 15.0)]
    for colder, warmer in pairwise(states):
        assert colder.boilers[0].output_w > warmer.boilers[0].output_w
        for a, b in zip(colder.rooms, warmer.rooms, strict=True):
            assert a.temperature_c < b.temperature_c + 1e-6
    assert states[1].rooms == s.settled.rooms


def test_valves_shut_as_rooms_get_warm() -> None:
    f = study("net-loft").flow_at(16.0)
    warm = {r.name: r for r in f.rooms}
    for e in f.emitters:
        if e.opening < 1.0:
            wanted = warm[e.room].wanted_c
            assert e.opening == pytest.approx(np.clip((wanted - warm[e.room].temperature_c) / 2.0 + 0.5, 0.0, 1.0))


def test_a_radiator_shut_leaves_its_room_cold_and_its_neighbours_a_little() -> None:
    s = study("net-loft")
    before, after = ({r.name: r.temperature_c for r in f.rooms} for f in (s.settled, s.flow_at(shut=("R7",))))
    assert after["Bathroom"] < before["Bathroom"] - 8.0
    assert all(t <= before[n] + 0.3 for n, t in after.items())


@pytest.mark.parametrize("demo", DEMOS)
def test_with_every_circulator_stopped_there_is_still_an_answer(demo: str) -> None:
    s = study(demo)
    f = s.flow_at(0.0, still=[c.name for c in s.flow.circulators])
    assert f.residual_head_pa < 1.0
    assert all(not c.running for c in f.circulators)
    assert all(r.temperature_c < w.temperature_c + 1e-6 for r, w in zip(f.rooms, s.flow_at(0.0).rooms, strict=True))


def test_unknown_names_are_told_with_the_nearest() -> None:
    with pytest.raises(JobProblem, match="did you mean"):
        study("net-loft").flow_at(shut=("R77",))


@pytest.mark.parametrize("demo", DEMOS)
def test_settled_is_the_same_from_nothing(demo: str) -> None:
    """Begun from the flow of the design day, rooms settle where they do when begun from nothing."""
    s = study(demo)
    d = s.design
    cold = flow(
        s.pipework, emitters=d.emitters, emitter_valves=dict(d.emitter_valves), items=d.items, boilers=d.boilers,
        circulators=d.circulators, tanks=d.tanks, room_c={r.name: r.inside_c for r in s.rooms.rooms}, void_c=d.void_c,
        glycol_share=d.plant.glycol_share, apparatus=d.apparatus, house=s.rooms,
    )  # fmt: skip
    assert [r.temperature_c for r in s.settled.rooms] == pytest.approx([r.temperature_c for r in cold.rooms], abs=2e-3)
    most = max(abs(x.flow_kg_s) for x in cold.legs)
    assert [x.flow_kg_s for x in s.settled.legs] == pytest.approx([x.flow_kg_s for x in cold.legs], abs=1e-4 * most)


@pytest.mark.parametrize("demo", DEMOS)
def test_a_trial_of_nothing_changes_nothing(demo: str) -> None:
    s = study(demo)
    tried = at_work(s, Trial())
    assert [r.temperature_c for r in tried.rooms] == pytest.approx([r.temperature_c for r in s.settled.rooms], abs=2e-3)
