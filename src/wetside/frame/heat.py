"""Lengthening by heat, worked by hand formulas: how much, and how much free tube takes it up."""

import math

from wetside.basis.record import record
from wetside.basis.si import Kelvin, Metre, Newton, NewtonMetre, Pascal, PerKelvin


def growth_m(length: Metre, expansion: PerKelvin, rise: Kelvin) -> Metre:
    """Free lengthening of a straight: ``α L ΔT``, m."""
    return length * expansion * rise


def free_leg_m(outside: Metre, movement: Metre, elastic: Pascal, allowable: Pascal) -> Metre:
    """Free length that a leg needs, square to a movement at its end: ``sqrt(3 E d e / S)``, m.

    The leg bends without turning at its ends (guided cantilever); conservative where the corner can turn. The same
    formula gives the developed length of an expansion offset in CDA Table 14.8.

    :param movement: at the leg's end, square to the leg
    :param allowable: bending stress
    """
    return math.sqrt(3.0 * elastic * outside * movement / allowable)


def loop_radius_m(offset: Metre) -> Metre:
    """Radius of a coiled loop with the developed length of an expansion offset: ``L / 2π``, m. CDA Table 14.8."""
    return offset / (2.0 * math.pi)


@record(kw_only=False)
class Guided:
    force_n: Newton
    moment_n_m: NewtonMetre


def guided_cantilever(elastic: Pascal, inertia: float, movement: Metre, leg: Metre) -> Guided:
    """Force and moment at the ends of a leg that is pushed aside: ``F = 12 E I d / b³``, ``M = 6 E I d / b²``."""
    return Guided(12.0 * elastic * inertia * movement / leg**3, 6.0 * elastic * inertia * movement / leg**2)


def locked_stress_pa(elastic: Pascal, expansion: PerKelvin, rise: Kelvin) -> Pascal:
    """Stress of a straight between two ends that can't move: ``E α ΔT``, Pa."""
    return elastic * expansion * rise
