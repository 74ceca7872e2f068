"""Hydraulic separation: two closely set tees, or a low-loss header, between the boiler's circuit and the house's."""

import math
from collections.abc import Sequence

from wetside.basis.record import record
from wetside.basis.si import Celsius, M3PerSecond, Metre, MetrePerSecond, Ratio, Watt, WattPerK

MOST_SPACING: Ratio = 4.0
"""Centre distance of the two tees, in bores."""
LEAST_BEFORE: Ratio = 8.0
LEAST_AFTER: Ratio = 4.0
"""Straight tube before and after the pair, in bores."""


@record(kw_only=False)
class Blend:
    """Temperatures round a separation."""

    supply_c: Celsius
    """To the house."""
    return_c: Celsius
    """From the house."""
    boiler_return_c: Celsius


def blended(flows: Sequence[float], temperatures_c: Sequence[Celsius]) -> Celsius:
    """Temperature [°C] after streams meet in a tee, weighted by their capacity flows (heat balance).

    :raises ValueError: no flow arrives
    """
    total = sum(flows)
    if not total > 0.0:
        raise ValueError("no stream flows into the tee")
    return sum(f * t for f, t in zip(flows, temperatures_c, strict=True)) / total


def separate(boiler_c: Celsius, primary_w_k: WattPerK, secondary_w_k: WattPerK, output_w: Watt) -> Blend:
    """What arrives on either side when boiler and house run at their own capacity flows (heat balance).

    A house that draws more than the boiler pumps mixes its own return into its supply; a boiler that pumps more than
    the house draws gets warm water back.

    :raises ValueError: a flow that isn't positive
    """
    if not (primary_w_k > 0.0 and secondary_w_k > 0.0):
        raise ValueError("both sides of a separation must flow")
    drop = output_w / secondary_w_k
    supply = boiler_c - max(secondary_w_k - primary_w_k, 0.0) / primary_w_k * drop
    return Blend(supply, supply - drop, boiler_c - output_w / primary_w_k)


def most_spacing(bore_m: Metre) -> Metre:
    """Most centre distance [m] of the two tees: 4 bores (makers' installation manuals)."""
    return MOST_SPACING * bore_m


def least_before(bore_m: Metre) -> Metre:
    """Least straight tube [m] before the pair: 8 bores (makers' installation manuals)."""
    return LEAST_BEFORE * bore_m


def least_after(bore_m: Metre) -> Metre:
    """Least straight tube [m] after the pair: 4 bores (makers' installation manuals)."""
    return LEAST_AFTER * bore_m


def header_bore(flow_m3_s: M3PerSecond, speed_m_s: MetrePerSecond = 0.1) -> Metre:
    """Bore [m] of a low-loss header's body for a water speed; 0.1 to 0.2 m/s lets air rise and dirt sink."""
    return math.sqrt(4.0 * flow_m3_s / (math.pi * speed_m_s))
