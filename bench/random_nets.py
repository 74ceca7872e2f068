"""Solves thousands of random nets and judges every answer by itself, without the solver's own residuals.

    .venv/bin/python bench/random_nets.py [--nets 2000] [--json]

Prints for each kind of net how many closed, how many ended without an answer and why, steps, and the worst errors: of
pressure around any loop, of mass at any node, of heat. A net that neither closes nor says why is a failure.
"""

import argparse
import json
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests" / "network"))

from anynets import everything
from randomnets import random_net

from wetside.basis.errors import NoSolution
from wetside.network.net import Net
from wetside.network.solve import Solution, solve

SIZES = (1, 2, 4, 8, 16)
KINDS: dict[str, Callable[[int, int], Net]] = {
    "loops, pumps, check and shut valves": lambda seed, n: random_net(seed, n, loops=n // 2, wild=0.3),
    "houses with heights": lambda seed, n: random_net(seed, n, heights=True),
    "loops with heights": lambda seed, n: random_net(seed, n, loops=n // 2, wild=0.2, heights=True),
    "everything that moves by itself": everything,
}


def errors(net: Net, s: Solution) -> tuple[float, float, float]:
    """Worst imbalance of mass at a node [kg/s], what is left of pressure over a link that flows [Pa], of heat."""
    at = {x.name: i for i, x in enumerate(net.nodes)}
    tail, head = (np.array([at[getattr(x, end)] for x in net.links]) for end in ("tail", "head"))
    mass = np.bincount(head, s.flow_kg_s, len(at)) - np.bincount(tail, s.flow_kg_s, len(at))
    height = np.array([n.height_m for n in net.nodes])
    fill = 9.80665 * (height[head] - height[tail])
    from wetside.fluid.water import liquid

    weight = fill * (s.density_kg_m3 - liquid().density(net.fill_c))
    left = s.pressure_pa[tail] - s.pressure_pa[head] - s.drop_pa + s.lift_pa - weight
    moving = np.abs(s.flow_kg_s) > 1e-12
    moved = float(np.sum(np.abs(s.given_w + s.loss_w)))
    heat = abs(float(np.sum(s.given_w + s.loss_w))) / max(moved, 1.0)
    return float(np.max(np.abs(mass))), float(np.max(np.abs(left[moving]), initial=0.0)), max(heat, s.energy_residual)


def prove(make: Callable[[int, int], Net], nets: int) -> dict[str, Any]:
    steps: list[int] = []
    worst = (0.0, 0.0, 0.0)
    causes: dict[str, int] = {}
    begin = time.perf_counter()
    for seed in range(nets):
        net = make(seed, SIZES[seed % len(SIZES)])
        try:
            s = solve(net)
        except NoSolution as problem:
            cause = problem.cause.split(":")[0][:60]
            causes[cause] = causes.get(cause, 0) + 1
            continue
        steps.append(s.iterations)
        worst = tuple(max(a, b) for a, b in zip(worst, errors(net, s), strict=True))
    return {
        "nets": nets, "answered": len(steps), "without": causes, "steps": statistics.median(steps), "most": max(steps),
        "mass_kg_s": worst[0], "head_pa": worst[1], "energy": worst[2],
        "ms": 1000.0 * (time.perf_counter() - begin) / nets,
    }  # fmt: skip


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--nets", type=int, default=2000, help="of each kind")
    parser.add_argument("--json", action="store_true")
    args = parser.parse_args()
    rows = {name: prove(make, args.nets) for name, make in KINDS.items()}
    if args.json:
        print(json.dumps(rows, indent=2))
    else:
        for name, r in rows.items():
            print(
                f"{name}: {r['answered']} of {r['nets']} answered, {r['steps']:.0f} steps (most {r['most']}), ", end=""
            )
            print(f"{r['head_pa']:.1e} Pa, {r['mass_kg_s']:.1e} kg/s, heat {r['energy']:.1e}, {r['ms']:.1f} ms each")
            for cause, n in r["without"].items():
                print(f"    {n} without: {cause}")
    sound = all(r["head_pa"] < 1.0 and r["mass_kg_s"] < 1e-9 and r["energy"] < 1e-6 for r in rows.values())
    return 0 if sound else 1


if __name__ == "__main__":
    sys.exit(main())
