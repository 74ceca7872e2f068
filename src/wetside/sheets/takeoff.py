"""The take-off sheet: what to buy and what the system holds; also as CSV for the counter."""

import csv
import io
from typing import TYPE_CHECKING

from wetside.basis.quantity import UNITS, Kind, System, convert
from wetside.basis.record import record
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class TubeRow:
    tube: str = said("The tube as the job names it.")
    size: str = said("Its size as spoken at the counter.")
    length_m: float = said("Length along the centre lines.", "m")
    stock_m: float = said("Length of one stick or coil.", "m")
    sticks: int = said("Sticks or coils to buy.")


@record
class CountRow:
    group: str = said("Fittings, valves, equipment or emitters.")
    item: str = said("The item.")
    size: str = said("Its size or sizes; empty where it has none.")
    count: int = said("How many.")


@record
class JointRow:
    kind: str = said("How the joint is made.")
    size: str = said("Tube size.")
    count: int = said("How many.")


@record
class WaterRow:
    part: str = said("Part of the system.")
    water_m3: float = said("Water that it holds.", "m3")


@record
class TakeoffSheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    tubes: tuple[TubeRow, ...] = said("Tube by kind and size.")
    tube_m: float = said("Length of all tube along the centre lines.", "m")
    counts: tuple[CountRow, ...] = said("Everything that is counted.")
    joints: tuple[JointRow, ...] = said("Joints to make.")
    joint_count: int = said("How many joints in all.")
    water: tuple[WaterRow, ...] = said("Water by part of the system.")
    water_m3: float = said("Water in the whole system.", "m3")


def takeoff_sheet(study: "Study") -> TakeoffSheet:
    """The take-off of a study.

    :raises JobProblem: the pipework can't be read
    """
    t = study.takeoff
    return TakeoffSheet(
        job=study.design.name,
        units=study.design.system.value,
        tubes=tuple(
            TubeRow(tube=x.tube, size=x.size, length_m=x.length_m, stock_m=x.stock_m, sticks=x.sticks) for x in t.tubes
        ),
        tube_m=sum(x.length_m for x in t.tubes),
        counts=tuple(CountRow(group=x.group, item=x.item, size=x.size, count=x.count) for x in t.counts),
        joints=tuple(JointRow(kind=x.kind, size=x.size, count=x.count) for x in t.joints),
        joint_count=sum(x.count for x in t.joints),
        water=tuple(WaterRow(part=x.part, water_m3=x.water_m3) for x in t.water),
        water_m3=t.water_m3,
    )


def harmless(cell: str) -> str:
    """A text cell that no spreadsheet takes for a formula: a leading ``= + - @`` gets an apostrophe before it."""
    return "'" + cell if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell


def takeoff_csv(sheet: TakeoffSheet) -> str:
    """The take-off as CSV (RFC 4180): one row per thing to buy, then joints and water; numbers in the job's units with
    a plain decimal point."""
    system = System(sheet.units)
    out = io.StringIO()
    write = csv.writer(out).writerow
    write(["group", "item", "size", "count", "amount", "unit"])
    length, volume = UNITS[system][Kind.LENGTH], UNITS[system][Kind.WATER_VOLUME]
    for t in sheet.tubes:
        amount = f"{convert(t.length_m, Kind.LENGTH, system):.{length.places}f}"
        write(["tube", harmless(t.tube), harmless(t.size), t.sticks, amount, length.text])
    for c in sheet.counts:
        write([harmless(c.group), harmless(c.item), harmless(c.size), c.count, "", ""])
    for j in sheet.joints:
        write(["joints", harmless(j.kind), harmless(j.size), j.count, "", ""])
    for w in sheet.water:
        amount = f"{convert(w.water_m3, Kind.WATER_VOLUME, system):.{volume.places}f}"
        write(["water", harmless(w.part), "", "", amount, volume.text])
    return out.getvalue()
