"""Table of gravity circulation, Pa per metre of height by flow and return temperature (engineeringtoolbox d_189).

Tolerance 2 %. The last case is worked apart: 3 m, 95/70 degC, 15.89 kg/m3 of difference, 467.6 Pa.
"""

import pytest

from wetside.basis.quantity import G
from wetside.fluid.water import liquid
from wetside.plant.static import column_pressure, gravity_drive, gravity_head

ROWS = [
    (90, 80, 64), (80, 70, 59), (70, 60, 54), (60, 50, 48), (50, 40, 41), (90, 70, 123), (80, 60, 113), (90, 60, 177),
    (80, 50, 161), (90, 40, 267),
]  # fmt: skip


@pytest.mark.parametrize(("flow_c", "return_c", "pascal"), ROWS)
def test_row(flow_c: float, return_c: float, pascal: float) -> None:
    assert gravity_drive(liquid(), flow_c, return_c, 1.0) == pytest.approx(pascal, rel=0.02)


def test_three_metres_at_95_and_70() -> None:
    # textbook densities 977.81 and 961.92 kg/m3, and 9.81 m/s2 where wetside has 9.80665
    assert column_pressure(977.81 - 961.92, 3.0) * 9.81 / G == pytest.approx(467.6, abs=0.05)
    # those densities are rounded to 0.01 of 15.89, and IAPWS gives 15.87
    assert gravity_drive(liquid(), 95.0, 70.0, 3.0) == pytest.approx(467.6, rel=2e-3)


def test_head_is_the_drive_over_the_mean_weight() -> None:
    mean = 0.5 * (liquid().density(95.0) + liquid().density(70.0))
    head = gravity_head(liquid(), 95.0, 70.0, 3.0)
    assert column_pressure(mean, head) == pytest.approx(gravity_drive(liquid(), 95.0, 70.0, 3.0), rel=1e-12)
