"""Outlines that are no rooms, and the smallest cases of the geometry."""

import pytest

from wetside.house.polygon import area, edges, flaws, inside, meeting, overlap_area, signed_area

SQUARE = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]


@pytest.mark.parametrize(
    ("outline", "kind", "pair"),
    [
        ([(0, 0), (1, 1)], "too few corners", (0, 0)),
        ([(0, 0), (4, 0), (4, 0.001), (4, 3)], "same corner twice", (1, 2)),
        ([(0, 0), (2, 0), (5, 0)], "no area", (0, 0)),
        ([(0, 0), (4, 3), (4, 0), (0, 3)], "edges cross", (0, 2)),
        ([(0, 0), (4, 0), (4, 3), (4, 1), (0, 3)], "edges cross", (1, 2)),
        ([(0, 0), (4, 0), (4, 4), (2, 0.001), (0, 4)], "edges cross", (0, 2)),
    ],
    ids=["two corners", "same corner", "flat", "bow tie", "folds back", "pinched"],
)
def test_flaw(outline: list[tuple[float, float]], kind: str, pair: tuple[int, int]) -> None:
    first = flaws(outline)[0]
    assert (first.kind, (first.first, first.second)) == (kind, pair)


def test_sound_outlines_have_no_flaw() -> None:
    assert flaws(SQUARE) == ()
    assert flaws(SQUARE[::-1]) == ()
    assert flaws([(0, 0), (1, 0), (2, 0), (2, 2), (0, 2)]) == ()  # a corner in the middle of a wall


def test_turning_sense() -> None:
    assert signed_area(SQUARE) == 4
    assert signed_area(SQUARE[::-1]) == -4
    assert area(SQUARE[::-1]) == 4


@pytest.mark.parametrize("ring", [SQUARE, SQUARE[::-1]], ids=["anticlockwise", "clockwise"])
def test_edges_look_outward(ring: list[tuple[float, float]]) -> None:
    for e in edges(ring):
        x, y = e.at(1.0)
        assert not inside(ring, (x + e.outward[0] * 0.1, y + e.outward[1] * 0.1))


def test_rooms_that_only_touch_have_nothing_in_common() -> None:
    assert overlap_area(SQUARE, [(2, 0), (4, 0), (4, 2), (2, 2)]) == 0


@pytest.mark.parametrize(("gap", "joined"), [(0.0, True), (0.0019, True), (-0.0019, True), (0.0021, False)])
def test_two_millimetres_are_the_same_line(gap: float, joined: bool) -> None:
    east = edges([(2 + gap, 0.5), (4, 0.5), (4, 2), (2 + gap, 2)])
    met = [m for e in edges(SQUARE) for f in east if (m := meeting(e, f, -0.002, 0.002))]
    assert bool(met) == joined
    if met:
        assert (met[0].start_m, met[0].end_m) == pytest.approx((0.5, 2.0))


def test_walls_that_look_the_same_way_do_not_meet() -> None:
    other = edges([(0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)])
    assert meeting(edges(SQUARE)[1], other[1], -0.002, 0.002) is None
