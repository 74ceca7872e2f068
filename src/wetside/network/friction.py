"""Pressure that water loses in tube, fittings and valves, and how steeply it grows with flow.

Every function takes arrays. The drop is odd in the flow, strictly increasing, and has a continuous slope, so that a
network of such links is a convex problem with one answer.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LAMINAR = 2000.0
TURBULENT = 4000.0
"""Reynolds numbers between which flow is in transition."""
KV_DENSITY = 1000.0
"""Density of the cold water that a Kv is stated with, kg/m3."""
KV_PRESSURE = 1e5
CREEP = 2e-4
"""Speed [m/s] about which a fitting's square law turns linear, so that its slope at rest isn't nothing."""
_LN10 = float(np.log(10.0))


def colebrook(reynolds: Floats, roughness: Floats) -> Floats:
    """Darcy friction factor of turbulent flow.

    Colebrook's equation ``1/sqrt(f) = -2 lg(rel/3.7 + 2.51/(Re sqrt(f)))``, solved to better than 1e-8 by Newton's
    steps from Haaland's explicit form. Valid for Re from 4000 to 1e8 and relative roughness from 0 to 0.05.

    :param roughness: relative to the bore
    Source: Colebrook 1939 (from memory).
    """
    return _inverse_root(reynolds, roughness) ** -2.0


def _inverse_root(reynolds: Floats, roughness: Floats) -> Floats:
    """`1/sqrt(f)` of Colebrook's equation."""
    a, b = roughness / 3.7, 2.51 / reynolds
    x = -1.8 * np.log10(a**1.11 + 6.9 / reynolds)
    for _ in range(2):
        inside = a + b * x
        x = x - (x + 2.0 * np.log10(inside)) / (1.0 + 2.0 / _LN10 * b / inside)
    return x


def _turbulent(reynolds: Floats, roughness: Floats) -> tuple[Floats, Floats]:
    """`f Re²` and its slope over Re, by Colebrook."""
    x = _inverse_root(reynolds, roughness)
    b = 2.51 / reynolds
    share = 2.0 / _LN10 * b / (roughness / 3.7 + b * x)
    slope_x = share * x / reynolds / (1.0 + share)
    whole = (reynolds / x) ** 2
    return whole, 2.0 * whole * (1.0 / reynolds - slope_x / x)


def friction_number(reynolds: Floats, roughness: Floats) -> tuple[Floats, Floats]:
    """`f Re²` (the drop without dimension) and its slope over Re, for any Re ≥ 0.

    Laminar 64 Re up to 2000; Colebrook from 4000; between them the one cubic that joins both with their slopes. Its
    secant is at least a third of either slope, hence it rises monotonically (Fritsch and Carlson 1980, from memory).
    """
    whole, slope = _turbulent(np.maximum(reynolds, TURBULENT), roughness)
    slow = reynolds < TURBULENT
    if not slow.any():
        return whole, slope
    low = reynolds <= LAMINAR
    number, slope = np.where(low, 64.0 * reynolds, whole), np.where(low, 64.0, slope)
    middle = np.flatnonzero(slow ^ low)
    if middle.size:
        number[middle], slope[middle] = _blend(reynolds[middle], number[middle], slope[middle])
    return number, slope


def _blend(reynolds: Floats, end: Floats, end_slope: Floats) -> tuple[Floats, Floats]:
    """The cubic between laminar and turbulent flow, and its slope.

    :param end: where it ends, at the Reynolds number from which flow is turbulent
    """
    width, start = TURBULENT - LAMINAR, 64.0 * LAMINAR
    begins, ends, over = 64.0 * width, width * end_slope, end - start
    u = (reynolds - LAMINAR) / width
    second, third = 3.0 * over - 2.0 * begins - ends, begins + ends - 2.0 * over
    number = start + u * (begins + u * (second + u * third))
    return number, (begins + u * (2.0 * second + 3.0 * u * third)) / width


def tube_drop(
    flow: Floats, length: Floats, bore: Floats, roughness: Floats, density: Floats, viscosity: Floats
) -> tuple[Floats, Floats]:
    """Friction [Pa] of tube and its slope [Pa s/kg] over the mass flow [kg/s].

    Darcy and Weisbach: ``f (L/d) rho v²/2``. Lengths and bores in m, roughness in m, density in kg/m3, viscosity in
    Pa s. Relative roughness above 0.05 is outside Colebrook's range.
    """
    return scaled_drop(flow, roughness / bore, *tube_scales(length, bore, density, viscosity))


def tube_scales(length: Floats, bore: Floats, density: Floats, viscosity: Floats) -> tuple[Floats, Floats]:
    """Reynolds number per mass flow [s/kg], and pressure [Pa] that a `friction_number` of one stands for."""
    return 4.0 / (np.pi * bore * viscosity), length * viscosity * viscosity / (2.0 * density * bore**3)


def scaled_drop(flow: Floats, relative: Floats, per_flow: Floats, scale: Floats) -> tuple[Floats, Floats]:
    """`tube_drop` by the scales that stay while only the flow changes.

    :param relative: roughness over bore
    """
    number, slope = friction_number(np.abs(flow) * per_flow, relative)
    return np.copysign(number, flow) * scale, slope * (scale * per_flow)


def square_coefficient(k: Floats, inverse_kv2: Floats, bore: Floats, density: Floats) -> Floats:
    """`c` of ``drop = c m²`` [Pa s²/kg²] for a loss coefficient on the bore and a Kv in series.

    ``K rho v²/2``, and ``1 bar (rho/1000) (V/Kv)²`` with V in m3/h (definition of Kv).

    :param inverse_kv2: 1/Kv² [h²/m6], 0 for none
    """
    area = np.pi / 4.0 * bore**2
    return k / (2.0 * density * area**2) + KV_PRESSURE * 3600.0**2 * inverse_kv2 / (KV_DENSITY * density)


def square_drop(flow: Floats, coefficient: Floats, creep: Floats) -> tuple[Floats, Floats]:
    """``c m sqrt(m² + creep²)`` [Pa] and its slope: a square law whose slope at rest is `c creep`, not nothing."""
    square = flow * flow
    root = np.sqrt(square + creep * creep)
    return coefficient * flow * root, coefficient * (root + square / np.maximum(root, 1e-30))


def k_from_kv(kv_m3_h: float, bore_m: float) -> float:
    """Loss coefficient on a bore that equals a Kv: ``K = (bore[mm]² / Kv)² / 625.4``.

    Source: the definitions of both, with water of 1000 kg/m3.
    """
    area = np.pi / 4.0 * bore_m**2
    return float(2.0 * KV_PRESSURE / KV_DENSITY * (area * 3600.0 / kv_m3_h) ** 2)


def kv_from_k(k: float, bore_m: float) -> float:
    """Kv that equals a loss coefficient on a bore; 0 for no loss. The inverse of `k_from_kv`."""
    return float(np.pi / 4.0 * bore_m**2 * 3600.0 * (2.0 * KV_PRESSURE / KV_DENSITY / k) ** 0.5) if k > 0.0 else 0.0
