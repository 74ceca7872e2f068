"""plumbrevise.co.uk, example of an expansion vessel: 100 l of water, 4 % expansion, acceptance one half: 8 l."""

import pytest

from wetside.plant.vessel import net_volume


def test_eight_litres() -> None:
    # acceptance 1 - charge / final = 0.5 in absolute pressures, for instance 1 bar and 3 bar gauge
    assert net_volume(100e-3 * 0.04, 1.0e5, 3.0e5) == pytest.approx(8e-3, rel=1e-12)
