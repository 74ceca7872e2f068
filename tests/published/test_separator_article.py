"""A UK trade article on low-loss headers: 500 kW is 21.5 m3/h at 20 K and 43 m3/h at 10 K; bodies at 0.1 m/s.

With 1.163 kWh/m3 K. The temperatures of `separate` are worked apart in tests/closed_form.
"""

import pytest

from wetside.plant.separation import header_bore

KWH_M3K = 1.163


@pytest.mark.parametrize(("drop_k", "flow_m3_h"), [(20, 21.5), (10, 43.0)])
def test_flow_of_500_kilowatt(drop_k: float, flow_m3_h: float) -> None:
    assert 500.0 / (KWH_M3K * drop_k) == pytest.approx(flow_m3_h, abs=0.05)


def test_body_for_one_and_a_half_cubic_metres() -> None:
    # 1.5 m3/h at 0.1 m/s: 72.8 mm (worked from the article's speed)
    assert header_bore(1.5 / 3600) * 1e3 == pytest.approx(72.8, abs=0.05)
