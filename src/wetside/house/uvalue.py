"""Thermal transmittance of plane building parts by the combined method of ISO 6946.

A layer is written as its strips side by side, `((share, resistance), ...)`, shares summing to 1; a plain layer has one
strip. Bridges in different layers are taken as independent, so every combination of strips is a heat path of its own.
"""

import math
from collections.abc import Sequence
from itertools import pairwise, product
from typing import Literal

from wetside.basis.si import M2KPerWatt, Metre, Ratio, WattPerM2K, WattPerMK
from wetside.basis.tables import load, number
from wetside.house.materials import conductivity
from wetside.house.spec import Construction, Faces, Layer, Part

Direction = Literal["up", "horizontal", "down"]
Strips = Sequence[tuple[Ratio, M2KPerWatt]]

AIR_LAYER_NAMES = ("air", "air layer", "still air", "air gap", "cavity")
"""Material names that mean an unventilated air layer, whose resistance follows from thickness and direction."""

FLOW: dict[Part, Direction] = {
    Part.WALL: "horizontal", Part.WINDOW: "horizontal", Part.DOOR: "horizontal",
    Part.FLOOR: "down", Part.CEILING: "up", Part.ROOF: "up",
}  # fmt: skip
"""Which way heat leaves the room through each part."""


def layer_resistance(thickness_m: Metre, conductivity_w_mk: WattPerMK) -> M2KPerWatt:
    """R = d / λ of a homogeneous layer (ISO 6946, 6.1)."""
    return thickness_m / conductivity_w_mk


def surface_resistances(direction: Direction) -> tuple[M2KPerWatt, M2KPerWatt]:
    """Inner and outer surface resistance, m2K/W (ISO 6946 table of surface resistances; table `surface_resistance`)."""
    row = load("surface_resistance").by("direction")[direction]
    return number(row, "inside"), number(row, "outside")


def air_layer_resistance(thickness_m: Metre, direction: Direction) -> M2KPerWatt:
    """Resistance of an unventilated air layer, linear between the rows of table `air_layers` (ISO 6946).

    :raises ValueError: thicker than 300 mm, beyond which the layer is a room rather than a cavity
    """
    rows = load("air_layers").rows
    if not 0 <= thickness_m <= number(rows[-1], "thickness") + 1e-9:
        raise ValueError("an air layer is 0 to 300 mm thick")
    for a, b in pairwise(rows):
        ta, tb = number(a, "thickness"), number(b, "thickness")
        if thickness_m <= tb:
            ra, rb = number(a, direction), number(b, direction)
            return ra + (rb - ra) * (thickness_m - ta) / (tb - ta)
    return number(rows[-1], direction)


def upper_limit(rsi: M2KPerWatt, layers: Sequence[Strips], rse: M2KPerWatt) -> M2KPerWatt:
    """R'_T: heat flows straight through, each path by itself (ISO 6946, upper limit of the total resistance)."""
    flow = 0.0
    for path in product(*layers):
        share = math.prod(s for s, _ in path)
        flow += share / (rsi + sum(r for _, r in path) + rse)
    return 1 / flow


def lower_limit(rsi: M2KPerWatt, layers: Sequence[Strips], rse: M2KPerWatt) -> M2KPerWatt:
    """R''_T: each layer evens itself out sideways (ISO 6946, lower limit of the total resistance)."""
    total = rsi + rse
    for strips in layers:
        if any(r == 0 and s > 0 for s, r in strips):
            continue
        total += 1 / sum(s / r for s, r in strips if s > 0)
    return total


def total_resistance(rsi: M2KPerWatt, layers: Sequence[Strips], rse: M2KPerWatt) -> M2KPerWatt:
    """R_T = (R'_T + R''_T) / 2 (ISO 6946, combined method). Not for layers bridged by metal."""
    return (upper_limit(rsi, layers, rse) + lower_limit(rsi, layers, rse)) / 2


def u_value(rsi: M2KPerWatt, layers: Sequence[Strips], rse: M2KPerWatt) -> WattPerM2K:
    """U = 1 / R_T."""
    return 1 / total_resistance(rsi, layers, rse)


def plain_resistance(layer: Layer, direction: Direction) -> M2KPerWatt | None:
    """Resistance of a layer beside its bridge: given, from its conductivity, from the air-layer table, or from the
    table of materials; `None` when nothing says what it is."""
    if layer.resistance_m2k_w is not None:
        return layer.resistance_m2k_w
    if layer.conductivity_w_mk is not None:
        return layer_resistance(layer.thickness_m, layer.conductivity_w_mk)
    if layer.material.strip().casefold() in AIR_LAYER_NAMES:
        return air_layer_resistance(layer.thickness_m, direction) if 0 < layer.thickness_m <= 0.3 else None
    known = conductivity(layer.material)
    return None if known is None else layer_resistance(layer.thickness_m, known)


def strips(layer: Layer, direction: Direction) -> Strips:
    """A layer as its strips.

    :raises ValueError: the layer says neither conductivity nor resistance, or its bridge has no conductivity
    """
    plain = plain_resistance(layer, direction)
    if plain is None:
        raise ValueError(f"{layer.material}: neither conductivity nor resistance")
    if layer.bridge_share == 0:
        return ((1.0, plain),)
    if layer.bridge_conductivity_w_mk is None:
        raise ValueError(f"{layer.material}: the bridge has no conductivity")
    bridge = layer_resistance(layer.thickness_m, layer.bridge_conductivity_w_mk)
    return ((1 - layer.bridge_share, plain), (layer.bridge_share, bridge))


def construction_u(construction: Construction, part: Part, faces: Faces) -> WattPerM2K:
    """U-value of a construction used as that part of a room, W/(m2 K).

    A U-value that is given is used as such. Otherwise heat flows the way it leaves the room through the part; the
    inner surface resistance stands on both sides when the far side is indoors (room, unheated, neighbour).

    :raises ValueError: a layer can't be computed
    """
    if construction.u_w_m2k is not None:
        return construction.u_w_m2k
    direction = FLOW[part]
    rsi, rse = surface_resistances(direction)
    if faces in (Faces.ROOM, Faces.UNHEATED, Faces.NEIGHBOUR):
        rse = rsi
    return u_value(rsi, [strips(x, direction) for x in construction.layers], rse)


def bare_resistance(construction: Construction, part: Part) -> M2KPerWatt:
    """Resistance of a construction without its two surfaces, never below 0, m2K/W."""
    rsi, rse = surface_resistances(FLOW[part])
    return max(0.0, 1 / construction_u(construction, part, Faces.OUTSIDE) - rsi - rse)
