"""Laying a net's numbers out in the order in which a big net's steps run through memory, compiled."""

# pyright: reportArgumentType=false
# Compiled functions take scalars and arrays of any integer width alike, which their Python annotations can't say.

import numpy as np
from numpy.typing import NDArray

from wetside.basis.quantity import G
from wetside.network.core_heat import E_CREEP, E_PER, E_RISE, E_SCALE, E_SQUARE, from_block
from wetside.network.core_jit import compiled
from wetside.network.core_math import RELATIVE, ROWS, WIDE
from wetside.network.friction import CREEP, KV_DENSITY, KV_PRESSURE, LAMINAR, TURBULENT
from wetside.network.hydraulics import HAIR

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
Place = NDArray[np.uint32]
Flags = NDArray[np.bool_]

OPENING = 0.3
"""Speed [m/s] whose secant a solve opens with."""
_KV = KV_PRESSURE * 3600.0**2 / KV_DENSITY


@compiled
def by_end(
    place: Index, a: Index, b: Index, starts: Index, inner: Index, live: Index, forward: Flags
) -> tuple[Place, Place, Place, Index, Flags, Index, Place]:
    """Chains in the order of the end that is eliminated first, and their links with them.

    :return: ends, starts, links, whether passed from tail to head, nodes between, chain of each place
    """
    count, n = a.size, place.size
    first = np.zeros(n + 1, np.int32)
    for c in range(count):
        first[min(place[a[c]], place[b[c]]) + 1] += 1
    for j in range(n):
        first[j + 1] += first[j]
    order = np.empty(count, np.int32)
    for c in range(count):
        j = min(place[a[c]], place[b[c]])
        order[first[j]] = c
        first[j] += 1
    new_a, new_b = np.empty(count, np.uint32), np.empty(count, np.uint32)
    new_starts = np.empty(count + 1, np.uint32)
    blocks = (live.size + WIDE - 1) // WIDE
    chain = np.full(blocks * WIDE, count, np.uint32)
    links, ahead, between = np.empty(live.size, np.int32), np.empty(live.size, np.bool_), np.empty(live.size, np.int32)
    at = 0
    for k in range(count):
        c = order[k]
        new_a[k], new_b[k], new_starts[k] = place[a[c]], place[b[c]], at
        for i in range(starts[c], starts[c + 1]):
            links[at], ahead[at], between[at], chain[at] = live[i], forward[i], inner[i], k
            at += 1
    new_starts[count] = at
    return new_a, new_b, new_starts, links, ahead, between, chain


@compiled
def tube(re: float, relative: float) -> tuple[float, float]:
    """`f Re²` and its slope over Re, as `friction.friction_number`; `relative` is roughness over 3.7 bores."""
    if re <= LAMINAR:
        return 64.0 * re, 64.0
    c = 2.0 / np.log(10.0)
    fast = max(re, TURBULENT)
    b = 2.51 / fast
    x = -1.8 * np.log10(relative**1.11 + 6.9 / fast)
    for _ in range(3):
        inside = relative + b * x
        x = x - (x + c * np.log(inside)) / (1.0 + c * b / inside)
    share = c * b / (relative + b * x)
    whole = (fast / x) ** 2
    slope = 2.0 * whole / fast * (1.0 - share / (1.0 + share))
    if re >= TURBULENT:
        return whole, slope
    width = TURBULENT - LAMINAR
    u = (re - LAMINAR) / width
    v = 1.0 - u
    start = 64.0 * LAMINAR
    blend = (1.0 + 2.0 * u) * v * v * start + u * v * v * width * 64.0
    blend += u * u * (3.0 - 2.0 * u) * whole - u * u * v * width * slope
    rate = 6.0 * u * v * (whole - start) / width + v * (1.0 - 3.0 * u) * 64.0 + u * (3.0 * u - 2.0) * slope
    return blend, rate


@compiled
def load(
    links: Index, ahead: Flags, chain: Place, tail: Index, head: Index, length: Floats, bore: Floats, roughness: Floats,
    k: Floats, inverse_kv2: Floats, height: Floats, rho: float, mu: float, block: Floats, basis: Floats, hair: Floats,
    chain_hair: Floats, opening: Floats, slate: Floats,
) -> bool:  # fmt: skip
    """Fill the blocks for water of one density and viscosity; whether anything rises.

    :param length: with what stands for fittings
    """
    chain_hair[:] = 0.0
    opening[:] = 0.0
    rises = False
    for i in range(links.size):
        e = links[i]
        d = bore[e]
        area = 0.25 * np.pi * d * d
        place = (i // WIDE) * 5 * WIDE + i % WIDE
        per = 4.0 / (np.pi * d)
        scale = length[e] / (2.0 * d * d * d)
        square = k[e] / (2.0 * area * area) + _KV * inverse_kv2[e]
        creep = CREEP * area
        basis[place + E_PER * WIDE] = per
        basis[place + E_SCALE * WIDE] = scale
        basis[place + E_SQUARE * WIDE] = square
        basis[place + E_CREEP * WIDE] = creep
        rise = (height[head[e]] - height[tail[e]]) * G
        rises = rises or rise != 0.0
        basis[place + E_RISE * WIDE] = rise if ahead[i] else -rise
        relative = roughness[e] / d / 3.7
        block[((i // WIDE) * ROWS + RELATIVE) * WIDE + i % WIDE] = relative
        hair[i] = HAIR if scale == 0.0 and square == 0.0 else 0.0
        m = OPENING * rho * area
        re = m * per / mu
        # Blasius is near enough to open with
        number = max(64.0 * re, 0.3164 * re * re / np.sqrt(np.sqrt(re)))
        drop = number * scale * mu * mu / rho + square / rho * m * m
        chain_hair[chain[i]] += hair[i]
        opening[chain[i]] += drop / m + hair[i]
    for i in range(links.size, chain.size):
        place = (i // WIDE) * 5 * WIDE + i % WIDE
        for row in range(5):
            basis[place + row * WIDE] = 1.0 if row in (E_PER, E_CREEP) else 0.0
        block[((i // WIDE) * ROWS + RELATIVE) * WIDE + i % WIDE] = 1e-4
    slate[:WIDE] = rho
    slate[WIDE : 2 * WIDE] = mu
    from_slate(basis, block, slate)
    return rises


@compiled
def from_slate(basis: Floats, block: Floats, slate: Floats) -> None:
    """Every block for one density and viscosity, which fill the slate."""
    for b in range(block.size // (ROWS * WIDE)):
        from_block(basis, block, b, slate)
