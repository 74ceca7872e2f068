"""The gates for units: text or bare number in, SI float out, and back to text for people.

Inside the gates everything is SI (see `wetside.basis.si`). A `Kind` says what a quantity is (a length, a flow); the
`System` of the job says which unit a bare number has and which unit is printed.

Conversion factors are the exact international definitions (NIST SP 811, appendix B); `tests/witness/test_units.py`
compares every one with an independent units library.
"""

import math
import re
from enum import StrEnum
from fractions import Fraction

from wetside.basis.record import record

INCH = 0.0254
FOOT = 0.3048
GALLON = 231 * INCH**3
POUND = 0.45359237
PSI = POUND * 9.80665 / INCH**2
BTU = 1055.05585262
G = 9.80665
WATER_4C = 999.972
"""Density behind "metres (feet) of head" when a pressure is spoken of as head, kg/m3 (conventional, 4 °C)."""
KV_PER_CV = (GALLON / 60 * 3600) / math.sqrt(PSI / 1e5)
"""m3/h at 1 bar for 1 US gpm at 1 psi: 0.8650."""


class System(StrEnum):
    METRIC = "metric"
    US = "us"


class Kind(StrEnum):
    """What a quantity is. The value is the word that messages use."""

    LENGTH = "length"
    SIZE = "size"
    AREA = "area"
    ROOM_VOLUME = "room volume"
    WATER_VOLUME = "water volume"
    MASS = "mass"
    TEMPERATURE = "temperature"
    DIFFERENCE = "temperature difference"
    POWER = "power"
    LINE_POWER = "power per length"
    CONDUCTANCE = "heat loss coefficient"
    U_VALUE = "U-value"
    CONDUCTIVITY = "conductivity"
    RESISTANCE = "thermal resistance"
    LINE_LOSS = "linear thermal transmittance"
    PRESSURE = "pressure"
    HEAD = "head"
    GRADIENT = "pressure gradient"
    SPEED = "speed"
    MASS_FLOW = "water flow"
    FLOW = "volume flow"
    KV = "valve coefficient"
    AIR_CHANGE = "air change rate"
    SHARE = "share"
    NUMBER = "number"
    ANGLE = "angle"
    SURFACE = "radiator surface"
    FORCE = "force"
    MOMENT = "moment"
    STRESS = "stress"


@record(kw_only=False)
class Unit:
    """`SI = (shown + offset) * factor`; `places` is the number of decimals printed by default."""

    text: str
    factor: float
    places: int = 2
    offset: float = 0.0


_U = Unit
_METRIC: dict[Kind, Unit] = {
    Kind.LENGTH: _U("m", 1.0, 2),
    Kind.SIZE: _U("mm", 1e-3, 0),
    Kind.AREA: _U("m²", 1.0, 1),
    Kind.ROOM_VOLUME: _U("m³", 1.0, 1),
    Kind.WATER_VOLUME: _U("l", 1e-3, 1),
    Kind.MASS: _U("kg", 1.0, 1),
    Kind.TEMPERATURE: _U("°C", 1.0, 1, 0.0),
    Kind.DIFFERENCE: _U("K", 1.0, 1),
    Kind.POWER: _U("W", 1.0, 0),
    Kind.LINE_POWER: _U("W/m", 1.0, 1),
    Kind.CONDUCTANCE: _U("W/K", 1.0, 1),
    Kind.U_VALUE: _U("W/m²K", 1.0, 2),
    Kind.CONDUCTIVITY: _U("W/mK", 1.0, 3),
    Kind.RESISTANCE: _U("m²K/W", 1.0, 2),
    Kind.LINE_LOSS: _U("W/mK", 1.0, 3),
    Kind.PRESSURE: _U("bar", 1e5, 2),
    Kind.HEAD: _U("m", G * WATER_4C, 2),
    Kind.GRADIENT: _U("Pa/m", 1.0, 0),
    Kind.SPEED: _U("m/s", 1.0, 2),
    Kind.MASS_FLOW: _U("kg/h", 1 / 3600, 0),
    Kind.FLOW: _U("l/h", 1e-3 / 3600, 0),
    Kind.KV: _U("Kv", 1.0, 2),
    Kind.AIR_CHANGE: _U("1/h", 1.0, 2),
    Kind.SHARE: _U("%", 0.01, 0),
    Kind.NUMBER: _U("", 1.0, 2),
    Kind.ANGLE: _U("°", 1.0, 0),
    Kind.SURFACE: _U("m²", 1.0, 2),
    Kind.FORCE: _U("N", 1.0, 0),
    Kind.MOMENT: _U("N·m", 1.0, 1),
    Kind.STRESS: _U("MPa", 1e6, 1),
}
_F = 5 / 9
_US: dict[Kind, Unit] = {
    **_METRIC,
    Kind.LENGTH: _U("ft", FOOT, 2),
    Kind.SIZE: _U("in", INCH, 3),
    Kind.AREA: _U("ft²", FOOT**2, 0),
    Kind.ROOM_VOLUME: _U("ft³", FOOT**3, 0),
    Kind.WATER_VOLUME: _U("gal", GALLON, 1),
    Kind.MASS: _U("lb", POUND, 1),
    Kind.TEMPERATURE: _U("°F", _F, 0, -32.0),
    Kind.DIFFERENCE: _U("°F", _F, 1),
    Kind.POWER: _U("Btu/h", BTU / 3600, 0),
    Kind.LINE_POWER: _U("Btu/h·ft", BTU / 3600 / FOOT, 1),
    Kind.CONDUCTANCE: _U("Btu/h·°F", BTU / 3600 / _F, 1),
    Kind.U_VALUE: _U("Btu/h·ft²·°F", BTU / 3600 / FOOT**2 / _F, 3),
    Kind.CONDUCTIVITY: _U("Btu/h·ft·°F", BTU / 3600 / FOOT / _F, 3),
    Kind.RESISTANCE: _U("h·ft²·°F/Btu", 3600 * FOOT**2 * _F / BTU, 1),
    Kind.LINE_LOSS: _U("Btu/h·ft·°F", BTU / 3600 / FOOT / _F, 3),
    Kind.PRESSURE: _U("psi", PSI, 1),
    Kind.HEAD: _U("ft", FOOT * G * WATER_4C, 2),
    Kind.GRADIENT: _U("ft/100 ft", G * WATER_4C / 100, 2),
    Kind.SPEED: _U("ft/s", FOOT, 2),
    Kind.MASS_FLOW: _U("lb/h", POUND / 3600, 0),
    Kind.FLOW: _U("gpm", GALLON / 60, 2),
    Kind.KV: _U("Cv", KV_PER_CV, 2),
    Kind.SURFACE: _U("ft² EDR", FOOT**2, 1),
    Kind.FORCE: _U("lbf", POUND * G, 1),
    Kind.MOMENT: _U("ft·lbf", POUND * G * FOOT, 1),
    Kind.STRESS: _U("psi", PSI, 0),
}
UNITS: dict[System, dict[Kind, Unit]] = {System.METRIC: _METRIC, System.US: _US}

SI_TEXT: dict[Kind, str] = {
    Kind.LENGTH: "m", Kind.SIZE: "m", Kind.AREA: "m2", Kind.ROOM_VOLUME: "m3", Kind.WATER_VOLUME: "m3",
    Kind.MASS: "kg", Kind.TEMPERATURE: "degC", Kind.DIFFERENCE: "K", Kind.POWER: "W", Kind.LINE_POWER: "W/m",
    Kind.CONDUCTANCE: "W/K", Kind.U_VALUE: "W/(m2 K)", Kind.CONDUCTIVITY: "W/(m K)", Kind.RESISTANCE: "m2 K/W",
    Kind.LINE_LOSS: "W/(m K)", Kind.PRESSURE: "Pa", Kind.HEAD: "Pa", Kind.GRADIENT: "Pa/m", Kind.SPEED: "m/s",
    Kind.MASS_FLOW: "kg/s", Kind.FLOW: "m3/s", Kind.KV: "m3/h", Kind.AIR_CHANGE: "1/h", Kind.SHARE: "1",
    Kind.NUMBER: "1", Kind.ANGLE: "deg", Kind.SURFACE: "m2",
    Kind.FORCE: "N", Kind.MOMENT: "N m", Kind.STRESS: "Pa",
}  # fmt: skip

# What a person may write after the number, by kind: text → (factor, offset).
_DEG = {"degc": (1.0, 0.0), "°c": (1.0, 0.0), "c": (1.0, 0.0), "degf": (_F, -32.0), "°f": (_F, -32.0), "f": (_F, -32.0)}
_LEN = {"m": (1.0, 0.0), "cm": (0.01, 0.0), "mm": (1e-3, 0.0), "in": (INCH, 0.0), '"': (INCH, 0.0), "inch": (INCH, 0.0),
        "inches": (INCH, 0.0), "ft": (FOOT, 0.0), "'": (FOOT, 0.0), "feet": (FOOT, 0.0), "foot": (FOOT, 0.0)}  # fmt: skip
_VOL = {"l": (1e-3, 0.0), "litre": (1e-3, 0.0), "litres": (1e-3, 0.0), "m3": (1.0, 0.0), "m³": (1.0, 0.0),
        "gal": (GALLON, 0.0), "ft3": (FOOT**3, 0.0), "ft³": (FOOT**3, 0.0)}  # fmt: skip
_POW = {"w": (1.0, 0.0), "kw": (1e3, 0.0), "btu/h": (BTU / 3600, 0.0), "btuh": (BTU / 3600, 0.0),
        "mbh": (BTU / 3.6, 0.0), "kbtu/h": (BTU / 3.6, 0.0)}  # fmt: skip
_PRES = {"pa": (1.0, 0.0), "kpa": (1e3, 0.0), "mbar": (100.0, 0.0), "bar": (1e5, 0.0), "psi": (PSI, 0.0)}
_ACCEPTED: dict[Kind, dict[str, tuple[float, float]]] = {
    Kind.LENGTH: _LEN,
    Kind.SIZE: _LEN,
    Kind.AREA: {"m2": (1.0, 0.0), "m²": (1.0, 0.0), "ft2": (FOOT**2, 0.0), "ft²": (FOOT**2, 0.0),
                "mm2": (1e-6, 0.0), "cm2": (1e-4, 0.0)},
    Kind.SURFACE: {"m2": (1.0, 0.0), "m²": (1.0, 0.0), "ft2": (FOOT**2, 0.0), "ft²": (FOOT**2, 0.0),
                   "edr": (FOOT**2, 0.0), "ft2 edr": (FOOT**2, 0.0)},
    Kind.ROOM_VOLUME: _VOL,
    Kind.WATER_VOLUME: _VOL,
    Kind.MASS: {"kg": (1.0, 0.0), "g": (1e-3, 0.0), "lb": (POUND, 0.0)},
    Kind.TEMPERATURE: _DEG,
    Kind.DIFFERENCE: {"k": (1.0, 0.0), "degc": (1.0, 0.0), "°c": (1.0, 0.0), "c": (1.0, 0.0), "degf": (_F, 0.0),
                      "°f": (_F, 0.0), "f": (_F, 0.0)},
    Kind.POWER: _POW,
    Kind.LINE_POWER: {"w/m": (1.0, 0.0), "btu/h/ft": (BTU / 3600 / FOOT, 0.0), "btu/h·ft": (BTU / 3600 / FOOT, 0.0)},
    Kind.CONDUCTANCE: {"w/k": (1.0, 0.0), "btu/h/f": (BTU / 3600 / _F, 0.0)},
    Kind.U_VALUE: {"w/m2k": (1.0, 0.0), "w/m²k": (1.0, 0.0), "btu/h/ft2/f": (BTU / 3600 / FOOT**2 / _F, 0.0)},
    Kind.CONDUCTIVITY: {"w/mk": (1.0, 0.0), "btu/h/ft/f": (BTU / 3600 / FOOT / _F, 0.0),
                        "btu in/h/ft2/f": (BTU / 3600 * INCH / FOOT**2 / _F, 0.0)},
    Kind.RESISTANCE: {"m2k/w": (1.0, 0.0), "m²k/w": (1.0, 0.0), "h ft2 f/btu": (3600 * FOOT**2 * _F / BTU, 0.0),
                      "r": (3600 * FOOT**2 * _F / BTU, 0.0)},
    Kind.LINE_LOSS: {"w/mk": (1.0, 0.0), "btu/h/ft/f": (BTU / 3600 / FOOT / _F, 0.0)},
    Kind.PRESSURE: _PRES,
    Kind.HEAD: {"m": (G * WATER_4C, 0.0), "ft": (FOOT * G * WATER_4C, 0.0), **_PRES},
    Kind.GRADIENT: {"pa/m": (1.0, 0.0), "ft/100ft": (G * WATER_4C / 100, 0.0), "ft/100 ft": (G * WATER_4C / 100, 0.0)},
    Kind.SPEED: {"m/s": (1.0, 0.0), "ft/s": (FOOT, 0.0)},
    Kind.MASS_FLOW: {"kg/s": (1.0, 0.0), "kg/h": (1 / 3600, 0.0), "lb/h": (POUND / 3600, 0.0)},
    Kind.FLOW: {"m3/s": (1.0, 0.0), "m3/h": (1 / 3600, 0.0), "m³/h": (1 / 3600, 0.0), "l/s": (1e-3, 0.0),
                "l/min": (1e-3 / 60, 0.0), "l/h": (1e-3 / 3600, 0.0), "gpm": (GALLON / 60, 0.0)},
    Kind.KV: {"kv": (1.0, 0.0), "m3/h": (1.0, 0.0), "cv": (KV_PER_CV, 0.0)},
    Kind.AIR_CHANGE: {"1/h": (1.0, 0.0), "/h": (1.0, 0.0), "ach": (1.0, 0.0)},
    Kind.SHARE: {"%": (0.01, 0.0), "": (1.0, 0.0)},
    Kind.NUMBER: {"": (1.0, 0.0)},
    Kind.ANGLE: {"deg": (1.0, 0.0), "°": (1.0, 0.0)},
    Kind.FORCE: {"n": (1.0, 0.0), "kn": (1e3, 0.0), "lbf": (POUND * G, 0.0)},
    Kind.MOMENT: {"n·m": (1.0, 0.0), "n m": (1.0, 0.0), "nm": (1.0, 0.0), "ft·lbf": (POUND * G * FOOT, 0.0),
                  "ft lbf": (POUND * G * FOOT, 0.0), "in lbf": (POUND * G * INCH, 0.0)},
    Kind.STRESS: {"pa": (1.0, 0.0), "mpa": (1e6, 0.0), "psi": (PSI, 0.0)},
}  # fmt: skip

# threes of digits may stand apart, by whatever space; "1 115/128" is one and a fraction
_THREES = r"\d{1,3}(?:[ \u00a0\u2009\u202f]\d{3})+(?![\d/])(?:\.\d*)?"
_NUMBER = rf"(?:\d+\s+\d+/\d+|\d+-\d+/\d+|\d+/\d+|{_THREES}|\d+(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+)"
_ONE = re.compile(rf"^\s*([+\-−])?\s*({_NUMBER})\s*(.*?)\s*$")
_PAIR = re.compile(rf"^\s*([+\-−])?\s*({_NUMBER})\s*(ft|feet|foot|')\s*({_NUMBER})\s*(in|inch|inches|\")\s*$")


# How units are written where upper and lower case matter to a reader; `parse` takes either.
_WRITTEN = {
    "w": "W", "kw": "kW", "btu/h": "Btu/h", "btuh": "Btuh", "mbh": "MBH", "kbtu/h": "kBtu/h", "k": "K", "degc": "degC",
    "°c": "°C", "c": "C", "degf": "degF", "°f": "°F", "f": "F", "pa": "Pa", "kpa": "kPa", "mpa": "MPa", "w/m": "W/m",
    "btu/h/ft": "Btu/h/ft", "btu/h·ft": "Btu/h·ft", "w/k": "W/K", "btu/h/f": "Btu/h/F", "w/m2k": "W/m2K",
    "w/m²k": "W/m²K", "btu/h/ft2/f": "Btu/h/ft2/F", "w/mk": "W/mK", "btu/h/ft/f": "Btu/h/ft/F",
    "btu in/h/ft2/f": "Btu in/h/ft2/F", "m2k/w": "m2K/W", "m²k/w": "m²K/W", "h ft2 f/btu": "h ft2 F/Btu", "r": "R",
    "pa/m": "Pa/m", "kv": "Kv", "cv": "Cv", "ach": "ACH", "edr": "EDR", "ft2 edr": "ft2 EDR", "n": "N", "kn": "kN",
    "n·m": "N·m", "n m": "N m", "nm": "Nm",
}  # fmt: skip


def accepted_units(kind: Kind) -> tuple[str, ...]:
    """The unit texts that `parse` understands for this kind of quantity."""
    return tuple(_WRITTEN.get(u, u) for u in _ACCEPTED[kind] if u)


def _number(text: str) -> float:
    if "/" not in text:
        return float("".join(text.split()))
    return float(sum((Fraction(p) for p in text.replace("-", " ").split()), Fraction(0)))


def parse(value: float | str, kind: Kind, system: System) -> float:
    """A number in the job's own unit, or text such as ``"3/4 in"``, ``"12 ft 6 in"``, ``"160 degF"``, ``"1 115 mm"`` → SI
    float.

    :raises ValueError: the text is no quantity of this kind; the message says what would be right.
    """
    if not isinstance(value, str):
        unit = UNITS[system][kind]
        number = (float(value) + unit.offset) * unit.factor
        if kind is Kind.SHARE:
            number = float(value)
        if not math.isfinite(number):
            raise ValueError("must be a finite number")
        return number
    if (pair := _PAIR.match(value)) and kind in (Kind.LENGTH, Kind.SIZE):
        sign = -1.0 if pair[1] in ("-", "−") else 1.0
        return sign * (_number(pair[2]) * FOOT + _number(pair[4]) * INCH)
    hint = f'write a number, or text with a unit such as "{example(kind, system)}"'
    one = _ONE.match(value)
    if one is None:
        raise ValueError(f"{value!r} is not a {kind.value}; {hint}")
    text = " ".join(one[3].lower().split())
    table = _ACCEPTED[kind]
    if text not in table:
        known = ", ".join(accepted_units(kind)) or "none"
        what = f"unit {one[3]!r} does not fit a {kind.value}" if text else f"{value!r} has no unit"
        raise ValueError(f"{what}; units that fit: {known}; {hint}")
    factor, offset = table[text]
    try:
        number = _number(one[2])
    except ZeroDivisionError:
        raise ValueError(f"{value!r} divides by zero; {hint}") from None
    except (OverflowError, ValueError):
        raise ValueError(f"{value!r} is too large") from None
    result = ((-number if one[1] in ("-", "−") else number) + offset) * factor
    if not math.isfinite(result):
        raise ValueError(f"{value!r} is too large")
    return result


def example(kind: Kind, system: System) -> str:
    """A well-formed example of the kind in the job's system, for messages."""
    special = {
        (Kind.LENGTH, System.METRIC): "2.4 m", (Kind.LENGTH, System.US): "12 ft 6 in",
        (Kind.SIZE, System.METRIC): "22 mm", (Kind.SIZE, System.US): "3/4 in",
        (Kind.TEMPERATURE, System.METRIC): "70 degC", (Kind.TEMPERATURE, System.US): "160 degF",
        (Kind.POWER, System.METRIC): "1.5 kW", (Kind.POWER, System.US): "5000 Btu/h",
        (Kind.LINE_POWER, System.METRIC): "500 W/m", (Kind.LINE_POWER, System.US): "580 Btu/h/ft",
        (Kind.DIFFERENCE, System.METRIC): "50 K", (Kind.DIFFERENCE, System.US): "20 degF",
        (Kind.FLOW, System.METRIC): "600 l/h", (Kind.FLOW, System.US): "4 gpm",
        (Kind.MASS_FLOW, System.METRIC): "600 kg/h", (Kind.MASS_FLOW, System.US): "2000 lb/h",
        (Kind.GRADIENT, System.METRIC): "200 Pa/m", (Kind.GRADIENT, System.US): "4 ft/100 ft",
        (Kind.PRESSURE, System.METRIC): "1.5 bar", (Kind.PRESSURE, System.US): "12 psi",
        (Kind.WATER_VOLUME, System.METRIC): "12 l", (Kind.WATER_VOLUME, System.US): "4 gal",
        (Kind.MASS, System.METRIC): "30 kg", (Kind.MASS, System.US): "65 lb",
    }  # fmt: skip
    if (kind, system) in special:
        return special[kind, system]
    wanted = UNITS[system][kind].factor
    for text, (factor, _) in _ACCEPTED[kind].items():
        if math.isclose(factor, wanted, rel_tol=1e-9):
            return f"1.5 {_WRITTEN.get(text, text)}".strip()
    return "1.5"


def convert(value: float, kind: Kind, system: System) -> float:
    """SI float → number in the unit that the system prints for this kind."""
    unit = UNITS[system][kind]
    return value / unit.factor - unit.offset


def number_text(value: float, places: int) -> str:
    """Fixed decimals, thousands set off with a thin gap, a true minus sign, never "-0"."""
    text = f"{value:,.{places}f}".replace(",", "\u202f")
    if text.startswith("-"):
        text = text[1:] if not any(c in "123456789" for c in text) else "−" + text[1:]
    return text


def show(value: float, kind: Kind, system: System, places: int | None = None, *, unit: bool = True) -> str:
    """SI float → text for people, in the system's unit: ``"1.13 m/s"``."""
    u = UNITS[system][kind]
    text = number_text(convert(value, kind, system), u.places if places is None else places)
    if not unit or not u.text:
        return text
    return f"{text}{'' if u.text in ('°',) else ' '}{u.text}"


def feet_inches(value: float, denominator: int = 16) -> str:
    """A length as a US tape shows it: ``12 ft 6 1/2 in``, to the nearest 1/denominator inch."""
    steps = round(abs(value) / INCH * denominator)
    feet, rest = divmod(steps, 12 * denominator)
    inches, part = divmod(rest, denominator)
    words: list[str] = []
    if feet:
        words.append(f"{feet} ft")
    if part:
        f = Fraction(part, denominator)
        words.append(f"{inches} {f.numerator}/{f.denominator} in" if inches else f"{f.numerator}/{f.denominator} in")
    elif inches or not feet:
        words.append(f"{inches} in")
    return ("−" if value < 0 and steps else "") + " ".join(words)


def tape(value: float, system: System) -> str:
    """A length as it is read off the tape: millimetres, or feet and inches."""
    return feet_inches(value) if system is System.US else f"{number_text(value * 1000, 0)} mm"
