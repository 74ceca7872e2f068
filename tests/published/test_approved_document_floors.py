"""UK Building Regulations, Approved Document L, Appendix C (and Scottish Annex 6.C): U-values of ground floors after
BS EN ISO 13370. Tables C1 (solid floor), C2 and C3 (edge insulation), C4 (suspended floor), thresholds of C.0.

Clay, λ 1.5 W/mK; walls 0.3 m. Tolerance: the printed digits."""

import pytest

from wetside.house.ground import (
    characteristic_dimension,
    crawl_air_u,
    crawl_ground_u,
    edge_psi,
    floor_thickness,
    slab_u,
    suspended_u,
)  # fmt: skip

CLAY, WALL = 1.5, 0.3
C1_R = (0.0, 0.5, 1.0, 1.5, 2.0)
C1 = """
0.05 0.13 0.11 0.10 0.09 0.08
0.10 0.22 0.18 0.16 0.14 0.13
0.15 0.30 0.24 0.21 0.18 0.17
0.20 0.37 0.29 0.25 0.22 0.19
0.25 0.44 0.34 0.28 0.24 0.22
0.30 0.49 0.38 0.31 0.27 0.23
0.35 0.55 0.41 0.34 0.29 0.25
0.40 0.60 0.44 0.36 0.30 0.26
0.45 0.65 0.47 0.38 0.32 0.27
0.50 0.70 0.50 0.40 0.33 0.28
0.55 0.74 0.52 0.41 0.34 0.28
0.60 0.78 0.55 0.43 0.35 0.29
0.65 0.82 0.57 0.44 0.35 0.30
0.70 0.86 0.59 0.45 0.36 0.30
0.75 0.89 0.61 0.46 0.37 0.31
0.80 0.93 0.62 0.47 0.37 0.32
0.85 0.96 0.64 0.47 0.38 0.32
0.90 0.99 0.65 0.48 0.39 0.32
0.95 1.02 0.66 0.49 0.39 0.33
1.00 1.05 0.68 0.50 0.40 0.33
"""
C1_CASES = [
    (float(cells[0]), r, float(u))
    for cells in (line.split() for line in C1.strip().splitlines())
    for r, u in zip(C1_R, cells[1:], strict=True)
]


def solid(p_over_a: float, r: float) -> float:
    return slab_u(characteristic_dimension(1.0, p_over_a), floor_thickness(WALL, CLAY, r), CLAY)


@pytest.mark.parametrize(("p_over_a", "r", "printed"), C1_CASES)
def test_c1_solid_floor(p_over_a: float, r: float, printed: float) -> None:
    assert solid(p_over_a, r) == pytest.approx(printed, abs=0.005)


def test_c1_needs_the_formula_for_well_insulated_floors() -> None:
    """The other formula would print 0.31 in the last cell: the table tells the two apart."""
    import math

    dt, b = floor_thickness(WALL, CLAY, 2.0), characteristic_dimension(1.0, 1.0)
    little = 2 * CLAY / (math.pi * b + dt) * math.log(math.pi * b / dt + 1)
    assert round(little, 2) == 0.31
    assert round(slab_u(b, dt, CLAY), 2) == 0.33


def test_c0_solid_floor_without_insulation_holds_a_quarter_below_p_over_a_012() -> None:
    assert solid(0.115, 0.0) <= 0.25
    assert round(solid(0.12, 0.0), 2) == 0.25


# Side data not printed with the table; h Uw 0.51, v fw 0.15 and Rf 0.20 are inferred from the 40 values themselves.
C4 = """
0.15/0.15 0.25/0.26 0.33/0.35 0.40/0.42 0.46/0.48 0.51/0.53 0.55/0.58 0.59/0.62 0.63/0.66 0.66/0.70
0.69/0.73 0.72/0.76 0.75/0.79 0.77/0.81 0.80/0.84 0.82/0.86 0.84/0.88 0.86/0.90 0.88/0.92 0.89/0.93
"""
C4_CASES = [
    (0.05 * (i + 1), vents, float(u))
    for i, pair in enumerate(C4.split())
    for vents, u in zip((0.0015, 0.0030), pair.split("/"), strict=True)
]


def suspended(p_over_a: float, vents: float) -> float:
    b = characteristic_dimension(1.0, p_over_a)
    return suspended_u(0.20, crawl_ground_u(b, WALL, CLAY), crawl_air_u(b, 0.3, 1.7, vents, 3.0, 0.05))


@pytest.mark.parametrize(("p_over_a", "vents", "printed"), C4_CASES)
def test_c4_suspended_floor(p_over_a: float, vents: float, printed: float) -> None:
    assert suspended(p_over_a, vents) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize("vents", [0.0015, 0.0030])
def test_c0_suspended_floor_without_insulation_holds_a_quarter_below_p_over_a_009(vents: float) -> None:
    assert suspended(0.09, vents) <= 0.25


# Tables C2 (level strip, by width) and C3 (upright, by depth), for R 0.5, 1.0, 1.5, 2.0. The tables lie up to 0.008
# below λR taken whole, as if the insulation's own thickness (not printed) had been taken off: hence 0.010.
EDGE_R = (0.5, 1.0, 1.5, 2.0)
C2 = {0.5: "0.13 0.18 0.21 0.22", 1.0: "0.20 0.27 0.32 0.34", 1.5: "0.23 0.33 0.39 0.42"}
C3 = {0.25: "0.13 0.18 0.21 0.22", 0.5: "0.20 0.27 0.32 0.34", 0.75: "0.23 0.33 0.39 0.42",
      1.0: "0.26 0.37 0.43 0.48"}  # fmt: skip
EDGE_CASES = [
    (upright, reach, r, float(psi))
    for upright, table in ((False, C2), (True, C3))
    for reach, row in table.items()
    for r, psi in zip(EDGE_R, row.split(), strict=True)
]


@pytest.mark.parametrize(("upright", "reach", "r", "printed"), EDGE_CASES)
def test_c2_c3_edge_insulation(upright: bool, reach: float, r: float, printed: float) -> None:
    dt = floor_thickness(WALL, CLAY, 0.0)
    assert -edge_psi(reach, dt, r, CLAY, upright=upright) == pytest.approx(printed, abs=0.010)
