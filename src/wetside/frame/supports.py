"""The whole reading: supports placed, the frame solved cold and hot, loads and movements read off it."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from wetside.basis.quantity import System
from wetside.basis.si import Celsius, Kilogram, Metre, Newton, NewtonMetre
from wetside.emitter.spec import Emitter
from wetside.frame.around import Around
from wetside.frame.fewest import Candidate, Choice, fewest
from wetside.frame.grow import bends, growths, hot_by_leg, loops, rises
from wetside.frame.look import (
    Case,
    Chosen,
    Look,
    Passed,
    boiler_nodes,
    case_of,
    connections,
    looks,
    run_frames,
    support_loads,
    worst_connection,
)
from wetside.frame.model import Extra, model, supported, total_weight_n
from wetside.frame.place import HEAVY, Placed, support_kind
from wetside.frame.propose import Laid, add, check_supports, lay_supports
from wetside.frame.reading import Bend, Heavy, Loop, Passage, SupportAt, Supporting
from wetside.frame.relieve import relieve
from wetside.frame.spacing import spacing_of
from wetside.frame.spans import spans
from wetside.frame.spec import Bracing, SupportKind
from wetside.frame.track import Track
from wetside.network.spec import Boiler, Tank
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Item

FORCE: Newton = 50.0
MOMENT: NewtonMetre = 10.0
"""Most on a connection of the boiler where its maker says nothing: a small figure, typical, no source."""
NEAR_BOILER: Metre = 1.5
"""Places for unloading the boiler are looked for within this length of tube from its connections."""
PLACES = 8
"""So many on each run that meets a connection."""
APART: Metre = 0.1
LIFT: Kilogram = 25.0
"""From this mass on lifting is for two: common practice."""


def supporting(
    pipework: Pipework,
    *,
    bracing: Bracing,
    around: Around,
    system: System,
    boilers: Iterable[Boiler],
    tanks: Iterable[Tank],
    emitters: Iterable[Emitter],
    items: Iterable[Item],
    emitter_valves: Mapping[str, tuple[str, str]],
) -> Supporting:
    """Supports, loads, sag, stress and movement of the whole pipework.

    Ports of equipment that is fixed to the house hold their tube; a relief valve hangs on it. Sag and loads are of the
    pipework cold and full, on supports that don't give, since they are fixed before the last union is made; stress and
    movement are with everything as hot as the boiler can make it, and supports give then as brackets do.

    :raises JobProblem: a support or a spacing table that doesn't fit the job
    """
    boilers, by_name = tuple(boilers), {i.name: i for i in items}
    spacing = spacing_of(bracing.table, bracing.code, system)
    force = FORCE if bracing.force_n is None else bracing.force_n
    moment = MOMENT if bracing.moment_n_m is None else bracing.moment_n_m
    ports = {n.name for n in pipework.nodes}
    bare = Supporting(
        spacing=spacing.text(),
        supports=(),
        connections=(),
        force_limit_n=force,
        moment_limit_n_m=moment,
        limits_given=bracing.force_n is not None and bracing.moment_n_m is not None,
        spans=(),
        runs=(),
        bends=(),
        passages=(),
        loops=(),
        suggested=(),
        suggested_proven=True,
        suggested_enough=True,
        weight_n=0.0,
        heavy=_heavy(boilers, tanks, emitters),
        bare_ports=tuple(f"{b.name}.{p}" for b in boilers for p in ("flow", "return") if f"{b.name}.{p}" not in ports),
    )
    if not pipework.legs:
        check_supports({}, bracing, system)
        return bare
    most = max((b.most_c for b in boilers), default=80.0)
    hot = hot_by_leg(pipework, most, bracing.cold_c)
    laid = lay_supports(pipework, bracing, spacing, around, hot, system)
    end_items = {
        f"{emitter}.{port}": by_name[valve]
        for emitter, pair in emitter_valves.items()
        for port, valve in zip(("flow", "return"), pair, strict=True)
        if valve in by_name
    }
    passed = _passages(laid, around)

    def case(chosen: Chosen) -> Case:
        return case_of(pipework, laid.on, chosen, hot, bracing, end_items, passed)

    here = case(laid.chosen)
    (look,) = looks(here, [laid.chosen])
    if bracing.automatic:
        look = relieve(laid.on, look, lambda choices: looks(here, choices))
        laid.chosen.update({run: list(mine) for run, mine in look.chosen.items()})
    at, loads = support_loads(here, look), connections(here, look)
    suggested: tuple[SupportAt, ...] = ()
    proven = enough = True
    if worst_connection(loads, force, moment) > 1.0:
        further, choice = _unload(pipework, laid, around, end_items, force, moment)
        before = {run: list(mine) for run, mine in laid.chosen.items()}
        named = {p.name for p in add(laid, further)}
        whole = case(laid.chosen)
        (with_them,) = looks(whole, [laid.chosen])
        suggested = tuple(s for s in support_loads(whole, with_them) if s.name in named)
        proven, enough = choice.proven, choice.worst <= 1.0
        if bracing.automatic:
            here, look = whole, with_them
            at, loads = support_loads(here, look), connections(here, look)
        else:  # the job's own supports are judged as they stand
            laid.chosen.update(before)
    bent, looped = _movements(pipework, laid, hot, bracing)
    return replace(
        bare,
        supports=at,
        connections=loads,
        spans=tuple(spans(laid.on, laid.rulers, laid.chosen, spacing, laid.tees.get)),
        runs=run_frames(here, look),
        bends=tuple(bent),
        passages=_moved_aside(here, look),
        loops=tuple(looped),
        suggested=suggested,
        suggested_proven=proven,
        suggested_enough=enough,
        weight_n=total_weight_n(here.model.bare),
    )


def _passages(laid: Laid, around: Around) -> list[Passed]:
    found: list[Passed] = []
    for run, track in laid.on.items():
        for s in track.stretches:
            for share, word in around.passed(s.a, s.at(s.to_m)):
                along = s.from_m + share * (s.to_m - s.from_m)
                found.append(Passed(run, word, along, s.at(along), s.way))
    return found


def _unload(
    pipework: Pipework,
    laid: Laid,
    around: Around,
    end_items: Mapping[str, Item],
    force: Newton,
    moment: NewtonMetre,
) -> tuple[list[Placed], Choice]:
    """The fewest further supports near the boiler that bring its connections under the limits."""
    offered: list[Placed] = []
    for run, track in laid.on.items():
        ends = [
            x
            for n, x in ((track.start, 0.0), (track.end, track.length_m))
            if n.port is not None and n.port.owner_kind == "boiler"
        ]
        for end in ends:
            near = [
                s
                for s in laid.places[run]
                if abs(s.along_m - end) <= NEAR_BOILER
                and all(abs(s.along_m - p.along_m) > APART for p in laid.chosen[run])
            ]
            near.sort(key=lambda s: abs(s.along_m - end))
            step = max(len(near) / PLACES, 1.0)
            picked = {near[int(k * step)].along_m: near[int(k * step)].fixed_to for k in range(min(len(near), PLACES))}
            # a heavy item takes a bracket of its own
            picked |= {m.along_m: "" for m in track.marks if m.mass_kg >= HEAVY and abs(m.along_m - end) <= NEAR_BOILER}
            for along, timber in picked.items():
                upright = track.stretch(along).vertical
                kind, on = (
                    (SupportKind.RISER_CLAMP, timber) if upright else support_kind(timber, track.at(along), around)
                )
                offered.append(Placed(name="", run=run, kind=kind, along_m=along, why="boiler connection", fixed_to=on))
    placed = [p for mine in laid.chosen.values() for p in mine]
    extras = [Extra(run=p.run, along_m=p.along_m) for p in offered]
    made = model(pipework, laid.on, placed, extras, rise_k={}, end_items=end_items)
    candidates = [
        Candidate(node=n, kind=p.kind, way=laid.on[p.run].stretch(p.along_m).way)
        for n, p in zip(made.extra_node, offered, strict=False)
    ]
    ports = [made.node_of[n] for n in boiler_nodes(pipework)]
    choice = fewest(supported(made, laid.on, placed)[0], candidates, ports, force, moment)
    return [offered[k] for k in choice.picked], choice


def _movements(
    pipework: Pipework, laid: Laid, hot: Mapping[str, Celsius], bracing: Bracing
) -> tuple[list[Bend], list[Loop]]:
    """Bends that growth leans on, and straights whose growth nothing takes up."""
    bent: list[Bend] = []
    looped: list[Loop] = []

    def tee(node: str) -> tuple[Track, Metre, list[Placed]] | None:
        owner = laid.tees.get(node)
        return None if owner is None else (laid.on[owner[0]], owner[1], laid.chosen[owner[0]])

    for run, track in laid.on.items():
        mine = laid.chosen[run]
        grown = growths(track, rises(track, pipework, hot, bracing.cold_c), mine)
        here = bends(track, grown, mine, tee, bracing.stress_pa)
        bent += here
        looped += loops(track, grown, here, bracing.stress_pa)
    return bent, looped


def _moved_aside(case: Case, look: Look) -> tuple[Passage, ...]:
    """How far heat moves tube sideways in the floors and walls that it passes."""
    found: list[Passage] = []
    for p, n in case.passed:
        moved, way = look.hot.moved[n, :3], np.array(p.way)
        aside = moved - (moved @ way) * way
        found.append(Passage(run=p.run, through=p.through, at=p.at, movement_m=float(np.sqrt(aside @ aside))))
    return tuple(found)


def _heavy(boilers: Iterable[Boiler], tanks: Iterable[Tank], emitters: Iterable[Emitter]) -> tuple[Heavy, ...]:
    """Equipment from `LIFT` on, dry, heaviest first."""
    known = [(x.name, x.mass_kg) for x in (*boilers, *tanks, *emitters)]
    return tuple(Heavy(name=n, mass_kg=m) for n, m in sorted(known, key=lambda x: (-x[1], x[0])) if m >= LIFT)
