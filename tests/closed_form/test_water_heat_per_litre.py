"""Heat that a litre of water carries, Wh/(l K) at 2 bar, worked apart from wetside (IAPWS-95).

The round 1.163 belongs to 4 to 20 °C.
"""

import pytest

from wetside.fluid.water import liquid


@pytest.mark.parametrize(("t_c", "wh"), [(20, 1.1601), (40, 1.1519), (60, 1.1429), (70, 1.1380), (80, 1.1329)])
def test_heat_per_litre(t_c: float, wh: float) -> None:
    # 2 bar against the table's 3: a unit in the last digit
    assert liquid().density(t_c) * liquid().heat_capacity(t_c) / 3.6e6 == pytest.approx(wh, abs=1.0e-4)
