"""How long the frame takes: a whole block of pipework of many beams, and one house's reading.

`python bench/frame.py [--beams N] [--json]`
"""

import json
import sys
import time
from importlib.resources import as_file, files

import numpy as np

from wetside import open_job
from wetside.frame.beam import Beams, bending_along, deepest, sag_along
from wetside.frame.solve import Frame, solve
from wetside.study.study import Study

DEMO = "net-loft-mended"


def block(beams: int) -> Frame:
    """Risers with two-pipe floors off them: mains with loops between flow and return, branches, supports each 1.5 m."""
    rng = np.random.default_rng(7)
    at: list[tuple[float, float, float]] = []
    ends: list[tuple[int, int]] = []
    held: list[tuple[int, bool]] = []

    def node(x: float, y: float, z: float) -> int:
        at.append((x, y, z))
        return len(at) - 1

    riser = 0
    while len(ends) < beams:
        feet = [node(20.0 * riser, 0.1 * k, 0.0) for k in range(2)]
        held += [(f, True) for f in feet]
        for floor in range(1, 5):
            tops = []
            for k in range(2):
                tops.append(node(20.0 * riser, 0.1 * k, 3.0 * floor))
                ends.append((feet[k], tops[k]))
                held.append((tops[k], False))
            feet = tops
            last = list(tops)
            for step in range(1, 12):
                here = [node(20.0 * riser + 1.5 * step, 0.1 * k, 3.0 * floor) for k in range(2)]
                for k in range(2):
                    ends.append((last[k], here[k]))
                    held.append((here[k], False))
                    end = node(at[here[k]][0], 0.1 * k + rng.uniform(0.5, 2.0), 3.0 * floor)
                    ends.append((here[k], end))
                    held.append((end, step % 3 == 0))
                last = here
            ends.append((last[0], last[1]))
        riser += 1
    m, n = len(ends), len(at)
    fixed = np.zeros((n, 6), dtype=bool)
    for i, whole in held:
        fixed[i] = whole or (False, True, True, False, False, False)
    load = np.zeros((m, 3))
    load[:, 2] = -8.4
    return Frame(
        at=np.array(at),
        beams=Beams(
            ends=np.array(ends, dtype=np.intp),
            elastic_pa=np.full(m, 117e9),
            shear_pa=np.full(m, 44e9),
            area_m2=np.full(m, 5.97e-5),
            inertia_m4=np.full(m, 3.326e-9),
            radius_m=np.full(m, 0.011),
            load_n_m=load,
            strain=np.full(m, 1e-3),
        ),
        held=fixed,
        spring=np.zeros((n, 6)),
        axes=np.tile(np.eye(3), (n, 1, 1)),
        load=np.zeros((n, 6)),
    )


def best(times: int, what: object) -> float:
    spent: list[float] = []
    for _ in range(times):
        start = time.perf_counter()
        what()
        spent.append(time.perf_counter() - start)
    return min(spent)


def main(args: list[str]) -> int:
    wanted = int(args[args.index("--beams") + 1]) if "--beams" in args else 20_000
    frame = block(wanted)

    def whole() -> None:
        s = solve(frame)
        deepest(-sag_along(frame.beams, s.lines, s.weight.moved)[:, :, 2])
        bending_along(frame.beams, s.lines, s.weight.first + s.heat.first)

    with as_file(files("wetside.jobfile") / "demos" / DEMO) as folder:
        design = open_job(folder, check=False).design
    pipework = Study(design).pipework

    def house() -> None:
        study = Study(design)
        study.__dict__["pipework"] = pipework
        _ = study.supporting

    found = {
        "beams": len(frame.beams),
        "nodes": len(frame),
        "frame_s": round(best(3, whole), 4),
        "house": DEMO,
        "house_s": round(best(5, house), 4),
    }
    if "--json" in args:
        print(json.dumps(found))
    else:
        print(
            f"{found['beams']} beams, {found['nodes']} nodes: {found['frame_s']:.2f} s, weight, heat, sag and bending"
        )
        print(f"supports of {DEMO}: {found['house_s']:.3f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
