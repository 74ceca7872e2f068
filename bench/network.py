"""The network solver beside EPANET 2.3 on the same nets, interleaved, in one process.

    .venv/bin/python bench/network.py [--json] [--most 100000] [--rounds 15] [--case flows …] [--topology direct …]

Both start cold and stop when flows change by less than 1e-5 of their sum and no link is more than 1 Pa out (EPANET:
ACCURACY 1e-5, HEADERROR 1e-4 m). EPANET knows no heat, so cases with heat are set against its flows alone.

flows         tubes, valves set on a row of steps, one circulator
coupled       the same with a boiler, emitters and losses of every tube
features      coupled, with check valves, thermostatic valves, a second circulator and a mixing line
shut          flows, with 30 % of the valves shut as K = 1e12
looped        (topology) direct return, far ends of neighbouring lines joined; not in the default run
again         flows solved again after one valve was changed, until no link is more than 1 Pa out; against EPANET's cold
              solve, and (`again_over_cold`) against an own cold solve that stops at the same

--pandapipes adds its bidirectional mode beside "coupled", with heat flows and lift given to it; --memory the peak of a
process that reads arrays, solves and answers; --batch a thousand variants of a house beside as many single solves.

Medians, and of each side's best round (`best_…`): on a machine that does other work too, medians measure that as well.

`flow_difference` is the largest over the links, relative, that carry at least a hundredth of the median flow (what passes
a shut valve is nothing on either side), with Swamee and Jain's friction on both sides (EPANET has no other).
"""

import argparse
import json
import math
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np

from buildings import building
from epanet_arrays import epanet_arrays
from wetside.network.batch import Variants, batch, variant
from wetside.network.core import Aim, CoreNet
from wetside.network.core_math import SWAMEE_JAIN
from wetside.network.core_net import ArrayNet, Numbers, numbers
from wetside.network.net import Curve, Net, NetLink, NetNode, Rating, Source
from wetside.network.solve import solve

AIM = Aim(head_pa=1.0, head_accepted_pa=1.0, energy=1e-6, energy_accepted=1e-6, change=1e-5).numbers()
HEAD_ONLY = Aim(head_pa=1.0, head_accepted_pa=1.0, energy=1e-6, energy_accepted=1e-6).numbers()
EPANET_G = 0.02517 * math.pi**2 / 8.0 * 9.80665 / 0.3048
"""EPANET rounds 8/(π² g) to 0.02517 s²/ft; every one of its losses is this much of what it should be."""
CASES = ("flows", "coupled", "features", "shut", "again")
TOPOLOGIES = ("direct", "reverse")


def clock(run: Callable[[], object]) -> float:
    begin = time.perf_counter()
    run()
    return time.perf_counter() - begin


def net_of(emitters: int, topology: str, case: str) -> ArrayNet:
    net = building(emitters, topology, heat=case in ("coupled", "features"), features=case == "features")
    if case == "shut":
        r = np.random.default_rng(3)
        kv = np.asarray(net.kv_m3_h)
        valves = np.flatnonzero(np.isfinite(kv))
        k = np.array(np.broadcast_to(net.k, kv.size), dtype=np.float64)
        k[r.choice(valves, max(1, (3 * valves.size) // 10), replace=False)] = 1e12
        net = replace(net, k=k)
    return net


def measured(emitters: int, topology: str, case: str, rounds: int) -> dict[str, Any]:
    net = net_of(emitters, topology, case)
    # EPANET is given the flows alone, at the temperature of the fill
    n = numbers(net)
    with epanet_arrays(net) as other:
        begin = time.perf_counter()
        core = CoreNet.of(n)
        setup = time.perf_counter() - begin
        setup = min(setup, *(clock(lambda: CoreNet.of(n)) for _ in range(3)))
        other.solve()
        first = core.solve(AIM)
        turn = int(np.flatnonzero(np.isfinite(np.asarray(net.kv_m3_h)))[0])
        saved = float(n.inverse_kv2[turn])

        def again() -> object:
            core.set_valve(turn, saved * 4.0)
            return core.solve(HEAD_ONLY, warm=True)

        ours: list[float] = []
        theirs: list[float] = []
        for _ in range(rounds):
            if case == "again":
                core.set_valve(turn, saved)
                core.solve(HEAD_ONLY)
                ours.append(clock(again))
            else:
                ours.append(clock(lambda: core.solve(AIM)))
            theirs.append(other.solve())
        end = core.end or first
        cold = 0.0
        if case == "again":
            cold = min(clock(lambda: core.solve(HEAD_ONLY)) for _ in range(rounds))
            core.set_valve(turn, saved)
            core.solve(HEAD_ONLY)
            again()
        answer_s = clock(core.answer)
        solution = core.answer()
        difference = None
        if case in ("flows", "shut"):
            n.length[:], n.k[:], n.inverse_kv2[:] = EPANET_G * n.length, EPANET_G * n.k, EPANET_G * n.inverse_kv2
            core.load()
            core.solve(AIM, law=SWAMEE_JAIN)
            mine, his = core.answer().flow_kg_s, other.flows()
            flows = np.abs(his) > 0.01 * np.median(np.abs(his))
            difference = float(np.max(np.abs(mine - his)[flows] / np.abs(his)[flows]))
        ours_s, theirs_s = statistics.median(ours), statistics.median(theirs)
        row: dict[str, Any] = {
            "topology": topology, "emitters": emitters, "case": case, "links": int(n.tail.size),
            "solve_ms": 1e3 * ours_s, "epanet_ms": 1e3 * theirs_s,
            "ratio": statistics.median(a / b for a, b in zip(ours, theirs, strict=True)),
            "best_ratio": min(ours) / min(theirs), "best_solve_ms": 1e3 * min(ours), "best_epanet_ms": 1e3 * min(theirs),
            "iterations": end.steps, "heat_iterations": end.heat_steps, "epanet_iterations": other.iterations,
            "head_residual_pa": solution.residuals.head_pa, "epanet_head_residual_pa": other.head_error_pa,
            "mass_residual_kg_s": solution.residuals.mass_kg_s, "energy_residual": solution.energy_residual,
            "flow_difference": difference, "settled": end.settled,
            "setup_ms": 1e3 * setup, "epanet_open_ms": 1e3 * other.open_s, "epanet_openh_ms": 1e3 * other.order_s,
            "answer_ms": 1e3 * answer_s,
        }  # fmt: skip
        if case == "again":
            row["again_over_cold"] = min(ours) / cold
        return row


def beside_pandapipes(net: ArrayNet) -> dict[str, Any]:
    """Both on the same net, interleaved."""
    from pandapipes_arrays import PandapipesNet

    core = CoreNet.of(numbers(net))
    core.solve(AIM)
    other = PandapipesNet(net, core.answer())
    other.solve()
    pairs = [(clock(lambda: core.solve(AIM)), other.solve()) for _ in range(5)]
    return {
        "pandapipes_ms": 1e3 * statistics.median(b for _, b in pairs),
        "pandapipes_ratio": statistics.median(a / b for a, b in pairs),
        "pandapipes_flow_difference": other.difference(core.answer()),
    }


def peak_mb(net: ArrayNet) -> float:
    """Peak memory of a process that does nothing but read a net, solve it and answer."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "net.npz"
        np.savez(
            file, **{f.name: getattr(net, f.name) for f in fields(net) if f.name != "curves"},
            curves=np.array([(q, h) for c in net.curves for q, h in c.points]),
        )  # fmt: skip
        done = subprocess.run([sys.executable, __file__, "--peak", file], check=True, capture_output=True, text=True)
    return float(done.stdout)


def stored(file: str) -> Numbers:
    with np.load(file) as arrays:
        values = {k: (v if v.ndim else v.item()) for k, v in arrays.items()}
    points = values.pop("curves").reshape(-1, 2, 2)
    curves = tuple(Curve(name=str(i), points=tuple(map(tuple, p.tolist()))) for i, p in enumerate(points))
    return numbers(ArrayNet(**values, curves=curves))


def peak_of(file: str) -> float:
    core = CoreNet.of(stored(file))
    assert core.solve(AIM).settled
    core.answer()
    # not getrusage: that counts what the process had before it became this one
    status = Path("/proc/self/status").read_text()
    return float(status.split("VmHWM:")[1].split()[0]) / 1024.0


def batch_row(count: int = 1000) -> dict[str, Any]:
    """A thousand variants of a house of ten emitters: valves and flow temperature otherwise in each."""
    net = house()
    r = np.random.default_rng(5)
    kv = np.array([np.inf if x.kv_m3_h is None else x.kv_m3_h for x in net.links])
    variants = Variants(
        count=count, kv_m3_h=kv * r.uniform(0.6, 1.5, (count, kv.size)), source_c=r.uniform(45.0, 75.0, (count, 1))
    )
    batch(net, replace(variants, count=2, kv_m3_h=variants.kv_m3_h[:2], source_c=variants.source_c[:2]))
    alone = [variant(net, variants, i) for i in range(0, count, 20)]
    together: list[float] = []
    single: list[float] = []
    for _ in range(5):
        together.append(clock(lambda: batch(net, variants)))
        single.append(clock(lambda: [solve(x) for x in alone]) * count / len(alone))
    return {
        "topology": "direct", "emitters": 10, "case": "batch", "variants": count,
        "solve_ms": 1e3 * statistics.median(together), "single_ms": 1e3 * statistics.median(single),
        "single_over_batch": statistics.median(b / a for a, b in zip(together, single, strict=True)),
    }  # fmt: skip


def house() -> Net:
    """A house of ten emitters, as links and nodes."""
    a = building(10, "direct")
    n = numbers(a)
    things: dict[int, dict[str, Any]] = {int(n.pump_link[0]): {"curve": n.curves[0]}}
    things[int(n.source_link[0])] = {"source": Source(name="boiler", flow_c=70.0, output_w=20e3)}
    for i, rating in zip(n.emitter_link, n.rating.T, strict=True):
        w, x, e, room = (float(v) for v in rating)
        things[int(i)] = {"rating": Rating(name=f"R{i}", rated_w=w, rated_excess_k=x, exponent=e, room_c=room)}
    kv = np.broadcast_to(a.kv_m3_h, n.tail.size)
    links = tuple(
        NetLink(
            name=f"l{i}", tail=f"n{n.tail[i]}", head=f"n{n.head[i]}", length_m=float(n.length[i]),
            bore_m=float(n.bore[i]), roughness_m=float(n.roughness[i]), k=float(n.k[i]),
            kv_m3_h=float(kv[i]) if np.isfinite(kv[i]) else None, loss_w_mk=float(n.loss[i]),
            ambient_c=float(n.ambient[i]), **things.get(i, {}),
        )
        for i in range(n.tail.size)
    )  # fmt: skip
    return Net(nodes=tuple(NetNode(name=f"n{i}") for i in range(n.nodes)), links=links)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--most", type=int, default=100_000)
    parser.add_argument("--least", type=int, default=10)
    parser.add_argument("--rounds", type=int, default=0, help="0: as many as make sense")
    parser.add_argument("--pandapipes", action="store_true")
    parser.add_argument("--memory", action="store_true")
    parser.add_argument("--batch", action="store_true")
    parser.add_argument("--peak", help=argparse.SUPPRESS)
    parser.add_argument("--case", nargs="*", default=list(CASES), choices=CASES)
    parser.add_argument("--topology", nargs="*", default=list(TOPOLOGIES), choices=(*TOPOLOGIES, "looped"))
    options = parser.parse_args()
    if options.peak:
        print(peak_of(options.peak))
        return
    sizes = [n for n in (10, 100, 1_000, 10_000, 100_000) if options.least <= n <= options.most]
    rows: list[dict[str, Any]] = []
    for topology in options.topology:
        for case in options.case:
            before = 0.0
            for emitters in sizes:
                rounds = options.rounds or max(7, min(101, 200_000 // emitters))
                row = measured(emitters, topology, case, rounds)
                if options.pandapipes and case == "coupled" and emitters <= 10_000:
                    row |= beside_pandapipes(net_of(emitters, topology, case))
                if options.memory and case in ("flows", "coupled"):
                    row["peak_mb"] = peak_mb(net_of(emitters, topology, case))
                row["growth_per_decade"] = float(np.log10(row["solve_ms"] / before)) if before else None
                before = row["solve_ms"]
                rows.append(row)
                if not options.json:
                    show(row)
    if options.batch:
        rows.append(batch_row())
        if not options.json:
            print(rows[-1])
    if options.json:
        json.dump(rows, sys.stdout, indent=1)
        print()


def show(row: dict[str, Any]) -> None:
    growth = f" growth {row['growth_per_decade']:.2f}" if row["growth_per_decade"] is not None else ""
    differ = f" flows {row['flow_difference']:.1e}" if row["flow_difference"] is not None else ""
    if "pandapipes_ms" in row:
        differ += f" pandapipes {row['pandapipes_ms']:.1f} ms, × {row['pandapipes_ratio']:.4f}, "
        differ += f"flows {row['pandapipes_flow_difference']:.1e}"
    if "peak_mb" in row:
        differ += f" peak {row['peak_mb']:.0f} MB"
    more = f" again/cold {row['again_over_cold']:.2f}" if "again_over_cold" in row else ""
    print(
        f"{row['topology']:8} {row['emitters']:7} {row['case']:9} {row['solve_ms']:9.3f} ms  EPANET "
        f"{row['epanet_ms']:9.3f} ms  × {row['ratio']:.2f} (best {row['best_ratio']:.2f})  steps {row['iterations']}+{row['heat_iterations']} "
        f"({row['epanet_iterations']})  {row['head_residual_pa']:.1e} Pa ({row['epanet_head_residual_pa']:.1e})  "
        f"{row['mass_residual_kg_s']:.1e} kg/s  {row['energy_residual']:.0e}{differ}{more}  set-up {row['setup_ms']:.1f} ms "
        f"(EPANET {row['epanet_open_ms']:.0f} + {row['epanet_openh_ms']:.1f})  answer {row['answer_ms']:.2f} ms{growth}"
        f"{'' if row['settled'] else '  NOT SETTLED'}",
        flush=True,
    )


if __name__ == "__main__":
    main()
