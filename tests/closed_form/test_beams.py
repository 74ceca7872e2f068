"""Beams and frames whose answer is written down in one line (textbook formulas, from memory)."""

import math
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "frame"))
from bare import AREA, E_PA, FIX, G_PA, INERTIA, OUTSIDE, frame

from wetside.frame.beam import (
    bending_along,
    bending_stress_pa,
    deepest,
    sag_along,
    tube_area_m2,
    tube_inertia_m4,
)
from wetside.frame.solve import solve

W = 8.370
L = 1.8
EI = E_PA * INERTIA
DOWN = (0.0, 0.0, -W)
ROLLER = (False, True, True, True, False, False)


def test_section_of_a_tube() -> None:
    # ring areas by subtraction of circles
    assert tube_area_m2(0.022, 0.0009) == pytest.approx(math.pi / 4 * (0.022**2 - 0.0202**2))
    # 22x.9 copper: 3.3261e-9 m4
    assert tube_inertia_m4(0.022, 0.0009) == pytest.approx(3.3261e-9, rel=5e-5)


def test_cantilever() -> None:
    f = frame([(0, 0, 0), (L, 0, 0)], [(0, 1)], {0: FIX}, load=DOWN)
    s = solve(f)
    assert -s.weight.moved[1, 2] == pytest.approx(W * L**4 / (8 * EI))
    # 28.22 mm and 13.56 N m for this tube
    assert -s.weight.moved[1, 2] == pytest.approx(28.22e-3, abs=0.5e-5)
    assert bending_along(f.beams, s.lines, s.weight.first)[0, 0] == pytest.approx(W * L**2 / 2)
    assert pytest.approx(13.56, abs=0.005) == W * L**2 / 2
    assert s.weight.reaction[0, 2] == pytest.approx(W * L)


def test_cantilever_with_a_load_at_its_tip() -> None:
    load = np.zeros((2, 6))
    load[1, 2] = -10.0
    s = solve(frame([(0, 0, 0), (L, 0, 0)], [(0, 1)], {0: FIX}, on_node=load))
    assert -s.weight.moved[1, 2] == pytest.approx(10.0 * L**3 / (3 * EI))
    # the tip turns about +y, nose down
    assert s.weight.moved[1, 4] == pytest.approx(10.0 * L**2 / (2 * EI))


def test_propped_cantilever() -> None:
    f = frame([(0, 0, 0), (L, 0, 0)], [(0, 1)], {0: FIX, 1: (False, False, True, False, False, False)}, load=DOWN)
    s = solve(f)
    assert s.weight.reaction[0, 2] == pytest.approx(5 / 8 * W * L)
    assert s.weight.reaction[1, 2] == pytest.approx(3 / 8 * W * L)
    assert bending_along(f.beams, s.lines, s.weight.first)[0, 0] == pytest.approx(W * L**2 / 8)
    sag = deepest(-sag_along(f.beams, s.lines, s.weight.moved)[:, :, 2])[0]
    assert sag == pytest.approx(W * L**4 / (185 * EI), rel=5e-3)


def test_beam_built_in_at_both_ends() -> None:
    f = frame([(0, 0, 0), (L, 0, 0)], [(0, 1)], {0: FIX, 1: FIX}, load=DOWN)
    s = solve(f)
    moment = bending_along(f.beams, s.lines, s.weight.first)[0]
    middle = len(moment) // 2
    assert moment[0] == pytest.approx(W * L**2 / 12)
    assert moment[middle] == pytest.approx(W * L**2 / 24)
    sag = deepest(-sag_along(f.beams, s.lines, s.weight.moved)[:, :, 2])[0]
    assert sag == pytest.approx(W * L**4 / (384 * EI))


def test_single_span() -> None:
    f = frame([(0, 0, 0), (L, 0, 0)], [(0, 1)], {0: (True, True, True, True, False, False), 1: ROLLER}, load=DOWN)
    s = solve(f)
    sag = deepest(-sag_along(f.beams, s.lines, s.weight.moved)[:, :, 2])[0]
    assert sag == pytest.approx(5 * W * L**4 / (384 * EI))
    assert bending_along(f.beams, s.lines, s.weight.first).max() == pytest.approx(W * L**2 / 8)


def test_portal_with_pinned_feet_under_an_even_load_on_its_beam() -> None:
    """Two legs h and a beam b of one section, feet pinned: thrust ``w b² / (4 h (2k + 3))`` with ``k = h/b``."""
    h, b = 2.0, 3.0
    pinned = (True, True, True, True, False, True)
    f = frame(
        [(0, 0, 0), (0, 0, h), (b, 0, h), (b, 0, 0)],
        [(0, 1), (1, 2), (2, 3)],
        {0: pinned, 3: pinned},
        load=np.array([(0, 0, 0), DOWN, (0, 0, 0)]),
    )
    s = solve(f)
    thrust = W * b**2 / (4 * h * (2 * h / b + 3))
    assert s.weight.reaction[0, 0] == pytest.approx(thrust, rel=1e-3)
    assert s.weight.reaction[3, 0] == pytest.approx(-thrust, rel=1e-3)
    assert s.weight.reaction[0, 2] == pytest.approx(W * b / 2)
    moment = bending_along(f.beams, s.lines, s.weight.first)
    assert moment[1, 0] == pytest.approx(thrust * h, rel=1e-3)


def test_twist() -> None:
    load = np.zeros((2, 6))
    load[1, 3] = 5.0
    s = solve(frame([(0, 0, 0), (L, 0, 0)], [(0, 1)], {0: FIX}, on_node=load))
    assert s.weight.moved[1, 3] == pytest.approx(5.0 * L / (G_PA * 2 * INERTIA))


def test_straight_between_walls_is_pressed_by_its_own_growth() -> None:
    strain = 16.9e-6 * 60
    s = solve(frame([(0, 0, 0), (L, 0, 0)], [(0, 1)], {0: FIX, 1: FIX}, strain=strain))
    assert s.heat.reaction[0, 0] == pytest.approx(E_PA * AREA * strain)
    assert s.heat.reaction[1, 0] == pytest.approx(-E_PA * AREA * strain)
    free = solve(frame([(0, 0, 0), (L, 0, 0)], [(0, 1)], {0: FIX}, strain=strain))
    assert free.heat.moved[1, 0] == pytest.approx(strain * L)
    assert abs(free.heat.reaction).max() < 1e-6


def test_stress_of_bending_and_pull() -> None:
    assert bending_stress_pa(10.0, -100.0, OUTSIDE / 2, INERTIA, AREA) == pytest.approx(
        10.0 * 0.011 / INERTIA + 100.0 / AREA
    )
