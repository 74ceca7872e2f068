"""University of Iceland, course BYG601G, chapter 3, Table 3.6: saturation pressure and vapour content of air.

(github.com/edbook/haskoli-islands, projects/byg601g/kafli03.rst.) wetside uses the form of ISO 13788; tolerance 0.3 %,
at -20 degC 1.3 %. The row at -12 degC (225 Pa) is a misprint: its neighbours and ISO 13788 give 217.
"""

import pytest

from wetside.fluid.air import saturation_pressure, vapour_content

ROWS = [
    (20, 2335, 17.29), (15, 1703, 12.82), (10, 1228, 9.40), (5, 872, 6.80), (0, 611, 4.84), (-5, 402, 3.24),
    (-10, 260, 2.14), (-20, 104, 0.88),
]  # fmt: skip


@pytest.mark.parametrize(("t_c", "pascal", "gram_m3"), ROWS)
def test_row(t_c: float, pascal: float, gram_m3: float) -> None:
    assert saturation_pressure(t_c) == pytest.approx(pascal, rel=0.013 if t_c == -20 else 0.003)
    # half the last printed digit on top of the spread in pressure
    assert vapour_content(t_c) * 1e3 == pytest.approx(gram_m3, rel=0.003, abs=0.005)


def test_misprint_at_minus_12() -> None:
    assert saturation_pressure(-12.0) == pytest.approx(217.0, abs=0.5)
    assert abs(saturation_pressure(-12.0) / 225.0 - 1.0) > 0.03
