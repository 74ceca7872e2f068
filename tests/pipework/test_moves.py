"""Moves as people say them."""

import math
import re

import pytest

from wetside.basis.quantity import System
from wetside.pipework.moves import parse_move
from wetside.pipework.spec import ChangeTube, Fit, Go, Tee

M, US = System.METRIC, System.US


def go(text: str, system: System = M) -> Go:
    move = parse_move(text, system)
    assert isinstance(move, Go)
    assert move.text == text
    return move


@pytest.mark.parametrize(
    ("text", "direction", "distance"),
    [
        ("down 350 mm", (0, 0, -1), 0.35),
        ("west 3 m", (-1, 0, 0), 3.0),
        ("North 12.5 cm", (0, 1, 0), 0.125),
        ("up 1 ft 6 in", (0, 0, 1), 0.4572),
        ("  east   3/4 in ", (1, 0, 0), 0.01905),
        ("northeast 1 m", (math.sqrt(0.5), math.sqrt(0.5), 0), 1.0),
        ("south-west 1 m", (-math.sqrt(0.5), -math.sqrt(0.5), 0), 1.0),
    ],
)
def test_a_distance_in_a_direction(text: str, direction: tuple[float, ...], distance: float) -> None:
    for system in (M, US):
        move = go(text, system)
        assert move.direction == pytest.approx(direction)
        assert move.distance_m == pytest.approx(distance)
        assert move.level_m is None


@pytest.mark.parametrize(
    ("text", "level"),
    [("up to 2.40 m", 2.4), ("west to 0 m", 0.0), ("down to -0.4 m", -0.4), ("north TO 6 ft", 1.8288)],
)
def test_to_a_coordinate(text: str, level: float) -> None:
    move = go(text)
    assert move.level_m == pytest.approx(level)
    assert move.distance_m is None


@pytest.mark.parametrize("text", ["east ...", "east …", "east   …"])
def test_an_open_distance(text: str) -> None:
    move = go(text)
    assert (move.distance_m, move.level_m) == (None, None)


def test_the_other_moves() -> None:
    assert parse_move("fit isolating  valve", M) == Fit("isolating valve", "fit isolating  valve")
    assert parse_move("tee A", M) == Tee("A", "tee A")
    assert parse_move("Tube copper L 3/4", US) == ChangeTube("copper L 3/4", "Tube copper L 3/4")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is empty"),
        ("dwon 350 mm", 'did you mean "down"'),
        ("down350 mm", 'did you mean "down"'),
        ("fitt gate valve", 'did you mean "fit"'),
        ("down 350", "has no unit"),
        ("down", 'write "down 2.4 m"'),
        ("down 350 kg", "'kg' does not fit a length"),
        ("down -350 mm", 'write "up 350 mm"'),
        ("northeast -1 m", 'write "southwest 1 m"'),
        ("down 0 mm", "leave it out"),
        ("northeast to 3 m", "goes along no single axis"),
        ("up to", "is not a length"),
        ("fit", "does not say what to fit"),
        ("tee", "does not say the tee's name"),
        ("tube ", "does not say which tube goes on"),
    ],
)
def test_what_is_no_move_is_told_with_its_remedy(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=re.escape(says)):
        parse_move(text, M)


@pytest.mark.parametrize("text", ["down 1001 m", "up to -1e9 ft", "west 2000000 mm"])
def test_a_slip_of_the_unit_is_told(text: str) -> None:
    with pytest.raises(ValueError, match="further than any house reaches"):
        parse_move(text, System.METRIC)
