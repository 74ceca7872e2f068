"""Random frames in space against an independent frame-analysis library."""

import warnings

import numpy as np
import pytest

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from Pynite import FEModel3D

from wetside.frame.beam import Beams, bending_along, deepest, sag_along
from wetside.frame.solve import Frame, solve

WEIGHT = (0.0, 0.0, -1.0)


def random_frame(seed: int) -> Frame:
    """A crooked net of up to 40 beams of several tubes, closed in loops here and there, held in a few places."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(4, 25))
    at = rng.uniform(0.0, 3.0, size=(n, 3))
    ends = [(int(rng.integers(0, i)), i) for i in range(1, n)]
    for _ in range(int(rng.integers(0, n // 2 + 1))):
        i, j = sorted(rng.choice(n, 2, replace=False).tolist())
        if (i, j) not in ends:
            ends.append((i, j))
    m = len(ends)
    radius = rng.choice([0.0075, 0.011, 0.014, 0.027], size=m)
    wall = rng.uniform(0.0007, 0.002, size=m)
    inner = radius - wall
    held = np.zeros((n, 6), dtype=bool)
    held[0] = True
    for i in rng.choice(n - 1, size=min(3, n - 1), replace=False) + 1:
        held[i] = rng.random(6) < 0.5
    load = np.zeros((n, 6))
    load[rng.integers(0, n, 3)] += rng.normal(0.0, 20.0, (3, 6))
    return Frame(
        at=at,
        beams=Beams(
            ends=np.array(ends, dtype=np.intp),
            elastic_pa=rng.choice([117e9, 203e9], size=m),
            shear_pa=rng.choice([44e9, 78e9], size=m),
            area_m2=np.pi * (radius**2 - inner**2),
            inertia_m4=np.pi / 4 * (radius**4 - inner**4),
            radius_m=radius,
            load_n_m=np.outer(rng.uniform(1.0, 40.0, m), WEIGHT),
            strain=np.zeros(m),
        ),
        held=held,
        spring=np.zeros((n, 6)),
        axes=np.tile(np.eye(3), (n, 1, 1)),
        load=load,
    )


def other(frame: Frame) -> FEModel3D:
    """The same frame in the other library; its Y is our up, its Z our south."""
    model = FEModel3D()
    for i, (x, y, z) in enumerate(frame.at.tolist()):
        model.add_node(f"N{i}", x, z, -y)
    for k, (i, j) in enumerate(frame.beams.ends.tolist()):
        b = frame.beams
        e, g = float(b.elastic_pa[k]), float(b.shear_pa[k])
        area, inertia = float(b.area_m2[k]), float(b.inertia_m4[k])
        model.add_material(f"m{k}", e, g, 0.3, 0.0)
        model.add_section(f"s{k}", area, inertia, inertia, 2 * inertia)
        model.add_member(f"M{k}", f"N{i}", f"N{j}", f"m{k}", f"s{k}")
        w = float(b.load_n_m[k, 2])
        model.add_member_dist_load(f"M{k}", "FY", w, w)
    for i, h in enumerate(frame.held.tolist()):
        model.def_support(f"N{i}", h[0], h[2], h[1], h[3], h[5], h[4])
    for i, row in enumerate(frame.load.tolist()):
        pairs = (("FX", row[0]), ("FY", row[2]), ("FZ", -row[1]), ("MX", row[3]), ("MY", row[5]), ("MZ", -row[4]))
        for what, size in pairs:
            if size:
                model.add_node_load(f"N{i}", what, size)
    model.analyze_linear()
    return model


@pytest.mark.parametrize("seed", range(20))
def test_displacements_and_reactions(seed: int) -> None:
    frame = random_frame(seed)
    model = other(frame)
    case = "Combo 1"
    moved, reaction = [], []
    for i in range(len(frame)):
        n = model.nodes[f"N{i}"]
        moved.append([n.DX[case], -n.DZ[case], n.DY[case], n.RX[case], -n.RZ[case], n.RY[case]])
        reaction.append([n.RxnFX[case], -n.RxnFZ[case], n.RxnFY[case], n.RxnMX[case], -n.RxnMZ[case], n.RxnMY[case]])
    ours = solve(frame).weight
    scale = np.abs(moved).max()
    assert np.allclose(ours.moved, np.array(moved), rtol=1e-6, atol=1e-6 * scale)
    # a direction that is free has no reaction in either
    assert np.allclose(ours.reaction, np.array(reaction), rtol=1e-6, atol=1e-6 * np.abs(reaction).max())


@pytest.mark.parametrize("seed", [1, 5, 11])
def test_line_and_bending_along_a_beam(seed: int) -> None:
    frame = random_frame(seed)
    model = other(frame)
    solved = solve(frame)
    line = sag_along(frame.beams, solved.lines, solved.weight.moved)
    bending = bending_along(frame.beams, solved.lines, solved.weight.first)
    stations = line.shape[1]
    scale = np.abs(line).max()
    for k in range(len(frame.beams)):
        m = model.members[f"M{k}"]
        rotation = m.T()[:3, :3]
        for s in (0, stations // 3, stations - 1):
            x = solved.lines.length_m[k] * s / (stations - 1)
            local = np.array([0.0, m.deflection("dy", x), m.deflection("dz", x)])
            theirs = rotation.T @ local
            n = solved.lines.axis[k]
            ours = line[k, s] - (line[k, s] @ n) * n
            assert np.allclose(ours, [theirs[0], -theirs[2], theirs[1]], atol=1e-6 * scale)
            both = np.hypot(m.moment("Mz", x), m.moment("My", x))
            assert bending[k, s] == pytest.approx(both, rel=1e-6, abs=1e-6 * bending.max())
    assert np.all(deepest(line[:, :, 2]) >= line[:, :, 2].max(axis=1))
