"""ISO 6946, surface resistances by direction of heat flow, m2K/W. 0.13 and 0.04 seen in Open University, OpenLearn
"Energy in buildings", Table 5; 0.10 and 0.17 from memory."""

import pytest

from wetside.house.uvalue import Direction, surface_resistances


@pytest.mark.parametrize(("direction", "inside"), [("up", 0.10), ("horizontal", 0.13), ("down", 0.17)])
def test_surface_resistances(direction: Direction, inside: float) -> None:
    assert surface_resistances(direction) == (inside, 0.04)
