"""Scottish Government, Annex/Part 6.B, Worked examples of U-value calculations using the combined method, 6.B.2:
brick and timber-frame wall. Resistances as printed; numbers seen in a public digest of the document."""

import pytest

from wetside.house.uvalue import lower_limit, total_resistance, u_value, upper_limit

# m2K/W: brick, cavity, sheathing, wool 85 % / timber 15 %, plasterboard
LAYERS = [
    ((1.0, 0.132),), ((1.0, 0.180),), ((1.0, 0.069),), ((0.85, 3.500), (0.15, 1.167)), ((1.0, 0.060),),
]  # fmt: skip
RSI, RSE = 0.130, 0.040


def test_path_through_the_wool() -> None:
    through = [((1.0, strips[0][1]),) for strips in LAYERS]
    assert upper_limit(RSI, through, RSE) == pytest.approx(4.111, abs=0.0005)


def test_path_through_the_timber() -> None:
    through = [((1.0, strips[-1][1]),) for strips in LAYERS]
    assert upper_limit(RSI, through, RSE) == pytest.approx(1.778, abs=0.0005)


def test_upper_limit() -> None:
    assert upper_limit(RSI, LAYERS, RSE) == pytest.approx(3.435, abs=0.0005)


def test_lower_limit() -> None:
    assert lower_limit(RSI, LAYERS, RSE) == pytest.approx(3.304, abs=0.0005)


def test_u_value_as_printed() -> None:
    assert round(u_value(RSI, LAYERS, RSE), 2) == 0.30
    assert total_resistance(RSI, LAYERS, RSE) == pytest.approx((3.435 + 3.304) / 2, abs=0.0005)
