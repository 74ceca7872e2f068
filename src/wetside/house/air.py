"""Air that a room must heat on the design day (EN 12831:2003, from memory)."""

from wetside.basis.record import record
from wetside.basis.si import Celsius, CubicMetre, Kelvin, Metre, PerHour, Ratio, Watt, WattPerK
from wetside.basis.tables import load, number
from wetside.house.spec import Shielding

AIR_WH_M3K = 0.34
"""Heat that a cubic metre of indoor air holds, Wh/(m3 K)."""


def shielding_coefficient(shielding: Shielding, exposed_openings: int) -> Ratio:
    """e by wind shelter and number of openings (windows, outside doors) to the outside; table `shielding`."""
    row = load("shielding").by("shielding")[shielding.value]
    return number(row, ("no_openings", "one_opening", "more_openings")[min(exposed_openings, 2)])


def height_factor(above_ground_m: Metre) -> Ratio:
    """ε by height of the room's middle above ground: 1.0 to 10 m, 1.2 to 30 m, 1.5 above."""
    return 1.0 if above_ground_m <= 10 else 1.2 if above_ground_m <= 30 else 1.5


def infiltration(volume_m3: CubicMetre, n50: PerHour, e: Ratio, epsilon: Ratio) -> float:
    """V_inf = 2 V n50 e ε, m3/h."""
    return 2 * volume_m3 * n50 * e * epsilon


def air_conductance(flow_m3_h: float, wh_m3k: float = AIR_WH_M3K) -> WattPerK:
    """H_V = 0.34 V', W/K."""
    return wh_m3k * flow_m3_h


@record(kw_only=False)
class AirFlows:
    """Air of one room, all m3/h: leaks, hygiene's minimum, mechanical supply at its own temperature."""

    leaks: float
    least: float
    supply: float
    supply_c: Celsius

    @property
    def rest(self) -> float:
        """Outside air that hygiene still asks for after leaks and supply."""
        return max(0.0, self.least - self.leaks - self.supply)

    @property
    def total(self) -> float:
        """All air that enters; without supply the larger of leaks and minimum."""
        return self.leaks + self.supply + self.rest

    def heat_w(self, inside_c: Celsius, outside_c: Celsius) -> Watt:
        """Heat to bring all of it to the room's temperature."""
        drop: Kelvin = inside_c - outside_c
        return air_conductance(self.leaks + self.rest) * drop + air_conductance(self.supply) * (
            inside_c - self.supply_c
        )


def building_air_w(flows: list[tuple[AirFlows, Celsius]], outside_c: Celsius) -> Watt:
    """Air load of the house as a whole: wind blows in on one side only, so half of the leaks count, but no less than
    hygiene's minimum (EN 12831:2003, 7.2, from memory).

    :param flows: air and inside temperature of each heated room
    """
    leaks = 0.5 * sum(air_conductance(a.leaks) * (t - outside_c) for a, t in flows)
    least = sum(air_conductance(a.least) * (t - outside_c) for a, t in flows)
    raw_supply = sum(air_conductance(a.supply) * (t - outside_c) for a, t in flows)
    supply = sum(air_conductance(a.supply) * (t - a.supply_c) for a, t in flows)
    return leaks + supply + max(0.0, least - leaks - raw_supply)
