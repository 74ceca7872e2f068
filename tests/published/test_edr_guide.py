"""A boiler maker's service and technical guide, tables of radiator surface (two stored copies with equal numbers).

Square feet of EDR per section by type and height; two worked lines printed on the sheet.
"""

import pytest

from wetside.basis.quantity import BTU, FOOT, INCH
from wetside.basis.tables import load, number
from wetside.emitter.ratings import edr_rating, section_surface

FT2 = FOOT**2
BTU_H = BTU / 3600


def test_seven_sections_five_tube_38_inch_are_35_square_feet() -> None:
    assert edr_rating("5-tube", 38 * INCH, 7).surface_m2 / FT2 == pytest.approx(35.0, abs=1e-9)


def test_seven_sections_two_column_are_28_square_feet() -> None:
    # drawn on the sheet as 36 in high; 7 x 4 is the 38 in row, so 36 is a slip of the drawing
    assert edr_rating("2-column", 38 * INCH, 7).surface_m2 / FT2 == pytest.approx(28.0, abs=1e-9)
    with pytest.raises(ValueError, match="known heights"):
        edr_rating("2-column", 36 * INCH, 7)


@pytest.mark.parametrize(
    ("style", "height_in", "ft2"),
    [
        ("1-column", 23, 1 + 2 / 3), ("2-column", 32, 3 + 1 / 3), ("3-column", 18, 2.25), ("4-column", 32, 6.5),
        ("4-column", 45, 10), ("window column", 16, 3.75), ("3-tube", 26, 2 + 1 / 3), ("4-tube", 38, 4.25),
        ("5-tube", 32, 4 + 1 / 3), ("6-tube", 23, 3.5), ("7-tube", 20, 3 + 2 / 3), ("wall 9-B", 0, 9),
    ],
)  # fmt: skip
def test_cells(style: str, height_in: float, ft2: float) -> None:
    # thirds are stored to six digits
    assert section_surface(style, height_in * INCH) / FT2 == pytest.approx(ft2, abs=5e-6)


@pytest.mark.parametrize(
    ("table", "cells", "total"),
    [
        # sums of the printed fractions, added up from the sheet: catches a digit mistyped later
        ("edr_column", 27, (1.5 + 5 / 3 + 2 + 2.5 + 3) + (2 + 7 / 3 + 8 / 3 + 10 / 3 + 4 + 5)
         + (2.25 + 3 + 3.75 + 4.5 + 5 + 6) + (3 + 4 + 5 + 6.5 + 8 + 10) + (3 + 3.75 + 4.25 + 5)),
        ("edr_tube", 24, (1.75 + 2 + 7 / 3 + 3 + 3.5) + (2.25 + 2.5 + 2.75 + 3.5 + 4.25)
         + (8 / 3 + 3 + 3.5 + 13 / 3 + 5) + (3 + 3.5 + 4 + 5 + 6) + (2.5 + 3 + 11 / 3 + 4.75)),
        ("edr_wall", 5, 5 + 7 + 7 + 9 + 9),
    ],
)  # fmt: skip
def test_sum_of_each_table(table: str, cells: int, total: float) -> None:
    rows = load(table).rows
    assert len(rows) == cells
    assert sum(number(row, "section") for row in rows) / FT2 == pytest.approx(total, abs=5e-5)


def test_ten_sections_five_tube_26_inch_at_steam_rating() -> None:
    # 35 ft2 at the trade definition of 240 Btu/h per ft2
    assert edr_rating("5-tube", 26 * INCH, 10).rated_w / BTU_H == pytest.approx(35.0 * 240.0, abs=1e-6)
