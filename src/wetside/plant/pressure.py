"""Pressures of the filled system, cold and hot, at the places that matter."""

from wetside.basis.record import record
from wetside.basis.si import Celsius, CubicMetre, KgPerM3, Metre, Pascal
from wetside.emitter.spec import Emitter
from wetside.fluid.water import liquid, vapour_pressure
from wetside.network.reading import FlowReading
from wetside.pipework.reading import Pipework, Straight
from wetside.plant.heating_side import heating_side, joined
from wetside.plant.spec import Plant, ReliefValve, Vessel
from wetside.plant.static import ATMOSPHERE_PA, pressure_at
from wetside.plant.vessel import COLD_C, expansion_share, needed_volume, pressure_after, relief_margin

OVER_BOILING_PA: Pascal = 0.2e5
"""Least pressure over the outside, and over boiling, anywhere in the running system."""


@record(kw_only=False)
class Top:
    """The highest point that water reaches."""

    name: str
    height_m: Metre


def highest(pipework: Pipework, emitters: tuple[Emitter, ...] = ()) -> Top | None:
    """The highest point of heating runs and emitters; `None` when nothing is drawn."""
    inside = joined(pipework)
    found = [Top(node.name, node.at[2]) for index, node in enumerate(pipework.nodes) if index in inside]
    found += [
        Top(f"run {leg.run}", max(piece.a[2], piece.b[2]))
        for leg in heating_side(pipework).legs
        for piece in leg.pieces
        if isinstance(piece, Straight)
    ]
    found += [Top(e.name, e.at[2] + e.height_m) for e in emitters]
    # rounding: a node is named rather than a run that reaches the same height
    return max(found, key=lambda top: round(top.height_m, 6), default=None)


@record(kw_only=False)
class Standing:
    """Standing water: a pressure, gauge, known at one height."""

    pressure_pa: Pascal
    height_m: Metre
    density_kg_m3: KgPerM3

    def at(self, height_m: Metre) -> Pascal:
        """Pressure [Pa], gauge, at a height."""
        return pressure_at(height_m, self.pressure_pa, self.height_m, self.density_kg_m3)


def cold_density(plant: Plant) -> KgPerM3:
    """Density [kg/m3] of the freshly filled system."""
    return liquid(plant.glycol_share).density(COLD_C)


def fill(plant: Plant) -> Standing | None:
    """The cold fill; `None` when its pressure isn't said."""
    if plant.cold_fill_pa is None:
        return None
    return Standing(plant.cold_fill_pa, plant.gauge_height_m, cold_density(plant))


@record(kw_only=False)
class Lowest:
    """The place of the running system that comes nearest to boiling or to drawing air."""

    name: str
    pressure_pa: Pascal
    least_pa: Pascal


def lowest(
    flow: FlowReading, pipework: Pipework, vessel: Vessel, vessel_pa: Pascal, plant: Plant, *, hot: bool
) -> Lowest | None:
    """The worst node when the vessel stands at a pressure; gauge.

    Pressures of the reading are what flow and circulators make, relative to the vessel (to the boiler's return where
    no run joins one, as for a vessel built into the boiler); the weight of the water is added here, taken as cold.

    :param hot: count boiling at each node's temperature; a cold system only must not draw air
    """
    inside = joined(pipework)
    height = {node.name: node.at[2] for index, node in enumerate(pipework.nodes) if index in inside}
    filled = Standing(vessel_pa, vessel.at_height_m, cold_density(plant))
    found = [
        Lowest(
            node.name,
            filled.at(height[node.name]) + node.pressure_pa,
            OVER_BOILING_PA + (max(vapour_pressure(node.temperature_c) - ATMOSPHERE_PA, 0.0) if hot else 0.0),
        )
        for node in flow.nodes
        if node.name in height
    ]
    return min(found, key=lambda low: low.pressure_pa - low.least_pa, default=None)


@record(kw_only=False)
class Expansion:
    """Water that the vessel has to take up, and the pressure that it may reach."""

    water_m3: CubicMetre
    final_pa: Pascal
    """At the vessel: the relief valve's set pressure less its margin, brought to the vessel's height."""
    needed_m3: CubicMetre | None
    """Least vessel volume; `None` when the charge isn't below `final_pa`."""


def expansion(plant: Plant, vessel: Vessel, relief: ReliefValve, water_m3: CubicMetre, hot_c: Celsius) -> Expansion:
    """Expansion from the cold fill to the hottest that the boiler can be set to (EN 12828 annex D)."""
    fluid = liquid(plant.glycol_share)
    grown = water_m3 * expansion_share(fluid, COLD_C, hot_c)
    at_relief = relief.opens_pa - relief_margin(relief.opens_pa)
    final = pressure_at(vessel.at_height_m, at_relief, relief.at_height_m, fluid.density(COLD_C))
    return Expansion(grown, final, needed_volume(grown, water_m3, vessel.charge_pa, final))


def hot_at_vessel(vessel: Vessel, relief: ReliefValve, filled: Standing, grown_m3: CubicMetre) -> Pascal:
    """Pressure [Pa] at the vessel when the system is hot; never above what opens the relief valve."""
    hot = pressure_after(vessel.volume_m3, vessel.charge_pa, filled.at(vessel.at_height_m), grown_m3)
    return min(hot, pressure_at(vessel.at_height_m, relief.opens_pa, relief.at_height_m, filled.density_kg_m3))
