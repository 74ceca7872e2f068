"""What the person says of supports, and of what they can be fixed to."""

from dataclasses import field
from enum import StrEnum

from wetside.basis.record import record
from wetside.basis.si import Celsius, Metre, Newton, NewtonMetre, Pascal
from wetside.pipework.spec import Vec


class SupportKind(StrEnum):
    """The value is what a counter hand would read."""

    STANDOFF = "standoff"
    CLIP = "clip"
    HANGER = "hanger"
    RISER_CLAMP = "riser clamp"
    ANCHOR = "anchor"
    GUIDE = "guide"


@record
class Support:
    """A support on a run, at a distance along it from its start or at a place."""

    name: str
    run: str
    kind: SupportKind
    along_m: Metre | None = None
    at: Vec | None = None
    """The nearest point of the run counts."""
    bears_n: Newton | None = None
    """The maker's figure; typical for the kind when not given."""


@record
class Timber:
    """Joists under a floor, or studs in walls: a row of timbers that supports must meet."""

    low_m: Metre
    high_m: Metre
    """Heights between which the timbers are: a floor's void for joists, a storey's rooms for studs."""
    what: str
    """``"joist"`` or ``"stud"``."""
    spacing_m: Metre
    first_m: Metre = 0.0
    """East (or north) of the job's datum to the middle of one of them."""
    run_north: bool | None = None
    """Which way joists run: north-south, or east-west. `None` for studs, which meet tube either way."""


@record
class Bracing:
    """The job's choices about supports."""

    table: str = ""
    """Spacing table in use; the usual one of the job's unit system when empty."""
    code: str = ""
    """The adopted code's table, a ceiling over the one in use; none when empty."""
    automatic: bool = True
    """Places supports by itself beside those placed by hand."""
    force_n: Newton | None = None
    moment_n_m: NewtonMetre | None = None
    """Most that the boiler's maker allows on a connection; a small typical figure when not given."""
    sag_m: Metre = 0.0025
    stress_pa: Pascal | None = None
    """Allowable stress of plastic tube, by its maker."""
    gap_m: Metre = 0.005
    """Room around tube where it passes a floor or wall."""
    cold_c: Celsius = 10.0
    """Temperature at which the tube is put together."""
    supports: tuple[Support, ...] = field(default=())
    timbers: tuple[Timber, ...] = field(default=())
