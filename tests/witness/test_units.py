"""Every unit factor of the gates against an independent units library."""

import math

import pint
import pytest

from wetside.basis.quantity import _ACCEPTED, UNITS, Kind, System, convert, parse

REGISTRY = pint.UnitRegistry()
SI = {
    Kind.LENGTH: "m", Kind.SIZE: "m", Kind.AREA: "m**2", Kind.SURFACE: "m**2", Kind.ROOM_VOLUME: "m**3",
    Kind.WATER_VOLUME: "m**3", Kind.MASS: "kg", Kind.POWER: "W", Kind.LINE_POWER: "W/m", Kind.CONDUCTANCE: "W/K",
    Kind.U_VALUE: "W/m**2/K", Kind.CONDUCTIVITY: "W/m/K", Kind.RESISTANCE: "m**2*K/W", Kind.LINE_LOSS: "W/m/K",
    Kind.PRESSURE: "Pa", Kind.GRADIENT: "Pa/m", Kind.SPEED: "m/s", Kind.MASS_FLOW: "kg/s", Kind.FLOW: "m**3/s",
    Kind.AIR_CHANGE: "1/s", Kind.ANGLE: "deg", Kind.DIFFERENCE: "delta_degC",
    Kind.FORCE: "N", Kind.MOMENT: "N*m", Kind.STRESS: "Pa",
}  # fmt: skip
SPOKEN = {
    "btu/h/ft/f": "Btu/hour/ft/delta_degF", "btu/h/ft2/f": "Btu/hour/ft**2/delta_degF", "btu/h/f": "Btu/hour/delta_degF",
    "btu in/h/ft2/f": "Btu*inch/hour/ft**2/delta_degF", "h ft2 f/btu": "hour*ft**2*delta_degF/Btu", "r": "hour*ft**2*delta_degF/Btu",
    "w/m2k": "W/m**2/K", "w/m²k": "W/m**2/K", "w/mk": "W/m/K", "m2k/w": "m**2*K/W", "m²k/w": "m**2*K/W", "w/k": "W/K",
    "w/m": "W/m", "btu/h/ft": "Btu/hour/ft", "btu/h·ft": "Btu/hour/ft", "btu/h": "Btu/hour", "btuh": "Btu/hour",
    "mbh": "kBtu/hour", "kbtu/h": "kBtu/hour", "gpm": "gallon/minute", "gal": "gallon", "l": "liter", "litre": "liter",
    "litres": "liter", "m3": "m**3", "m³": "m**3", "ft3": "ft**3", "ft³": "ft**3", "m2": "m**2", "m²": "m**2",
    "ft2": "ft**2", "ft²": "ft**2", "edr": "ft**2", "ft2 edr": "ft**2", "mm2": "mm**2", "cm2": "cm**2", '"': "inch",
    "in": "inch", "'": "ft", "m3/s": "m**3/s", "m3/h": "m**3/hour", "m³/h": "m**3/hour", "l/s": "l/s", "l/min": "l/min",
    "l/h": "l/hour", "kg/h": "kg/hour", "lb/h": "lb/hour", "kg/s": "kg/s", "deg": "deg", "°": "deg", "psi": "psi",
    "kw": "kW", "w": "W", "pa": "Pa", "kpa": "kPa", "mbar": "mbar", "bar": "bar", "pa/m": "Pa/m",
    "k": "delta_degC", "degc": "delta_degC", "°c": "delta_degC", "c": "delta_degC", "degf": "delta_degF", "°f": "delta_degF", "f": "delta_degF",
    "n": "N", "kn": "kN", "lbf": "lbf", "n·m": "N*m", "n m": "N*m", "nm": "N*m", "ft·lbf": "ft*lbf", "ft lbf": "ft*lbf", "in lbf": "inch*lbf",
    "mpa": "MPa",
}  # fmt: skip
# Not plain multiples of an SI unit; each has its own check below.
OWN = {Kind.TEMPERATURE, Kind.HEAD, Kind.KV, Kind.SHARE, Kind.NUMBER, Kind.AIR_CHANGE}
CASES = [
    (kind, text)
    for kind, table in _ACCEPTED.items()
    if kind not in OWN
    for text in table
    if text and not text.startswith("ft/100")
]


@pytest.mark.parametrize(("kind", "text"), CASES, ids=[f"{k.value}-{t}" for k, t in CASES])
def test_factor(kind: Kind, text: str) -> None:
    expected = REGISTRY.Quantity(1.0, SPOKEN.get(text, text)).to(SI[kind]).magnitude
    assert parse(f"1 {text}", kind, System.METRIC) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("level", [-40.0, 0.0, 32.0, 180.0])
def test_fahrenheit_levels(level: float) -> None:
    expected = REGISTRY.Quantity(level, "degF").to("degC").magnitude
    assert parse(f"{level} degF", Kind.TEMPERATURE, System.US) == pytest.approx(expected, abs=1e-9)
    assert convert(expected, Kind.TEMPERATURE, System.US) == pytest.approx(level, abs=1e-9)


def test_valve_coefficient() -> None:
    # Kv = 0.8650 Cv; Modelica.Fluid user guide and rdrr.io hyd4gpv both print it.
    assert parse("1 Cv", Kind.KV, System.US) == pytest.approx(0.8650, abs=5e-5)
    gpm = REGISTRY.Quantity(1, "gallon/minute").to("m**3/hour").magnitude
    psi = REGISTRY.Quantity(1, "psi").to("bar").magnitude
    assert parse("1 Cv", Kind.KV, System.US) == pytest.approx(gpm / math.sqrt(psi), rel=1e-6)


def test_head_is_cold_water() -> None:
    foot = REGISTRY.Quantity(1, "foot_H2O").to("Pa").magnitude
    assert parse("1 ft", Kind.HEAD, System.US) == pytest.approx(foot, rel=5e-4)
    assert parse("4 ft/100 ft", Kind.GRADIENT, System.US) == pytest.approx(foot * 0.04 / 0.3048, rel=5e-4)


@pytest.mark.parametrize("system", list(System))
def test_every_kind_has_a_unit_in_both_systems(system: System) -> None:
    assert set(UNITS[system]) == set(Kind)
