"""What the person chooses for the shop: how tube is joined, fittings that were measured, stock at hand."""

from enum import StrEnum

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.pipework.spec import Material


class JointSystem(StrEnum):
    SOLDERED = "soldered"
    BRAZED = "brazed"
    PRESSED = "pressed"
    COMPRESSION = "compression"
    THREADED = "threaded"
    CRIMP = "crimp"
    EXPANSION = "expansion"


SYSTEMS: dict[Material, tuple[JointSystem, ...]] = {
    Material.COPPER: (JointSystem.SOLDERED, JointSystem.BRAZED, JointSystem.PRESSED, JointSystem.COMPRESSION),
    Material.STEEL: (JointSystem.THREADED,),
    Material.PEX: (JointSystem.CRIMP, JointSystem.EXPANSION, JointSystem.PRESSED),
    Material.MULTILAYER: (JointSystem.PRESSED,),
}
"""How each material can be joined; the first is taken where nothing is chosen."""


class Take(StrEnum):
    """Fittings whose take-out a person may measure."""

    ELBOW_90 = "elbow 90"
    ELBOW_45 = "elbow 45"
    TEE_RUN = "tee run"
    TEE_BRANCH = "tee branch"
    COUPLING = "coupling"
    CONNECTOR = "connector"


@record
class OwnFitting:
    """A fitting that the person measured; it comes before every table."""

    take: Take
    size: str
    takeout_m: Metre
    """From the centre (a connector: the face of the port) to the end of the tube in it; of a coupling, half the gap."""
    insertion_m: Metre | None = None
    system: JointSystem | None = None
    """For every joint system when left out."""


@record
class Shop:
    systems: tuple[tuple[Material, JointSystem], ...] = ()
    own: tuple[OwnFitting, ...] = ()
    stock_m: tuple[tuple[str, Metre], ...] = ()
    """Tube name → the longest stick or coil to be had, where it is not the tube's own."""
    least_gap_m: Metre | None = None
    """Tube to be seen between two fittings; a typical figure per joint system when left out."""
    cut_m: Metre = 0.001
    """A cut is this long or short at worst (assumption)."""
    take_m: Metre = 0.0008
    """A fitting's take-out is this far from the table's at worst: about 1/32 in (common practice)."""

    def system(self, material: Material) -> JointSystem:
        for one, system in self.systems:
            if one is material:
                return system
        return SYSTEMS[material][0]
