"""Copper Tube Handbook (CDA A4015), Table 14.10: solder for 100 joints at a clearance of 0.010 in, lb; length of 1/8 in
wire for one joint, in; flux two ounces to the pound. The footnote's 100 % for waste is inside the clearance, which is
twice the average one. Table 14.11: brazing filler for 100 joints, lb. Tolerance 1 %."""

import pytest

from wetside.basis.quantity import INCH, POUND
from wetside.takeoff.consumables import WIRE_M2, brazing_kg, rate, solder_kg, solder_m3

# nominal: outside, cup in; mass of 100 joints, lb
PRINTED = {
    "1/4": (0.375, 0.310, 0.097), "3/8": (0.500, 0.380, 0.159), "1/2": (0.625, 0.500, 0.261),
    "5/8": (0.750, 0.620, 0.389), "3/4": (0.875, 0.750, 0.548), "1": (1.125, 0.910, 0.856),
    "1 1/4": (1.375, 0.970, 1.115), "1 1/2": (1.625, 1.090, 1.480), "2": (2.125, 1.340, 2.380),
    "2 1/2": (2.625, 1.470, 3.225), "3": (3.125, 1.660, 4.335), "4": (4.125, 2.160, 7.446),
}  # fmt: skip


@pytest.mark.parametrize("nominal", PRINTED)
def test_mass_of_solder(nominal: str) -> None:
    outside, cup, mass = PRINTED[nominal]
    assert 100 * solder_kg(outside * INCH, cup * INCH) / POUND == pytest.approx(mass, rel=0.01)


@pytest.mark.parametrize(
    ("outside", "cup", "wire"), [(0.625, 0.5, 0.800), (0.875, 0.75, 1.680), (1.125, 0.91, 2.621), (2.125, 1.34, 7.291)]
)
def test_wire(outside: float, cup: float, wire: float) -> None:
    section = WIRE_M2 / INCH**2
    assert section == pytest.approx(0.01227, abs=5e-6)
    assert solder_m3(outside * INCH, cup * INCH) / WIRE_M2 / INCH == pytest.approx(wire, abs=2e-3)


def test_the_allowance_is_not_doubled() -> None:
    """Half the volume is what the average clearance of 0.005 in holds."""
    average = 3.14159265 * 0.875 * 0.75 * 0.005 * INCH**3
    assert solder_m3(0.875 * INCH, 0.75 * INCH) == pytest.approx(2 * average, rel=1e-6)


def test_a_small_job() -> None:
    """Own example: 20 elbows and 10 tees in 1/2, 6 and 4 in 3/4: 70 and 24 joints, 0.314 lb (143 g) and 0.63 oz of
    flux (18 g)."""
    half, three_quarters = solder_kg(0.625 * INCH, 0.5 * INCH), solder_kg(0.875 * INCH, 0.75 * INCH)
    solder = (20 * 2 + 10 * 3) * half + (6 * 2 + 4 * 3) * three_quarters
    assert solder == pytest.approx(0.143, rel=0.01)
    assert solder * rate("flux") == pytest.approx(0.018, rel=0.015)


@pytest.mark.parametrize(
    ("outside", "mass"),
    [
        (0.375, 0.04),
        (0.5, 0.06),
        (0.625, 0.10),
        (0.75, 0.15),
        (0.875, 0.21),
        (1.125, 0.32),
        (1.375, 0.42),
        (1.625, 0.56),
        (2.125, 0.9),
    ],
)
def test_brazing_filler(outside: float, mass: float) -> None:
    assert 100 * brazing_kg(outside * INCH) / POUND == pytest.approx(mass)
