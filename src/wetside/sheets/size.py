"""The sizing sheet: tube of every leg, emitters that must grow, circulators for the duty, lowest flow temperature."""

from typing import TYPE_CHECKING

from wetside.basis.record import record
from wetside.sheets.balance import CirculatorSetting, ValveLine, circulator_settings, valve_lines
from wetside.sheets.said import said

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class LegLine:
    name: str = said("The leg: tube between two nodes.")
    run: str = said("The run that it belongs to.")
    length_m: float = said("Length along the centre line.", "m")
    was: str = said("Its tube as the job has it now.")
    tube: str = said("The tube that it needs.")
    changes: bool = said("Whether these differ.")
    flow_kg_s: float = said(
        "Water through it once balanced, positive in the direction that the run is written.", "kg/s"
    )
    velocity_m_s: float = said("Speed in the tube that it needs.", "m/s")
    gradient_pa_m: float = said("Friction there per length.", "Pa/m")
    fits: bool = said("False where not even the largest tube keeps the limits.")


@record
class GrowLine:
    name: str = said("The emitter.")
    room: str = said("The room that it heats.")
    rated_was_w: float = said("Its rated output now.", "W")
    rated_w: float = said("The rated output that it needs; the next size on sale.", "W")
    length_was_m: float = said("Its length now.", "m")
    length_m: float = said("The length that it needs.", "m")
    sections_was: int = said("Its sections now; 0 where it has none.")
    sections: int = said("The sections that it needs.")
    note: str = said("What changes.")


@record
class ColdLine:
    name: str = said("The emitter.")
    why: str = said("Why no size would do.")


@record
class ChoiceLine:
    name: str = said("The circulator.")
    typical: bool = said("Whether it is one of the shipped typical curves rather than the job's own.")
    speed: float | None = said("Least relative speed that serves; null where even full speed does not.", "1")
    watts: float | None = said("Electric power at that speed.", "W")


@record
class DutyLine:
    name: str = said("The circulator as fitted.")
    flow_m3_s: float = said("Water that it has to move.", "m3/s")
    head_pa: float = said("Pressure that the worst way needs with its valve open.", "Pa")
    choices: tuple[ChoiceLine, ...] = said("What would do it, the least power first; those that can't come last.")


@record
class SizeSheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    tubes: tuple[str, ...] = said("The tubes that were chosen from, by bore.")
    legs: tuple[LegLine, ...] = said("Every leg in which water circulates.")
    emitters: tuple[GrowLine, ...] = said("Emitters that must grow to cover their rooms.")
    too_cold: tuple[ColdLine, ...] = said("Emitters that no size would make enough.")
    circulators: tuple[DutyLine, ...] = said("Every circulator that drives emitters, with choices for its duty.")
    lowest_c: float | None = said("Lowest flow temperature that heats every room; null where none does.", "degC")
    lowest_room: str = said("The room that holds it up; empty where no room has a need.")
    lowest_by: str = said('What holds it up there: "emitter" or "circulator"; empty where nothing does.')
    cost: float = said("Cost of the tube: the job's money, or metres of 15 mm copper where it has no prices.", "1")
    cost_before: float = said("The same for the tube as drawn.", "1")
    own_prices: bool = said("Whether the job's own prices were used; else typical relative ones.")
    valves: tuple[ValveLine, ...] = said("The valves of the sized system, balanced.")
    settings: tuple[CirculatorSetting, ...] = said("The circulators of the sized system, balanced.")
    passes: int = said("How often the pipework was laid and solved.")
    written: tuple[str, ...] = said("What was written into the job file; none without --write.")


def size_sheet(study: "Study", written: tuple[str, ...] = ()) -> SizeSheet:
    """The sizing sheet of a study.

    :param written: what was written into the job file
    :raises JobProblem: the rooms or the pipework can't be read
    :raises NoSolution: the network has no answer
    """
    r = study.sized
    lowest = r.lowest
    return SizeSheet(
        job=study.design.name,
        units=study.design.system.value,
        tubes=r.tubes,
        legs=tuple(
            LegLine(
                name=x.name,
                run=x.run,
                length_m=x.length_m,
                was=x.was,
                tube=x.tube,
                changes=x.was != x.tube,
                flow_kg_s=x.flow_kg_s,
                velocity_m_s=x.velocity_m_s,
                gradient_pa_m=x.gradient_pa_m,
                fits=x.fits,
            )
            for x in r.legs
        ),
        emitters=tuple(
            GrowLine(
                name=c.was.name,
                room=c.was.room,
                rated_was_w=c.was.rated_w,
                rated_w=c.emitter.rated_w if c.factor != 1.0 else c.needed_w,
                length_was_m=c.was.length_m,
                length_m=c.emitter.length_m,
                sections_was=c.was.sections,
                sections=c.emitter.sections,
                note=c.note,
            )
            for c in r.emitters
        ),
        too_cold=tuple(ColdLine(name=n, why=why) for n, why in r.too_cold),
        circulators=tuple(
            DutyLine(
                name=c.name,
                flow_m3_s=c.flow_m3_s,
                head_pa=c.head_pa,
                choices=tuple(
                    ChoiceLine(name=x.name, typical=x.typical, speed=x.speed, watts=x.watts) for x in c.choices
                ),
            )
            for c in r.circulators
        ),
        lowest_c=None if lowest is None else lowest.flow_c,
        lowest_room="" if lowest is None else lowest.room,
        lowest_by="" if lowest is None else lowest.by,
        cost=r.cost,
        cost_before=r.cost_before,
        own_prices=r.own_prices,
        valves=() if r.balance is None else valve_lines(r.balance),
        settings=() if r.balance is None else circulator_settings(r.balance),
        passes=r.passes,
        written=written,
    )
