"""The heat loads of the rooms as terminal tables."""

from rich.console import Group, RenderableType
from rich.text import Text

from wetside.basis.quantity import Kind, System
from wetside.cli.cells import head, name, num, unit_of
from wetside.cli.ledger import Ledger
from wetside.cli.prose import prose
from wetside.sheets.rooms import RoomsSheet, behind_text
from wetside.sheets.wording import clean, degrees, share, watts

BAR = 20
"""Cells of the widest bar."""


def bar(part: float, whole: float) -> str:
    """A bar of whole cells, at least one for anything above nothing."""
    cells = round(BAR * part / whole) if whole > 0 and part > 0 else 0
    return "█" * max(cells, 1 if part > 0 else 0)


def rooms(sheet: RoomsSheet, *, surfaces: bool = False) -> RenderableType:
    system = System(sheet.units)
    w, deg = unit_of(Kind.POWER, system), unit_of(Kind.TEMPERATURE, system)
    t = Ledger("Rooms", ("room", deg, unit_of(Kind.AREA, system), "air 1/h", f"surfaces {w}", f"air {w}", f"needs {w}"))
    storey = None
    for r in sheet.rooms:
        if r.storey != storey:
            storey = r.storey
            t.add(name(storey))
        needs = num(r.load_w, Kind.POWER, system) if r.heated else Text("unheated")
        t.add(
            name(r.name),
            num(r.inside_c, Kind.TEMPERATURE, system),
            num(r.floor_area_m2, Kind.AREA, system),
            num(r.air_change_1_h, Kind.AIR_CHANGE, system),
            num(r.transmission_w, Kind.POWER, system),
            num(r.air_w, Kind.POWER, system),
            needs,
        )
    parts: list[RenderableType] = [head(sheet.job, f"rooms, {degrees(sheet.outside_c, system)} outside"), Text(), t]
    if surfaces:
        parts.extend(surface_tables(sheet))
    ways = Ledger("Where the heat goes", ("way", f"heat {w}", "share", ""), unruled=1)
    most = max((x.load_w for x in sheet.losses), default=0.0)
    for x in sheet.losses:
        ways.add(x.way, num(x.load_w, Kind.POWER, system), share(x.load_w, sheet.total_w), Text(bar(x.load_w, most)))
    total = f"The rooms need {watts(sheet.total_w, system)}; the house as a whole {watts(sheet.building_w, system)}."
    return Group(*parts, ways, prose(total, "bold"))


def surface_tables(sheet: RoomsSheet) -> list[Ledger]:
    """One table for each room that has surfaces."""
    system = System(sheet.units)
    made: list[Ledger] = []
    for r in sheet.rooms:
        columns = (unit_of(Kind.AREA, system), unit_of(Kind.U_VALUE, system), unit_of(Kind.TEMPERATURE, system))
        t = Ledger(clean(r.name), ("surface", "to", *columns, unit_of(Kind.POWER, system)), names=2)
        for s in r.surfaces:
            t.add(
                name(s.name),
                name(behind_text(s)),
                num(s.area_m2, Kind.AREA, system),
                num(s.u_w_m2k + s.bridge_w_m2k, Kind.U_VALUE, system),
                num(s.behind_c, Kind.TEMPERATURE, system),
                num(s.load_w, Kind.POWER, system),
            )
        if r.surfaces:
            made.append(t)
    return made
