"""The balancing sheet: what every valve and circulator is to be set to, and what flows then."""

from typing import TYPE_CHECKING

from wetside.basis.record import record
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.network.balance import BalanceReading
    from wetside.study.study import Study


@record
class ValveLine:
    emitter: str = said("The emitter.")
    room: str = said("The room that it heats.")
    share_w: float = said("Its share of the room's need.", "W")
    output_w: float = said("What it gives after balancing.", "W")
    valve: str = said("The valve that is set; empty where there is none.")
    valve_kind: str = said("Its trade kind; empty where there is none.")
    open_kv: float | None = said("Its coefficient fully open.", "m3/h at 1 bar")
    kv: float | None = said("The coefficient to set it to.", "m3/h at 1 bar")
    turns: float | None = said("Turns open from shut; null where its curve is not known.", "1")
    fully_open: bool = said("Whether it stays fully open.")
    drop_pa: float | None = said("Pressure lost in it at the design flow.", "Pa")
    design_kg_s: float = said("Design flow.", "kg/s")
    before_kg_s: float = said("Flow as the job is set now.", "kg/s")
    flow_kg_s: float = said("Flow after balancing, by a solve of the whole network.", "kg/s")
    supply_c: float = said("Temperature of the water that enters.", "degC")
    return_c: float = said("Temperature of the water that leaves.", "degC")
    authority: float | None = said(
        "Pressure lost in the controlling valve over what it bears when shut; null where there is none.", "1"
    )
    authority_of: str = said("The controlling valve: thermostatic, else the one that is set.")
    note: str = said("What else is to be known.")


@record
class CirculatorSetting:
    name: str = said("The circulator.")
    built_in: bool = said("Whether it is built into a boiler.")
    regulation: str = said('How it follows the flow, such as "fixed speed".')
    setting: float = said("Relative speed where it runs at a fixed one; else the pressure that it holds, in Pa.", "1")
    before: float = said("The same as the job is set now.", "1")
    flow_m3_s: float = said("Water that it moves after balancing.", "m3/s")
    head_pa: float = said("Pressure that it adds then.", "Pa")
    emitters: tuple[str, ...] = said("Emitters whose water it drives.")
    note: str = said("What else is to be known.")


@record
class BalanceSheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    drop_k: float = said("How far emitters may cool the water by design.", "K")
    valves: tuple[ValveLine, ...] = said("Every emitter with its valve.")
    circulators: tuple[CirculatorSetting, ...] = said("Every circulator.")
    worst: float = said("Largest difference of flow after balancing from design flow, relative.", "1")
    notes: tuple[str, ...] = said("What else is to be known.")
    written: tuple[str, ...] = said("What was written into the job file; none without --write.")


def balance_sheet(study: "Study", written: tuple[str, ...] = ()) -> BalanceSheet:
    """The balancing sheet of a study.

    :param written: what was written into the job file
    :raises JobProblem: the rooms or the pipework can't be read
    :raises NoSolution: the network has no answer
    """
    from wetside.study.hydraulic import wish_of

    reading = study.balanced
    return BalanceSheet(
        job=study.design.name,
        units=study.design.system.value,
        drop_k=wish_of(study.design, study.rooms).drop_k,
        valves=valve_lines(reading),
        circulators=circulator_settings(reading),
        worst=reading.worst,
        notes=reading.notes,
        written=written,
    )


def valve_lines(reading: "BalanceReading") -> tuple[ValveLine, ...]:
    return tuple(
        ValveLine(
            emitter=e.name,
            room=e.room,
            share_w=e.share_w,
            output_w=e.output_w,
            valve=e.valve,
            valve_kind=e.valve_kind,
            open_kv=e.open_kv_m3_h,
            kv=e.kv_m3_h,
            turns=e.turns,
            fully_open=e.fully_open,
            drop_pa=e.valve_drop_pa,
            design_kg_s=e.design_kg_s,
            before_kg_s=e.before_kg_s,
            flow_kg_s=e.flow_kg_s,
            supply_c=e.supply_c,
            return_c=e.return_c,
            authority=e.authority,
            authority_of=e.authority_of,
            note=e.note,
        )
        for e in reading.emitters
    )


def circulator_settings(reading: "BalanceReading") -> tuple[CirculatorSetting, ...]:
    return tuple(
        CirculatorSetting(
            name=c.name,
            built_in=c.built_in,
            regulation=c.regulation,
            setting=c.setting,
            before=c.setting_before,
            flow_m3_s=c.flow_m3_s,
            head_pa=c.head_pa,
            emitters=c.serves,
            note=c.note,
        )
        for c in reading.circulators
    )
