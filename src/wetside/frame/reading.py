"""What the frame answers: loads, sag, stress, movement, and where to put supports."""

from wetside.basis.record import record
from wetside.basis.si import Celsius, Kilogram, Metre, Newton, NewtonMetre, Pascal
from wetside.frame.spec import SupportKind
from wetside.pipework.spec import Vec


@record
class SupportAt:
    """A support at work."""

    name: str
    run: str
    kind: SupportKind
    at: Vec
    along_m: Metre
    """From the run's start."""
    tube: str
    size: str
    why: str
    """``"by hand"``, ``"spacing"``, ``"heavy item"`` or ``"boiler connection"``."""
    fixed_to: str
    load_n: Newton
    """Weight that it carries, cold and full; negative where it holds the tube down."""
    force_n: tuple[Newton, Newton, Newton]
    """On the support, cold and full."""
    hot_force_n: tuple[Newton, Newton, Newton]
    bears_n: Newton
    bears_given: bool
    """By the maker, as the job says, and not typical of the kind."""


@record
class Connection:
    """What the pipework does to a connection of the boiler."""

    port: str
    force_n: tuple[Newton, Newton, Newton]
    moment_n_m: tuple[NewtonMetre, NewtonMetre, NewtonMetre]
    """Cold and full: weight alone."""
    hot_force_n: tuple[Newton, Newton, Newton]
    hot_moment_n_m: tuple[NewtonMetre, NewtonMetre, NewtonMetre]
    """Weight and heat together; brackets that give a little by slack take less."""


@record
class Span:
    """Tube from one support to the next, along its centre line."""

    run: str
    first: str
    second: str
    """Supports, ports or ends."""
    length_m: Metre
    allowed_m: Metre | None
    """By the table in use; in proportion where tube or direction changes. `None` where no table knows the tube."""
    source: str
    tube: str


@record
class RunFrame:
    """The worst of one run."""

    run: str
    sag_m: Metre
    sag_at: Vec
    stress_pa: Pascal
    """Weight and heat together, in the tube, without a factor for fittings."""
    stress_at: Vec
    allowable_pa: Pascal | None
    material: str
    hot_c: Celsius
    movement_m: Metre
    """Farthest that heat moves any point of it."""


@record
class Bend:
    """Free tube beside a bend, against what the growth of the straight before it needs."""

    run: str
    at: Vec
    movement_m: Metre
    needed_m: Metre
    free_m: Metre


@record
class Passage:
    """Where tube passes a floor or a wall."""

    run: str
    through: str
    at: Vec
    movement_m: Metre
    """Sideways, by heat."""


@record
class Loop:
    """A straight whose growth nothing takes up: make an offset or a loop of this size in its middle."""

    run: str
    at: Vec
    length_m: Metre
    growth_m: Metre
    offset_m: Metre
    radius_m: Metre


@record
class Heavy:
    """Something that one person should not lift alone."""

    name: str
    mass_kg: Kilogram


@record
class Supporting:
    """Everything about supports."""

    spacing: str
    """The table in use and the ceiling over it, in words."""
    supports: tuple[SupportAt, ...]
    connections: tuple[Connection, ...]
    force_limit_n: Newton
    moment_limit_n_m: NewtonMetre
    limits_given: bool
    spans: tuple[Span, ...]
    runs: tuple[RunFrame, ...]
    bends: tuple[Bend, ...]
    passages: tuple[Passage, ...]
    loops: tuple[Loop, ...]
    suggested: tuple[SupportAt, ...]
    """The fewest further supports that unload the boiler's connections; already among `supports` where supports are
    placed automatically. Their loads are those with all of them in place."""
    suggested_proven: bool
    """No smaller choice of the places tried does."""
    suggested_enough: bool
    weight_n: Newton
    """Of pipework, water and what hangs in it."""
    heavy: tuple[Heavy, ...]
    bare_ports: tuple[str, ...] = ()
    """Flow and return connections of boilers that no run meets."""
