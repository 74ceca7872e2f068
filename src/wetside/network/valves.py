"""How far a valve is open, and what that makes of its Kv."""

from wetside.basis.si import KgPerSecond, KvM3PerHour, Pascal, Ratio
from wetside.network.friction import KV_DENSITY, KV_PRESSURE
from wetside.pipework.spec import Item, ItemKind

RANGE = 50.0
"""Of an equal-percentage valve: Kv fully open over Kv just open (usual for control valves, no source)."""


def kv_at(kv_m3_h: KvM3PerHour, opening: Ratio, characteristic: str = "linear") -> KvM3PerHour:
    """Kv of a valve at a share of its lift, from its Kv fully open.

    Linear: in proportion. Equal percentage: ``Kv R^(opening − 1)`` with R = 50, going straight to nothing below a lift
    of one part in R. Source: definitions of the two inherent characteristics (IEC 60534, from memory).
    """
    share = min(max(opening, 0.0), 1.0)
    if characteristic == "linear":
        return kv_m3_h * share
    return kv_m3_h * (RANGE ** (share - 1.0) if share >= 1.0 / RANGE else share * RANGE ** (1.0 / RANGE))


def steepness(one: Item, kv_m3_h: KvM3PerHour) -> float:
    """Pressure per flow [Pa s/kg] of a bypass valve between just open and the flow that its Kv passes at `full_pa`."""
    opens, full = opening_pa(one), one.full_pa
    if full is None or full <= opens:
        full = 1.3 * opens + 1.0
    return (full - opens) / kv_flow(kv_m3_h, full)


def kv_flow(kv_m3_h: KvM3PerHour, drop_pa: Pascal) -> KgPerSecond:
    """Cold water through a Kv at a pressure drop (definition of Kv)."""
    return kv_m3_h * (drop_pa / KV_PRESSURE) ** 0.5 * KV_DENSITY / 3600.0


def opening_pa(one: Item) -> Pascal:
    """Pressure that opens a one-way item; a bypass valve that says nothing opens at 15 kPa (common practice)."""
    if one.opens_pa is not None:
        return one.opens_pa
    return 15e3 if one.kind is ItemKind.BYPASS else 0.0
