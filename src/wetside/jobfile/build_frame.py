"""Checked tables → what the frame needs of supports and timbers."""

from wetside.frame.spec import Bracing, Support, SupportKind, Timber
from wetside.jobfile.check import Draft
from wetside.jobfile.frame_tables import StructureTable, SupportsTable, SupportTable
from wetside.jobfile.house_tables import StoreyTable

_VOID = 0.4
"""Depth of the joists under the lowest floor, where no ceiling below tells it [m]: typical."""


def build_bracing(draft: Draft) -> Bracing | None:
    """The job's choices about supports; nothing when their table has faults."""
    table = draft.one("supports", SupportsTable)
    supports = tuple(_support(draft, i, s) for i, s in draft.rows("support", SupportTable))
    timbers = _timbers(draft)
    if table is None:
        return None
    return Bracing(
        table=table.spacing or "",
        code=table.code or "",
        automatic=table.automatic,
        force_n=table.connection_force,
        moment_n_m=table.connection_moment,
        sag_m=table.sag,
        stress_pa=table.plastic_stress,
        gap_m=table.sleeve,
        cold_c=table.cold,
        supports=supports,
        timbers=timbers,
    )


def _support(draft: Draft, i: int, s: SupportTable) -> Support:
    draft.know(("support", i, "run"), s.run, draft.names("run"), "run")
    if (s.along is None) == (s.at is None):
        wrong = "it has two places" if s.at is not None else "it has no place"
        draft.fault(("support", i), wrong, "give along (distance from the run's start) or at = [east, north, up]")
    return Support(
        name=s.name, run=s.run, kind=SupportKind(s.kind), along_m=s.along, at=s.at, bears_n=s.bears
    )  # fmt: skip


def _timbers(draft: Draft) -> tuple[Timber, ...]:
    storeys = {s.name: s for _, s in draft.rows("storey", StoreyTable)}
    found: list[Timber] = []
    for i, t in draft.rows("structure", StructureTable):
        if not draft.know(("structure", i, "storey"), t.storey, draft.names("storey"), "storey"):
            continue
        storey = storeys.get(t.storey)
        if storey is None:
            continue
        if t.joists is None and t.studs is None:
            draft.fault(("structure", i), "it has neither joists nor studs", 'give joists = "north" or studs = 0.4')
        if t.joists is not None:
            below = [s.level + s.height for s in storeys.values() if s.level < storey.level]
            low = max(below, default=storey.level - _VOID)
            found.append(
                Timber(
                    low_m=min(low, storey.level),
                    high_m=storey.level,
                    what="joist",
                    spacing_m=t.joist_spacing,
                    first_m=t.first_joist,
                    run_north=t.joists == "north",
                )
            )
        if t.studs is not None:
            high = storey.level + storey.height
            found.append(Timber(low_m=storey.level, high_m=high, what="stud", spacing_m=t.studs, first_m=t.first_stud))
    return tuple(found)
