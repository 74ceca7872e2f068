"""The compiled solver: the same answers as the other one, from anything, and never half of one."""

import doctest
import random
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from types import ModuleType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from randomnets import random_net

import wetside.network.batch as batch_module
from wetside.basis.errors import JobProblem, NoSolution
from wetside.network import core_net
from wetside.network.batch import Variants, batch, variant
from wetside.network.columns import columns
from wetside.network.core_net import ArrayNet, fits, numbers_of
from wetside.network.friction import friction_number
from wetside.network.graph import shape
from wetside.network.net import Curve, Net, NetLink, NetTee
from wetside.network.solve import BIG, Solution, solve

pytest.importorskip("numba")

from wetside.network import core
from wetside.network.core import Aim, CoreNet, solve_arrays, solve_core
from wetside.network.core_jit import compiled
from wetside.network.core_math import DROP, FLOW, PER, RELATIVE, ROOT_F, ROWS, SCALE, SLOPE, WIDE, ex, friction, ln
from wetside.network.core_order import plan

SEEDS = st.integers(0, 100_000)
SIZES = st.sampled_from([1, 2, 4, 8, 20])


def by_core(net: Net) -> Solution | None:
    return solve_core(net, columns(net), glycol_share=0.0, most_steps=200)


def lossy(net: Net) -> Net:
    """Every tube loses heat: water that goes round without any may have any temperature."""
    return replace(
        net, links=tuple(replace(x, loss_w_mk=x.loss_w_mk or 0.1, length_m=max(x.length_m, 0.01)) for x in net.links)
    )


def agree(a: Solution, b: Solution) -> None:
    """Temperatures to 1e-4 K wherever water flows, flows to as much as that moves them, the rest to match.

    Laminar flow follows viscosity, 2 % for a kelvin; flow by the water's weight 1e-4 K of the 20 K that drive it.

    A check valve pushed by less than 0.5 Pa may be held by one and not by the other: then nothing else need agree.
    """
    if not np.array_equal(a.held, b.held):
        differ = a.held != b.held
        assert np.max(np.abs(a.flow_kg_s - b.flow_kg_s)[differ]) < 1e-3
        return
    most = max(float(np.max(np.abs(a.flow_kg_s), initial=0.0)), 1e-3)
    assert np.max(np.abs(a.flow_kg_s - b.flow_kg_s), initial=0.0) < 5e-6 * most
    moves = np.abs(a.flow_kg_s) > 1e-7 * most
    for ours, theirs in ((a.tail_c, b.tail_c), (a.head_c, b.head_c)):
        assert np.max(np.abs(ours - theirs)[moves], initial=0.0) < 1e-4
    for field, small in (("drop_pa", 1.0), ("lift_pa", 1.0), ("given_w", 1.0), ("loss_w", 1.0)):
        ours, theirs = getattr(a, field), getattr(b, field)
        assert np.max(np.abs(ours - theirs), initial=0.0) < 1e-5 * max(float(np.max(np.abs(ours), initial=0.0)), small)
    apart = a.pressure_pa - b.pressure_pa
    for part in np.unique(a.part):
        assert np.ptp(apart[a.part == part]) < 1e-5 * max(float(np.ptp(a.pressure_pa)), 10.0)


@settings(max_examples=150)
@given(SEEDS, SIZES)
def test_answers_as_the_other_solver(seed: int, size: int) -> None:
    net = lossy(random_net(seed, size, loops=size // 2, wild=0.3))
    if not fits(net):
        return
    found = by_core(net)
    assert found is not None
    agree(solve(net), found)


@settings(max_examples=60)
@given(SEEDS, st.sampled_from([1, 2]))
def test_with_heights_too(seed: int, size: int) -> None:
    """Few emitters: weight may let more of them rest in more ways than one."""
    net = lossy(random_net(seed, size, heights=True))
    found = by_core(net)
    assert found is not None
    agree(solve(net), found)


@settings(max_examples=40)
@given(SEEDS, SIZES)
def test_a_pumped_house_with_heights_closes(seed: int, size: int) -> None:
    s = by_core(random_net(seed, size, heights=True))
    assert s is not None
    assert s.residuals.head_pa < 0.05
    assert s.residuals.mass_kg_s < 1e-9
    assert s.energy_residual < 1e-6


@settings(max_examples=8)
@given(SEEDS, st.integers(30, 80))
def test_larger_nets(seed: int, size: int) -> None:
    net = lossy(random_net(seed, size, loops=size // 4, wild=0.1))
    found = by_core(net)
    assert found is not None
    agree(solve(net), found)


@settings(max_examples=40)
@given(SEEDS, SIZES)
def test_residuals_are_what_is_left(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size // 2, wild=0.3)
    if not fits(net):
        return
    s = by_core(net)
    assert s is not None
    index = {x.name: i for i, x in enumerate(net.nodes)}
    mass = np.zeros(len(net.nodes))
    for link, m in zip(net.links, s.flow_kg_s, strict=True):
        mass[index[link.tail]] -= m
        mass[index[link.head]] += m
    assert np.max(np.abs(mass)) < 1e-9
    assert s.residuals.head_pa < 0.05
    moved = float(np.sum(np.abs(s.given_w + s.loss_w)))
    assert abs(float(np.sum(s.given_w + s.loss_w))) < 1e-6 * max(moved, 1.0)


@settings(max_examples=40)
@given(SEEDS, st.sampled_from([2, 8, 30]))
def test_hangs_together_as_the_other_finds(seed: int, size: int) -> None:
    net = random_net(seed, size, loops=size // 2, wild=0.3)
    table = columns(net)
    made = CoreNet.of(numbers_of(net, table))
    form = shape(len(net.nodes), table.tail, table.head, (~table.shut).tolist())
    assert set(np.flatnonzero(made.on_loop)) == set(form.live)
    pairs = set(zip(form.part.tolist(), made.found.part.tolist(), strict=True))
    assert len(pairs) == len(set(form.part.tolist()))


@given(SEEDS, st.integers(2, 60), st.floats(0.0, 3.0))
def test_elimination_leaves_no_entry_out(seed: int, n: int, density: float) -> None:
    """Whatever the graph: eliminating in the planned order fills only entries that have a place."""
    r = random.Random(seed)
    pairs = [(i, r.randrange(i)) for i in range(1, n)]
    pairs += [(r.randrange(n), r.randrange(n)) for _ in range(int(density * n))]
    a, b = np.array(pairs, dtype=np.int32).T.copy()
    order = plan(n, a, b)
    assert sorted(order.place) == list(range(n))
    near = [set[int]() for _ in range(n)]
    for i, j in zip(order.place[a], order.place[b], strict=True):
        if i != j:
            near[i].add(int(j))
            near[j].add(int(i))
    for j in range(n):
        later = sorted(x for x in near[j] if x > j)
        assert later == order.row[int(order.begin[j]) : int(order.begin[j + 1])].tolist()
        for x in later:
            near[x] |= set(later) - {x}


def test_friction_is_the_same_law() -> None:
    r = np.random.default_rng(1)
    reynolds, rough = np.exp(r.uniform(0.0, 17.0, WIDE)), r.choice([0.0, 1e-5, 1e-3, 0.04], WIDE)
    block, slate = np.zeros(ROWS * WIDE), np.zeros(3 * WIDE)
    rows = block.reshape(ROWS, WIDE)
    rows[PER], rows[RELATIVE], rows[SCALE], rows[ROOT_F] = 1.0, rough / 3.7, 1.0, 6.5
    rows[4] = 1e-9
    slate[FLOW * WIDE : (FLOW + 1) * WIDE] = reynolds
    for _ in range(5):
        friction(block, 0, WIDE, slate)
    number, slope = friction_number(reynolds, rough)
    assert slate[DROP * WIDE : (DROP + 1) * WIDE] == pytest.approx(number, rel=1e-8)
    assert slate[SLOPE * WIDE : (SLOPE + 1) * WIDE] == pytest.approx(slope, rel=1e-8)


def test_logarithm_and_exponential() -> None:
    @compiled
    def both(x: np.ndarray, logs: np.ndarray, powers: np.ndarray) -> None:
        for i in range(x.size):
            powers[i] = ex(x[i])
            logs[i] = ln(powers[i])

    x = np.random.default_rng(1).uniform(-690.0, 690.0, 10_000)
    logs, powers = np.empty_like(x), np.empty_like(x)
    both(x, logs, powers)
    assert powers == pytest.approx(np.exp(x), rel=1e-13)
    assert logs == pytest.approx(np.log(powers), rel=1e-13)


def ladder(rungs: int, *, reverse: bool, shut: float = 0.0) -> ArrayNet:
    """A flow and a return line with emitters between; the return goes back from its far end in reverse return."""
    r = np.random.default_rng(rungs)
    f, b = np.arange(2, 2 + rungs), np.arange(2 + rungs, 2 + 2 * rungs)
    flows = list(zip([1, *f[:-1]], f, strict=True))
    returns = list(pairwise(b)) if reverse else list(zip(b[1:], b[:-1], strict=True))
    last = [(b[-1] if reverse else b[0], 0)]
    ends = np.array([*flows, *returns, *last, *zip(f, b, strict=True), (0, 1), (0, 1)])
    n = len(ends)
    ends[n - 1] = (0, 1)
    ends = ends[: n - 1]
    rung = np.arange(2 * rungs, 3 * rungs)
    k = np.full(n - 1, 2.0)
    k[rung[r.random(rungs) < shut]] = 1e12
    kv = np.full(n - 1, np.inf)
    kv[rung] = r.uniform(0.1, 0.4, rungs)
    curve = Curve(name="P", points=((0.0, 6e4), (0.05 * rungs / 980.0, 2e4)))
    return ArrayNet(
        nodes=2 + 2 * rungs, tail=ends[:, 0], head=ends[:, 1], length_m=2.0, bore_m=0.01 + 0.02 * (rungs / 10) ** 0.5,
        k=k, kv_m3_h=kv, pump_link=np.array([n - 2]), curves=(curve,),
    )  # fmt: skip


@pytest.mark.parametrize("reverse", [False, True])
@pytest.mark.parametrize("rungs", [3, 30, 300])
def test_shut_valves_are_no_false_stop(rungs: int, reverse: bool) -> None:
    """Flows that no longer change are not enough: with K = 1e12 in a third of the rungs pressures are right too."""
    s = solve_arrays(ladder(rungs, reverse=reverse, shut=0.3), aim=Aim(head_pa=1.0, head_accepted_pa=1.0))
    assert s.residuals.head_pa < 1.0
    assert s.residuals.mass_kg_s < 1e-9


@pytest.mark.parametrize("reverse", [False, True])
def test_order_of_links_and_nodes_does_not_matter(reverse: bool) -> None:
    net = ladder(40, reverse=reverse)
    r = np.random.default_rng(2)
    order, names = r.permutation(len(net.tail)), r.permutation(net.nodes)
    place = np.argsort(order)
    mixed = replace(
        net, tail=names[net.tail[order]], head=names[net.head[order]], k=np.asarray(net.k)[order],
        kv_m3_h=np.asarray(net.kv_m3_h)[order], pump_link=place[net.pump_link],
    )  # fmt: skip
    assert solve_arrays(mixed).flow_kg_s[place] == pytest.approx(solve_arrays(net).flow_kg_s, rel=1e-9)


@pytest.mark.parametrize("factor", [0.01, 0.3, 5.0])
def test_again_after_a_valve_was_changed(factor: float) -> None:
    net = random_net(5, 40, loops=4)
    table = columns(net)
    made = CoreNet.of(numbers_of(net, table))
    aim = Aim().numbers()
    assert made.solve(aim).settled
    link = next(i for i, x in enumerate(net.links) if x.rating is not None and x.kv_m3_h is not None)
    changed = replace(net.links[link], kv_m3_h=(net.links[link].kv_m3_h or 0.0) * factor)
    made.set_valve(link, float(changed.kv_m3_h or 0.0) ** -2.0)
    assert made.solve(aim, warm=True).settled
    links = [changed if i == link else x for i, x in enumerate(net.links)]
    agree(solve(replace(net, links=tuple(links))), made.answer())


@pytest.mark.parametrize("module", [core_net, batch_module])
def test_examples_in_the_docstrings(module: ModuleType) -> None:
    failed, tried = doctest.testmod(module)
    assert tried > 3
    assert failed == 0


def test_no_partial_answer() -> None:
    with pytest.raises(NoSolution) as problem:
        solve_arrays(ladder(30, reverse=True), aim=Aim(most_steps=2))
    assert problem.value.residuals.head_pa > 1.0
    assert problem.value.where.startswith("link ")


def test_every_wrong_number_is_told_at_once() -> None:
    net = replace(ladder(3, reverse=False), bore_m=0.0, k=-1.0, emitter_link=np.array([99]), rated_w=1.0)
    with pytest.raises(JobProblem) as problem:
        solve_arrays(net)
    assert {m.place.field for m in problem.value.mistakes} >= {"bore", "k", "link"}


def test_what_it_does_not_know_goes_to_the_other() -> None:
    net = random_net(1, 4)
    assert fits(net)
    at = net.links[0].tail
    assert not fits(replace(net, tees=(NetTee(node=at, run=("a", "b"), branch="c"),)))
    still = tuple(replace(x, curve=None) for x in net.links)
    assert not fits(replace(net, links=still))


def test_big_nets_are_taken_without_being_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    net = random_net(2, BIG // 4 + 10)
    assert len(net.links) > BIG
    asked: list[int] = []
    inner = core.solve_core

    def counted(net: Net, *args: object, **more: object) -> Solution | None:
        asked.append(len(net.links))
        return inner(net, *args, **more)  # pyright: ignore[reportArgumentType]

    monkeypatch.setattr(core, "solve_core", counted)
    assert solve(net).residuals.head_pa < 0.05
    assert asked == [len(net.links)]


def test_the_compiler_is_not_loaded_for_a_house() -> None:
    code = (
        "import sys; from wetside.network.solve import solve; from wetside.network.batch import batch; "
        "sys.exit('numba' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def _variants(net: Net, count: int) -> Variants:
    r = np.random.default_rng(4)
    kv = np.array([np.inf if x.kv_m3_h is None else x.kv_m3_h for x in net.links])
    sources, pumps, rooms = (sum(getattr(x, f) is not None for x in net.links) for f in ("source", "curve", "rating"))
    shut = np.zeros((count, kv.size), dtype=np.bool_)
    shut[:, [i for i, x in enumerate(net.links) if x.rating is not None]] = r.random((count, rooms)) < 0.2
    return Variants(
        count=count, kv_m3_h=kv * r.uniform(0.5, 2.0, (count, kv.size)), shut=shut,
        source_c=r.uniform(40.0, 80.0, (count, sources)), room_c=r.uniform(15.0, 24.0, (count, rooms)),
        speed=r.uniform(0.5, 1.0, (count, pumps)),
    )  # fmt: skip


@pytest.mark.parametrize("heights", [False, True])
def test_a_batch_is_its_variants_one_by_one(heights: bool) -> None:
    net = random_net(7, 6, heights=heights)
    v = _variants(net, 12)
    answers = batch(net, v)
    for i in range(v.count):
        one = solve(variant(net, v, i))
        assert answers.flow_kg_s[i] == pytest.approx(one.flow_kg_s, abs=1e-7 * float(np.max(np.abs(one.flow_kg_s))))
        assert answers.given_w[i] == pytest.approx(one.given_w, rel=1e-5, abs=1e-3)
    assert np.max(answers.head_residual_pa) < 0.05


def test_a_batch_of_what_the_core_does_not_know() -> None:
    net = random_net(7, 3)
    gravity = replace(net, links=tuple(replace(x, curve=None) for x in net.links))
    answers = batch(gravity, Variants(count=2))
    assert np.all(answers.flow_kg_s == 0.0)


def test_a_batch_tells_wrong_shapes() -> None:
    net = random_net(7, 3)
    with pytest.raises(ValueError, match="kv_m3_h must have 2 rows"):
        batch(net, Variants(count=2, kv_m3_h=np.ones((2, 3))))


def test_a_batch_checks_its_net() -> None:
    net = random_net(7, 3)
    wrong = replace(net, links=(*net.links, NetLink(name="astray", tail="nowhere", head=net.links[0].tail)))
    with pytest.raises(JobProblem):
        batch(wrong, Variants(count=1))
