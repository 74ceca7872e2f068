"""The whole reading: supports placed, the frame solved cold and hot, loads and movements read off it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from wetside.basis.quantity import System
from wetside.basis.record import record
from wetside.basis.si import Celsius, Kilogram, Metre, Newton, NewtonMetre
from wetside.emitter.spec import Emitter
from wetside.frame.around import Around
from wetside.frame.beam import bending_along, deepest, sag_along
from wetside.frame.fewest import Candidate, Choice, fewest
from wetside.frame.grow import bends, growths, hot_by_leg, loops, rises
from wetside.frame.mass import strength
from wetside.frame.model import Extra, Model, bears, model, total_weight_n
from wetside.frame.place import HEAVY, Placed, support_kind
from wetside.frame.propose import Laid, add, check_supports, lay_supports
from wetside.frame.reading import (
    Bend,
    Connection,
    Heavy,
    Loop,
    Passage,
    RunFrame,
    SupportAt,
    Supporting,
)  # fmt: skip
from wetside.frame.relieve import Chosen, relieve
from wetside.frame.solve import Solved, solve_both
from wetside.frame.spacing import spacing_of
from wetside.frame.spans import spans
from wetside.frame.spec import Bracing, SupportKind
from wetside.frame.track import Track
from wetside.network.spec import Boiler, Tank
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Item, Vec

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


@record(kw_only=False)
class _Case:
    """Everything that the reading is made from."""

    pipework: Pipework
    laid: Laid
    placed: list[Placed]
    hot: Mapping[str, Celsius]
    bracing: Bracing


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
    if bracing.automatic:

        def look(chosen: Chosen) -> tuple[RunFrame, ...]:
            tried = replace(laid, chosen={run: list(mine) for run, mine in chosen.items()})
            return _runs(_solved(pipework, tried, hot, bracing, end_items, passed))

        laid.chosen.update(relieve(laid.on, laid.chosen, look(laid.chosen), look))
    further, choice = _unload(pipework, laid, around, end_items, force, moment)
    before = {run: list(mine) for run, mine in laid.chosen.items()}
    named = add(laid, further)
    suggested: tuple[SupportAt, ...] = ()
    if not bracing.automatic and named:
        # the job's own supports are judged as they stand; the loads of those suggested are with all in place
        whole = _solved(pipework, laid, hot, bracing, end_items, passed)
        suggested = tuple(s for s in _support_loads(whole) if s.name in {p.name for p in named})
        laid.chosen.update(before)
    done = _solved(pipework, laid, hot, bracing, end_items, passed)
    at = _support_loads(done)
    if bracing.automatic:
        suggested = tuple(s for s in at if s.name in {p.name for p in named})
    bent, passages, looped = _movements(done, around)
    return replace(
        bare,
        supports=at,
        connections=_connections(done),
        spans=tuple(spans(laid.on, laid.rulers, laid.chosen, spacing, laid.tees.get)),
        runs=_runs(done),
        bends=tuple(bent),
        passages=passages,
        loops=tuple(looped),
        suggested=suggested,
        suggested_proven=choice.proven,
        suggested_enough=choice.worst <= 1.0,
        weight_n=total_weight_n(done.model.frame),
    )


@record(kw_only=False)
class _Passed:
    """A floor or wall that a run passes."""

    run: str
    through: str
    along_m: Metre
    at: Vec
    way: Vec


@record(kw_only=False)
class _Done:
    case: _Case
    model: Model
    cold: Solved
    """Weight, on supports that don't give."""
    hot: Solved
    """Heat, on supports that do."""
    passed: list[tuple[str, str, Vec, Vec, int]]
    """Run, what it passes, where, which way, node."""


def _solved(
    pipework: Pipework,
    laid: Laid,
    hot: Mapping[str, Celsius],
    bracing: Bracing,
    end_items: Mapping[str, Item],
    passed: Sequence[_Passed],
) -> _Done:
    placed = [p for mine in laid.chosen.values() for p in mine]
    extras = [Extra(run=p.run, along_m=p.along_m) for p in passed]
    rise = {leg.name: max(hot[leg.name] - bracing.cold_c, 0.0) for leg in pipework.legs}
    made = model(pipework, laid.on, placed, extras, rise_k=rise, end_items=end_items)
    cold, soft = solve_both(made.frame, made.soft)
    return _Done(
        _Case(pipework, laid, placed, hot, bracing),
        made,
        cold,
        soft,
        [(p.run, p.through, p.at, p.way, n) for p, n in zip(passed, made.extra_node, strict=False)],
    )


def _passages(laid: Laid, around: Around) -> list[_Passed]:
    found: list[_Passed] = []
    for run, track in laid.on.items():
        for s in track.stretches:
            for share, word in around.passed(s.a, s.at(s.to_m)):
                along = s.from_m + share * (s.to_m - s.from_m)
                found.append(_Passed(run, word, along, s.at(along), s.way))
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
    connections = [made.node_of[n] for n in _boiler_nodes(pipework)]
    choice = fewest(made.frame, candidates, connections, force, moment)
    return [offered[k] for k in choice.picked], choice


def _boiler_nodes(pipework: Pipework) -> list[int]:
    return [n for n, x in enumerate(pipework.nodes) if x.port is not None and x.port.owner_kind == "boiler"]


def _three(x: np.ndarray) -> tuple[float, float, float]:
    return (float(x[0]), float(x[1]), float(x[2]))


def _support_loads(done: _Done) -> tuple[SupportAt, ...]:
    cold, heat = done.cold.weight.reaction, done.hot.heat.reaction
    found: list[SupportAt] = []
    for p, n in zip(done.case.placed, done.model.support_node, strict=True):
        track = done.case.laid.on[p.run]
        tube = track.stretch(p.along_m).tube
        found.append(
            SupportAt(
                name=p.name,
                run=p.run,
                kind=p.kind,
                at=track.at(p.along_m),
                along_m=p.along_m,
                tube=tube.name,
                size=tube.size,
                why=p.why,
                fixed_to=p.fixed_to,
                load_n=float(cold[n, 2]),
                force_n=_three(-cold[n]),
                hot_force_n=_three(-cold[n] - heat[n]),
                bears_n=bears(p.kind).bears_n if p.bears_n is None else p.bears_n,
                bears_given=p.bears_n is not None,
            )
        )
    return tuple(found)


def _connections(done: _Done) -> tuple[Connection, ...]:
    cold, heat = done.cold.weight.reaction, done.hot.heat.reaction
    pipework = done.case.pipework
    return tuple(
        Connection(
            port=pipework.nodes[n].name,
            force_n=_three(-cold[k]),
            moment_n_m=_three(-cold[k, 3:]),
            hot_force_n=_three(-cold[k] - heat[k]),
            hot_moment_n_m=_three(-cold[k, 3:] - heat[k, 3:]),
        )
        for n in _boiler_nodes(pipework)
        for k in (done.model.node_of[n],)
    )


def _runs(done: _Done) -> tuple[RunFrame, ...]:
    s, heat, m = done.cold, done.hot.heat, done.model
    beams = s.frame.beams
    line = sag_along(beams, s.lines, s.weight.moved)
    sag = deepest(-line[:, :, 2])
    first = s.weight.first + heat.first
    moment = bending_along(beams, s.lines, first).max(axis=1)
    pull = np.abs(np.einsum("ij,ij->i", first[:, :3], s.lines.axis))
    stress = moment * beams.radius_m / beams.inertia_m4 + pull / beams.area_m2
    moved = np.sqrt(np.square(heat.moved[:, :3]).sum(axis=1))
    middle = (s.frame.at[beams.ends[:, 0]] + s.frame.at[beams.ends[:, 1]]) / 2.0
    by_run: dict[str, list[int]] = {}
    for k, run in enumerate(m.beam_run):
        by_run.setdefault(run, []).append(k)
    found: list[RunFrame] = []
    for run, mine in by_run.items():
        k = np.array(mine)
        allowed = [strength(m.beam_tube[b].material).range_pa or done.case.bracing.stress_pa for b in mine]
        # the beam nearest to its own limit; where one has none, that one
        share = np.array([stress[b] / a if a else np.inf for b, a in zip(mine, allowed, strict=True)])
        worst, low = int(np.argmax(share)), mine[int(np.argmax(sag[k]))]
        found.append(
            RunFrame(
                run=run,
                sag_m=max(float(sag[k].max()), 0.0),
                sag_at=_three(middle[low]),
                stress_pa=float(stress[mine[worst]]),
                stress_at=_three(middle[mine[worst]]),
                allowable_pa=allowed[worst],
                material=m.beam_tube[mine[worst]].material.value,
                hot_c=max(done.case.hot[done.case.pipework.legs[m.beam_leg[b]].name] for b in mine),
                movement_m=float(moved[beams.ends[k]].max()),
            )
        )
    return tuple(found)


def _movements(done: _Done, around: Around) -> tuple[list[Bend], tuple[Passage, ...], list[Loop]]:
    case = done.case
    bent: list[Bend] = []
    looped: list[Loop] = []

    def tee(node: str) -> tuple[Track, Metre, list[Placed]] | None:
        owner = case.laid.tees.get(node)
        return None if owner is None else (case.laid.on[owner[0]], owner[1], case.laid.chosen[owner[0]])

    for run, track in case.laid.on.items():
        mine = case.laid.chosen[run]
        grown = growths(track, rises(track, case.pipework, case.hot, case.bracing.cold_c), mine)
        here = bends(track, grown, mine, tee, case.bracing.stress_pa)
        bent += here
        looped += loops(track, grown, here, case.bracing.stress_pa)
    moved = done.hot.heat.moved
    passages: list[Passage] = []
    for run, word, at, way, n in done.passed:
        aside = moved[n, :3] - (moved[n, :3] @ np.array(way)) * np.array(way)
        passages.append(Passage(run=run, through=word, at=at, movement_m=float(np.sqrt(aside @ aside))))
    return bent, tuple(passages), looped


def _heavy(boilers: Iterable[Boiler], tanks: Iterable[Tank], emitters: Iterable[Emitter]) -> tuple[Heavy, ...]:
    """Equipment from `LIFT` on, dry, heaviest first."""
    known = [(x.name, x.mass_kg) for x in (*boilers, *tanks, *emitters)]
    return tuple(Heavy(name=n, mass_kg=m) for n, m in sorted(known, key=lambda x: (-x[1], x[0])) if m >= LIFT)
