"""Y. A. Cengel, Heat and Mass Transfer, wood-frame-wall example (layer list seen in a public assignment; answers
from memory): heat straight through studs and insulation. Resistances in m2K/W."""

import pytest

from wetside.house.uvalue import upper_limit

STUD = [((1.0, 0.14),), ((1.0, 0.23),), ((0.75, 2.45), (0.25, 0.63)), ((1.0, 0.079),)]
INSIDE, OUTSIDE = 0.12, 0.03


@pytest.mark.parametrize(("strip", "printed"), [(0, 3.05), (-1, 1.23)])
def test_resistance_of_each_path(strip: int, printed: float) -> None:
    path = [((1.0, strips[strip][1]),) for strips in STUD]
    assert upper_limit(INSIDE, path, OUTSIDE) == pytest.approx(printed, abs=0.005)


def test_u_value() -> None:
    assert 1 / upper_limit(INSIDE, STUD, OUTSIDE) == pytest.approx(0.449, abs=0.0005)


def test_resistance_printed_from_the_rounded_u_value() -> None:
    assert 1 / round(1 / upper_limit(INSIDE, STUD, OUTSIDE), 3) == pytest.approx(2.23, abs=0.005)
