"""Sized fittings on the centre lines, the joints that they make, and the pieces of tube between them."""

from enum import StrEnum

from wetside.basis.record import record
from wetside.basis.si import Degree, Metre
from wetside.pipework.spec import Tube, Vec


class FittingKind(StrEnum):
    """Trade words; the value is what a counter hand would read."""

    ELBOW_90 = "elbow 90°"
    ELBOW_45 = "elbow 45°"
    STREET_90 = "street elbow 90°"
    """One of its ends goes into another fitting."""
    STREET_45 = "street elbow 45°"
    BEND = "bend"
    """An angle that no stock fitting makes: the tube is bent, or two fittings are turned."""
    TEE = "tee"
    CROSS = "cross"
    REDUCER = "reducer"
    """Between two tubes."""
    BUSHING = "bushing"
    """A reducer whose larger end goes into a fitting's socket."""
    COUPLING = "coupling"
    ADAPTER = "adapter"
    """From one material, or one series of sizes, to another."""
    DIELECTRIC = "dielectric union"
    """Between copper and steel."""
    CAP = "cap"
    CONNECTOR = "connector"
    """From tube to a port or to a valve's thread."""
    ANGLE_CONNECTOR = "angle connector"
    """A connector where the run turns at the port."""


class JointKind(StrEnum):
    SOLDER = "solder"
    BRAZE = "braze"
    THREAD = "thread"
    UNION = "union face"
    PRESS = "press"
    COMPRESSION = "compression"
    CRIMP = "crimp"
    EXPANSION = "expansion"


@record
class Fitting:
    kind: FittingKind
    sizes: tuple[str, ...]
    """Sizes at its ends; a tee: run in, run out, branch."""
    at: Vec
    run: str
    sockets: int
    """Ends that take tube, or another fitting's end, in."""
    sold: bool = True
    """Whether the shipped list of sold tees and reducers has it."""
    material: str = ""


@record
class Joint:
    """One joint, numbered in building order: run after run, from the run's start."""

    number: int
    kind: JointKind
    size: str
    at: Vec
    run: str
    of: str
    """The fitting, valve or port that the tube is joined to."""
    room: str = ""
    """Room whose air the leg heats, where known."""
    cut: str = ""
    """The piece of tube that goes in; none at a union face or where one fitting goes into another."""


@record
class End:
    """An end of a body that takes tube."""

    away: Vec
    """Unit direction from the body's centre, along the tube."""
    takeout_m: Metre
    """From the centre to the end of the tube, through bushings and adapters."""
    insertion_m: Metre
    """Of a street fitting's own end, how far it goes into the other: negative."""
    joint: int
    """Number of the joint at the tube."""
    kind: JointKind
    source: str
    """Where the take-out comes from; ``"typical"`` asks to be measured, ``"own"`` was."""


@record
class Body:
    """Anything that tube is joined to: a fitting with its bushings, an item in line, a port's connector or valve."""

    name: str
    at: Vec
    run: str
    ends: tuple[End, ...]
    port: str = ""
    """The port that it sits on, whose place is given."""
    street: Metre | None = None
    """From the centre to the tip of a street fitting that does the same, where one is sold."""


@record
class Bend:
    """Tube bent in a piece."""

    from_last_m: Metre
    """Along the centre line from the end of the piece, or the last corner, to where the straights would meet."""
    angle_deg: Degree
    radius_m: Metre
    out_of: Vec
    """Unit direction after the bend."""


@record
class Cut:
    """A piece of tube, cut to length, from one body's end to another's."""

    name: str
    """``"C12"``: numbered in building order."""
    run: str
    leg: str
    room: str
    tube: Tube
    length_m: Metre
    """As cut: between the centres less both take-outs, bends allowed for. Not positive where there is no room."""
    least_m: Metre
    """Both insertions and the least gap between the faces."""
    a: int
    a_end: int
    b: int
    b_end: int
    """Bodies and their ends, by index."""
    start: str
    end: str
    """What it goes into, in words, with the joint's number."""
    bends: tuple[Bend, ...] = ()

    @property
    def short_m(self) -> Metre:
        """By how much it is shorter than its two joints need."""
        return max(self.least_m - self.length_m, 0.0)


@record
class Fabrication:
    fittings: tuple[Fitting, ...]
    """All that is bought as a fitting, bushings and adapters among them, in building order."""
    joints: tuple[Joint, ...]
    bodies: tuple[Body, ...] = ()
    cuts: tuple[Cut, ...] = ()
    """In building order."""
    blocked: tuple[Cut, ...] = ()
    """Bodies so near each other that no tube goes between them; their length is not positive."""
    streets: tuple[Cut, ...] = ()
    """Street fittings that sit right in another fitting: pieces without a name or a length."""
