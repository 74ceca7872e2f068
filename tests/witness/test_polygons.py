"""Our outlines against shapely: area, validity, overlap, point inside, shared edges."""

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import LineString
from shapely import Point as Dot
from shapely import Polygon as Shape
from shapely.ops import unary_union

from wetside.house.polygon import area, edges, flaws, inside, meeting, middle, overlap_area, perimeter, signed_area

Ring = list[tuple[float, float]]

RECTANGLE: Ring = [(0, 0), (4, 0), (4, 3), (0, 3)]
L_SHAPE: Ring = [(0, 0), (5, 0), (5, 2), (2, 2), (2, 4), (0, 4)]
U_SHAPE: Ring = [(0, 0), (6, 0), (6, 4), (4, 4), (4, 1.5), (2, 1.5), (2, 4), (0, 4)]
Z_SHAPE: Ring = [(0, 0), (3, 0), (3, 2), (5, 2), (5, 4), (1, 4), (1, 2.5), (0, 2.5)]


def moved(ring: Ring, east: float, north: float, degrees: float) -> Ring:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(east + c * x - s * y, north + s * x + c * y) for x, y in ring]


@st.composite
def stars(draw: st.DrawFn) -> Ring:
    """A ring seen whole from one point inside: simple, seldom convex."""
    n = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(0.5, 5), min_size=n, max_size=n))
    east, north = draw(st.floats(-4, 4)), draw(st.floats(-4, 4))
    turn = draw(st.floats(0, 1))
    angles = [2 * math.pi * (i + turn) / n for i in range(n)]
    return [(east + r * math.cos(a), north + r * math.sin(a)) for a, r in zip(angles, radii, strict=True)]


@st.composite
def plans(draw: st.DrawFn) -> Ring:
    """Room shapes, turned and moved; often square to the axes, as houses are."""
    shape = draw(st.sampled_from([RECTANGLE, L_SHAPE, U_SHAPE, Z_SHAPE]))
    degrees = draw(st.one_of(st.sampled_from([0.0, 90.0, 180.0, 270.0]), st.floats(0, 360)))
    ring = moved(shape, draw(st.integers(-5, 5)), draw(st.floats(-5, 5)), degrees)
    return ring[::-1] if draw(st.booleans()) else ring


@given(st.one_of(stars(), plans()))
def test_area_perimeter_middle(ring: Ring) -> None:
    shape = Shape(ring)
    assert area(ring) == pytest.approx(shape.area, rel=1e-9)
    assert (signed_area(ring) > 0) == shape.exterior.is_ccw
    assert perimeter(ring) == pytest.approx(shape.length, rel=1e-9)
    assert middle(ring) == pytest.approx((shape.centroid.x, shape.centroid.y), abs=1e-6)


@given(st.one_of(stars(), plans()), st.one_of(stars(), plans()))
def test_overlap(a: Ring, b: Ring) -> None:
    common = Shape(a).intersection(Shape(b)).area
    assert overlap_area(a, b) == pytest.approx(common, rel=1e-8, abs=1e-9)
    assert overlap_area(b, a) == pytest.approx(common, rel=1e-8, abs=1e-9)


@given(st.one_of(stars(), plans()))
def test_a_ring_overlaps_itself_whole(ring: Ring) -> None:
    assert overlap_area(ring, ring[::-1]) == pytest.approx(Shape(ring).area, rel=1e-9)


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=3, max_size=7))
def test_validity_on_a_grid(ring: list[tuple[int, int]]) -> None:
    assume(all(p != q for p, q in pairwise([*ring, ring[0]])))
    points: Ring = [(float(x), float(y)) for x, y in ring]
    sound = Shape(points).is_valid and Shape(points).area > 0
    assert (flaws(points) == ()) == sound


@given(st.one_of(stars(), plans()), st.floats(-8, 8), st.floats(-8, 8))
def test_point_inside(ring: Ring, x: float, y: float) -> None:
    shape = Shape(ring)
    assume(abs(shape.exterior.distance(Dot(x, y)) - 0.002) > 1e-6)
    assert inside(ring, (x, y)) == (shape.distance(Dot(x, y)) < 0.002)


@given(plans(), st.floats(0, 5), st.floats(0.2, 6), st.integers(0, 7), st.booleans())
def test_shared_stretch(ring: Ring, along: float, width: float, number: int, backwards: bool) -> None:
    """A box put against one edge from outside shares with it what shapely finds on the common line."""
    edge = edges(ring)[number % len(ring)]
    (ux, uy), (nx, ny) = edge.along, edge.outward
    p, q = edge.at(along), edge.at(along + width)
    box: Ring = [p, (p[0] + nx, p[1] + ny), (q[0] + nx, q[1] + ny), q]
    assert ux * nx + uy * ny == pytest.approx(0, abs=1e-12)
    box = box[::-1] if backwards else box
    expected = max(0.0, min(edge.length_m, along + width) - along)
    found = [m for m in (meeting(edge, e, -0.002, 0.002) for e in edges(box)) if m]
    if expected > 0.003:
        assert sum(m.end_m - m.start_m for m in found) == pytest.approx(expected, abs=1e-6)
        line, side = LineString([edge.start, edge.end]), LineString([p, q])
        assert side.intersection(line.buffer(1e-6)).length == pytest.approx(expected, abs=1e-4)
    elif expected < 0.001:
        assert found == []


def test_rooms_of_a_storey_share_as_much_as_their_outlines_lose_in_one() -> None:
    """Perimeters of the parts, less twice what they share, make the perimeter of the whole."""
    rings = [L_SHAPE, [(2, 2), (5, 2), (5, 4), (2, 4)], [(5, 0), (7, 0), (7, 4), (5, 4)]]
    sides = [edges([(float(x), float(y)) for x, y in ring]) for ring in rings]
    shared = sum(
        m.end_m - m.start_m
        for i, a in enumerate(sides) for j, b in enumerate(sides) if i != j
        for e in a for f in b if (m := meeting(e, f, -0.002, 0.002))
    )  # fmt: skip
    whole = unary_union([Shape(r) for r in rings])
    assert sum(perimeter(r) for r in rings) - shared == pytest.approx(whole.length, abs=1e-9)
