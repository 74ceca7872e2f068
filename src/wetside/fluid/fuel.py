"""What a gas boiler's fuel is worth, and when its flue gas starts to condense."""

from wetside.basis.record import record
from wetside.basis.si import Celsius, Ratio
from wetside.fluid.air import SEA_LEVEL_PA
from wetside.fluid.water import boiling_temperature

_NITROGEN_PER_OXYGEN = 79.05 / 20.95
"""Moles of nitrogen (and argon) that come with each mole of oxygen in dry air."""


@record(kw_only=False)
class Gas:
    """A fuel gas taken as one alkane CxHy."""

    name: str
    carbon: int
    hydrogen: int


NATURAL_GAS = Gas("natural gas", 1, 4)
"""As methane."""
PROPANE = Gas("propane", 3, 8)


def flue_vapour_share(gas: Gas, excess_air: Ratio) -> Ratio:
    """Share of water vapour in the flue gas by volume, burnt completely in dry air.

    Source: stoichiometry of CxHy + (x + y/4)(1 + e) air.
    """
    oxygen = gas.carbon + gas.hydrogen / 4.0
    water = gas.hydrogen / 2.0
    dry = gas.carbon + oxygen * excess_air + oxygen * (1.0 + excess_air) * _NITROGEN_PER_OXYGEN
    return water / (dry + water)


def dew_point(gas: Gas, excess_air: Ratio = 0.2) -> Celsius:
    """Temperature [°C] below which water condenses out of the flue gas, at sea level.

    A condensing boiler saves as told only when water comes back colder than this.
    """
    return boiling_temperature(flue_vapour_share(gas, excess_air) * SEA_LEVEL_PA)
