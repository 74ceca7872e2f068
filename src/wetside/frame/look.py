"""The frame with one choice of supports: what it carries cold and full, what heat does to it, and both read off it."""

from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from wetside.basis.record import record
from wetside.basis.si import Celsius, Metre, Newton, NewtonMetre
from wetside.frame.beam import Floats, Ints, Lines, bending_along, deepest, sag_along
from wetside.frame.mass import strength
from wetside.frame.model import Extra, Model, bears, model, supported
from wetside.frame.place import Placed
from wetside.frame.reading import Connection, RunFrame, SupportAt
from wetside.frame.solve import Bent, solve_pairs
from wetside.frame.spec import Bracing
from wetside.frame.track import Track
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Item, Vec

TOGETHER = 20_000
"""Nodes that are solved in one go at most, for want of memory."""
UNKNOWN = 1e30
SAME = 1e-9
"""Shares of a figure that only rounding tells apart."""

Chosen = Mapping[str, Sequence[Placed]]
"""The supports of every run, in their order along it."""


@record(kw_only=False)
class Passed:
    """A floor or wall that a run passes."""

    run: str
    through: str
    along_m: Metre
    at: Vec
    way: Vec


@record(kw_only=False)
class Case:
    """Runs with places for supports: all that stays the same whatever kinds they are."""

    pipework: Pipework
    on: Mapping[str, Track]
    hot: Mapping[str, Celsius]
    model: Model
    lines: Lines
    beams_of: dict[str, Ints]
    """By run."""
    allowed_pa: Floats
    """Of every beam; 0 where nobody knows."""
    passed: list[tuple[Passed, int]]
    """With their nodes."""


@record(kw_only=False)
class Look:
    """A case on supports of certain kinds."""

    chosen: Chosen
    cold: Bent
    """Weight, on supports that don't give."""
    hot: Bent
    """Heat, on supports that do."""
    stress_pa: Floats
    """Of every beam, by weight and heat together."""
    shares: dict[str, float]
    """By run, stress over what it may be, where it is nearest to that; 0 where no figure is known."""


def case_of(
    pipework: Pipework,
    on: Mapping[str, Track],
    chosen: Chosen,
    hot: Mapping[str, Celsius],
    bracing: Bracing,
    end_items: Mapping[str, Item],
    passed: Sequence[Passed],
) -> Case:
    """The frame, with nodes at every support and wherever a floor or wall is passed."""
    extras = [Extra(run=p.run, along_m=p.along_m) for p in passed]
    rise = {leg.name: max(hot[leg.name] - bracing.cold_c, 0.0) for leg in pipework.legs}
    made = model(pipework, on, _in_a_row(chosen), extras, rise_k=rise, end_items=end_items)
    by_run: dict[str, list[int]] = {}
    for k, run in enumerate(made.beam_run):
        by_run.setdefault(run, []).append(k)
    return Case(
        pipework,
        on,
        hot,
        made,
        Lines.of(made.bare.at, made.bare.beams.ends),
        {run: np.array(mine, dtype=np.intp) for run, mine in by_run.items()},
        np.array([strength(t.material).range_pa or bracing.stress_pa or 0.0 for t in made.beam_tube]),
        list(zip(passed, made.extra_node, strict=False)),
    )


def _in_a_row(chosen: Chosen) -> list[Placed]:
    return [p for mine in chosen.values() for p in mine]


def looks(case: Case, choices: Sequence[Chosen]) -> list[Look]:
    """The frame solved with each of some choices; they differ from the case's own in kinds alone."""
    beams = case.model.bare.beams
    found: list[Look] = []
    at_once = max(TOGETHER // (2 * len(case.model.bare)), 1)
    bent = [
        b
        for k in range(0, len(choices), at_once)
        for b in solve_pairs([supported(case.model, case.on, _in_a_row(c)) for c in choices[k : k + at_once]])
    ]
    for chosen, (cold, hot) in zip(choices, bent, strict=True):
        first = cold.first + hot.first
        moment = bending_along(beams, case.lines, first).max(axis=1)
        pull = np.abs(np.einsum("ij,ij->i", first[:, :3], case.lines.axis))
        stress = moment * beams.radius_m / beams.inertia_m4 + pull / beams.area_m2
        share = _share(stress, case.allowed_pa)
        worst = {run: float(share[mine].max()) for run, mine in case.beams_of.items()}
        found.append(Look(chosen, cold, hot, stress, {r: s if s < UNKNOWN else 0.0 for r, s in worst.items()}))
    return found


def _share(stress: Floats, allowed: Floats) -> Floats:
    """`UNKNOWN` where nobody knows what is allowed, so that it comes first."""
    return np.where(allowed > 0.0, stress / np.where(allowed > 0.0, allowed, 1.0), UNKNOWN)


def run_frames(case: Case, look: Look) -> tuple[RunFrame, ...]:
    """Sag, stress and movement of every run, each where it is worst."""
    frame = case.model.bare
    beams = frame.beams
    sag = deepest(-sag_along(beams, case.lines, look.cold.moved)[:, :, 2])
    moved = np.sqrt(np.square(look.hot.moved[:, :3]).sum(axis=1))
    middle = (frame.at[beams.ends[:, 0]] + frame.at[beams.ends[:, 1]]) / 2.0
    share = _share(look.stress_pa, case.allowed_pa)
    found: list[RunFrame] = []
    for run, mine in case.beams_of.items():
        worst, low = _first(share, mine), _first(sag, mine)
        legs = {case.model.beam_leg[int(b)] for b in mine}
        found.append(
            RunFrame(
                run=run,
                sag_m=max(float(sag[low]), 0.0),
                sag_at=_three(middle[low]),
                stress_pa=float(look.stress_pa[worst]),
                stress_at=_three(middle[worst]),
                allowable_pa=float(case.allowed_pa[worst]) or None,
                material=case.model.beam_tube[worst].material.value,
                hot_c=max(case.hot[case.pipework.legs[i].name] for i in legs),
                movement_m=float(moved[beams.ends[mine]].max()),
            )
        )
    return tuple(found)


def _first(of: Floats, mine: Ints) -> int:
    """Beam with the largest figure, the first of those that only rounding tells apart."""
    here = of[mine]
    most = float(here.max())
    return int(mine[np.argmax(here >= most - SAME * abs(most))])


def support_loads(case: Case, look: Look) -> tuple[SupportAt, ...]:
    """Every support with what it carries, cold and hot."""
    cold, both = look.cold.reaction, -look.cold.reaction - look.hot.reaction
    found: list[SupportAt] = []
    for p, n in zip(_in_a_row(look.chosen), case.model.support_node, strict=True):
        s = case.on[p.run].stretch(p.along_m)
        found.append(
            SupportAt(
                name=p.name,
                run=p.run,
                kind=p.kind,
                at=s.at(p.along_m),
                along_m=p.along_m,
                tube=s.tube.name,
                size=s.tube.size,
                why=p.why,
                fixed_to=p.fixed_to,
                load_n=float(cold[n, 2]),
                force_n=_three(-cold[n]),
                hot_force_n=_three(both[n]),
                bears_n=bears(p.kind).bears_n if p.bears_n is None else p.bears_n,
                bears_given=p.bears_n is not None,
            )
        )
    return tuple(found)


def boiler_nodes(pipework: Pipework) -> list[int]:
    """Nodes of the pipework that are connections of a boiler."""
    return [n for n, x in enumerate(pipework.nodes) if x.port is not None and x.port.owner_kind == "boiler"]


def connections(case: Case, look: Look) -> tuple[Connection, ...]:
    """What the pipework does to every connection of the boilers."""
    cold, both = look.cold.reaction, -look.cold.reaction - look.hot.reaction
    return tuple(
        Connection(
            port=case.pipework.nodes[n].name,
            force_n=_three(-cold[k]),
            moment_n_m=_three(-cold[k, 3:]),
            hot_force_n=_three(both[k]),
            hot_moment_n_m=_three(both[k, 3:]),
        )
        for n in boiler_nodes(case.pipework)
        for k in (case.model.node_of[n],)
    )


def worst_connection(found: Iterable[Connection], force: Newton, moment: NewtonMetre) -> float:
    """The largest load on a connection, cold and full, over its limit."""
    return max((max(_size(c.force_n) / force, _size(c.moment_n_m) / moment) for c in found), default=0.0)


def _size(v: Vec) -> float:
    return (v[0] ** 2 + v[1] ** 2 + v[2] ** 2) ** 0.5


def _three(x: Floats) -> Vec:
    return (float(x[0]), float(x[1]), float(x[2]))
