"""The sheets as terminal tables. They show numbers in the job's units; nothing is computed here."""

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from wetside.basis.quantity import UNITS, Kind, System, number_text, show
from wetside.basis.rules import Verdict
from wetside.cli.ledger import Ledger
from wetside.cli.prose import Prose, prose
from wetside.cli.teller import MARK, STYLE
from wetside.sheets.check import CheckSheet, FindingLine
from wetside.sheets.flow import FlowSheet
from wetside.sheets.rooms import RoomsSheet, behind_text
from wetside.sheets.takeoff import TakeoffSheet
from wetside.sheets.wording import clean, degrees, plural, share, watts

BAR = 20
"""Cells of the widest bar."""


COLD_K = 0.5
"""How far below its temperature a room may settle before it is told."""


def unit_of(kind: Kind, system: System) -> str:
    """The unit as a column head shows it, never broken over two lines."""
    return UNITS[system][kind].text.replace(" ", "\u00a0")


def num(value: float, kind: Kind, system: System) -> Text:
    """A number without its unit, which the column head carries."""
    return Text(show(value, kind, system, unit=False))


def name(text: str) -> Text:
    """A name from the job: shown as it is, unable to steer the terminal."""
    return Text(clean(text), overflow="fold")


def head(job: str, what: str) -> Prose:
    return prose(f"{clean(job)} · {what}", "bold")


def verdict(word: str) -> Text:
    v = Verdict(word)
    return Text(f"{MARK[v]} {v.value}", style=STYLE[v])


def against(f: FindingLine) -> str:
    """``"1.13 m/s, at most 1.00 m/s"``, or what is missing."""
    parts = f" ({f.limit_parts})" if f.limit_parts else ""
    return f"{f.measured_text}, {f.sense} {f.limit_text}{parts}"


def rule_head(f: FindingLine) -> tuple[str, str]:
    return f"{f.id} {f.title} ({f.severity}{', safety' if f.safety else ''})", "bold"


def finding_block(f: FindingLine) -> Prose:
    """All that is said of a finding that asks for something."""
    said = [rule_head(f), (f"{clean(f.subject)}: {against(f)}", "")]
    if f.line is not None:
        said.append((f"at: {clean(f.file)}, line {f.line}", "dim"))
    if f.missing:
        said.append((f"missing: {clean(f.missing)}", ""))
    if f.accepted_on:
        said.append((f"accepted {f.accepted_on}: {clean(f.accepted_because)}", ""))
    elif f.remedy:
        said.append((f"to do: {clean(f.remedy)}", ""))
    return Prose((*said, (f"source: {f.source}", "dim")))


def held_block(findings: list[FindingLine]) -> Prose:
    """One rule that holds: a line for each place."""
    return Prose((rule_head(findings[0]), *((f"{clean(f.subject)}: {against(f)}", "") for f in findings)))


def counts(sheet: CheckSheet) -> Text:
    """The number of findings by verdict, worst first."""
    s = sheet.summary
    by = {
        Verdict.BREAKS: s.breaks,
        Verdict.NOT_KNOWN: s.not_known,
        Verdict.NEAR: s.near,
        Verdict.ACCEPTED: s.accepted,
        Verdict.HOLDS: s.holds,
    }
    text = Text()
    for v, n in by.items():
        text.append(f"{MARK[v]} {v.value} {n}   ", style=STYLE[v] if n else "dim")
    return text


def check(sheet: CheckSheet, *, brief: bool = False) -> RenderableType:
    """The findings, their count above and below; `brief` leaves out those that hold and the cautions."""
    rows = Table.grid(padding=(0, 2, 0, 0))
    rows.add_column(no_wrap=True)
    rows.add_column(overflow="fold")
    held: dict[str, list[FindingLine]] = {}
    for f in sheet.findings:
        if f.verdict == Verdict.HOLDS.value:
            held.setdefault(f.id, []).append(f)
        else:
            rows.add_row(verdict(f.verdict), finding_block(f))
    for group in () if brief else held.values():
        rows.add_row(verdict(Verdict.HOLDS.value), held_block(group))
    cautions = Table.grid(padding=(0, 2, 0, 0))
    cautions.add_column(no_wrap=True, style="bold")
    cautions.add_column(overflow="fold")
    for c in sheet.cautions:
        cautions.add_row(c.topic, prose(c.text))
    musts = sheet.summary.broken_must
    last = f"{plural(musts, 'must-rule breaks', 'must-rules break')} of {plural(sheet.summary.findings, 'finding')}."
    if sheet.summary.unknown_safety:
        unknown = plural(sheet.summary.unknown_safety, "safety rule is", "safety rules are")
        last = f"{last} {unknown} not known."
    top = (head(sheet.job, "check"), counts(sheet), prose(last, "bold"), Text(), rows)
    if brief:
        return Group(*top)
    return Group(
        *top, Text("\nCautions", style="bold"), cautions, Text(), counts(sheet), prose(last, "bold")
    )  # fmt: skip


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
