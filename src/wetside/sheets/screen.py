"""What the page shows beside the drawing: rooms ledger, rules and where each leads, storeys, the foot strip.

Every text is made here, in the unit system that is asked for; the page only puts it up.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from wetside.basis.quantity import Kind, System, show
from wetside.basis.record import record
from wetside.basis.rules import ORDER, Finding, Verdict
from wetside.house.reading import RoomLoad
from wetside.sheets.check import FindingLine, finding_line
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class RoomRow:
    name: str = said("The room.")
    storey: str = said("Its storey.")
    heated: bool = said("Whether it is heated.")
    inside: str = said("Design temperature.")
    need: str = said("What it needs on the design day.")
    gives: str = said("What its emitters give; a dash while the network has no answer.")
    need_bare: str = said("What it needs, without the unit.")
    gives_bare: str = said("What its emitters give, without the unit.")
    need_w: float = said("What it needs.", "W")
    gives_w: float | None = said("What its emitters give.", "W")
    area: str = said("Floor area.")
    verdict: str = said("Worst verdict on it.")


@record
class Spot:
    """Where a finding leads to."""

    storey: str = said("Storey on whose plan it is; empty where it has none.")
    table: str = said("Table of the job file that it is written in.")
    name: str = said("Its name there.")


@record
class RuleRow:
    finding: FindingLine = said("The finding.")
    spot: Spot | None = said("Where it leads to.")


@record
class StoreyRow:
    name: str = said("The storey.")
    need: str = said("What its rooms need together.")
    verdicts: tuple[str, ...] = said("Its worst verdicts, at most two, worst first.")


@record
class Foot:
    loss: str = said("What the house loses on the design day.")
    outside: str = said("Design temperature outside.")
    water: str = said("Flow and return of the boiler.")
    pipe_loss: str = said("What the tube gives off on its way.")


@record
class Screen:
    rooms: tuple[RoomRow, ...] = said("Rooms, storey by storey from the ground up, as the job orders them.")
    rules: tuple[RuleRow, ...] = said("Findings, worst first.")
    storeys: tuple[StoreyRow, ...] = said("Storeys from the ground up.")
    counts: dict[str, int] = said("How many findings there are of each verdict.")
    foot: Foot = said("The foot strip.")


class Where:
    """Finds the storey and table of whatever a finding names."""

    def __init__(self, study: "Study") -> None:
        design = study.design
        self._storeys = sorted(design.house.storeys, key=lambda s: s.level_m)
        self._rooms = {r.name: r.storey for r in design.house.rooms}
        self._spots: dict[str, Spot] = {}
        for owner in design.ports:
            self._spots.setdefault(
                owner.owner, Spot(storey=self._at(owner.at[2]), table=owner.owner_kind, name=owner.owner)
            )
        for e in design.emitters:
            self._spots[e.name] = Spot(storey=self._rooms.get(e.room, ""), table="emitter", name=e.name)
        for name, storey in self._rooms.items():
            self._spots.setdefault(name, Spot(storey=storey, table="room", name=name))
        starts = {p.ref: p.at[2] for p in design.ports}
        for run in design.runs:
            level = starts.get(run.start, starts.get(run.end))
            storey = "" if level is None else self._at(level)
            self._spots.setdefault(run.name, Spot(storey=storey, table="run", name=run.name))
        for c in design.circulators:
            self._spots.setdefault(c.name, Spot(storey="", table="circulator", name=c.name))

    def _at(self, level: float) -> str:
        below = [s.name for s in self._storeys if s.level_m <= level + 0.02]
        return below[-1] if below else self._storeys[0].name if self._storeys else ""

    def spot(self, place: str) -> Spot | None:
        """The drawn thing that a finding's place means: ``room:Hall``, ``leg:primary 2``, ``boiler``, ``run.tee``."""
        kind, colon, rest = place.partition(":")
        name = rest if colon else kind
        if kind == "room" and name in self._rooms:
            return Spot(storey=self._rooms[name], table="room", name=name)
        for word in (name, name.rpartition(".")[0], name.rpartition(" ")[0], name.partition(",")[0]):
            if word in self._spots:
                return self._spots[word]
        return None


def room_verdicts(findings: Iterable[Finding], where: Where) -> dict[str, Verdict]:
    """The worst verdict on each room, from the findings that lead to the room itself."""
    found: dict[str, Verdict] = {}
    for f in findings:
        spot = where.spot(f.place)
        if spot is None or spot.table != "room":
            continue
        if spot.name not in found or ORDER[f.verdict] < ORDER[found[spot.name]]:
            found[spot.name] = f.verdict
    return found


def room_row(load: RoomLoad, gives_w: float | None, verdict: Verdict | None, system: System) -> RoomRow:
    """One row of the ledger."""
    shown = Verdict.NOT_KNOWN if verdict is None else verdict
    return RoomRow(
        name=load.name,
        storey=load.storey,
        heated=load.heated,
        inside=show(load.inside_c, Kind.TEMPERATURE, system, 0 if load.heated else 1),
        need=show(load.load_w, Kind.POWER, system) if load.heated else "–",
        gives="–" if gives_w is None or not load.heated else show(gives_w, Kind.POWER, system),
        need_bare=show(load.load_w, Kind.POWER, system, unit=False) if load.heated else "–",
        gives_bare="–" if gives_w is None or not load.heated else show(gives_w, Kind.POWER, system, unit=False),
        need_w=load.load_w if load.heated else 0.0,
        gives_w=gives_w,
        area=show(load.floor_area_m2, Kind.AREA, system),
        verdict=shown.value if load.heated else "",
    )


def _water(supply_c: float, return_c: float, system: System) -> str:
    supply = show(supply_c, Kind.TEMPERATURE, system, 0, unit=False)
    return f"{supply}/{show(return_c, Kind.TEMPERATURE, system, 0)}"


def screen(
    study: "Study", system: System, findings: tuple[Finding, ...] | None = None, most: int | None = None
) -> Screen:
    """All that stands beside the drawing.

    :param findings: `study.findings`, or none while the network has no answer
    :param most: rules to list, worst first; all of them when not said. Counts and storeys know of all
    :raises JobProblem: the rooms can't be read
    """
    found = findings or ()
    where = Where(study)
    verdicts = room_verdicts(found, where)
    gives: dict[str, float] | None = None
    water = pipe_loss = "–"
    if findings is not None:
        gives = {}
        for e in study.flow.emitters:
            gives[e.room] = gives.get(e.room, 0.0) + e.output_w
        water = ", ".join(_water(b.supply_c, b.return_c, system) for b in study.flow.boilers) or "–"
        pipe_loss = show(study.flow.pipe_loss_w, Kind.POWER, system)
    loads = study.rooms
    order = {s.name: i for i, s in enumerate(sorted(study.design.house.storeys, key=lambda s: s.level_m))}
    rows = tuple(
        room_row(r, None if gives is None else gives.get(r.name, 0.0), verdicts.get(r.name), system)
        for r in sorted(loads.rooms, key=lambda r: order.get(r.storey, len(order)))
    )
    spots = [where.spot(f.place) for f in found]
    listed = list(zip(found, spots, strict=True))[:most]
    rules = tuple(RuleRow(finding=finding_line(f, system), spot=s) for f, s in listed)
    seen = Counter(f.verdict for f in found)
    return Screen(
        rooms=rows,
        rules=rules,
        storeys=storey_rows(rows, zip(found, spots, strict=True), list(order), system),
        counts={v.value: seen[v] for v in Verdict},
        foot=Foot(
            loss=show(loads.building_w, Kind.POWER, system),
            outside=show(loads.outside_c, Kind.TEMPERATURE, system, 0),
            water=water,
            pipe_loss=pipe_loss,
        ),
    )


def storey_rows(
    rows: Iterable[RoomRow], judged: Iterable[tuple[Finding, Spot | None]], storeys: Iterable[str], system: System
) -> tuple[StoreyRow, ...]:
    """What each storey needs, and its worst verdicts."""
    listed, names = list(rows), list(storeys)
    need: Mapping[str, float] = {s: sum(r.need_w for r in listed if r.storey == s) for s in names}
    good = {Verdict.HOLDS, Verdict.ACCEPTED}
    seen: dict[str, set[Verdict]] = {s: set() for s in names}
    for finding, spot in judged:
        if spot is not None and spot.storey in seen:
            seen[spot.storey].add(finding.verdict)
    return tuple(
        StoreyRow(
            name=s,
            need=show(need[s], Kind.POWER, system),
            verdicts=tuple(v.value for v in sorted(seen[s], key=ORDER.__getitem__)[: 1 + (len(seen[s] - good) > 1)]),
        )
        for s in names
    )  # fmt: skip
