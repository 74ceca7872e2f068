"""The sizing and balancing sheets as terminal tables."""

from rich.console import Group, RenderableType
from rich.text import Text

from wetside.basis.quantity import Kind, System, show
from wetside.cli.cells import head, name, num, unit_of
from wetside.cli.ledger import Ledger
from wetside.cli.prose import prose
from wetside.sheets.balance import BalanceSheet, CirculatorSetting, ValveLine
from wetside.sheets.size import SizeSheet
from wetside.sheets.wording import clean, degrees, plural, setting_text


def valves(lines: tuple[ValveLine, ...], system: System) -> Ledger:
    """Every emitter: what to set, and what flows then."""
    flow = unit_of(Kind.MASS_FLOW, system)
    heads = ("emitter", "valve", unit_of(Kind.KV, system), "turns", f"design {flow}", f"now {flow}", f"then {flow}")
    t = Ledger("Valves", (*heads, "authority"), names=2)
    for v in lines:
        kv = "–" if v.kv is None else num(v.kv, Kind.KV, system)
        t.add(
            name(v.emitter),
            name(f"{v.valve_kind}, open" if v.fully_open else v.valve_kind or "none"),
            kv,
            "–" if v.turns is None else f"{v.turns:.1f}",
            num(v.design_kg_s, Kind.MASS_FLOW, system),
            num(v.before_kg_s, Kind.MASS_FLOW, system),
            num(v.flow_kg_s, Kind.MASS_FLOW, system),
            "–" if v.authority is None else f"{v.authority:.2f}",
        )
    return t


def circulators(lines: tuple[CirculatorSetting, ...], system: System) -> Ledger:
    """Every circulator: what to set it to."""
    heads = ("circulator", "set to", "now", unit_of(Kind.FLOW, system), f"head {unit_of(Kind.HEAD, system)}")
    t = Ledger("Circulators", heads)
    for c in lines:
        t.add(
            name(c.name),
            setting_text(c.setting, c.regulation, system),
            setting_text(c.before, c.regulation, system),
            num(c.flow_m3_s, Kind.FLOW, system),
            num(c.head_pa, Kind.HEAD, system),
        )
    return t


def _notes(lines: tuple[ValveLine, ...], settings: tuple[CirculatorSetting, ...]) -> list[RenderableType]:
    said = [(v.emitter, v.note) for v in lines if v.note] + [(c.name, c.note) for c in settings if c.note]
    return [prose(f"{clean(n)}: {clean(note)}.") for n, note in said]


def _written(written: tuple[str, ...]) -> list[RenderableType]:
    if not written:
        return []
    return [prose("Written into the job file:", "bold"), *(prose(f"  {clean(w)}") for w in written)]


def balance(sheet: BalanceSheet) -> RenderableType:
    system = System(sheet.units)
    parts: list[RenderableType] = [
        head(sheet.job, f"balancing, for a drop of {show(sheet.drop_k, Kind.DIFFERENCE, system)}"), Text(),
        valves(sheet.valves, system), circulators(sheet.circulators, system),
        *_notes(sheet.valves, sheet.circulators), *(prose(f"{clean(n)}.") for n in sheet.notes),
        *_written(sheet.written),
        prose(f"After balancing every set flow is within {100.0 * sheet.worst:.2f} % of its design.", "bold"),
    ]  # fmt: skip
    return Group(*parts)


def size(sheet: SizeSheet) -> RenderableType:
    system = System(sheet.units)
    kinds = (Kind.LENGTH, Kind.MASS_FLOW, Kind.SPEED, Kind.GRADIENT)
    parts: list[RenderableType] = [head(sheet.job, "sizing"), Text()]
    t = Ledger("Legs", ("leg", "tube", "now", *(unit_of(k, system) for k in kinds)), names=3)
    for x in sheet.legs:
        numbers = (x.length_m, abs(x.flow_kg_s), x.velocity_m_s, x.gradient_pa_m)
        shown = (num(v, k, system) for v, k in zip(numbers, kinds, strict=True))
        tube = x.tube if x.fits else f"{x.tube}, too small"
        t.add(name(x.name), name(tube), name(x.was if x.changes else ""), *shown)
    parts.append(t)
    if sheet.emitters:
        length, w = unit_of(Kind.LENGTH, system), unit_of(Kind.POWER, system)
        t = Ledger(
            "Emitters that must grow", ("emitter", "room", f"rated {w}", f"now {w}", length, "sections"), names=2
        )
        for e in sheet.emitters:
            t.add(
                name(e.name), name(e.room), num(e.rated_w, Kind.POWER, system), num(e.rated_was_w, Kind.POWER, system),
                num(e.length_m, Kind.LENGTH, system), str(e.sections or "–"),
            )  # fmt: skip
        parts.append(t)
    parts.extend(prose(f"{clean(c.name)}: {clean(c.why)}.") for c in sheet.too_cold)
    for d in sheet.circulators:
        duty = f"{show(d.flow_m3_s, Kind.FLOW, system)} at {show(d.head_pa, Kind.HEAD, system)}"
        t = Ledger(f"For {clean(d.name)}: {duty}", ("circulator", "speed", "power W"))
        for c in d.choices:
            speed = "too weak" if c.speed is None else f"{100.0 * c.speed:.0f} %"
            t.add(name(c.name), speed, "–" if c.watts is None else f"{c.watts:.1f}")
        parts.append(t)
    if sheet.settings:
        parts.append(circulators(sheet.settings, system))
    parts.extend(_notes(sheet.valves, sheet.settings))
    if sheet.lowest_room:
        if sheet.lowest_c is None:
            text = f"No flow temperature that the boiler allows heats {clean(sheet.lowest_room)}"
        else:
            least = degrees(sheet.lowest_c, system)
            text = f"Every room is heated from {least} flow up; {clean(sheet.lowest_room)} asks for it"
        parts.append(prose(f"{text} (its {sheet.lowest_by} gives no more).", "bold"))
    parts.extend(_written(sheet.written))
    unit = "" if sheet.own_prices else " m of 15 mm copper, typically"
    parts.append(prose(f"Tube costs {sheet.cost:.0f}{unit}; as drawn {sheet.cost_before:.0f}.", "bold"))
    changed = sum(x.changes for x in sheet.legs)
    parts.append(
        prose(f"{plural(changed, 'leg').capitalize()} change; laid and solved {plural(sheet.passes, 'time')}.", "dim")
    )
    return Group(*parts)
