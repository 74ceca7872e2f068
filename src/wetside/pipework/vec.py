"""Small vector arithmetic on (east, north, up), and the words that people use for directions."""

import math

from wetside.basis.quantity import System, tape
from wetside.basis.si import Degree, Metre
from wetside.pipework.spec import Vec

SAME = 1e-6
"""Positions (m) and unit directions closer than this are the same."""

_H = math.sqrt(0.5)
DIRECTIONS: dict[str, Vec] = {
    "east": (1.0, 0.0, 0.0),
    "west": (-1.0, 0.0, 0.0),
    "north": (0.0, 1.0, 0.0),
    "south": (0.0, -1.0, 0.0),
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
    "northeast": (_H, _H, 0.0),
    "northwest": (-_H, _H, 0.0),
    "southeast": (_H, -_H, 0.0),
    "southwest": (-_H, -_H, 0.0),
}


def add(a: Vec, b: Vec) -> Vec:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def sub(a: Vec, b: Vec) -> Vec:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def times(a: Vec, t: float) -> Vec:
    return (a[0] * t, a[1] * t, a[2] * t)


def dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def size(a: Vec) -> float:
    return math.sqrt(dot(a, a))


def unit(a: Vec) -> Vec:
    """:raises ValueError: a vector without length has no direction"""
    s = size(a)
    if s < SAME:
        raise ValueError("a direction needs a length")
    return times(a, 1.0 / s)


def same(a: Vec, b: Vec) -> bool:
    return size(sub(a, b)) < SAME


def opposite(a: Vec, b: Vec) -> bool:
    return size(add(a, b)) < SAME


def square(a: Vec, b: Vec) -> bool:
    """Unit directions at a right angle."""
    return abs(dot(a, b)) < SAME


def angle_between(a: Vec, b: Vec) -> Degree:
    """Between two unit directions, 0 to 180, degrees."""
    c = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
    return math.degrees(math.atan2(size(c), dot(a, b)))


def towards(d: Vec) -> str:
    """The word for a unit direction; a slanting one is spelt out."""
    for word, known in DIRECTIONS.items():
        if same(d, known):
            return word
    return f"slanting ({d[0]:.2f} east, {d[1]:.2f} north, {d[2]:.2f} up)"


def offset_words(gap: Vec, least: Metre = 0.0005) -> str:
    """A displacement as people say it: ``"35 mm east and 12 mm down"``; parts below `least` are left out."""
    words = (("east", "west"), ("north", "south"), ("up", "down"))
    parts = [
        f"{tape(abs(g), System.METRIC)} {pair[0] if g > 0 else pair[1]}"
        for g, pair in zip(gap, words, strict=True)
        if abs(g) >= least
    ]
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts) or "nothing"
