"""The bench sheets: each assembly by a boiler, with all that is needed to put it together from nothing else."""

from typing import TYPE_CHECKING

from wetside.basis.quantity import System, tape
from wetside.basis.record import record
from wetside.basis.rules import CAUTIONS
from wetside.fabricate.bench import CARE, HOT, BenchWork, Piece, benches, ends_of, item_kinds, joints_by_body
from wetside.fabricate.reading import Cut, Fabrication
from wetside.fabricate.stack import StackUp
from wetside.pipework.spec import ItemKind
from wetside.pipework.vec import sub
from wetside.sheets.check import CautionLine
from wetside.sheets.draw.numbers import spans
from wetside.sheets.draw.stand import Stand, stand_before
from wetside.sheets.said import said
from wetside.sheets.wording import plural

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class EndRow:
    joint: int = said("Number of the joint.")
    way: str = said("The way in which tube leaves the part there: right, left, away, near, up, down.")
    toward: tuple[float, ...] = said("The same as right, away and up.", "1")
    takeout_m: float = said("From the part's centre (a connector: the port) to the end of the tube in it.", "m")
    insertion_m: float = said("How far the tube goes in: mark it before joining.", "m")
    typical: bool = said("Whether the take-out is typical, and yours is to be measured.")


@record
class PartRow:
    name: str = said("Fitting, item or connector.")
    joints: str = said("Numbers of the joints at its ends.")
    at_m: tuple[float, ...] = said("Its centre: right, away and up from the datum.", "m")
    port: str = said("Connection that it sits on; empty for a part that hangs in the assembly.")
    piece: str = said("Piece of the bench that it belongs to; empty where it is put on in place.")
    ends: tuple[EndRow, ...] = said("Its ends that take tube.")


@record
class BendPlace:
    from_last_m: float = said("From the end, or the last corner, to the corner, along the centre line.", "m")
    angle_deg: float = said("How far it turns.", "deg")
    radius_m: float = said("Radius of its centre line.", "m")
    toward: tuple[float, ...] = said("The way it goes on: right, away and up.", "1")


@record
class BenchCut:
    name: str = said("Number of the piece of tube.")
    tube: str = said("Its tube.")
    length_m: float = said("Length as cut.", "m")
    tape: str = said("The same as it is read off the tape.")
    from_: int = said("Joint that its first end goes into.")
    to: int = said("Joint that its other end goes into.")
    way: str = said("The way in which it leaves the first joint.")
    piece: str = said("Piece of the bench that it belongs to; empty where it is cut last.")
    last: bool = said("Whether it is measured and cut when the rest hangs.")
    bends: tuple[BendPlace, ...] = said("Bends in it, in order.")


@record
class BenchJoint:
    number: int = said("Number of the joint.")
    kind: str = said("How it is made.")
    size: str = said("Its size.")
    of: str = said("Fitting, item or connection.")
    where: str = said('Where it is made: "bench A" and so on, "bench, when cool", or "in place".')


@record
class PieceRow:
    name: str = said("Letter on the drawing.")
    cuts: tuple[str, ...] = said("Pieces of tube in it.")
    joints: str = said("Joints made on the bench.")
    wide_m: float = said("From its left to its right, centre to centre.", "m")
    deep_m: float = said("From front to back, centre to centre.", "m")
    high_m: float = said("From its foot to its top, centre to centre.", "m")


@record
class CareRow:
    part: str = said("What a flame would spoil.")
    joints: str = said("Its joints.")
    what: str = said("What to do before there is a flame beside it.")


@record
class MeetRow:
    run: str = said("The run, built from its start.")
    meets: str = said("What it must meet.")
    worst_m: float = said("Farthest that it can miss, everything off the same way.", "m")
    likely_m: float = said("Root of the sum of squares of the same tolerances.", "m")
    fit_last: tuple[str, ...] = said("Pieces that take this up: measured and cut last.")


@record
class Assembly:
    name: str = said("The run that it begins with.")
    runs: tuple[str, ...] = said("Runs that it is part of.")
    looking: str = said("The way in which one looks at its front.")
    datum: str = said("Connection that distances are measured from.")
    meets: tuple[str, ...] = said("Connections that it meets.")
    parts: tuple[PartRow, ...] = said("Every fitting, item and connector.")
    cuts: tuple[BenchCut, ...] = said("Every piece of tube, in building order.")
    joints: tuple[BenchJoint, ...] = said("Every joint, in building order.")
    pieces: tuple[PieceRow, ...] = said("What is put together on the bench.")
    care: tuple[CareRow, ...] = said("Parts that heat would spoil.")
    tolerances: tuple[MeetRow, ...] = said("Tolerances of each run that must meet something here.")
    leads_on: tuple[str, ...] = said("Pieces of tube that lead on from here into the house.")
    steps: tuple[str, ...] = said("What to do, in order.")
    cautions: tuple[CautionLine, ...] = said("What can hurt people in this work.")


@record
class BenchSheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    assemblies: tuple[Assembly, ...] = said("Assemblies by the boilers.")


@record(kw_only=False)
class Bench:
    """An assembly as it stands before the person."""

    work: BenchWork
    stand: Stand
    datum: str


def bench_works(study: "Study") -> tuple[Bench, ...]:
    """The assemblies of a study, each with the side that it is looked at from.

    :raises JobProblem: the pipework can't be read
    """
    d, made = study.design, study.fabrication
    boilers = [b.name for b in d.boilers]
    last = {n for s in study.stackups for n in s.fit_last}
    found: list[Bench] = []
    for work in benches(study.pipework, made, boilers, last):
        own = [p.ref for p in d.ports if p.owner in boilers]
        datum = next((p for p in work.ports if p in own), work.ports[0])
        at = next(made.bodies[k].at for k in work.bodies if made.bodies[k].port == datum)
        steps = [sub(made.bodies[c.b].at, made.bodies[c.a].at) for c in work.cuts]
        stand = stand_before(steps, [made.bodies[k].at for k in work.bodies], at, d.house)
        found.append(Bench(work, stand, datum))
    return tuple(found)


MOTOR = "take its motor or sensor off, wrap it in a wet rag"
"""What to do with a three-way valve before there is a flame beside it (common practice, no source)."""


def three_way_bodies(study: "Study") -> dict[int, str]:
    """Three-way valves by the body that stands in a tee's place, by its index."""
    known = {v.name for v in study.design.apparatus.three_ways}
    return {k: b.name for k, b in enumerate(study.fabrication.bodies) if b.name in known}


def bench_sheet(study: "Study") -> BenchSheet:
    """The bench sheets of a study.

    :raises JobProblem: the pipework can't be read
    """
    system = study.design.system
    kinds, valves = item_kinds(study.pipework, study.fabrication), three_way_bodies(study)
    relief = {p.ref for p in study.design.ports if p.owner_kind == "relief"}
    return BenchSheet(
        job=study.design.name,
        units=system.value,
        assemblies=tuple(
            _assembly(b, study.fabrication, kinds, valves, study.stackups, relief, system) for b in bench_works(study)
        ),
    )


def _assembly(
    bench: Bench,
    made: Fabrication,
    kinds: dict[int, ItemKind],
    valves: dict[int, str],
    stacks: tuple[StackUp, ...],
    relief: set[str],
    system: System,
) -> Assembly:
    work, stand = bench.work, bench.stand
    of_body = {k: p.name for p in work.pieces for k in reversed(p.bodies)}
    of_cut = {c.name: p.name for p in work.pieces for c in p.cuts}
    last = {c.name for c in work.fit_last}
    at_body = joints_by_body(made, work.bodies)
    where = dict.fromkeys(work.in_place, "in place") | dict.fromkeys(work.screwed, "bench, when cool")
    where |= {n: f"bench {p.name}" for p in work.pieces for n in p.joints}
    joints = sorted({j.number: j for js in at_body.values() for j in js}.values(), key=lambda j: j.number)
    care = _care(work, made, kinds, valves)
    parts = tuple(
        PartRow(
            name=made.bodies[k].name,
            joints=spans(sorted(e.joint for e in made.bodies[k].ends)),
            at_m=stand(made.bodies[k].at),
            port=made.bodies[k].port,
            piece=of_body.get(k, ""),
            ends=tuple(
                EndRow(
                    joint=e.joint,
                    way=stand.word(e.away),
                    toward=stand.turned(e.away),
                    takeout_m=e.takeout_m,
                    insertion_m=e.insertion_m,
                    typical=e.source == "typical",
                )
                for e in made.bodies[k].ends
            ),
        )
        for k in work.bodies
    )
    meets = tuple(
        MeetRow(run=s.run, meets=s.meets, worst_m=s.worst_m, likely_m=s.likely_m,
                fit_last=tuple(n for n in s.fit_last if n in last))
        for s in stacks
        if last.intersection(s.fit_last)
    )  # fmt: skip
    dangers = {"CAU-HOT-WORK"} if any(j.kind in HOT for j in joints) else set[str]()
    if relief.intersection(work.ports):
        dangers.add("CAU-PRESSURE")
    return Assembly(
        name=work.name,
        runs=work.runs,
        looking=stand.looking,
        datum=bench.datum,
        meets=work.ports,
        parts=parts,
        cuts=tuple(_cut(c, made, stand, of_cut.get(c.name, ""), c.name in last, system) for c in work.cuts),
        joints=tuple(
            BenchJoint(number=j.number, kind=j.kind.value, size=j.size, of=j.of, where=where[j.number]) for j in joints
        ),
        pieces=tuple(_piece(p, made, stand) for p in work.pieces),
        care=care,
        tolerances=meets,
        leads_on=tuple(c.name for c in work.leaving),
        steps=steps(work, made, stand, care, system),
        cautions=tuple(CautionLine(id=c.id, topic=c.topic, text=c.text) for c in CAUTIONS if c.id in dangers),
    )


def _cut(c: Cut, made: Fabrication, stand: Stand, piece: str, last: bool, system: System) -> BenchCut:
    a, b = ends_of(made, c)
    return BenchCut(
        name=c.name,
        tube=c.tube.name,
        length_m=c.length_m,
        tape=tape(c.length_m, system),
        from_=a,
        to=b,
        way=stand.word(made.bodies[c.a].ends[c.a_end].away),
        piece=piece,
        last=last,
        bends=tuple(
            BendPlace(
                from_last_m=x.from_last_m,
                angle_deg=x.angle_deg,
                radius_m=x.radius_m,
                toward=stand.turned(x.out_of),
            )
            for x in c.bends
        ),
    )  # fmt: skip


def _piece(p: Piece, made: Fabrication, stand: Stand) -> PieceRow:
    points = [stand(made.bodies[k].at) for k in p.bodies]
    wide, deep, high = (max(q[k] for q in points) - min(q[k] for q in points) for k in range(3))
    return PieceRow(
        name=p.name,
        cuts=tuple(c.name for c in p.cuts),
        joints=spans(p.joints),
        wide_m=wide,
        deep_m=deep,
        high_m=high,
    )


def _care(
    work: BenchWork, made: Fabrication, kinds: dict[int, ItemKind], valves: dict[int, str]
) -> tuple[CareRow, ...]:
    hot = {j.number for j in made.joints if j.kind in HOT}
    return tuple(
        CareRow(
            part=valves.get(k) or made.bodies[k].name.removeprefix("tee for "),
            joints=spans(sorted(e.joint for e in made.bodies[k].ends)),
            what=MOTOR if k in valves else CARE[kinds[k]],
        )
        for k in work.bodies
        if (k in kinds or k in valves) and any(e.joint in hot for e in made.bodies[k].ends)
    )


def measures(p: Piece, made: Fabrication, stand: Stand, system: System) -> str:
    """How large a piece of the bench is, to check it by: ``"630 mm wide, 890 mm high"``."""
    points = [stand(made.bodies[k].at) for k in p.bodies]
    spread = [max(q[k] for q in points) - min(q[k] for q in points) for k in range(3)]
    words = zip((spread[0], spread[1], spread[2]), ("wide", "deep", "high"), strict=True)
    return ", ".join(f"{tape(x, system)} {word}" for x, word in words if x > 5e-4)


def steps(
    work: BenchWork, made: Fabrication, stand: Stand, care: tuple[CareRow, ...], system: System
) -> tuple[str, ...]:
    """The order of work on one assembly, in sentences."""
    last = [c.name for c in work.fit_last]
    first = [c.name for c in work.cuts if c.name not in last]
    hot = {j.number for j in made.joints if j.kind in HOT}
    kind = {j.number: j.kind.value for j in made.joints}
    said_: list[str] = []
    if first:
        said_.append(
            f"Cut {names(first)}. Deburr, clean, and mark on each end how far it goes in. Leave {names(last)} uncut."
            if last
            else f"Cut {names(first)}. Deburr, clean, and mark on each end how far it goes in."
        )
    for c in work.streets:
        first, last = (
            (made.bodies[c.a], made.bodies[c.a].ends[c.a_end]),
            (made.bodies[c.b], made.bodies[c.b].ends[c.b_end]),
        )
        (elbow, own), (other, cup) = (first, last) if first[1].insertion_m < 0.0 else (last, first)
        said_.append(
            f"The {elbow.name} goes right into {other.name} at joint {cup.joint}, with no tube between: "
            f"cut its own end to {tape(own.takeout_m, system)} from its centre."
        )
    for p in work.pieces:
        on_it = [c.part for c in care if set(numbers_of(c.joints)) & set(p.joints)]
        flame = any(n in hot for n in p.joints)
        wrap = f" Strip or wrap: {names(list(dict.fromkeys(on_it)))}." if flame and on_it else ""
        how = names(list(dict.fromkeys(kind[n] for n in p.joints)))
        check = measures(p, made, stand, system)
        said_.append(
            f"Bench piece {p.name}: dry-fit {names([c.name for c in p.cuts])}, turn every branch as drawn, "
            f"square it up: {check} from the outermost centre to the other.{wrap} "
            f"Then {plural(len(p.joints), 'joint')} by {how}: {spans(p.joints)}."
        )
    if work.screwed:
        said_.append(f"When all is cool, screw in what sits at joints {spans(work.screwed)}.")
    ports = [n for n in work.ports if any(made.bodies[k].port == n for p in work.pieces for k in p.bodies)]
    if work.pieces:
        at = f" at {names(ports)}" if ports else ""
        said_.append(f"Hang {names([p.name for p in work.pieces])} on supports{at}; put every other part on dry.")
    for c in work.fit_last:
        a, b = ends_of(made, c)
        depth = made.bodies[c.a].ends[c.a_end].insertion_m + made.bodies[c.b].ends[c.b_end].insertion_m
        said_.append(
            f"Measure {c.name} between the faces at joints {a} and {b}, add {tape(depth, system)} for both ends "
            f"(drawn: {tape(c.length_m, system)} in all), cut, dry-fit."
        )
    if work.leaving:
        said_.append(f"Dry-fit what leads on: {names([c.name for c in work.leaving])}.")
    if work.in_place:
        said_.append(
            "When everything meets without force, mark fittings against tubes, then make the joints in place: "
            f"{spans(work.in_place)}."
        )
    return tuple(said_)


def names(words: list[str]) -> str:
    """``"A, B and C"``; cuts in a row are drawn together: ``"C1–C12 and C17"``."""
    if all(w[:1] == "C" and w[1:].isdigit() for w in words) and words:
        parts = spans(sorted(int(w[1:]) for w in words)).split(", ")
        words = ["–".join(f"C{n}" for n in part.split("–")) for part in parts]
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def numbers_of(text: str) -> list[int]:
    """``"3, 7–9"`` → 3, 7, 8, 9."""
    found: list[int] = []
    for part in text.split(", "):
        low, _, high = part.partition("–")
        found.extend(range(int(low), int(high or low) + 1))
    return found
