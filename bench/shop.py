"""Times of the shop side: the net loft from fittings to the buy list, many cuts, published instances.

`python bench/shop.py` prints a table, `--json` one object: name → seconds, with the plan's gap where there is one.
"""

import json
import random
import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter
from typing import Any

from wetside import open_job
from wetside.fabricate.assemble import farthest
from wetside.study.study import Study
from wetside.takeoff import plan_cuts

DEMO = Path(__file__).parents[1] / "src" / "wetside" / "jobfile" / "demos" / "net-loft"
WARM = 5


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    start = perf_counter()
    answer = work()
    return perf_counter() - start, answer


def best(work: Callable[[], Any]) -> tuple[float, Any]:
    """The quickest of a few, after one that warms tables up."""
    work()
    return min((timed(work) for _ in range(WARM)), key=lambda t: t[0])


def shop(study: Study) -> Study:
    """All readings of the shop side, anew."""
    fresh = Study(study.design)
    _ = fresh.pipework
    _ = fresh.fabrication, fresh.cutting, fresh.stackups, fresh.takeoff, fresh.supporting, fresh.buy
    return fresh


def cuts(count: int, step_mm: int, low: int, high: int) -> list[float]:
    rng = random.Random(count)
    return [rng.randrange(low, high, step_mm) / 1000 for _ in range(count)]


def measure() -> dict[str, dict[str, float | bool]]:
    study = open_job(DEMO, check=False)
    found: dict[str, dict[str, float | bool]] = {}

    def note(name: str, seconds: float, **more: float | bool) -> None:
        found[name] = {"seconds": round(seconds, 4), **more}

    seconds, made = best(lambda: shop(study))
    proven = all(c.plan.proven for c in made.cutting)
    note("net loft, whole shop side", seconds, cuts=len(made.fabrication.cuts), proven=proven)
    seconds, off = best(lambda: farthest(made.fabrication))
    note("net loft, assembled in space", seconds, off_m=off)
    seconds, _ = best(lambda: Study(study.design).buy)
    note("net loft, buy list", seconds)
    for count, low, high in ((200, 80, 2900), (2000, 80, 2900), (2000, 200, 1200), (5000, 80, 2900), (5000, 200, 1200)):
        lengths = cuts(count, 1, low, high)
        seconds, plan = timed(lambda lengths=lengths: plan_cuts(lengths, 3.0, 0.002))
        name = f"{count} cuts of {low} to {high} mm"
        note(name, seconds, sticks=plan.bought, bound=plan.bound, proven=plan.proven, gap=round(plan.gap, 5))
    lengths = cuts(2000, 1, 80, 2900)
    seconds, plan = timed(lambda: plan_cuts(lengths, [3.0, 5.0], 0.002, own_m=[1.2, 0.8, 2.1]))
    note("2000 cuts, two stock lengths, own offcuts", seconds, proven=plan.proven, gap=round(plan.gap, 5))
    return found


def main(args: list[str]) -> int:
    found = measure()
    if "--json" in args:
        print(json.dumps(found, indent=2, ensure_ascii=False))
        return 0
    for name, line in found.items():
        rest = ", ".join(f"{k} {v}" for k, v in line.items() if k != "seconds")
        print(f"{line['seconds']:9.4f} s  {name}  {rest}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
