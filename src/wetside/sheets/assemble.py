"""The assembly sheet: pipework near a boiler as it was made from the choices, before or after it is written."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from wetside.basis.record import record
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.pipework.assembly_spec import NearBoiler
    from wetside.study.study import Study


@record
class MadeRun:
    name: str = said("The run.")
    tube: str = said("Tube that it starts in.")
    start: str = said("Where it starts.")
    moves: tuple[str, ...] = said("Its moves, as the job file says them.")
    end: str = said("Where it ends; empty where it is left capped, for the house's runs to go on from.")


@record
class MadePlace:
    ref: str = said("Connection: of the vessel, the relief valve, the filling point, the separator.")
    at_m: tuple[float, ...] = said("Where it is: east, north, up.", "m")


@record
class AssembleSheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    boiler: str = said("The boiler.")
    runs: tuple[MadeRun, ...] = said("Runs; those of the house that the job has already are left as they are.")
    places: tuple[MadePlace, ...] = said("Where things are to stand.")
    beside_m: float = said("Wall that all of it takes beside the flow connection.", "m")
    above_m: float = said("Height that it takes above the connections.", "m")
    below_m: float = said("Height that it takes below them.", "m")
    notes: tuple[str, ...] = said("What had to be left out, and what must be changed now.")
    written: bool = said("Whether the job file has it now.")


def assemble_sheet(
    study: "Study", boiler: str, made: "NearBoiler", notes: Sequence[str], written: bool
) -> AssembleSheet:
    """What was made, in the words of the job file."""
    return AssembleSheet(
        job=study.design.name,
        units=study.design.system.value,
        boiler=boiler,
        runs=tuple(
            MadeRun(name=r.name, tube=r.tube, start=r.start, moves=tuple(m.text for m in r.moves), end=r.end)
            for r in made.runs
        ),
        places=tuple(MadePlace(ref=p.ref, at_m=p.at) for p in made.ports),
        beside_m=made.beside_m,
        above_m=made.above_m,
        below_m=made.below_m,
        notes=tuple(notes),
        written=written,
    )
