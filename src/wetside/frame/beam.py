"""Round beams in space: stiffness, loads, and what happens along them.

A tube bends alike in every direction, so that everything is written with its axis `n` alone, in the axes of the house:
no local axes are chosen. Slender beams (Euler and Bernoulli): shear is left out, as the trade's tables do. Arrays hold
one row per beam; a block is 6×6 over (displacement, rotation) of a node.
"""

from dataclasses import fields

import numpy as np
from numpy.typing import NDArray

from wetside.basis.record import record
from wetside.basis.si import Metre, Newton, NewtonMetre, Pascal

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

STATIONS = 33
"""Places along a beam at which sag and bending are looked at."""


@record
class Beams:
    """Beams by the nodes that they join; all arrays of one length."""

    ends: Ints
    """(m, 2) nodes."""
    elastic_pa: Floats
    shear_pa: Floats
    area_m2: Floats
    inertia_m4: Floats
    """Second moment of area; the polar one is twice that."""
    radius_m: Floats
    """Outer radius, for stress."""
    load_n_m: Floats
    """(m, 3) even load per length, in the axes of the house."""
    strain: Floats
    """Free lengthening by heat, per length."""

    def __len__(self) -> int:
        return len(self.ends)

    def picked(self, which: Ints) -> "Beams":
        """Some of them."""
        return Beams(**{f.name: getattr(self, f.name)[which] for f in fields(self)})


@record(kw_only=False)
class Lines:
    """Length and direction of every beam."""

    length_m: Floats
    axis: Floats

    @staticmethod
    def of(at: Floats, ends: Ints) -> "Lines":
        """:raises ValueError: a beam without length"""
        run = at[ends[:, 1]] - at[ends[:, 0]]
        length = np.sqrt(np.einsum("ij,ij->i", run, run))
        if not np.all(length > 0.0):
            raise ValueError("a beam needs a length")
        return Lines(length, run / length[:, None])

    def picked(self, which: Ints) -> "Lines":
        """Some of them."""
        return Lines(self.length_m[which], self.axis[which])


def cross_matrix(v: Floats) -> Floats:
    """(m, 3) vectors → (m, 3, 3) matrices with ``matrix @ x = v × x``."""
    made = np.zeros((len(v), 3, 3))
    made[:, 0, 1], made[:, 0, 2] = -v[:, 2], v[:, 1]
    made[:, 1, 0], made[:, 1, 2] = v[:, 2], -v[:, 0]
    made[:, 2, 0], made[:, 2, 1] = -v[:, 1], v[:, 0]
    return made


def stiffness(beams: Beams, lines: Lines) -> tuple[Floats, Floats, Floats]:
    """Blocks (first, first), (first, second), (second, second) of every beam. Slope-deflection equations, textbook."""
    length, n = lines.length_m, lines.axis
    along = n[:, :, None] * n[:, None, :]
    square = np.eye(3) - along
    turn = cross_matrix(n)
    bend = beams.elastic_pa * beams.inertia_m4
    twist = beams.shear_pa * 2.0 * beams.inertia_m4 / length

    def each(x: Floats) -> Floats:
        return x[:, None, None]

    a = each(beams.elastic_pa * beams.area_m2 / length) * along + each(12.0 * bend / length**3) * square
    b = each(6.0 * bend / length**2) * turn
    c = each(4.0 * bend / length) * square + each(twist) * along
    d = each(2.0 * bend / length) * square - each(twist) * along
    return _block(a, -b, b, c), _block(-a, -b, -b, d), _block(a, b, -b, c)


def _block(uu: Floats, ut: Floats, tu: Floats, tt: Floats) -> Floats:
    return np.concatenate([np.concatenate([uu, ut], axis=2), np.concatenate([tu, tt], axis=2)], axis=1)


def end_loads(beams: Beams, lines: Lines) -> tuple[Floats, Floats]:
    """What a beam's own load does to its first and second node, (m, 6) each: half the load, and ``w L²/12``."""
    length = lines.length_m[:, None]
    half = beams.load_n_m * length / 2.0
    turn = np.cross(lines.axis, beams.load_n_m) * length**2 / 12.0
    return np.hstack([half, turn]), np.hstack([half, -turn])


def end_push(beams: Beams, lines: Lines) -> tuple[Floats, Floats]:
    """What a beam that wants to lengthen does to its first and second node, (m, 6) each: ``E A strain``."""
    push = (beams.elastic_pa * beams.area_m2 * beams.strain)[:, None] * lines.axis
    none = np.zeros_like(push)
    return np.hstack([-push, none]), np.hstack([push, none])


def sag_along(beams: Beams, lines: Lines, moved: Floats, *, loaded: bool = True) -> Floats:
    """Displacement at `STATIONS` evenly spaced places of every beam, (m, stations, 3), in the axes of the house.

    The exact line of a slender beam under an even load: cubic between its ends and ``w x²(L-x)²/24EI``.

    :param moved: (n, 6) displacement and rotation of the nodes
    """
    n, length = lines.axis, lines.length_m
    s = np.linspace(0.0, 1.0, STATIONS)
    first, second = moved[beams.ends[:, 0]], moved[beams.ends[:, 1]]

    def over(x: Floats, shape: Floats) -> Floats:
        return x[:, None, :] * shape[None, :, None]

    def square(x: Floats) -> Floats:
        return x - np.einsum("ij,ij->i", x, n)[:, None] * n

    slope_a = np.cross(first[:, 3:], n) * length[:, None]
    slope_b = np.cross(second[:, 3:], n) * length[:, None]
    line = over(square(first[:, :3]), 1 - 3 * s**2 + 2 * s**3) + over(square(second[:, :3]), 3 * s**2 - 2 * s**3)
    line += over(slope_a, s - 2 * s**2 + s**3) + over(slope_b, s**3 - s**2)
    line += over(first[:, :3] - square(first[:, :3]), 1 - s) + over(second[:, :3] - square(second[:, :3]), s)
    if loaded:
        bow = square(beams.load_n_m) * (length**4 / (24.0 * beams.elastic_pa * beams.inertia_m4))[:, None]
        line += over(bow, (s * (1 - s)) ** 2)
    return line


def deepest(down: Floats) -> Floats:
    """Largest value of each row of (m, stations), by a parabola through the largest and its neighbours."""
    k = np.clip(np.argmax(down, axis=1), 1, down.shape[1] - 2)
    rows = np.arange(len(down))
    before, at, after = down[rows, k - 1], down[rows, k], down[rows, k + 1]
    bend = before - 2 * at + after
    safe = np.where(bend < 0.0, bend, -1.0)
    shift = np.clip(np.where(bend < 0.0, 0.5 * (before - after) / safe, 0.0), -1.0, 1.0)
    peak = at - 0.25 * (before - after) * shift
    return np.maximum(np.max(down, axis=1), peak)


def end_forces(
    beams: Beams, blocks: tuple[Floats, Floats, Floats], moved: Floats, own: tuple[Floats, Floats]
) -> tuple[Floats, Floats]:
    """Force and moment that the nodes put on a beam's first and second end, (m, 6) each.

    :param own: what the beam's own load and heat do to its nodes
    """
    ii, ij, jj = blocks
    a, b = moved[beams.ends[:, 0]], moved[beams.ends[:, 1]]
    first = np.einsum("mij,mj->mi", ii, a) + np.einsum("mij,mj->mi", ij, b) - own[0]
    second = np.einsum("mji,mj->mi", ij, a) + np.einsum("mij,mj->mi", jj, b) - own[1]
    return first, second


def bending_along(beams: Beams, lines: Lines, first: Floats) -> Floats:
    """Bending moment at `STATIONS` places of every beam, (m, stations), its size alone.

    :param first: force and moment on the first end, of `end_forces`
    """
    n, x = lines.axis, np.linspace(0.0, 1.0, STATIONS)[None, :] * lines.length_m[:, None]
    across = first[:, 3:] - np.einsum("mj,mj->m", first[:, 3:], n)[:, None] * n  # the rest is twist
    shear = np.cross(n, first[:, :3])
    load = np.cross(n, beams.load_n_m)
    m = across[:, None, :] - x[:, :, None] * shear[:, None, :] - 0.5 * np.square(x)[:, :, None] * load[:, None, :]
    return np.sqrt(np.einsum("msj,msj->ms", m, m))


def tube_area_m2(outside: Metre, wall: Metre) -> float:
    """Metal in a tube's section: ``π (d - t) t``, m2."""
    return float(np.pi * (outside - wall) * wall)


def tube_inertia_m4(outside: Metre, wall: Metre) -> float:
    """Second moment of area of a tube: ``π/64 (d⁴ - (d - 2t)⁴)``, m4."""
    return float(np.pi / 64.0 * (outside**4 - (outside - 2.0 * wall) ** 4))


def bending_stress_pa(moment: NewtonMetre, pull: Newton, radius: Metre, inertia: float, area: float) -> Pascal:
    """Largest stress in a section: ``M r/I + |N|/A``. Without a factor for fittings."""
    return moment * radius / inertia + abs(pull) / area
