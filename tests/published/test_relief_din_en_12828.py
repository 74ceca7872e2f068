"""DIN EN 12828 with TRD 721 (doczz.net 5749881): 3 bar relief valves, letter H, by boiler output.

Up to 50 kW DN 15 (from memory), over 50 to 100 kW DN 20, to 200 DN 25, to 350 DN 32. AD 2000 leaflet A2 certifies
P [kW] = 1.26 A0 [mm2] alpha_w: 50 kW takes 39.7 mm2 of A0 alpha_w.
"""

import pytest

from wetside.plant.relief import certified_output, size_for


@pytest.mark.parametrize(
    ("kilowatt", "size"),
    [(5, "DN 15"), (50, "DN 15"), (50.001, "DN 20"), (100, "DN 20"), (100.001, "DN 25"), (200, "DN 25"),
     (200.001, "DN 32"), (350, "DN 32"), (350.001, None)],
)  # fmt: skip
def test_size(kilowatt: float, size: str | None) -> None:
    assert size_for(kilowatt * 1e3) == size


def test_area_for_50_kilowatt() -> None:
    assert certified_output(39.7e-6, 1.0) == pytest.approx(50e3, rel=0.05 / 39.7)
