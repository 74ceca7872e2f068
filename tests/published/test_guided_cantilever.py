"""An L-shaped tube held at both ends, heated.

Source: guided cantilever method in the notes of a piping consultancy, 2.3.2 (the method was seen; the numbers were
recomputed with a frame library). 22 x 0.9 mm copper, E 117 GPa, 16.9e-6 per K, 60 K. Within 1 %.
"""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "frame"))
from bare import E_PA, FIX, INERTIA, OUTSIDE, frame

from wetside.frame.beam import bending_along
from wetside.frame.heat import free_leg_m, growth_m, guided_cantilever
from wetside.frame.solve import solve

STRAIN = 16.9e-6 * 60


def ell(a: float, b: float) -> tuple[np.ndarray, float]:
    """Reaction at the start of leg a, and the largest bending moment."""
    f = frame([(0, 0, 0), (a, 0, 0), (a, b, 0)], [(0, 1), (1, 2)], {0: FIX, 2: FIX}, strain=STRAIN)
    s = solve(f)
    return s.heat.reaction, float(bending_along(f.beams, s.lines, s.heat.first).max())


def test_equal_legs_are_exact() -> None:
    d = growth_m(3.0, 16.9e-6, 60.0)
    assert d == pytest.approx(3.042e-3, abs=0.5e-6)
    hand = guided_cantilever(E_PA, INERTIA, d, 3.0)
    assert hand.force_n == pytest.approx(0.53, abs=0.005)
    assert hand.moment_n_m == pytest.approx(0.79, abs=0.005)
    reaction, moment = ell(3.0, 3.0)
    assert abs(reaction[0, 0]) == pytest.approx(hand.force_n, rel=0.01)
    assert moment == pytest.approx(hand.moment_n_m, rel=0.01)
    assert moment * OUTSIDE / 2 / INERTIA == pytest.approx(2.6e6, rel=0.02)


def test_unequal_legs() -> None:
    d = growth_m(3.0, 16.9e-6, 60.0)
    hand = guided_cantilever(E_PA, INERTIA, d, 1.0)
    assert hand.force_n == pytest.approx(14.2, abs=0.05)
    assert hand.moment_n_m == pytest.approx(7.10, abs=0.01)
    assert hand.moment_n_m * OUTSIDE / 2 / INERTIA == pytest.approx(23.5e6, rel=0.01)
    reaction, moment = ell(3.0, 1.0)
    forces = sorted(np.abs(reaction[0, :2]).tolist())
    assert forces == pytest.approx([1.03, 6.51], rel=0.01)
    assert moment == pytest.approx(4.53, rel=0.01)
    assert moment * OUTSIDE / 2 / INERTIA == pytest.approx(15.0e6, rel=0.01)
    # the hand formula is on the safe side
    assert hand.moment_n_m / moment == pytest.approx(1.57, abs=0.01)


def test_free_leg_is_where_the_hand_formula_reaches_its_stress() -> None:
    # 22 mm copper, 10 m of run, 60 K, 41.4 MPa, 117 GPa: 1.38 m
    d = growth_m(10.0, 16.9e-6, 60.0)
    leg = free_leg_m(OUTSIDE, d, E_PA, 41.4e6)
    assert leg == pytest.approx(1.38, rel=0.01)
    assert guided_cantilever(E_PA, INERTIA, d, leg).moment_n_m * OUTSIDE / 2 / INERTIA == pytest.approx(41.4e6)
