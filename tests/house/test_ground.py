"""Ground formulas: figures worked out apart from the code (not published), and what must hold anyway."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.house.ground import basement_wall_u, edge_psi, floor_thickness, slab_u, wall_thickness

# Worked out by hand from the formulas of ISO 13370: A 50, P 30, z 2, no insulation in the floor, R 0.5 in the wall.
DT = floor_thickness(0.3, 1.5, 0.0)


def test_basement_worked_by_hand() -> None:
    dw = wall_thickness(1.5, 0.5)
    assert (DT, dw) == (pytest.approx(0.615), pytest.approx(1.005))
    floor, wall = slab_u(50 / 15, DT, 1.5, 2.0), basement_wall_u(2.0, dw, DT, 1.5)
    assert floor == pytest.approx(0.49958, abs=5e-6)
    assert wall == pytest.approx(0.58446, abs=5e-6)
    assert 50 * floor + 2 * 30 * wall == pytest.approx(60.05, abs=0.005)
    assert (50 * floor + 2 * 30 * wall) / (50 + 60) == pytest.approx(0.54588, abs=5e-6)


WALLS = """
0.5 1.549 .984 .611 .348 .287
1.0 1.159 .785 .513 .305 .253
1.5 .946 .666 .450 .276 .232
2.0 .808 .584 .406 .256 .216
2.5 .711 .524 .372 .239 .204
"""


@pytest.mark.parametrize(
    ("depth", "r", "u"),
    [
        (float(row[0]), r, float(u))
        for row in (line.split() for line in WALLS.strip().splitlines())
        for r, u in zip((0.2, 0.5, 1.0, 2.0, 2.5), row[1:], strict=True)
    ],
)
def test_basement_wall_grid_worked_by_hand(depth: float, r: float, u: float) -> None:
    assert basement_wall_u(depth, wall_thickness(1.5, r), DT, 1.5) == pytest.approx(u, abs=5e-4)


@given(st.floats(1, 40), st.floats(0.2, 3))
def test_deeper_floors_lose_less(b: float, dt: float) -> None:
    assert slab_u(b, dt, 2.0, 1.5) < slab_u(b, dt, 2.0, 0.0)


@given(st.floats(1, 40))
def test_both_branches_nearly_agree_where_they_meet(b: float) -> None:
    """The standard's switch at d = B' jumps by less than 1.2 %."""
    below, above = slab_u(b, b * (1 - 1e-9), 2.0), slab_u(b, b, 2.0)
    assert below == pytest.approx(above, rel=0.012)
    assert below == pytest.approx(4 / (b * (math.pi + 1)) * math.log(math.pi + 1), rel=1e-6)


@given(st.floats(0.05, 2), st.floats(0.3, 3), st.floats(0.1, 5))
def test_edge_insulation_only_saves_and_upright_counts_twice(reach: float, dt: float, r: float) -> None:
    upright = edge_psi(reach, dt, r, 1.5, upright=True)
    assert upright < 0
    assert upright == pytest.approx(edge_psi(2 * reach, dt, r, 1.5, upright=False))
