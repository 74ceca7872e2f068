"""Heating Ventilating Air Conditioning Guide 1941, Tables 6 and 7 (toxicdocs.org/d/YjmQ8jY65xkyvwNjJy62bJ4bD): heat of
bare pipe in still air of 70 °F, Btu/h ft °F.

Measured. The formula (Churchill and Chu, emissivity .9) lies 5 to 9 % above for steel: 10 %; for bright copper
(emissivity .05) 10 to 22 % above: 22 %. The cell 2 in at 80 °F of the copper table is a misprint and left out.
"""

import pytest

from wetside.basis.quantity import BTU, FOOT, INCH
from wetside.network.losses import bare_w_mk

UNIT = BTU / 3600 / FOOT * 1.8
STEEL_OD = (0.840, 1.050, 1.315, 1.660, 1.900, 2.375)
STEEL = {
    50: (0.455, 0.555, 0.684, 0.847, 0.958, 1.180),
    80: (0.495, 0.605, 0.743, 0.919, 1.041, 1.281),
    110: (0.546, 0.666, 0.819, 1.014, 1.148, 1.412),
    140: (0.584, 0.715, 0.877, 1.086, 1.230, 1.512),
}
COPPER_OD = (0.625, 0.875, 1.125, 1.375, 1.625, 2.125)
COPPER = {50: (0.180, 0.236, 0.290, 0.340, 0.390, 0.490), 80: (0.210, 0.275, 0.338, 0.400, 0.463, None)}
AIR_C = (70 - 32) / 1.8


@pytest.mark.parametrize("drop_f", STEEL)
def test_bare_steel(drop_f: int) -> None:
    for od, printed in zip(STEEL_OD, STEEL[drop_f], strict=True):
        got = bare_w_mk(od * INCH, AIR_C + drop_f / 1.8, AIR_C, 0.9) / UNIT
        assert got == pytest.approx(printed, rel=0.10)


@pytest.mark.parametrize("drop_f", COPPER)
def test_bright_copper(drop_f: int) -> None:
    for od, printed in zip(COPPER_OD, COPPER[drop_f], strict=True):
        if printed is not None:
            got = bare_w_mk(od * INCH, AIR_C + drop_f / 1.8, AIR_C, 0.05) / UNIT
            assert printed <= got <= 1.22 * printed
