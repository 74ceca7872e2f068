"""Flows, temperatures and rooms as they settle as terminal tables."""

from rich.console import Group, RenderableType
from rich.text import Text

from wetside.basis.quantity import Kind, System, number_text, show
from wetside.cli.cells import head, name, num, unit_of
from wetside.cli.ledger import Ledger
from wetside.cli.prose import prose
from wetside.sheets.flow import FlowSheet
from wetside.sheets.wording import clean, plural, watts

COLD_K = 0.5
"""How far below its temperature a room may settle before it is told."""


def _state(sheet: FlowSheet, system: System) -> str:
    """What the flow sheet is about."""
    if not sheet.settled:
        return "flow on the design day"
    parts = [f"flow at {show(sheet.outside_c, Kind.TEMPERATURE, system)} outside"]
    if sheet.shut:
        parts.append(f"{', '.join(clean(x) for x in sheet.shut)} shut")
    if sheet.standing:
        parts.append(f"{', '.join(clean(x) for x in sheet.standing)} stopped")
    return ", ".join(parts)


def _settles(sheet: FlowSheet, system: System) -> RenderableType:
    """Where every room settles, in words for those that stay colder than wanted."""
    deg = unit_of(Kind.TEMPERATURE, system)
    t = Ledger("Rooms as they settle", ("room", f"wanted {deg}", f"settles {deg}"))
    for r in sheet.rooms:
        wanted = num(r.inside_c, Kind.TEMPERATURE, system) if r.heated else "unheated"
        t.add(name(r.room), wanted, show(r.temperature_c, Kind.TEMPERATURE, system, 1, unit=False))
    outside = show(sheet.outside_c, Kind.TEMPERATURE, system)
    cold = [r for r in sheet.rooms if r.heated and r.temperature_c < r.inside_c - COLD_K]
    words = [
        f"At {outside} outside {clean(r.room)} settles at {show(r.temperature_c, Kind.TEMPERATURE, system, 1)}."
        for r in cold
    ] or [f"At {outside} outside every heated room comes to its temperature."]
    return Group(t, *(prose(w, "bold") for w in words), Text()) if sheet.legs else t


def flow(sheet: FlowSheet) -> RenderableType:
    system = System(sheet.units)
    w, deg = unit_of(Kind.POWER, system), unit_of(Kind.TEMPERATURE, system)
    parts: list[RenderableType] = [head(sheet.job, _state(sheet, system)), Text()]
    t = Ledger("Rooms", ("room", "emitters", deg, f"needs {w}", f"gets {w}", f"over {w}"), names=2)
    for r in sheet.rooms:
        if not r.heated:
            continue
        t.add(
            name(r.room),
            name(", ".join(r.emitters) or "none"),
            num(r.inside_c, Kind.TEMPERATURE, system),
            num(r.load_w, Kind.POWER, system),
            num(r.output_w, Kind.POWER, system),
            num(r.over_w, Kind.POWER, system),
        )
    if not sheet.settled:  # needs are those of the design day
        parts.append(t)
    parts.append(_settles(sheet, system))
    heads = (unit_of(Kind.MASS_FLOW, system), f"in {deg}", f"out {deg}", f"gives {w}", f"rated {w}")
    t = Ledger("Emitters", ("emitter", "room", *heads), names=2)
    for e in sheet.emitters:
        t.add(
            name(e.name),
            name(e.room),
            num(e.flow_kg_s, Kind.MASS_FLOW, system),
            num(e.supply_c, Kind.TEMPERATURE, system),
            num(e.return_c, Kind.TEMPERATURE, system),
            num(e.output_w, Kind.POWER, system),
            num(e.rated_w, Kind.POWER, system),
        )
    parts.append(t)
    sources = [*sheet.boilers, *sheet.tanks]
    if sources:
        t = Ledger(
            "Boilers and tanks", ("", unit_of(Kind.MASS_FLOW, system), f"flow {deg}", f"return {deg}", f"heat {w}", "")
        )
        for s in sources:
            limited = "at its most" if s.limited else "by turns" if s.cycles else ""
            t.add(
                name(s.name),
                num(s.flow_kg_s, Kind.MASS_FLOW, system),
                num(s.supply_c, Kind.TEMPERATURE, system),
                num(s.return_c, Kind.TEMPERATURE, system),
                num(s.output_w, Kind.POWER, system),
                limited,
            )
        parts.append(t)
    if sheet.circulators:
        t = Ledger(
            "Circulators", ("circulator", f"flow {unit_of(Kind.FLOW, system)}", f"head {unit_of(Kind.HEAD, system)}")
        )
        for c in sheet.circulators:
            t.add(name(c.name), num(c.flow_m3_s, Kind.FLOW, system), num(c.cold_pa, Kind.HEAD, system))
        parts.append(t)
    columns = (Kind.LENGTH, Kind.MASS_FLOW, Kind.SPEED, Kind.GRADIENT)
    drop = f"drop {unit_of(Kind.HEAD, system)}"
    t = Ledger("Legs", ("leg", "tube", *(unit_of(k, system) for k in columns), drop), names=2)
    for x in sheet.legs:
        numbers = (x.length_m, x.flow_kg_s, x.velocity_m_s, x.gradient_pa_m)
        shown = (num(v, k, system) for v, k in zip(numbers, columns, strict=True))
        t.add(name(x.name), name(x.tube), *shown, show(x.drop_pa, Kind.HEAD, system, 3, unit=False))
    parts.append(t)
    left = f"{number_text(sheet.residual_head_pa, 3)} Pa, {sheet.residual_mass_kg_s:.1e} kg/s".replace("-", "−")
    parts.append(prose(f"Tube gives off {watts(sheet.pipe_loss_w, system)} on the way.", "bold"))
    parts.append(prose(f"Solved in {plural(sheet.iterations, 'step')}; left over at worst {left}.", "dim"))
    return Group(*parts)
