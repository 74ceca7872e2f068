"""The support sheet: where to hold the pipework, what each support carries, and what the boiler's connections feel."""

from typing import TYPE_CHECKING

from wetside.basis.quantity import System, tape
from wetside.basis.record import record
from wetside.basis.rules import CAUTIONS
from wetside.frame.reading import SupportAt
from wetside.sheets.check import CautionLine
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class SupportRow:
    name: str = said("Name: the job's own, or S1, S2, … in the order of the runs.")
    run: str = said("Run that it holds.")
    kind: str = said("Standoff, clip, hanger, riser clamp, anchor or guide.")
    place: str = said("Where: the run, and the distance along its centre line from its start.")
    along_m: float = said("Distance along the run's centre line from its start.", "m")
    at_m: tuple[float, ...] = said("East, north and up.", "m")
    size: str = said("Tube size.")
    fixed_to: str = said('What it is fixed to, "joist", "stud" or "wall"; empty where the plan does not tell.')
    why: str = said('Why it is there: "by hand", "spacing", "heavy item" or "boiler connection".')
    load_n: float = said("Weight that it carries, cold and full; negative where it holds the tube down.", "N")
    force_n: tuple[float, ...] = said("Force on it, cold and full: east, north, up.", "N")
    hot_force_n: tuple[float, ...] = said("Force on it when hot: east, north, up.", "N")
    bears_n: float = said("What it bears.", "N")
    bears_typical: bool = said("Whether that is typical of its kind, and not its maker's figure.")


@record
class ConnectionRow:
    port: str = said("Connection of the boiler.")
    force_n: tuple[float, ...] = said("Force of the pipework's weight on it, cold and full: east, north, up.", "N")
    moment_n_m: tuple[float, ...] = said("Moment of the same about east, north and up.", "N m")
    hot_force_n: tuple[float, ...] = said("Force when hot, as if no clip had any play.", "N")
    hot_moment_n_m: tuple[float, ...] = said("Moment when hot, likewise.", "N m")


@record
class RunRow:
    run: str = said("The run.")
    span_m: float = said("Its longest span, in proportion to what is allowed.", "m")
    allowed_m: float | None = said("What the table allows there; null where no table knows the tube.", "m")
    sag_m: float = said("Deepest sag between supports, cold and full.", "m")
    stress_pa: float = said("Largest stress by weight and heat together.", "Pa")
    allowable_pa: float | None = said("What that may be; null where only the maker knows.", "Pa")
    hot_c: float = said("How hot it can get.", "degC")
    movement_m: float = said("Farthest that heat moves any point of it.", "m")


@record
class BendRow:
    run: str = said("The run.")
    at_m: tuple[float, ...] = said("The bend: east, north, up.", "m")
    movement_m: float = said("How far the straight before it grows.", "m")
    needed_m: float = said("Free tube that takes this up.", "m")
    free_m: float = said("Free tube that there is.", "m")


@record
class PassageRow:
    run: str = said("The run.")
    through: str = said("Floor or wall that it passes.")
    at_m: tuple[float, ...] = said("Where: east, north, up.", "m")
    movement_m: float = said("How far heat moves the tube sideways there.", "m")


@record
class LoopRow:
    run: str = said("The run.")
    at_m: tuple[float, ...] = said("Middle of the straight whose growth nothing takes up: east, north, up.", "m")
    growth_m: float = said("How much it grows.", "m")
    offset_m: float = said("Tube in an offset that takes it up.", "m")
    radius_m: float = said("Or the radius of a loop.", "m")


@record
class HeavyRow:
    name: str = said("Boiler, tank or emitter.")
    mass_kg: float = said("Its mass, dry.", "kg")


@record
class SupportsSheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    spacing: str = said("Spacing table in use, and the adopted code over it.")
    connections: tuple[ConnectionRow, ...] = said("What the pipework does to each connection of the boiler.")
    force_limit_n: float = said("Most force of weight on a connection.", "N")
    moment_limit_n_m: float = said("Most moment of weight on a connection.", "N m")
    limits_typical: bool = said("Whether these are typical, and not the boiler maker's.")
    supports: tuple[SupportRow, ...] = said("Every support, run by run.")
    suggested: tuple[SupportRow, ...] = said("The fewest further supports that unload the boiler's connections.")
    suggested_proven: bool = said("Whether every smaller choice of the places looked at was tried and does not do.")
    suggested_enough: bool = said("Whether they bring every connection under its limits.")
    runs: tuple[RunRow, ...] = said("Each run at its worst.")
    bends: tuple[BendRow, ...] = said("Bends whose neighbours grow by more than the play of clips.")
    passages: tuple[PassageRow, ...] = said("Where tube passes floors and walls.")
    loops: tuple[LoopRow, ...] = said("Straights that want an offset or a loop.")
    weight_n: float = said("Weight of the pipework, full.", "N")
    heavy: tuple[HeavyRow, ...] = said("What takes two people to lift.")
    cautions: tuple[CautionLine, ...] = said("What can hurt people in this work.")


def _support(s: SupportAt, system: System) -> SupportRow:
    return SupportRow(
        name=s.name,
        run=s.run,
        kind=s.kind.value,
        place=f"{s.run}, {tape(s.along_m, system)} along",
        along_m=s.along_m,
        at_m=s.at,
        size=s.size,
        fixed_to=s.fixed_to,
        why=s.why,
        load_n=s.load_n,
        force_n=s.force_n,
        hot_force_n=s.hot_force_n,
        bears_n=s.bears_n,
        bears_typical=not s.bears_given,
    )


def supports_sheet(study: "Study") -> SupportsSheet:
    """The supports of a study.

    :raises JobProblem: the pipework or a support can't be read
    """
    s, system = study.supporting, study.design.system
    longest = {
        run: max((x for x in s.spans if x.run == run), key=lambda x: x.length_m / (x.allowed_m or 1e-3))
        for run in dict.fromkeys(x.run for x in s.spans)
    }
    return SupportsSheet(
        job=study.design.name,
        units=system.value,
        spacing=s.spacing,
        connections=tuple(
            ConnectionRow(
                port=c.port,
                force_n=c.force_n,
                moment_n_m=c.moment_n_m,
                hot_force_n=c.hot_force_n,
                hot_moment_n_m=c.hot_moment_n_m,
            )
            for c in s.connections
        ),
        force_limit_n=s.force_limit_n,
        moment_limit_n_m=s.moment_limit_n_m,
        limits_typical=not s.limits_given,
        supports=tuple(_support(x, system) for x in s.supports),
        suggested=tuple(_support(x, system) for x in s.suggested),
        suggested_proven=s.suggested_proven,
        suggested_enough=s.suggested_enough,
        runs=tuple(
            RunRow(
                run=r.run,
                span_m=longest[r.run].length_m if r.run in longest else 0.0,
                allowed_m=longest[r.run].allowed_m if r.run in longest else None,
                sag_m=r.sag_m,
                stress_pa=r.stress_pa,
                allowable_pa=r.allowable_pa,
                hot_c=r.hot_c,
                movement_m=r.movement_m,
            )
            for r in s.runs
        ),
        bends=tuple(
            BendRow(run=b.run, at_m=b.at, movement_m=b.movement_m, needed_m=b.needed_m, free_m=b.free_m)
            for b in s.bends
        ),
        passages=tuple(
            PassageRow(run=p.run, through=p.through, at_m=p.at, movement_m=p.movement_m) for p in s.passages
        ),
        loops=tuple(
            LoopRow(run=x.run, at_m=x.at, growth_m=x.growth_m, offset_m=x.offset_m, radius_m=x.radius_m)
            for x in s.loops
        ),
        weight_n=s.weight_n,
        heavy=tuple(HeavyRow(name=h.name, mass_kg=h.mass_kg) for h in s.heavy),
        cautions=tuple(
            CautionLine(id=c.id, topic=c.topic, text=c.text) for c in CAUTIONS if c.topic == "lifting" and s.heavy
        ),
    )
