"""Counted materials."""

from dataclasses import dataclass

from wetside.basis.si import CubicMetre, Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeLine:
    tube: str
    size: str
    length_m: Metre
    """Along the centre lines."""
    stock_m: Metre
    sticks: int
    """Stock lengths to buy, as the cuts are laid onto them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CountLine:
    group: str
    """``"fittings"``, ``"valves"``, ``"equipment"`` or ``"emitters"``."""
    item: str
    size: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLine:
    kind: str
    size: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterLine:
    part: str
    water_m3: CubicMetre


@dataclass(frozen=True, slots=True, kw_only=True)
class Takeoff:
    tubes: tuple[TubeLine, ...]
    counts: tuple[CountLine, ...]
    joints: tuple[JointLine, ...]
    water: tuple[WaterLine, ...]
    water_m3: CubicMetre
