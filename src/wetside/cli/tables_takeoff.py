"""The take-off as terminal tables."""

from rich.console import Group, RenderableType
from rich.text import Text

from wetside.basis.quantity import Kind, System
from wetside.cli.cells import head, name, num, unit_of
from wetside.cli.ledger import Ledger
from wetside.sheets.takeoff import TakeoffSheet
from wetside.sheets.wording import clean


def takeoff(sheet: TakeoffSheet) -> RenderableType:
    system = System(sheet.units)
    length = unit_of(Kind.LENGTH, system)
    parts: list[RenderableType] = [head(sheet.job, "take-off"), Text()]
    t = Ledger("Tube", ("tube", "size", length, f"stock {length}", "sticks"), names=2)
    for x in sheet.tubes:
        t.add(
            name(x.tube), name(x.size), num(x.length_m, Kind.LENGTH, system), num(x.stock_m, Kind.LENGTH, system),
            str(x.sticks),
        )  # fmt: skip
    parts.append(t)
    for group in dict.fromkeys(c.group for c in sheet.counts):
        t = Ledger(clean(group).capitalize(), ("item", "size", "count"), names=2)
        for c in sheet.counts:
            if c.group == group:
                t.add(name(c.item), name(c.size), str(c.count))
        parts.append(t)
    t = Ledger("Joints", ("joint", "size", "count"), names=2)
    for j in sheet.joints:
        t.add(name(j.kind), name(j.size), str(j.count))
    parts.append(t)
    t = Ledger("Water", ("part", unit_of(Kind.WATER_VOLUME, system)))
    for x in sheet.water:
        t.add(name(x.part), num(x.water_m3, Kind.WATER_VOLUME, system))
    t.add("whole system", num(sheet.water_m3, Kind.WATER_VOLUME, system))
    parts.append(t)
    return Group(*parts)
