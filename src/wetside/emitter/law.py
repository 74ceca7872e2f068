"""What an emitter gives at other water temperatures and flows than its rating (EN 442).

`output = rated * (excess / rated_excess) ** exponent`, with the excess of the mean water temperature over the room.
The mean is logarithmic here; ratings are stated at the arithmetic mean (75/65/20 °C: 50 K), so at that very point the
answer lies 0.4 % under the rating. At small flow (a drop over about 20 K) the law itself is no better than 10 %.
"""

import math

import numpy as np
from numpy.typing import NDArray

from wetside.basis.record import record
from wetside.basis.si import Celsius, Kelvin, Ratio, Watt, WattPerK
from wetside.emitter.spec import EmitterOutput

Floats = NDArray[np.float64]

_STEPS = 60
"""Newton on these two functions needs about five steps; the count only guards against a fault."""


def arithmetic_excess(supply_c: Celsius, return_c: Celsius, room_c: Celsius) -> Kelvin:
    """Mean water temperature over the room [K], as EN 442-1 rates emitters."""
    return 0.5 * (supply_c + return_c) - room_c


def logarithmic_excess(supply_c: Celsius, return_c: Celsius, room_c: Celsius) -> Kelvin:
    """Logarithmic mean excess over the room [K]; 0 when the water isn't warmer than the room throughout."""
    hot, cold = supply_c - room_c, return_c - room_c
    if hot <= 0.0 or cold <= 0.0:
        return 0.0
    drop = hot - cold
    if abs(drop) < 1e-6 * hot:
        return cold + 0.5 * drop
    return drop / math.log(hot / cold)


def output_from_excess(rated_w: Watt, rated_excess_k: Kelvin, exponent: Ratio, excess_k: Kelvin) -> Watt:
    """Output [W] at a mean excess [K] (EN 442-2, characteristic equation); 0 at no excess."""
    return rated_w * (max(excess_k, 0.0) / rated_excess_k) ** exponent


def excess_for_output(rated_w: Watt, rated_excess_k: Kelvin, exponent: Ratio, output_w: Watt) -> Kelvin:
    """Mean excess [K] that an output [W] takes: the inverse of `output_from_excess`."""
    return rated_excess_k * (max(output_w, 0.0) / rated_w) ** (1.0 / exponent)


@record(kw_only=False)
class Outputs:
    """Many emitters at work."""

    output_w: Floats
    return_c: Floats


def outputs(
    rated_w: Floats | Watt,
    rated_excess_k: Floats | Kelvin,
    exponent: Floats | Ratio,
    capacity_flow_w_k: Floats | WattPerK,
    supply_c: Floats | Celsius,
    room_c: Floats | Celsius,
) -> Outputs:
    """Output and return temperature of many emitters at once; the arguments broadcast.

    No flow gives no heat and a return at room temperature; water no warmer than the room gives no heat and comes back
    as it went in. With hot excess `a`, `L = ln(a / cold excess)` solves
    ``L**n (1 - exp(-L))**(1 - n) = rated a**(n - 1) / (rated_excess**n flow)``, whose logarithm over ln L has a
    slope between 1 and n: Newton's steps can't miss.

    :param capacity_flow_w_k: mass flow times heat capacity [W/K], not negative, may be infinite
    :raises ValueError: a negative or undefined flow, or a rating or exponent that isn't positive
    """
    rated, excess, n, flow, supply, room = np.broadcast_arrays(
        *(np.asarray(x, dtype=np.float64) for x in (rated_w, rated_excess_k, exponent, capacity_flow_w_k))
        , np.asarray(supply_c, dtype=np.float64), np.asarray(room_c, dtype=np.float64)
    )  # fmt: skip
    if not np.all(flow >= 0.0):
        raise ValueError("flow through an emitter must be a number and not negative: turn its ends round")
    if not (np.all(rated > 0.0) and np.all(excess > 0.0) and np.all(n > 0.0)):
        raise ValueError("rated output, rated excess and exponent of an emitter must be positive")
    hot = supply - room
    works = (hot > 0.0) & (flow > 0.0)
    a = np.where(works, hot, 1.0)
    most = rated * (a / excess) ** n
    bounded = works & np.isfinite(flow)
    size = np.where(bounded, most / np.where(bounded, flow * a, 1.0), 1.0)
    drop = _log_ratio(size, n)
    share = -np.expm1(-drop)
    given = np.where(bounded, np.where(bounded, flow, 0.0) * a * share, most)
    return Outputs(
        output_w=np.where(works, given, 0.0),
        return_c=np.where(
            works, np.where(bounded, room + a * np.exp(-drop), supply), np.where(hot > 0.0, room, supply)
        ),
    )


def _log_ratio(size: Floats, n: Floats) -> Floats:
    """`L` of ``L**n (1 - exp(-L))**(1 - n) = size``, by Newton over u = ln L."""
    goal = np.log(size)
    u = np.where(goal < 0.0, goal, goal / n)
    for _ in range(_STEPS):
        drop = np.exp(u)
        lost = -np.expm1(-drop)
        value = n * u + (1.0 - n) * np.log(lost) - goal
        slope = n + (1.0 - n) * drop * np.exp(-drop) / lost
        step = value / slope
        u = u - step
        if np.all(np.abs(step) < 1e-13 * (1.0 + np.abs(u))):
            break
    return np.exp(u)


def output(
    rated_w: Watt,
    rated_excess_k: Kelvin,
    exponent: Ratio,
    capacity_flow_w_k: WattPerK,
    supply_c: Celsius,
    room_c: Celsius,
) -> EmitterOutput:
    """One emitter at work; see `outputs`."""
    many = outputs(rated_w, rated_excess_k, exponent, capacity_flow_w_k, supply_c, room_c)
    return EmitterOutput(supply_c=supply_c, return_c=float(many.return_c), output_w=float(many.output_w))


def flow_for_output(
    rated_w: Watt, rated_excess_k: Kelvin, exponent: Ratio, output_w: Watt, supply_c: Celsius, room_c: Celsius
) -> WattPerK:
    """Mass flow times heat capacity [W/K] that makes an emitter give `output_w`; 0 for no output.

    :raises ValueError: not even endless flow makes it give so much; the message says how much it can give
    """
    if output_w <= 0.0:
        return 0.0
    hot = supply_c - room_c
    wanted = excess_for_output(rated_w, rated_excess_k, exponent, output_w)
    if wanted >= hot:
        most = output_from_excess(rated_w, rated_excess_k, exponent, hot)
        raise ValueError(
            f"{output_w:.0f} W can't be had at {supply_c:.1f} °C supply: "
            f"the emitter stays under {most:.0f} W at any flow"
        )
    drop = _drop_for_mean(wanted / hot)
    return output_w / (hot * -math.expm1(-drop))


def _drop_for_mean(share: Ratio) -> float:
    """`L` of ``(1 - exp(-L)) / L = share``, 0 < share < 1: bisection, then it can't miss."""
    low, high = 0.0, 1.0 / share
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if -math.expm1(-middle) / middle > share:
            low = middle
        else:
            high = middle
    return high
