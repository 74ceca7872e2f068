"""Flue dew points worked apart from the code: ideal stoichiometry and IAPWS vapour pressure, to 0.1 K."""

import pytest

from wetside.fluid.fuel import NATURAL_GAS, PROPANE, Gas, dew_point


@pytest.mark.parametrize(
    ("gas", "excess", "t_c"),
    [
        (NATURAL_GAS, 0.0, 59.2), (NATURAL_GAS, 0.1, 57.3), (NATURAL_GAS, 0.2, 55.7), (NATURAL_GAS, 0.3, 54.1),
        (PROPANE, 0.0, 54.9), (PROPANE, 0.1, 53.0), (PROPANE, 0.2, 51.4), (PROPANE, 0.3, 49.9),
    ],
)  # fmt: skip
def test_dew_point(gas: Gas, excess: float, t_c: float) -> None:
    assert dew_point(gas, excess) == pytest.approx(t_c, abs=0.06)
