"""Sized fittings on the centre lines, and the joints that they make."""

from dataclasses import dataclass
from enum import StrEnum

from wetside.pipework.spec import Vec


class FittingKind(StrEnum):
    """Trade words; the value is what a counter hand would read."""

    ELBOW_90 = "elbow 90°"
    ELBOW_45 = "elbow 45°"
    BEND = "bend"
    """An angle that no stock fitting makes: the tube is bent, or two fittings are turned."""
    TEE = "tee"
    CROSS = "cross"
    REDUCER = "reducer"
    COUPLING = "coupling"
    CAP = "cap"
    CONNECTOR = "connector"
    """From tube to a port or to a valve's thread."""


class JointKind(StrEnum):
    SOLDER = "solder"
    THREAD = "thread"
    UNION = "union face"
    PRESS = "press"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    kind: FittingKind
    sizes: tuple[str, ...]
    """Tube sizes at its ends; a tee: run in, run out, branch."""
    at: Vec
    run: str
    sockets: int
    """Ends that are joined to tube."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One joint, numbered in building order: run by run, from the run's start."""

    number: int
    kind: JointKind
    size: str
    at: Vec
    run: str
    of: str
    """The fitting, valve or port that the tube is joined to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fabrication:
    fittings: tuple[Fitting, ...]
    joints: tuple[Joint, ...]
