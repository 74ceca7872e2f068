"""Valves set and circulators slowed so that every emitter gets its design flow with the least throttling.

The net is solved with the design flows held (see `forced`). What is left over in each way is what its valve has to
take. A circulator is slowed until the way that is worst off has nothing left over but its open valve; where even full
speed does not serve, all ways of that circulator are cut back in the same proportion.
"""

from collections.abc import Mapping
from dataclasses import replace

from wetside.basis.record import record
from wetside.basis.si import Celsius, KgPerSecond, KvM3PerHour, M3PerSecond, Pascal, Ratio, Watt
from wetside.network.adjust import (
    NEAR_PA,
    State,
    adjusted,
    curve_of,
    density_at,
    loss_drop,
    setting_of,
    settings_between,
    total_drop,
)  # fmt: skip
from wetside.network.assemble import Assembly
from wetside.network.duty import Duty, kv_for_drop, rounded, valve_drop
from wetside.network.equipment import Equipment, Set
from wetside.network.reading import FlowReading
from wetside.network.resist import item
from wetside.network.solve import Solution, solve
from wetside.network.ways import Way, Wish, flows_through, turns_for, ways
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import ItemKind

KEEP = 3e-3
"""Flows and settings this near to those worked out are left as they are."""
OPEN_SHARE = 6e-4
"""A valve is left fully open where all that is over is this share of the circulator's head."""


@record
class EmitterBalance:
    name: str
    room: str
    share_w: Watt
    """Its share of its room's need."""
    design_kg_s: KgPerSecond
    flow_kg_s: KgPerSecond
    """After balancing, by a solve of the whole net with the settings."""
    before_kg_s: KgPerSecond
    supply_c: Celsius
    return_c: Celsius
    output_w: Watt
    valve: str
    """The valve that is set; empty where there is none, or another emitter in series has it."""
    valve_kind: str
    in_run: bool
    open_kv_m3_h: KvM3PerHour | None
    kv_m3_h: KvM3PerHour | None
    turns: float | None
    valve_drop_pa: Pascal | None
    fully_open: bool
    authority: Ratio | None
    """Pressure lost in the valve that controls (thermostatic, else the one that is set) over what it bears shut."""
    authority_of: str
    note: str


@record
class CirculatorBalance:
    name: str
    built_in: bool
    regulation: str
    setting: float
    """Relative speed where it runs at a fixed one, else the pressure that it holds [Pa]."""
    setting_before: float
    flow_m3_s: M3PerSecond
    head_pa: Pascal
    serves: tuple[str, ...]
    """Emitters whose flow it drives; none: it moves water elsewhere, and its setting is left."""
    note: str


@record
class BalanceReading:
    emitters: tuple[EmitterBalance, ...]
    circulators: tuple[CirculatorBalance, ...]
    worst: Ratio
    """Largest difference of flow after balancing from design, relative; 0 where nothing can be set."""
    settings: tuple[Set, ...]
    turned: Mapping[str, float]
    """Circulators to be set otherwise: relative speed, or the pressure to hold [Pa]."""
    after: FlowReading
    notes: tuple[str, ...]


@record(kw_only=False, eq=False)
class Balanced:
    """A balance with what it came from."""

    reading: BalanceReading
    made: Assembly
    ways: tuple[Way, ...]
    state: State


def balance(pipework: Pipework, equipment: Equipment, wish: Wish) -> BalanceReading:
    """Set valves and circulators for the design flows. Without any run the reading is empty.

    :raises JobProblem: the net can't be made
    :raises NoSolution: the net did not settle
    """
    if not pipework.legs:
        nothing = equipment.flow(pipework)
        return BalanceReading(
            emitters=(), circulators=(), worst=0.0, settings=(), turned={}, after=nothing, notes=("no run is drawn",)
        )
    return balanced(pipework, equipment, wish).reading


def balanced(pipework: Pipework, equipment: Equipment, wish: Wish, *, authority: bool = True) -> Balanced:
    """The same, with the state that it ended in.

    :param authority: work out the valves' authority too, which takes a solve for each
    """
    made = equipment.made(pipework)
    now = equipment.solved(made)
    before = flows_through(made, now)
    found = ways(pipework, equipment, made, before)
    state = adjusted(made, equipment, wish, found, now)
    if _is_balanced(found, state, before, made):
        settings = [_as_it_is(w) if k in state.held else None for k, w in enumerate(found)]
        state.settings = {n: setting_of(curve_of(made, n)) for n in state.settings}
    else:
        settings = _settings(found, state, made)
    turned = {n: s for n, s in state.settings.items() if s != setting_of(curve_of(made, n))}
    done = equipment.with_valves([s for s in settings if s is not None]).with_circulators(turned)
    fitted = done.refitted(pipework)
    after = done.flow(fitted)
    shares = (
        _authorities(found, done, done.made(fitted), state.found.solution)
        if authority
        else [_Authority(None, "")] * len(found)
    )
    lines = _lines(found, state, settings, before, after, equipment, shares)
    off = [abs(x.flow_kg_s / x.design_kg_s - 1.0) for x in lines if x.kv_m3_h is not None and x.design_kg_s > 0.0]
    reading = BalanceReading(
        emitters=lines,
        circulators=_circulators(found, state, made, equipment, after),
        worst=max(off, default=0.0),
        settings=tuple(s for s in settings if s is not None),
        turned=turned,
        after=after,
        notes=_notes(found, equipment, state),
    )
    return Balanced(reading, made, found, state)


def _is_balanced(found: tuple[Way, ...], state: State, before: Mapping[str, KgPerSecond], made: Assembly) -> bool:
    """Whether what is set now is as good as what would be set: then nothing changes, however often one balances."""
    flows = all(
        abs(abs(before[found[k].names[0]]) / state.wanted(k) - 1.0) <= KEEP and _as_it_is(found[k]) is not None
        for k in state.held
    )
    circulators = all(abs(s / setting_of(curve_of(made, n)) - 1.0) <= KEEP for n, s in state.settings.items())
    return flows and circulators


def _as_it_is(way: Way) -> Set | None:
    if way.valve is None or way.valve.item.kv_m3_h is None:
        return None
    return Set(valve=way.valve.item.name, emitter=way.valve.emitter, kv_m3_h=way.valve.item.kv_m3_h)


def _head(state: State, k: int, made: Assembly) -> Pascal:
    """Of the circulators that drive a way."""
    lift = state.found.solution.lift_pa
    return sum(float(lift[made.circulators[n]]) for n in state.gains if k in state.served(n))


def _settings(found: tuple[Way, ...], state: State, made: Assembly) -> list[Set | None]:
    settings: list[Set | None] = []
    for k, way in enumerate(found):
        if k not in state.held or way.valve is None:
            settings.append(None)
            continue
        flow, density = state.wanted(k), density_at(state.found.solution, way)
        full = way.valve.open_kv_m3_h
        drop = total_drop(way, state, k)
        spare = drop - valve_drop(flow, full, density)
        kv = full if spare <= 2.0 * NEAR_PA + OPEN_SHARE * _head(state, k, made) else kv_for_drop(flow, drop, density)
        settings.append(Set(valve=way.valve.item.name, emitter=way.valve.emitter, kv_m3_h=rounded(kv)))
    return settings


@record(kw_only=False)
class _Authority:
    share: Ratio | None
    of: str


def _authorities(found: tuple[Way, ...], equipment: Equipment, made: Assembly, now: Solution) -> list[_Authority]:
    """For each way: what its controlling valve loses at work over what it bears when it is shut."""
    items = {i.name: i for i in equipment.items}
    index = {n.name: i for i, n in enumerate(made.net.nodes)}
    answers: list[_Authority] = []
    for way in found:
        name, link = _controls(way, equipment)
        if name is None or now.flow_kg_s[link] == 0.0:
            answers.append(_Authority(None, ""))
            continue
        net_link = made.net.links[link]
        lost = loss_drop(
            item(items[name], net_link.bore_m), net_link.bore_m, abs(float(now.flow_kg_s[link])),
            float(now.density_kg_m3[link]),
        )  # fmt: skip
        links = list(made.net.links)
        links[link] = replace(net_link, shut=True)
        shut = solve(replace(made.net, links=tuple(links)), glycol_share=equipment.glycol_share)
        bears = way.sign * float(shut.pressure_pa[index[net_link.tail]] - shut.pressure_pa[index[net_link.head]])
        answers.append(_Authority(lost / bears if bears > lost else None, name))
    return answers


def _controls(way: Way, equipment: Equipment) -> tuple[str | None, int]:
    items = {i.name: i for i in equipment.items}
    for e, link in zip(way.emitters, way.links, strict=True):
        for name in equipment.emitter_valves.get(e.name, ("", "")):
            if name and items[name].kind is ItemKind.THERMOSTATIC:
                return name, link
    for e, link in zip(way.emitters, way.links, strict=True):
        if way.valve is not None and way.valve.emitter == e.name:
            pair = equipment.emitter_valves[e.name]
            return next(n for n in pair if n and items[n].kind is way.valve.item.kind), link
    return None, way.links[0]


def _lines(
    found: tuple[Way, ...], state: State, settings: list[Set | None], before: Mapping[str, KgPerSecond],
    after: FlowReading, equipment: Equipment, authority: list[_Authority],
) -> tuple[EmitterBalance, ...]:  # fmt: skip
    done = {e.name: e for e in after.emitters}
    lines: dict[str, EmitterBalance] = {}
    for k, (way, setting) in enumerate(zip(found, settings, strict=True)):
        duty, others = state.duties[k], len(way.emitters) > 1
        for e, share in zip(way.emitters, duty.share_w, strict=True):
            mine = setting is not None and way.valve is not None and way.valve.emitter in ("", e.name)
            mine = mine and (way.valve is None or way.valve.emitter != "" or e is way.emitters[0])
            kv = setting.kv_m3_h if mine and setting is not None else None
            valve = way.valve if mine else None
            at = done[e.name]
            lines[e.name] = EmitterBalance(
                name=e.name, room=e.room, share_w=share,
                design_kg_s=state.wanted(k), flow_kg_s=at.flow_kg_s, before_kg_s=abs(before[e.name]),
                supply_c=at.supply_c, return_c=at.return_c, output_w=at.output_w,
                valve=valve.item.name if valve is not None else "",
                valve_kind=valve.item.kind.value if valve is not None else "",
                in_run=valve is not None and not valve.emitter,
                open_kv_m3_h=valve.open_kv_m3_h if valve is not None else None,
                kv_m3_h=kv,
                turns=turns_for(valve.item, kv) if valve is not None and kv is not None else None,
                valve_drop_pa=valve_drop(at.flow_kg_s, kv, density_at(state.found.solution, way)) if kv else None,
                fully_open=valve is not None and kv is not None and kv >= rounded(valve.open_kv_m3_h),
                authority=authority[k].share, authority_of=authority[k].of,
                note=_note(way, duty, state.scale[k], others=others),
            )  # fmt: skip
    return tuple(lines[e.name] for e in equipment.emitters if e.name in lines)


def _note(way: Way, duty: Duty, scale: float, *, others: bool) -> str:
    said: list[str] = []
    if others:
        said.append(f"in series with {', '.join(n for n in way.names)}: they all get the same water")
    if way.valve is None:
        said.append("no lockshield or balancing valve to set: it gets what it gets")
    if duty.short_w > 0.5:
        most = 1.0 - duty.short_w / sum(duty.share_w)
        said.append(f"too small: gives {100.0 * most:.0f} % of what it should at the most flow that makes sense")
    if scale < 0.999:
        said.append(f"the circulator is too weak: design flow cut to {100.0 * scale:.0f} %")
    return "; ".join(said)


def _circulators(
    found: tuple[Way, ...], state: State, made: Assembly, equipment: Equipment, after: FlowReading
) -> tuple[CirculatorBalance, ...]:  # fmt: skip
    flows = {c.name: c for c in after.circulators}
    built_in = {b.circulator.name for b in equipment.boilers if b.circulator is not None}
    lines: list[CirculatorBalance] = []
    for name in made.circulators:
        drives = tuple(n for k in state.served(name) for n in found[k].names)
        curve = curve_of(made, name)
        before = setting_of(curve)
        note = ""
        if name in state.tight:
            note = "too weak for the design flows even at its highest setting"
        elif not drives:
            note = "no valve depends on it: its setting is left"
        elif state.settings[name] <= settings_between(curve)[0]:
            note = "already at its lowest setting: the valves take the rest"
        lines.append(
            CirculatorBalance(
                name=name, built_in=name in built_in, regulation=curve.regulation.value,
                setting=state.settings.get(name, before), setting_before=before,
                flow_m3_s=flows[name].flow_m3_s, head_pa=flows[name].head_pa, serves=drives, note=note,
            )
        )  # fmt: skip
    return tuple(lines)


def _notes(found: tuple[Way, ...], equipment: Equipment, state: State) -> tuple[str, ...]:
    told = {n for w in found for n in w.names}
    notes = [f"{e.name} stands: a shut valve keeps water from it" for e in equipment.emitters if e.name not in told]
    if not state.settings:
        notes.append("no circulator runs: gravity moves the water, and its flows are left as they are")
    return tuple(notes)
