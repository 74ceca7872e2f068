"""Witness: CoolProp's water at 3 bar absolute, and the ASHRAE glycol that the shipped table was written from.

Not independent of the table; it proves the interpolation between the table's points, and that the table is the right
fluid.
"""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from wetside.fluid.water import liquid, vapour_pressure

# off the grid's points on purpose
WATER_C = np.linspace(0.13, 119.87, 521)
GLYCOL_C = np.linspace(0.13, 99.87, 121)


def props(key: str, t_c: np.ndarray, fluid: str) -> np.ndarray:
    return np.array([PropsSI(key, "T", t + 273.15, "P", 3e5, fluid) for t in t_c])


@pytest.mark.parametrize(
    ("key", "read", "within"),
    [("D", "density", 1e-4), ("C", "heat_capacity", 1e-4), ("V", "viscosity", 3e-4), ("L", "conductivity", 1e-4)],
)
def test_water(key: str, read: str, within: float) -> None:
    np.testing.assert_allclose(getattr(liquid(), read)(WATER_C), props(key, WATER_C, "Water"), rtol=within)


def test_enthalpy_of_water() -> None:
    above_zero = props("H", WATER_C, "Water") - props("H", np.array([1e-6]), "Water")
    np.testing.assert_allclose(liquid().enthalpy(WATER_C), above_zero, rtol=1e-4)


def test_vapour_pressure() -> None:
    for t in WATER_C[::10]:
        assert vapour_pressure(t) == pytest.approx(PropsSI("P", "T", t + 273.15, "Q", 0, "Water"), rel=3e-4)


@pytest.mark.parametrize("share", [0.1, 0.2, 0.3, 0.4, 0.5])
@pytest.mark.parametrize(
    ("key", "read", "within"),
    [("D", "density", 1e-4), ("C", "heat_capacity", 1e-4), ("V", "viscosity", 3e-4), ("L", "conductivity", 1e-4)],
)
def test_glycol(share: float, key: str, read: str, within: float) -> None:
    expected = props(key, GLYCOL_C, f"INCOMP::APG[{share}]")
    np.testing.assert_allclose(getattr(liquid(share), read)(GLYCOL_C), expected, rtol=within)


@pytest.mark.parametrize(("read", "key", "within"), [("density", "D", 3e-4), ("heat_capacity", "C", 2e-3)])
def test_glycol_between_the_shares(read: str, key: str, within: float) -> None:
    expected = props(key, GLYCOL_C, "INCOMP::APG[0.35]")
    np.testing.assert_allclose(getattr(liquid(0.35), read)(GLYCOL_C), expected, rtol=within)


@pytest.mark.parametrize("bar", [1.5, 5.0])
def test_pressure_hardly_matters(bar: float) -> None:
    # the promise of the module: 3 bar stands for all of a heating system's pressures
    warm = np.linspace(5.0, 95.0, 19)
    for key, read in (("D", "density"), ("C", "heat_capacity"), ("V", "viscosity")):
        other = np.array([PropsSI(key, "T", t + 273.15, "P", bar * 1e5, "Water") for t in warm])
        np.testing.assert_allclose(getattr(liquid(), read)(warm), other, rtol=3e-4)
