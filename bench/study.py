"""How long one house takes: `wetside check` as a cold process, and the whole study warm.

    .venv/bin/python bench/study.py [--json] [--rounds 9]

Cold is set against importing numpy, scipy.sparse and pydantic in the same Python; warm against EPANET's solve of the
flows of the same network. Both are interleaved, medians are printed.
"""

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from epanet_net import epanet_net
from wetside.jobfile.new import new_job
from wetside.jobfile.read import read_job
from wetside.network.assemble import assemble
from wetside.study.study import Study

IMPORTS = "import numpy, scipy.sparse, pydantic"


def seconds(command: list[str]) -> float:
    begin = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - begin


def cold(job: Path, rounds: int) -> dict[str, float]:
    check = [str(Path(sys.executable).parent / "wetside"), "check", str(job)]
    base = [sys.executable, "-c", IMPORTS]
    seconds(check)
    seconds(base)
    pairs = [(seconds(check), seconds(base)) for _ in range(rounds)]
    return {
        "check_s": statistics.median(a for a, _ in pairs),
        "imports_s": statistics.median(b for _, b in pairs),
        "ratio": statistics.median(a / b for a, b in pairs),
    }


def heating(job: Path) -> Study:
    """What the house needs and what the pipework does, read from the file and counted."""
    study = Study(read_job(job))
    _ = study.rooms, study.pipework, study.flow, study.fabrication, study.takeoff
    return study


def everything(job: Path) -> Study:
    """Also rooms as they settle, supports, and every rule judged."""
    study = heating(job)
    _ = study.settled, study.supporting, study.findings
    return study


def warm(job: Path, rounds: int) -> dict[str, float]:
    d = everything(job).design
    room_c = {r.name: r.inside_c for r in Study(d).rooms.rooms}
    net = assemble(
        Study(d).pipework, emitters=d.emitters, emitter_valves=dict(d.emitter_valves), items=d.items,
        boilers=d.boilers, circulators=d.circulators, tanks=d.tanks, room_c=room_c, void_c=d.void_c,
    ).net  # fmt: skip
    whole: list[float] = []
    heated: list[float] = []
    flow: list[float] = []
    theirs: list[float] = []
    with epanet_net(net, water_c=60.0) as other:
        other.solve()
        for _ in range(rounds):
            begin = time.perf_counter()
            everything(job)
            whole.append(time.perf_counter() - begin)
            begin = time.perf_counter()
            heating(job)
            heated.append(time.perf_counter() - begin)
            fresh = Study(d)
            _ = fresh.rooms, fresh.pipework
            begin = time.perf_counter()
            _ = fresh.flow
            flow.append(time.perf_counter() - begin)
            theirs.append(other.solve())
    study_s, heating_s, flow_s, epanet_s = map(statistics.median, (whole, heated, flow, theirs))
    return {
        "study_ms": 1e3 * study_s,
        "heating_ms": 1e3 * heating_s,
        "flow_ms": 1e3 * flow_s,
        "epanet_ms": 1e3 * epanet_s,
        "study_over_epanet": study_s / epanet_s,
        "heating_over_epanet": heating_s / epanet_s,
        "flow_over_epanet": flow_s / epanet_s,
        "links": float(len(net.links)),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--rounds", type=int, default=9)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        rows: dict[str, dict[str, dict[str, float]]] = {}
        for like in ("net-loft", "schoolhouse"):
            job = Path(folder) / like
            new_job(job, like=like)
            rows[like] = {"cold": cold(job, options.rounds), "warm": warm(job, options.rounds)}
    if options.json:
        print(json.dumps(rows, indent=2))
        return
    for like, row in rows.items():
        c, w = row["cold"], row["warm"]
        other = f"× EPANET ({w['epanet_ms']:.3f} ms)"
        print(like)
        print(f"  wetside check, cold    {c['check_s']:.3f} s = {c['ratio']:.2f} × importing ({c['imports_s']:.3f} s)")
        print(f"  whole study, warm      {w['study_ms']:.1f} ms = {w['study_over_epanet']:.0f} {other}")
        print(f"  without rules, warm    {w['heating_ms']:.1f} ms = {w['heating_over_epanet']:.0f} {other}")
        print(f"  flows and heat alone   {w['flow_ms']:.1f} ms = {w['flow_over_epanet']:.0f} {other}")
        print(f"  links in the network   {w['links']:.0f}")


if __name__ == "__main__":
    main()
