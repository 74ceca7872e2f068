"""Continuous beams under an even load: coefficients of w L, w L² and w L⁴/EI.

Source: engineering web tables of continuous beams, articles 2403, 2404, 2405, 2408 of one site and one of another
(piping-designer.com, engineersedge.com). Tolerance: 0.5 %, deflections 1 % (printed to two or three digits).
"""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "frame"))
from bare import E_PA, INERTIA, frame

from wetside.frame.beam import bending_along, deepest, sag_along
from wetside.frame.solve import solve

W, L = 8.370, 1.8


def beam(loaded: list[bool]) -> tuple[list[float], float, float]:
    """Reactions over w L, largest moment over w L², deepest sag over w L⁴/EI."""
    n = len(loaded)
    held = {i: (i == 0, True, True, True, False, False) for i in range(n + 1)}
    f = frame(
        [(L * i, 0, 0) for i in range(n + 1)],
        [(i, i + 1) for i in range(n)],
        held,
        load=np.array([(0, 0, -W) if x else (0, 0, 0) for x in loaded], dtype=float),
    )
    s = solve(f)
    sag = deepest(-sag_along(f.beams, s.lines, s.weight.moved)[:, :, 2]).max()
    moment = bending_along(f.beams, s.lines, s.weight.first).max()
    return (s.weight.reaction[:, 2] / (W * L)).tolist(), moment / (W * L**2), sag * E_PA * INERTIA / (W * L**4)


@pytest.mark.parametrize(
    ("loaded", "reactions", "moment", "sag"),
    [
        ([True], [0.5, 0.5], 0.125, 5 / 384),
        ([True] * 2, [0.375, 1.25, 0.375], 0.125, 0.0054),
        ([True] * 3, [0.4, 1.1, 1.1, 0.4], 0.100, 0.0069),
        ([True, True, False], [0.383, 1.2, 0.45, -0.033], None, 0.0059),
        ([True, False, True], [0.45, 0.55, 0.55, 0.45], None, 0.0099),
    ],
)
def test_coefficients(loaded: list[bool], reactions: list[float], moment: float | None, sag: float) -> None:
    found = beam(loaded)
    assert found[0] == pytest.approx(reactions, rel=5e-3, abs=5e-4)
    if moment is not None:
        assert found[1] == pytest.approx(moment, rel=5e-3)
    assert found[2] == pytest.approx(sag, rel=1e-2)


def test_four_spans_with_one_and_three_loaded() -> None:
    """Article 2408 prints V .0554 and M .805 here: slips of the decimal point for .554 and .0805. The rest agrees."""
    reactions, moment, sag = beam([True, False, True, False])
    assert reactions == pytest.approx([0.446, 0.572, 0.464, 0.572, -0.054], rel=5e-3, abs=5e-4)
    assert moment == pytest.approx(0.0996, rel=5e-3)
    assert sag == pytest.approx(0.0097, rel=1e-2)
    # the shear right of the first inner support's left span
    assert 1.0 - reactions[0] == pytest.approx(0.554, rel=5e-3)
    n = 4
    f = frame(
        [(L * i, 0, 0) for i in range(n + 1)],
        [(i, i + 1) for i in range(n)],
        {i: (i == 0, True, True, True, False, False) for i in range(n + 1)},
        load=np.array([(0, 0, -W), (0, 0, 0), (0, 0, -W), (0, 0, 0)]),
    )
    s = solve(f)
    middle = bending_along(f.beams, s.lines, s.weight.first)[2]
    assert middle.max() == pytest.approx(0.0805 * W * L**2, rel=5e-3)
