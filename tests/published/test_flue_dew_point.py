"""Dew point of the flue gas of natural gas: a combustion text (studylib.net/doc/25937825).

Methane, 9.15 % carbon dioxide in the dry flue gas: 2.31 psia of vapour, 131.3 degF. Its mole fraction of "18.6 %" does
not fit its own pressure; stoichiometry gives 15.5 %, 130.8 degF. Nor does its 4 % of oxygen fit: methane with that much
carbon dioxide leaves 4.6 %. Tolerance 1 degF.
"""

import pytest

from wetside.fluid.fuel import NATURAL_GAS, dew_point, flue_vapour_share

NITROGEN = 79.05 / 20.95


def excess_from_carbon_dioxide(share: float) -> float:
    """Excess air of methane from carbon dioxide in the dry flue gas: 1 / (1 + 2 e + 2 (1 + e) N2/O2) = share."""
    return (1.0 / share - 1.0 - 2.0 * NITROGEN) / (2.0 + 2.0 * NITROGEN)


def test_methane_with_9_15_percent_carbon_dioxide() -> None:
    excess = excess_from_carbon_dioxide(0.0915)
    assert flue_vapour_share(NATURAL_GAS, excess) == pytest.approx(18.3 / 118.3, rel=1e-3)
    assert dew_point(NATURAL_GAS, excess) * 1.8 + 32.0 == pytest.approx(131.3, abs=1.0)
