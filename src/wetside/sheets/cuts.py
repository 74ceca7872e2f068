"""The cut sheet: every piece of tube with both its ends named, the sticks that they are cut from, and the joint map."""

from typing import TYPE_CHECKING

from wetside.basis.quantity import System, tape
from wetside.basis.record import record
from wetside.fabricate.reading import Cut, End, Fabrication
from wetside.fabricate.rules import remedy
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class BendRow:
    from_last_m: float = said("From the piece's end, or the last corner, to the corner, along the centre line.", "m")
    angle_deg: float = said("How far it turns.", "deg")
    radius_m: float = said("Radius of its centre line.", "m")


@record
class CutRow:
    name: str = said("Number of the piece in building order.")
    run: str = said("Run that it belongs to.")
    length_m: float = said("Length as cut, bends allowed for.", "m")
    from_: str = said("What its first end goes into, with the joint's number.")
    to: str = said("What its other end goes into, with the joint's number.")
    tape: str = said("Length as it is read off the tape: to the millimetre, or to 1/16 in.")
    tube: str = said("Its tube.")
    size: str = said("Its size.")
    leg: str = said("Leg of the run.")
    room: str = said("Room that it passes through; empty where none is known.")
    stick: int = said("Number of the stick that it is cut from.")
    bends: tuple[BendRow, ...] = said("Bends in it, in order.")


@record
class StickRow:
    number: int = said("Number of the stick.")
    tube: str = said("Its tube.")
    stock_m: float = said("Its length.", "m")
    own: bool = said("Whether it is an offcut at hand.")
    cuts: tuple[str, ...] = said("Pieces cut from it, longest first.")
    kerf_m: float = said("Lost to the cuts.", "m")
    offcut_m: float = said("Left over in one piece.", "m")


@record
class TubePlan:
    tube: str = said("The tube.")
    cuts: int = said("Pieces.")
    cut_m: float = said("Their length together.", "m")
    kerf_m: float = said("Lost at each cut.", "m")
    bought: int = said("Sticks or coils to buy.")
    bound: int = said("No plan gets by with fewer.")
    proven: bool = said("Whether nothing cheaper is possible.")
    gap: float = said("By how much the plan may exceed the best, as a share; 0 when proven.", "1")
    waste: float = said("Kerf and offcuts as a share of the sticks used.", "1")


@record
class TightRow:
    leg: str = said("The leg.")
    from_: str = said("One fitting, with the joint's number.")
    to: str = said("The other.")
    length_m: float = said("Tube between them; not above nothing where none goes in.", "m")
    least_m: float = said("What both joints need, with a gap between the faces.", "m")
    remedy: str = said("What to do about it.")


@record
class StreetRow:
    leg: str = said("The leg.")
    from_: str = said("One fitting, with the joint's number.")
    to: str = said("The other; the street elbow's own end goes right into the fitting that is none.")
    end_m: float = said("From the centre of the street elbow to the tip of its own end, cut back to this.", "m")


@record
class StackRow:
    run: str = said("The run, built from its start.")
    meets: str = said("The port or tee that it must meet.")
    pieces: int = said("Pieces of tube in it.")
    worst_m: float = said("Farthest that it can miss, everything off the same way.", "m")
    likely_m: float = said("Root of the sum of squares of the same tolerances.", "m")
    fit_last: tuple[str, ...] = said("Pieces to measure and cut last, when the rest is dry-fitted.")


@record
class JointRow:
    number: int = said("Number in building order.")
    kind: str = said("How it is made.")
    size: str = said("Its size.")
    of: str = said("Fitting, valve or port.")
    cut: str = said("Piece of tube that goes in; empty at a union face, or where one fitting goes into another.")
    run: str = said("Run that it belongs to.")
    room: str = said("Room; empty where none is known.")
    at_m: tuple[float, ...] = said("Centre of its fitting: east, north, up.", "m")


@record
class TakeRow:
    body: str = said("Fitting, item or connector.")
    size: str = said("Tube that goes in.")
    takeout_m: float = said("From its centre (a connector: the port) to the end of the tube.", "m")
    insertion_m: float = said("How far the tube goes in.", "m")
    measure: bool = said("Whether that is typical, and yours is to be measured.")
    source: str = said("Where the take-out comes from.")


@record
class CutsSheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    cuts: tuple[CutRow, ...] = said("Every piece, in building order.")
    sticks: tuple[StickRow, ...] = said("Every stick or coil that is used, own offcuts first, tube by tube.")
    bound: int = said("No plan gets by with fewer sticks bought.")
    bought: int = said("Sticks or coils to buy.")
    proven: bool = said("Whether nothing cheaper is possible.")
    tubes: tuple[TubePlan, ...] = said("The plan of each tube.")
    tight: tuple[TightRow, ...] = said("Fittings too near each other.")
    streets: tuple[StreetRow, ...] = said("Street elbows that sit right in another fitting, with no tube between.")
    stackups: tuple[StackRow, ...] = said("Tolerances of each run that must meet something.")
    takeouts: tuple[TakeRow, ...] = said("Take-outs that the lengths are reckoned with.")
    joints: tuple[JointRow, ...] = said("The joint map.")


def cuts_sheet(study: "Study") -> CutsSheet:
    """The cut sheet of a study.

    :raises JobProblem: the pipework can't be read
    """
    system = study.design.system
    made = study.fabrication
    sticks: list[StickRow] = []
    stick_of: dict[str, int] = {}
    for laid in study.cutting:
        for s in laid.plan.sticks:
            names = tuple(laid.cuts[i].name for i in s.cuts)
            sticks.append(
                StickRow(
                    number=len(sticks) + 1,
                    tube=laid.tube.name,
                    stock_m=s.stock_m,
                    own=s.own,
                    cuts=names,
                    kerf_m=s.kerf_m,
                    offcut_m=s.offcut_m,
                )
            )
            stick_of.update(dict.fromkeys(names, len(sticks)))
    return CutsSheet(
        job=study.design.name,
        units=system.value,
        cuts=tuple(_cut(c, stick_of[c.name], system) for c in made.cuts),
        sticks=tuple(sticks),
        bound=sum(x.plan.bound for x in study.cutting),
        bought=sum(x.plan.bought for x in study.cutting),
        proven=all(x.plan.proven for x in study.cutting),
        tubes=tuple(
            TubePlan(
                tube=x.tube.name,
                cuts=len(x.cuts),
                cut_m=sum(c.length_m for c in x.cuts),
                kerf_m=x.kerf_m,
                bought=x.plan.bought,
                bound=x.plan.bound,
                proven=x.plan.proven,
                gap=x.plan.gap,
                waste=x.plan.waste,
            )
            for x in study.cutting
        ),
        tight=tuple(
            TightRow(
                leg=c.leg,
                from_=c.start,
                to=c.end,
                length_m=c.length_m,
                least_m=c.least_m,
                remedy=remedy(made, c, system),
            )
            for c in (*made.blocked, *made.cuts)
            if c.short_m > 0.0
        ),
        streets=tuple(
            StreetRow(
                leg=c.leg,
                from_=c.start,
                to=c.end,
                end_m=next(e.takeout_m for e in _ends(made, c) if e.insertion_m < 0.0),
            )
            for c in made.streets
        ),
        stackups=tuple(
            StackRow(
                run=x.run, meets=x.meets, pieces=x.pieces, worst_m=x.worst_m, likely_m=x.likely_m, fit_last=x.fit_last
            )
            for x in study.stackups
        ),
        takeouts=_takeouts(study),
        joints=tuple(
            JointRow(
                number=j.number, kind=j.kind.value, size=j.size, of=j.of, cut=j.cut, run=j.run, room=j.room, at_m=j.at
            )
            for j in made.joints
        ),
    )


def _ends(made: Fabrication, c: Cut) -> tuple[End, End]:
    return made.bodies[c.a].ends[c.a_end], made.bodies[c.b].ends[c.b_end]


def _cut(c: Cut, stick: int, system: System) -> CutRow:
    return CutRow(
        name=c.name,
        run=c.run,
        length_m=c.length_m,
        from_=c.start,
        to=c.end,
        tape=tape(c.length_m, system),
        tube=c.tube.name,
        size=c.tube.size,
        leg=c.leg,
        room=c.room,
        stick=stick,
        bends=tuple(BendRow(from_last_m=b.from_last_m, angle_deg=b.angle_deg, radius_m=b.radius_m) for b in c.bends),
    )


def _takeouts(study: "Study") -> tuple[TakeRow, ...]:
    """Each kind of body once for each size and take-out."""
    made = study.fabrication
    found: dict[tuple[str, str, int], TakeRow] = {}
    for c in made.cuts:
        for body, end in ((made.bodies[c.a], c.a_end), (made.bodies[c.b], c.b_end)):
            e = body.ends[end]
            # "tee primary.A" and "connector at boiler.flow" stand for all of their kind
            kind = "tee" if body.name.startswith("tee ") else body.name.partition(" at ")[0]
            key = (kind, c.tube.size, round(e.takeout_m * 1e5))
            found.setdefault(
                key,
                TakeRow(
                    body=kind,
                    size=c.tube.size,
                    takeout_m=e.takeout_m,
                    insertion_m=e.insertion_m,
                    measure=e.source == "typical",
                    source=e.source,
                ),
            )
    return tuple(row for _, row in sorted(found.items()))
