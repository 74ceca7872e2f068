"""One design: all that is known before anything is computed. The job file floor makes it, `Study` reads it."""

from dataclasses import field

from wetside.basis.quantity import System
from wetside.basis.record import record
from wetside.basis.si import Celsius, Kelvin, MetrePerSecond, PascalPerMetre
from wetside.emitter.spec import Emitter
from wetside.fabricate.spec import Shop
from wetside.frame.spec import Bracing
from wetside.house.spec import House
from wetside.network.spec import Apparatus, Boiler, Circulator, Tank
from wetside.pipework.spec import Item, Port, Run, Tube
from wetside.plant.spec import Plant
from wetside.takeoff.spec import Buying


@record
class Accepted:
    """A finding that the person waives: rule id and subject, when and why."""

    rule: str
    subject: str
    on: str
    because: str


@record
class Limits:
    """The person's own limits for water in tube; the rules' defaults come from shipped tables."""

    speed_m_s: MetrePerSecond | None = None
    gradient_pa_m: PascalPerMetre | None = None
    tubes: tuple[str, ...] = ()
    """Tubes to choose from when sizing; empty: what is in use, and larger."""


@record
class Design:
    name: str
    system: System
    paper: str
    """``"a4"`` or ``"us-letter"``."""
    house: House
    emitters: tuple[Emitter, ...]
    boilers: tuple[Boiler, ...]
    circulators: tuple[Circulator, ...]
    tanks: tuple[Tank, ...]
    tubes: tuple[Tube, ...]
    """Every tube that the job may name: shipped ones and the job's own."""
    items: tuple[Item, ...]
    """In-line items by name: the shipped trade kinds, the job's own, and each circulator as an item."""
    ports: tuple[Port, ...]
    runs: tuple[Run, ...]
    plant: Plant
    limits: Limits = field(default_factory=Limits)
    accepted: tuple[Accepted, ...] = ()
    emitter_valves: tuple[tuple[str, tuple[str, str]], ...] = ()
    """Emitter name → items at its flow and return connection ("" for none)."""
    bracing: Bracing = field(default_factory=Bracing)
    """Supports, and what they can be fixed to."""
    notes: tuple[str, ...] = ()
    file: str = ""
    shop: Shop = field(default_factory=Shop)
    """How tube is joined, fittings that were measured."""
    buying: Buying = field(default_factory=Buying)
    void_c: Celsius = 15.0
    """Air around tube that crosses no room."""
    apparatus: Apparatus = field(default_factory=Apparatus)
    """What joins more than two runs, or two circuits."""
    drop_k: Kelvin | None = None
    """How far emitters may cool the water by design; the usual drop of the job's system when not given."""
    emitter_drops_k: tuple[tuple[str, Kelvin], ...] = ()
    """Emitters with a design drop of their own."""
