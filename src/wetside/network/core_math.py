"""Logarithm, exponential, friction and the liquid's tables, compiled so that loops take several numbers at a time."""

import numpy as np
from numpy.typing import NDArray

from wetside.network.core_jit import bits, compiled, double, inlined
from wetside.network.friction import LAMINAR, TURBULENT

Floats = NDArray[np.float64]
Place = NDArray[np.uint32]

_LN2 = float(np.log(2.0))
_SPLIT = 0x3FE6A09E667F3BCD
"""Bits of sqrt(1/2)."""
_MANTISSA = 0x000FFFFFFFFFFFFF
_WIDTH = TURBULENT - LAMINAR
_C = 2.0 / float(np.log(10.0))

WIDE = 256
"""Links in a block: its numbers stay in the nearest cache. Every row of a block is this long."""
PER, RELATIVE, SCALE, SQUARE, CREEP, ROOT_F = range(6)
"""Rows of a block: Reynolds number per flow, roughness over 3.7 bores, drop per `f Re²`, of fittings per square of the
flow, flow about which that turns linear, Colebrook's root."""
ROWS = 6
FLOW, DROP, SLOPE = range(3)
"""Rows of the slate on which a block is worked."""
COLEBROOK, SWAMEE_JAIN = 0, 1
"""Friction laws. The second is there to be compared with other solvers under the same law."""


@inlined
def ln(x: float) -> float:
    """Natural logarithm of a positive normal number, to 1e-14 of its size or absolutely."""
    u = bits(x) - _SPLIT
    e = np.float64(np.int32(u >> 52))
    m = double((u & _MANTISSA) + _SPLIT)
    s = (m - 1.0) / (m + 1.0)
    z = s * s
    p = 1.0 / 13.0 + z * (1.0 / 15.0)
    p = 1.0 / 9.0 + z * (1.0 / 11.0 + z * p)
    p = 1.0 / 5.0 + z * (1.0 / 7.0 + z * p)
    return e * _LN2 + 2.0 * s * (1.0 + z * (1.0 / 3.0 + z * p))


@inlined
def ex(x: float) -> float:
    """Exponential, to 1e-14 of its size between −700 and 700, held beyond."""
    y = x if x > -700.0 else -700.0
    y = y if y < 700.0 else 700.0
    k = np.floor(y * (1.0 / _LN2) + 0.5)
    r = y - k * _LN2
    p = 1.0 + r * (1.0 / 11.0) * (1.0 + r * (1.0 / 12.0))
    p = 1.0 + r * (1.0 / 9.0) * (1.0 + r * (1.0 / 10.0) * p)
    p = 1.0 + r * (1.0 / 7.0) * (1.0 + r * (1.0 / 8.0) * p)
    p = 1.0 + r * (1.0 / 5.0) * (1.0 + r * (1.0 / 6.0) * p)
    p = 1.0 + r * (1.0 / 3.0) * (1.0 + r * (1.0 / 4.0) * p)
    p = 1.0 + r * (1.0 + r * 0.5 * p)
    # 2^k: k is whole, so that k + 1023 stands in the low bits of k + 1023 + 2^52
    return p * double((bits(k + 4503599627371519.0) & 0xFFF) << 52)


@compiled
def friction(block: Floats, low: int, count: int, t: Floats) -> None:
    """Size of the drop, and its slope, of the links in one block, by `friction.friction_number`'s law.

    Colebrook's ``x = 1/sqrt(f)`` is carried along: one step of Newton's method each time that it is asked. All rows of
    a block lie at fixed distances, so that the compiler knows them apart.

    :param block: whole store; `low` is where the block's first row begins, `count` how many of its links there are
    :param t: slate with the links' flows; drops and slopes are written onto it
    """
    b = block[low : low + ROWS * WIDE]
    for i in range(count):
        m = abs(t[i + FLOW * WIDE])
        per = b[i + PER * WIDE]
        re = m * per
        fast = re if re > TURBULENT else TURBULENT
        inverse = 1.0 / fast
        c = _C * 2.51 * inverse
        x = b[i + ROOT_F * WIDE]
        inside = b[i + RELATIVE * WIDE] + 2.51 * inverse * x
        share = 1.0 / (inside + c)
        x = x - (x + _C * ln(inside)) * inside * share
        b[i + ROOT_F * WIDE] = x
        whole = fast / x
        whole = whole * whole
        end_slope = 2.0 * whole * inverse * (1.0 - c * share)
        u = (re - LAMINAR) * (1.0 / _WIDTH)
        v = 1.0 - u
        blend = (1.0 + 2.0 * u) * v * v * (64.0 * LAMINAR) + u * v * v * (_WIDTH * 64.0)
        blend = blend + u * u * (3.0 - 2.0 * u) * whole - u * u * v * _WIDTH * end_slope
        blend_slope = 6.0 * u * v * (whole - 64.0 * LAMINAR) * (1.0 / _WIDTH) + v * (1.0 - 3.0 * u) * 64.0
        blend_slope = blend_slope + u * (3.0 * u - 2.0) * end_slope
        number = whole if re >= TURBULENT else blend
        rate = end_slope if re >= TURBULENT else blend_slope
        number = number if re > LAMINAR else 64.0 * re
        rate = rate if re > LAMINAR else 64.0
        scale, square, creep = b[i + SCALE * WIDE], b[i + SQUARE * WIDE], b[i + CREEP * WIDE]
        around = np.sqrt(m * m + creep * creep)
        t[i + DROP * WIDE] = number * scale + square * around * m
        t[i + SLOPE * WIDE] = rate * scale * per + square * (around + m * m / around)


@compiled
def friction_swamee(block: Floats, low: int, count: int, t: Floats) -> None:
    """The same by Swamee and Jain's formula, laminar below 2000, Dunlop's cubic between.

    Source: EPANET 2.2 user manual, appendix D (from memory).
    """
    b = block[low : low + ROWS * WIDE]
    for i in range(count):
        m = abs(t[i + FLOW * WIDE])
        per, relative = b[i + PER * WIDE], b[i + RELATIVE * WIDE]
        re = m * per
        if re <= LAMINAR:
            number, rate = 64.0 * re, 64.0
        elif re >= TURBULENT:
            y = 5.74 * re**-0.9
            z = relative + y
            g = -_C * np.log(z)
            f = 1.0 / (g * g)
            number = f * re * re
            rate = 2.0 * f * re - 2.0 * f / g * 0.9 * _C * y / z * re
        else:
            y = relative + 5.74 * TURBULENT**-0.9
            g = -_C * np.log(y)
            fa = 1.0 / (g * g)
            fb = (2.0 - 0.00514215 / (y * g)) * fa
            r = re / 2000.0
            x1, x2, x3 = 7.0 * fa - fb, 0.128 - 17.0 * fa + 2.5 * fb, -0.128 + 13.0 * fa - 2.0 * fb
            x4 = 0.032 - 3.0 * fa + 0.5 * fb
            f = x1 + r * (x2 + r * (x3 + r * x4))
            df = (x2 + r * (2.0 * x3 + 3.0 * r * x4)) / 2000.0
            number, rate = f * re * re, 2.0 * f * re + df * re * re
        scale, square, creep = b[i + SCALE * WIDE], b[i + SQUARE * WIDE], b[i + CREEP * WIDE]
        around = np.sqrt(m * m + creep * creep)
        t[i + DROP * WIDE] = number * scale + square * around * m
        t[i + SLOPE * WIDE] = rate * scale * per + square * (around + m * m / around)


@inlined
def cell(t: float, size: int) -> int:
    """Row of the table that a temperature falls in; one row a kelvin from 0 °C on."""
    most = size - 2.0
    held = t if t > 0.0 else 0.0
    return int(held if held < most else most)


@inlined
def held(t: float, size: int) -> float:
    most = size - 1.0
    at_least = t if t > 0.0 else 0.0
    return at_least if at_least < most else most


@compiled
def enthalpy(t: float, table: Floats) -> float:
    """Of the liquid, J/kg; `table` has rows density, ln viscosity, heat capacity, enthalpy."""
    k = cell(t, table.shape[1])
    into = t - k
    cp = table[2, k]
    slope = table[2, k + 1] - cp
    inside = min(max(into, 0.0), 1.0)
    beyond = (into - inside) * (cp + slope * inside)
    return table[3, k] + inside * (cp + 0.5 * slope * inside) + beyond


@compiled
def temperature(h: float, table: Floats) -> float:
    """Inverse of `enthalpy`."""
    last = table.shape[1] - 2
    k = min(max(int(h * (1.0 / 4190.0)), 0), last)
    while k < last and table[3, k + 1] <= h:
        k += 1
    while k > 0 and table[3, k] > h:
        k -= 1
    cp = table[2, k]
    slope = table[2, k + 1] - cp
    rest = h - table[3, k]
    inside = min(max(rest, 0.0), table[3, k + 1] - table[3, k])
    into = 2.0 * inside / (cp + np.sqrt(cp * cp + 2.0 * slope * inside))
    return k + into + (rest - inside) / (cp + slope * into)


@compiled
def heat_capacity(t: float, table: Floats) -> float:
    k = cell(t, table.shape[1])
    return table[2, k] + (held(t, table.shape[1]) - k) * (table[2, k + 1] - table[2, k])


@compiled
def density(t: float, table: Floats) -> float:
    k = cell(t, table.shape[1])
    return table[0, k] + (held(t, table.shape[1]) - k) * (table[0, k + 1] - table[0, k])


@compiled
def viscosity(t: float, table: Floats) -> float:
    k = cell(t, table.shape[1])
    return np.exp(table[1, k] + (held(t, table.shape[1]) - k) * (table[1, k + 1] - table[1, k]))
