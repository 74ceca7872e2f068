"""Counted materials."""

from wetside.basis.record import record
from wetside.basis.si import CubicMetre, Metre


@record
class TubeLine:
    tube: str
    size: str
    length_m: Metre
    """Along the centre lines."""
    stock_m: Metre
    sticks: int
    """Stock lengths to buy, as the cuts are laid onto them."""


@record
class CountLine:
    group: str
    """``"fittings"``, ``"valves"``, ``"equipment"`` or ``"emitters"``."""
    item: str
    size: str
    count: int


@record
class JointLine:
    kind: str
    size: str
    count: int


@record
class WaterLine:
    part: str
    water_m3: CubicMetre


@record
class Takeoff:
    tubes: tuple[TubeLine, ...]
    counts: tuple[CountLine, ...]
    joints: tuple[JointLine, ...]
    water: tuple[WaterLine, ...]
    water_m3: CubicMetre
