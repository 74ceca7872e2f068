"""What a link does to the temperature of the water that passes it. Arrays in, arrays out.

Every function answers the leaving value and its slope over the entering one.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

_STEPS = 8
_CLOSE = 1e-8
"""Change of a step of Newton's method after which the next would change nothing that a number can hold."""


def emitter_return(
    supply: Floats, capacity: Floats, rated_w: Floats, rated_excess: Floats, exponent: Floats, room: Floats,
    near: Floats | None = None,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Return temperature [°C] of emitters by the logarithmic mean excess over the room.

    With hot excess x, ``L = ln(x / cold excess) = e^s`` and ``k = rated (x/rated_excess)^n / (capacity x)``:
    ``n s − (n−1) ln(1 − exp(−e^s)) = ln k``, whose slope lies between 1 and n. Water colder than the room is warmed by
    the same law.

    :param capacity: mass flow times heat capacity [W/K]
    :param near: s of conditions much like these, to begin with; takes the s that is found
    Source: EN 442 characteristic equation with the logarithmic mean.
    """
    hot = supply - room
    x = np.maximum(np.abs(hot), 1e-9)
    goal = np.log(rated_w * (x / rated_excess) ** exponent / (capacity * x))
    s = np.where(goal < 0.0, goal, goal / exponent) if near is None else near.copy()
    n1 = exponent - 1.0
    for _ in range(_STEPS):
        drop = np.exp(s)
        lost = -np.expm1(-drop)
        slope = exponent - n1 * drop * (1.0 - lost) / lost
        change = (exponent * s - n1 * np.log(lost) - goal) / slope
        s -= change
        if np.abs(change).max(initial=0.0) < _CLOSE:
            break
    if near is not None:
        near[:] = s
    drop = np.exp(s)
    keep = np.exp(-drop)
    slope = exponent - n1 * drop * keep / -np.expm1(-drop)
    return room + np.sign(hot) * x * keep, keep * (1.0 - drop * n1 / slope)


def coil_return(supply: Floats, capacity: Floats, coil_w_k: Floats, store: Floats) -> tuple[Floats, Floats]:
    """Temperature [°C] after a coil in water of one temperature; a coil never warms the water.

    Source: heat exchanger with one side at constant temperature, ``1 − exp(−UA/capacity)``.
    """
    keep = np.where(supply > store, np.exp(-coil_w_k / capacity), 1.0)
    return store + (supply - store) * keep, keep


def exchanger_share(first: Floats, second: Floats, w_k: Floats) -> Floats:
    """Heat per kelvin between the two entering streams [W/K] of exchangers in counterflow; nothing where one stands.

    Source: effectiveness by number of transfer units, ``(1 − e) / (1 − R e)`` with ``e = exp(−N (1 − R))``.

    :param first: mass flow times heat capacity of one side [W/K]
    """
    least, most = np.minimum(first, second), np.maximum(first, second)
    moves = least > 1e-6
    units = w_k / np.where(moves, least, 1.0)
    apart = 1.0 - np.where(moves, least / np.maximum(most, 1e-300), 0.0)
    alike = apart < 1e-6
    e = np.exp(-units * apart)
    share = np.where(alike, units / (1.0 + units), (1.0 - e) / np.where(alike, 1.0, 1.0 - (1.0 - apart) * e))
    return np.where(moves, share * least, 0.0)


class Mode:
    """What a boiler does."""

    HOLDS, FULL, IDLE = 0, 1, 2


def source_mode(mode: Ints, before: Floats, flow: Floats, wanted: Floats, most_w: Floats) -> Ints:
    """What each boiler does next, given what it did and the enthalpy [J/kg] that now comes back to it.

    From full output to idling it goes by way of holding its set temperature, so that Newton's steps can't jump to and
    fro across that range.
    """
    too_weak = before + most_w / flow < wanted
    too_warm = before > wanted
    from_hold = np.where(too_weak, Mode.FULL, np.where(too_warm, Mode.IDLE, Mode.HOLDS))
    from_full = np.where(too_weak, Mode.FULL, Mode.HOLDS)
    from_idle = np.where(too_warm, Mode.IDLE, Mode.HOLDS)
    return np.where(mode == Mode.HOLDS, from_hold, np.where(mode == Mode.FULL, from_full, from_idle))


def source_enthalpy(mode: Ints, before: Floats, flow: Floats, wanted: Floats, most_w: Floats) -> tuple[Floats, Floats]:
    """Enthalpy [J/kg] after boilers that do what `mode` says, and its slope."""
    after = np.where(mode == Mode.HOLDS, wanted, before + np.where(mode == Mode.FULL, most_w / flow, 0.0))
    return after, np.where(mode == Mode.HOLDS, 0.0, 1.0)


def source_limited(before_c: Floats, after_c: Floats, set_c: Floats) -> NDArray[np.bool_]:
    """Whether boilers fall short of their set temperature."""
    return (after_c < set_c - 1e-3) & (before_c < set_c)
