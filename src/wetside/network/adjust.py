"""Design flows, circulators' settings and what is left over in every way, brought into agreement.

Each pass solves the net once with the flows held, then takes the flows that emitters need at the temperatures found,
and the setting that each circulator needs for the way that is worst off.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from wetside.basis.quantity import WATER_4C
from wetside.basis.si import KgPerM3, KgPerSecond, M3PerSecond, Metre, Pascal, Ratio
from wetside.network.assemble import Assembly
from wetside.network.curve import head_at
from wetside.network.duty import Duty, valve_drop
from wetside.network.equipment import Equipment
from wetside.network.forced import CLOSE, ForcedFlow, M3PerKg, force_once
from wetside.network.net import Curve, Net, Regulation
from wetside.network.resist import Loss
from wetside.network.solve import Solution
from wetside.network.ways import Way, Wish, duty_at

LEAST_SPEED = 0.2
"""Slower no circulator runs (common practice, no source)."""
SERVES = 0.1
"""A circulator serves a way when at least this share of a change of its head arrives there."""
MOST_PASSES = 40
NEAR_PA = 1.0
_STEADY = 3e-5
_NEARLY = 1e-3
"""Changes of flow at which a search is over: for settings, and for sizes of tube."""
_TRIES = 5
_TRY = 0.97
"""Share of its speed at which a circulator is tried, to see what it serves."""


@dataclass(slots=True)
class State:
    """Of a balance in the making."""

    settings: dict[str, float]
    """Of each circulator that runs: see `setting_of`."""
    duties: dict[int, Duty]
    """Way → what it is to get."""
    scale: dict[int, Ratio]
    """Way → what share of that the circulator can drive."""
    held: list[int]
    """Ways whose flow a valve can set (for sizing: all of them)."""
    found: ForcedFlow = field(init=False)
    gains: dict[str, dict[int, Ratio]] = field(default_factory=dict[str, dict[int, Ratio]])
    """Circulator → way → share of a change of its head that arrives there."""
    cuts: dict[str, tuple[Ratio, Pascal]] = field(default_factory=dict[str, tuple[Ratio, Pascal]])
    """Circulator → share of the flows that was last tried of it, and what was left over then."""
    tight: set[str] = field(default_factory=set[str])
    """Circulators too weak even at full speed."""
    volume: dict[int, M3PerKg] = field(default_factory=dict[int, M3PerKg])
    """Of `force_once`."""
    past: dict[int, tuple[KgPerSecond, KgPerSecond]] = field(default_factory=dict[int, tuple[KgPerSecond, KgPerSecond]])
    """Way → flow that was last tried, and what was needed then."""

    def wanted(self, k: int) -> KgPerSecond:
        return self.duties[k].flow_kg_s * self.scale[k]

    def served(self, name: str) -> tuple[int, ...]:
        """Ways that a circulator drives."""
        return tuple(k for k, gain in self.gains.get(name, {}).items() if gain > SERVES)


def curve_of(made: Assembly, name: str) -> Curve:
    """The curve of a circulator."""
    curve = made.net.links[made.circulators[name]].curve
    assert curve is not None
    return curve


def setting_of(curve: Curve) -> float:
    """What a circulator is set to: its relative speed, or the pressure [Pa] that it holds."""
    return curve.speed if curve.regulation is Regulation.FIXED else curve.set_pa


def with_setting(curve: Curve, setting: float) -> Curve:
    """A circulator set otherwise."""
    return replace(curve, speed=setting) if curve.regulation is Regulation.FIXED else replace(curve, set_pa=setting)


def settings_between(curve: Curve) -> tuple[float, float]:
    """Lowest and highest setting of a circulator."""
    if curve.regulation is Regulation.FIXED:
        return LEAST_SPEED, max(1.0, curve.speed)
    most = max(head_at(replace(curve, regulation=Regulation.FIXED), 0.0), curve.set_pa)
    return LEAST_SPEED**2 * most, most


def at_settings(made: Assembly, settings: Mapping[str, float]) -> Net:
    """The net with its circulators set otherwise."""
    links = list(made.net.links)
    for name, setting in settings.items():
        i = made.circulators[name]
        links[i] = replace(links[i], curve=with_setting(curve_of(made, name), setting))
    return replace(made.net, links=tuple(links))


def setting_for(curve: Curve, volume_m3_s: M3PerSecond, head_pa: Pascal) -> float:
    """The setting, within what the circulator allows, at which it adds a head [Pa of cold water] to a flow.

    Head at a given flow rises with speed (affinity laws) and with the pressure held, so that halving finds it.
    """
    low, high = settings_between(curve)
    if head_at(with_setting(curve, high), volume_m3_s) <= head_pa:
        return high
    if head_at(with_setting(curve, low), volume_m3_s) >= head_pa:
        return low
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if head_at(with_setting(curve, middle), volume_m3_s) >= head_pa else (middle, high)
    return high


def loss_drop(loss: Loss, bore_m: Metre, flow_kg_s: KgPerSecond, density: KgPerM3) -> Pascal:
    """Pressure that a flow loses in an item."""
    area = 0.25 * 3.141592653589793 * bore_m**2
    by_k = loss.k * flow_kg_s**2 / (2.0 * density * area**2)
    return by_k + (valve_drop(flow_kg_s, loss.kv_m3_h, density) if loss.kv_m3_h is not None else 0.0)


def density_at(s: Solution, way: Way) -> KgPerM3:
    """Of the water that passes a way's valve."""
    valve = way.valve
    at = way.names.index(valve.emitter) if valve is not None and valve.emitter else 0
    return float(s.density_kg_m3[way.links[at]])


def total_drop(way: Way, state: State, k: int) -> Pascal:
    """What a way's valve has to take: what it takes as it is set now, and what is left over."""
    assert way.valve is not None
    now = loss_drop(way.valve.loss, way.valve.bore_m, state.wanted(k), density_at(state.found.solution, way))
    return state.found.spare_pa[way.links[0]] + now


def margins(found: tuple[Way, ...], state: State) -> dict[int, Pascal]:
    """Pressure left over in each held way when its valve is fully open."""
    s = state.found.solution
    return {
        k: total_drop(found[k], state, k) - valve_drop(state.wanted(k), valve.open_kv_m3_h, density_at(s, found[k]))
        for k in state.held
        if (valve := found[k].valve) is not None
    }


def adjusted(
    made: Assembly, equipment: Equipment, wish: Wish, found: tuple[Way, ...], now: Solution
) -> State:  # fmt: skip
    """Bring flows, temperatures and settings into agreement.

    :param now: the net as it is set
    :raises NoSolution: the net did not settle
    """
    duties = {k: duty_at(w, equipment, wish, now) for k, w in enumerate(found)}
    state = _beginning(made, duties, [k for k in duties if duties[k].flow_kg_s > 0.0 and found[k].valve is not None])
    state.found = ForcedFlow(now, {}, 0.0)
    if not state.settings or not state.held:
        state.held = []
        return state
    _hold(state, made, equipment, found)
    for turn in range(MOST_PASSES):
        moved = _new_duties(state, equipment, wish, found)
        if turn == 1:
            _see_gains(state, made, equipment, found)
        quiet = turn > 0 and _set_circulators(state, made, found)
        if quiet and moved <= _STEADY and state.found.off < CLOSE:
            break
        _hold(state, made, equipment, found)
    _round_settings(state, made)
    _hold(state, made, equipment, found)
    return state


def designed(
    made: Assembly, equipment: Equipment, wish: Wish, found: tuple[Way, ...], duties: Mapping[int, Duty],
    volume: Mapping[int, M3PerKg],
) -> State:  # fmt: skip
    """Every way at its design flow, whether a valve can set it or not: the flows that tube is sized for.

    :param duties: to begin with
    :param volume: `State.volume` to begin with, or nothing
    :raises NoSolution: the net did not settle
    """
    state = _beginning(made, dict(duties), [k for k, d in duties.items() if d.flow_kg_s > 0.0])
    state.volume = dict(volume)
    for _ in range(MOST_PASSES):
        _hold(state, made, equipment, found)
        if not state.held:
            break
        moved = _new_duties(state, equipment, wish, found)
        if moved <= _NEARLY and state.found.off < _NEARLY:
            break
    return state


def drivers(
    made: Assembly, equipment: Equipment, found: tuple[Way, ...], state: State
) -> tuple[str, ...]:  # fmt: skip
    """Circulators that drive any of the ways, by a trial of each.

    :raises NoSolution: the net did not settle
    """
    _see_gains(state, made, equipment, found)
    return tuple(n for n in state.gains if state.served(n))


def strongest(made: Assembly, names: Iterable[str]) -> dict[str, float]:
    """The highest setting of circulators."""
    return {n: settings_between(curve_of(made, n))[1] for n in names}


def _beginning(made: Assembly, duties: dict[int, Duty], held: list[int]) -> State:
    running = {n: setting_of(curve) for n in made.circulators if (curve := curve_of(made, n)).speed > 0.0}
    return State(settings=running, duties=duties, scale=dict.fromkeys(duties, 1.0), held=held)


def _hold(state: State, made: Assembly, equipment: Equipment, found: tuple[Way, ...]) -> None:
    wanted = {found[k].links[0]: found[k].sign * state.wanted(k) for k in state.held}
    net = at_settings(made, state.settings)
    state.found = force_once(net, wanted, state.volume, glycol_share=equipment.glycol_share)


def _new_duties(state: State, equipment: Equipment, wish: Wish, found: tuple[Way, ...]) -> Ratio:
    """Take the flows needed at the temperatures found. Returns the largest change, relative.

    Less water arrives colder, and colder water must be more: a secant between the last two answers keeps that from
    swinging to and fro.
    """
    fresh = {k: duty_at(w, equipment, wish, state.found.solution) for k, w in enumerate(found)}
    moved = 0.0
    for k in state.held:
        now, needed = state.duties[k].flow_kg_s, fresh[k].flow_kg_s
        moved = max(moved, abs(needed / now - 1.0))
        follow = 0.0
        if k in state.past and abs(now - state.past[k][0]) > 1e-9 * now:
            follow = (needed - state.past[k][1]) / (now - state.past[k][0])
        state.past[k] = (now, needed)
        if -50.0 < follow < 0.0:
            fresh[k] = replace(fresh[k], flow_kg_s=now + (needed - now) / (1.0 - follow))
    state.duties = fresh
    return moved


def _hold_well(state: State, made: Assembly, equipment: Equipment, found: tuple[Way, ...]) -> None:
    for _ in range(_TRIES):
        _hold(state, made, equipment, found)
        if state.found.off < CLOSE:
            break


def _see_gains(state: State, made: Assembly, equipment: Equipment, found: tuple[Way, ...]) -> None:
    """Which ways each circulator drives: where a change of its head arrives.

    In a way that is held the pressure left over tells; in a free one, its flow.
    """
    _hold_well(state, made, equipment, found)
    base, volume = state.found, dict(state.volume)
    for name, setting in list(state.settings.items()):
        i = made.circulators[name]
        state.settings[name] = _TRY * setting
        _hold_well(state, made, equipment, found)
        less = max(float(base.solution.lift_pa[i] - state.found.solution.lift_pa[i]), 1e-9)
        gains: dict[int, Ratio] = {}
        for k, way in enumerate(found):
            link = way.links[0]
            if k in state.held:
                gains[k] = (base.spare_pa[link] - state.found.spare_pa[link]) / less
            else:
                was, is_now = float(base.solution.flow_kg_s[link]), float(state.found.solution.flow_kg_s[link])
                gains[k] = (1.0 - is_now / was) / (1.0 - _TRY) if abs(was) > 1e-9 else 0.0
        state.gains[name] = gains
        state.settings[name], state.volume = setting, dict(volume)
    state.found, state.volume = base, volume


def _short_by(state: State, made: Assembly, found: tuple[Way, ...], name: str, left: Mapping[int, Pascal]) -> Pascal:
    """Head that a circulator has too much for the worst of its ways; negative: too little."""
    i = made.circulators[name]
    head = float(state.found.solution.lift_pa[i])
    spare: list[Pascal] = []
    for k in state.served(name):
        gain = min(state.gains[name][k], 1.0)
        if k in left:
            spare.append(left[k] / gain)
        elif state.duties[k].flow_kg_s > 0.0:
            # a way that no valve sets: it needs head in proportion to the square of its flow
            flow = abs(float(state.found.solution.flow_kg_s[found[k].links[0]]))
            spare.append(head * (1.0 - min((state.duties[k].flow_kg_s / max(flow, 1e-9)) ** 2, 4.0)))
    return min(spare, default=0.0)


def _set_circulators(state: State, made: Assembly, found: tuple[Way, ...]) -> bool:
    """Bring each circulator to the setting that its worst way needs, those in runs before those built into boilers.

    Returns whether nothing had to change.
    """
    left = margins(found, state)
    quiet = True
    for name in sorted(state.gains, key=lambda n: (made.net.links[made.circulators[n]].leg == "", n)):
        mine = [k for k in state.served(name) if k in left]
        least = _short_by(state, made, found, name, left)
        if not mine or abs(least) <= NEAR_PA:
            continue
        i, s, curve = made.circulators[name], state.found.solution, curve_of(made, name)
        head, density = float(s.lift_pa[i]), float(s.density_kg_m3[i])
        most = settings_between(curve)[1]
        if name in state.tight:
            quiet = _cut(state, name, mine, head, min(left[k] for k in mine)) and quiet
            continue
        setting = setting_for(curve, float(s.flow_kg_s[i]) / density, (head - least) * WATER_4C / density)
        if setting >= most and state.settings[name] >= most and least < 0.0:
            if min(left[k] for k in mine) < -NEAR_PA:  # else only a way that no valve sets lacks head
                state.tight.add(name)
                quiet = False
        elif abs(setting - state.settings[name]) > 1e-9 * most:
            quiet = False
            for k in mine:  # the next circulator on the same ways has only the rest to do
                left[k] -= least * min(state.gains[name][k], 1.0)
        state.settings[name] = setting
    return quiet


def _cut(state: State, name: str, mine: list[int], head: Pascal, least: Pascal) -> bool:
    """Bring the ways of a circulator that is too weak to the largest share of their flows that full speed drives.

    Returns whether nothing had to change.
    """
    if abs(least) <= NEAR_PA:
        return True
    # pressure lost grows nearly with the square of flow; after the first try a secant knows how nearly
    cut = (head / max(head - least, 0.1 * head)) ** 0.5
    now = state.scale[mine[0]]
    if (
        (was := state.cuts.get(name)) is not None
        and abs(now - was[0]) > 1e-9
        and (was[1] - least) * (now - was[0]) > 0.0
    ):
        cut = 1.0 + least * (now - was[0]) / (was[1] - least) / now
    state.cuts[name] = (now, least)
    cut = min(max(cut, 0.5), 1.5)
    for k in mine:
        state.scale[k] = min(state.scale[k] * cut, 1.0)
    if all(state.scale[k] >= 1.0 for k in mine):
        state.tight.discard(name)
    return False


def _round_settings(state: State, made: Assembly) -> None:
    """Settings as they are made and written: a speed to four places, a pressure to the pascal; upwards."""
    for name, setting in state.settings.items():
        curve = curve_of(made, name)
        if abs(setting - setting_of(curve)) > 1e-9 * abs(setting):
            step = 1e4 if curve.regulation is Regulation.FIXED else 1.0
            state.settings[name] = min(math.ceil(step * setting - 1e-5) / step, settings_between(curve)[1])
