"""Romanian course text on heating installations (rostudy.me 5001143): a system of 200 kg, 10 to 90 degC.

Printed: 200.2 l grow to 207.2 l; the vessel takes 7 l at least. Water by IAPWS gives 200.04 and 207.17: tolerance one
unit of the last digit, doubled for the first figure, whose 200.2 is 0.1 % over any table.
"""

import pytest

from wetside.fluid.water import liquid
from wetside.plant.vessel import expansion_share


def test_volumes() -> None:
    cold, hot = (200.0 / liquid().density(t) * 1e3 for t in (10.0, 90.0))
    assert cold == pytest.approx(200.2, abs=0.2)
    assert hot == pytest.approx(207.2, abs=0.1)
    assert cold * expansion_share(liquid(), 10.0, 90.0) == pytest.approx(7.0, abs=0.15)
