"""What near-boiler pipework is made from, and what it becomes."""

from enum import StrEnum

from wetside.basis.quantity import System
from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.pipework.spec import Port, Run, Tube, Vec


class Parting(StrEnum):
    """How the boiler's water is parted from the house's."""

    NONE = "none"
    TEES = "tees"
    SEPARATOR = "separator"


class Part(StrEnum):
    """What may be left out."""

    AIR = "air separator"
    DIRT = "dirt separator"
    VALVES = "isolating valves"
    GAUGE = "pressure gauge"
    DRAIN = "drain cock"
    FILL = "fill"
    VESSEL = "vessel"
    RELIEF = "relief valve"


@record
class Choices:
    flow: Port
    back: Port
    """The boiler's flow and return: level with one another, both up or both down."""
    tube: Tube
    small: Tube
    """For vessel, fill and relief valve."""
    front: Vec
    """Out of the wall, into the room."""
    system: System = System.METRIC
    parting: Parting = Parting.TEES
    circuits: tuple[str, ...] = ("heating",)
    circulators: tuple[str, ...] = ()
    """Of each circuit in turn; one without is driven by the boiler's own."""
    without: frozenset[Part] = frozenset()
    vessel: str = "vessel"
    relief: str = "relief valve"
    fill: str = "filling loop"
    separator: str = "separator"
    hot: Port | None = None
    cold: Port | None = None
    """The boiler's own hot-water side."""
    cold_main: Port | None = None
    taps: Port | None = None
    beside_m: Metre | None = None
    """Free wall beside the flow connection, the way that the pipework goes: away from the return, or beyond it where
    the connections face up."""
    above_m: Metre | None = None
    """From the connections to the ceiling."""
    below_m: Metre | None = None
    """From the connections to the floor."""


@record
class NearBoiler:
    runs: tuple[Run, ...]
    ports: tuple[Port, ...]
    """Vessel, relief valve, filling point, separator: where they are to stand."""
    pairs: tuple[tuple[str, str], ...]
    """The separating tees."""
    kept: tuple[str, ...]
    """Runs of the house: where a job has them already, its own stay."""
    beside_m: Metre
    above_m: Metre
    below_m: Metre
    """Room that all of it takes, from the flow connection."""
