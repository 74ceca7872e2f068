"""Words and numbers for people, shared by terminal, page and pack."""

import unicodedata

from wetside.basis.quantity import INCH, Kind, System, number_text, show
from wetside.basis.rules import Verdict
from wetside.emitter.ratings import EN_EXCESS_K, EN_LOGARITHMIC

VERDICT_WORD: dict[Verdict, str] = {v: v.value for v in Verdict}

# What a drawing or table shows in place of characters that steer a terminal or turn the reading direction.
_STEERING = {"Cc", "Cf", "Cs", "Zl", "Zp"}
_KEPT = {"\u200d"}


def clean(text: str) -> str:
    """Text that can't steer a terminal: control, direction and surrogate characters become ``�``, line ends a space.

    Names come from a file that somebody else may have written.
    """
    if text.isascii() and text.isprintable():
        return text
    out = (" " if c in "\n\r\t" else c if c in _KEPT or unicodedata.category(c) not in _STEERING else "\ufffd"
           for c in text)  # fmt: skip
    return "".join(out)


def plural(count: int, one: str, many: str = "") -> str:
    """``"1 joint"``, ``"3 joints"``."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def watts(value: float, system: System, *, unit: bool = True) -> str:
    """A heat flow in the job's unit."""
    return show(value, Kind.POWER, system, unit=unit)


def degrees(value: float, system: System, *, unit: bool = True) -> str:
    """A temperature level in the job's unit."""
    return show(value, Kind.TEMPERATURE, system, unit=unit)


def share(part: float, whole: float) -> str:
    """``"24 %"``; an en dash when there is no whole."""
    return f"{number_text(100.0 * part / whole, 0)} %" if whole else "–"


def thickness(value: float, system: System) -> str:
    """A small length: millimetres, or inches."""
    return f"{number_text(value / INCH, 2)} in" if system is System.US else f"{number_text(value * 1000, 0)} mm"


def setting_text(setting: float, regulation: str, system: System) -> str:
    """What a circulator is set to: a speed in percent, or the pressure that it holds."""
    return f"{100.0 * setting:.1f} %" if regulation == "fixed speed" else show(setting, Kind.HEAD, system)


def rating_text(rated_w: float, excess_k: float, system: System) -> str:
    """A rating with its point: ``"1 500 W at 75/65/20 °C"`` at that of EN 442, else with its excess over the room."""
    at_point = abs(excess_k - EN_EXCESS_K * EN_LOGARITHMIC) < 1e-6
    point = "75/65/20 °C" if at_point else show(excess_k, Kind.DIFFERENCE, system)
    return f"{watts(rated_w, system)} at {point}"
