"""The lowest flow temperature that heats every room, and what holds it up.

Valves are taken as set anew for it: every emitter gets the water that it needs there, as long as that cools by
`LEAST_DROP_K`, and the circulators may run at their highest speed. Mixed water stays as far below the boiler's as it
is now.
"""

from dataclasses import replace

from wetside.basis.record import record
from wetside.basis.si import Celsius
from wetside.network.adjust import NEAR_PA, State, at_settings, curve_of, margins, settings_between
from wetside.network.assemble import Assembly
from wetside.network.duty import Duty
from wetside.network.equipment import Equipment
from wetside.network.forced import force_once
from wetside.network.net import Net
from wetside.network.ways import Way, Wish, duty, entering, leaving

COLDEST_C = 25.0
"""Lower than this is not looked for."""
CLOSE_K = 0.05
_SHORT_W = 0.5


@record
class LowestFlow:
    flow_c: Celsius | None
    """None where not even the boiler's highest flow temperature serves."""
    room: str
    """The room that holds it up."""
    emitter: str
    by: str
    """"emitter": it gives no more; "circulator": it drives no more water."""


def lowest_flow(
    made: Assembly, equipment: Equipment, wish: Wish, found: tuple[Way, ...], state: State
) -> LowestFlow | None:
    """Lowest flow temperature [°C], to `CLOSE_K` upwards; None where no emitter has a need to meet.

    :param state: of a balance at the flow temperature that the boilers are set to
    :raises NoSolution: the net did not settle
    """
    asked = [k for k in range(len(found)) if sum(state.duties[k].share_w) > 0.0]
    if not asked or not equipment.boilers:
        return None
    set_c = max(b.flow_c for b in equipment.boilers)
    most_c = min(b.most_c for b in equipment.boilers)
    by_way = {k: _by_emitters(found[k], equipment, wish, state, set_c, most_c) for k in asked}
    worst = max(asked, key=lambda k: (by_way[k], found[k].names))
    if by_way[worst] > most_c:
        return _answer(None, found[worst], "emitter")
    low = by_way[worst]
    slow = _lacking(low, made, equipment, wish, found, state, set_c)
    if slow is None:
        return _answer(low, found[worst], "emitter")
    high, held = most_c, slow
    if (at_most := _lacking(most_c, made, equipment, wish, found, state, set_c)) is not None:
        return _answer(None, found[at_most], "circulator")
    while high - low > CLOSE_K:
        middle = 0.5 * (low + high)
        lacking = _lacking(middle, made, equipment, wish, found, state, set_c)
        low, high, held = (low, middle, held) if lacking is None else (middle, high, lacking)
    return _answer(high, found[held], "circulator")


def _answer(flow_c: Celsius | None, way: Way, by: str) -> LowestFlow:
    e = way.emitters[-1]
    return LowestFlow(flow_c=flow_c, room=e.room, emitter=e.name, by=by)


def _at(way: Way, equipment: Equipment, wish: Wish, state: State, set_c: Celsius, flow_c: Celsius) -> Duty:
    """Design flow of a way at another flow temperature; the water cools as much on its way there as it does now."""
    now = state.found.solution
    into = [entering(now, i) for i in way.links]
    out = [into[0], *(leaving(now, i) for i in way.links)]
    cooled = tuple(max(o - a, 0.0) for o, a in zip(out, into, strict=False))
    return duty(way, equipment, wish, tuple(flow_c - (set_c - t) for t in into), cooled)


def _by_emitters(way: Way, equipment: Equipment, wish: Wish, state: State, set_c: Celsius, most_c: Celsius) -> Celsius:
    """Lowest flow temperature at which the way's emitters can give their shares; beyond `most_c` where none is."""
    low, high = COLDEST_C, most_c
    if _at(way, equipment, wish, state, set_c, high).short_w > _SHORT_W:
        return most_c + 1.0 + _at(way, equipment, wish, state, set_c, high).short_w * 1e-6
    if _at(way, equipment, wish, state, set_c, low).short_w <= _SHORT_W:
        return low
    while high - low > CLOSE_K:
        middle = 0.5 * (low + high)
        short = _at(way, equipment, wish, state, set_c, middle).short_w > _SHORT_W
        low, high = (middle, high) if short else (low, middle)
    return high


def _lacking(
    flow_c: Celsius, made: Assembly, equipment: Equipment, wish: Wish, found: tuple[Way, ...], state: State,
    set_c: Celsius,
) -> int | None:  # fmt: skip
    """The way that gets too little water at a flow temperature with the circulators at their highest speed."""
    if not state.held:
        return None
    trial = replace(
        state,
        duties={k: _at(w, equipment, wish, state, set_c, flow_c) for k, w in enumerate(found)},
        scale=dict.fromkeys(state.scale, 1.0),
        volume=dict(state.volume),
    )
    drives = {n: settings_between(curve_of(made, n))[1] if state.served(n) else s for n, s in state.settings.items()}
    net = _hotter(at_settings(made, drives), flow_c)
    wanted = {found[k].links[0]: found[k].sign * trial.wanted(k) for k in state.held}
    for _ in range(2):
        trial.found = force_once(net, wanted, trial.volume, glycol_share=equipment.glycol_share)
    left = margins(found, trial)
    worst = min(left, key=lambda k: left[k])
    return worst if left[worst] < -NEAR_PA else None


def _hotter(net: Net, flow_c: Celsius) -> Net:
    """The net with its boilers set to another flow temperature."""
    links = tuple(x if x.source is None else replace(x, source=replace(x.source, flow_c=flow_c)) for x in net.links)
    return replace(net, links=links)
