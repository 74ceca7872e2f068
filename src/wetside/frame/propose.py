"""Supports for the whole pipework: those placed by hand, and those that are still wanting."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from wetside.basis.errors import MistakeList, nearest
from wetside.basis.quantity import System, tape
from wetside.basis.record import record
from wetside.basis.si import Celsius, Metre
from wetside.frame.around import Around
from wetside.frame.grow import growths, keep_free, pushed_tees, rises, stiff_branches
from wetside.frame.model import is_held
from wetside.frame.place import Placed, Rate, Ruler, Spot, beside_heavy, by_hand, fill, hold_points, kinds, spots
from wetside.frame.spacing import Spacing
from wetside.frame.spans import beyond
from wetside.frame.spec import Bracing, SupportKind
from wetside.frame.track import Track, tracks
from wetside.pipework.reading import Node, NodeKind, Pipework
from wetside.pipework.spec import Tube

BOILER_SHARE = 0.5
"""Share of a span that lies between a boiler's port, or a free end, and the first support."""
OFF_RUN: Metre = 0.3
"""A place given for a support may be this far off its run's centre line."""


@record(kw_only=False)
class Laid:
    """The runs as tracks, measured, with their supports."""

    on: dict[str, Track]
    rulers: dict[str, Ruler]
    places: dict[str, list[Spot]]
    chosen: dict[str, list[Placed]]
    tees: dict[str, tuple[str, Metre]]
    """Tee node → its run and distance."""


def lay_supports(
    pipework: Pipework,
    bracing: Bracing,
    spacing: Spacing,
    around: Around,
    hot: Mapping[str, Celsius],
    system: System = System.METRIC,
) -> Laid:
    """Supports placed by hand and, unless the job says otherwise, as many more as spacing and heavy items ask for.

    :raises JobProblem: a support by hand names a run, or a place on it, that doesn't exist
    """
    on = tracks(pipework)
    check_supports(on, bracing, system)
    hand = by_hand(bracing.supports, on)
    rulers = {run: Ruler.of(t, _rate(spacing)) for run, t in on.items()}
    tees = {name: (run, along) for run, t in on.items() for name, along in t.tees}
    laid = Laid(on, rulers, {}, {}, tees)
    starts: dict[str, list[tuple[str, bool]]] = {}
    for run, t in on.items():
        for node, first in ((t.start, True), (t.end, False)):
            starts.setdefault(node.name, []).append((run, first))
    warmer = {run: rises(track, pipework, hot, bracing.cold_c) for run, track in on.items()}
    ends_alone = {run: growths(track, warmer[run]) for run, track in on.items()}
    for run, track in on.items():
        rise = warmer[run]
        mine = sorted((p for p in hand if p.run == run), key=lambda p: p.along_m)
        own = growths(track, rise, mine) if mine else ends_alone[run]
        points = hold_points(track, stiff_branches(on, track, own, starts))
        grown = growths(track, rise, mine, points.values()) if points else own
        laid.places[run] = spots(
            track, rulers[run], keep_free(track, grown), pushed_tees(on, track, ends_alone, starts), bracing.timbers
        )
        laid.chosen[run] = _with_more(laid, run, mine, around, points) if bracing.automatic else mine
    _number(laid)
    return laid


def _rate(spacing: Spacing) -> Rate:
    def rate(tube: Tube, vertical: bool) -> Metre | None:
        found = spacing.allowed(tube, vertical=vertical)
        return found.spacing_m if found else None

    return rate


def check_supports(on: Mapping[str, Track], bracing: Bracing, system: System) -> None:
    """Supports placed by hand against their runs.

    :raises JobProblem: every support that names a run, or a place on it, that does not exist
    """
    mistakes = MistakeList()
    for s in bracing.supports:
        track = on.get(s.run)
        if track is None:
            mistakes.add("support", s.name, "run", f'there is no run "{s.run}"', nearest(s.run, on))
        elif s.along_m is not None and not 0.0 <= s.along_m <= track.length_m:
            wrong = f"{tape(s.along_m, system)} along is not on the run, which is {tape(track.length_m, system)} long"
            mistakes.add("support", s.name, "along", wrong, "measure from the run's start along its centre line")
        elif s.at is not None and (off := track.nearest(s.at)[1]) > OFF_RUN:
            wrong = f"the place is {tape(off, system)} off the run"
            mistakes.add("support", s.name, "at", wrong, "give a place on its centre line, or `along`")
        elif s.along_m is None and s.at is None:
            mistakes.add("support", s.name, "along", "it has no place", "give `along` or `at`")
    mistakes.raise_if_any()


def _with_more(
    laid: Laid, run: str, hand: Sequence[Placed], around: Around, points: Mapping[int, Metre]
) -> list[Placed]:
    track, ruler, places = laid.on[run], laid.rulers[run], laid.places[run]
    fixed = [
        Spot(
            along_m=p.along_m,
            used=ruler.used(p.along_m),
            fixed_to=p.fixed_to,
        )
        for p in hand
    ]
    taken = {p.along_m for p in hand}
    heavy = [s for s in beside_heavy(track, places, track.marks) if all(abs(s.along_m - x) > 0.15 for x in taken)]
    found = fill(
        places,
        [*fixed, *heavy],
        _before(laid, track.start),
        _before(laid, track.end),
        ruler.used(track.length_m),
    )
    beside = {s.along_m for s in heavy}
    more = [
        Placed(
            name="",
            run=run,
            kind=SupportKind.CLIP,
            along_m=s.along_m,
            why="heavy item" if s.along_m in beside else "spacing",
            fixed_to=s.fixed_to,
        )
        for s in found
        if s.along_m not in taken
    ]
    straps = {s.along_m for s in found if s.strap}
    return kinds(track, sorted([*hand, *more], key=lambda p: p.along_m), around, straps, points)


def _before(laid: Laid, node: Node) -> float:
    """Share of a span that is used beyond a run's end."""
    if node.kind is NodeKind.TEE:
        run, along = laid.tees[node.name]
        more = beyond(laid.on[run], laid.rulers[run], along, laid.chosen.get(run, ()))
        return min(more.used, 0.9) if more is not None and run in laid.chosen else BOILER_SHARE
    if not is_held(node) or (node.port is not None and node.port.owner_kind == "boiler"):
        return BOILER_SHARE
    return 0.0


def _number(laid: Laid) -> None:
    """S1, S2, … in the order of the runs, past names that are taken by hand."""
    taken = {p.name for mine in laid.chosen.values() for p in mine if p.name}
    k = 0
    for run, mine in laid.chosen.items():
        named: list[Placed] = []
        for p in mine:
            if not p.name:
                k += 1
                while f"S{k}" in taken:
                    k += 1
                p = replace(p, name=f"S{k}")
            named.append(p)
        laid.chosen[run] = named


def add(laid: Laid, more: Sequence[Placed]) -> list[Placed]:
    """Put further supports on their runs; they get the next numbers.

    :returns: them, with their names
    """
    taken = {p.name for mine in laid.chosen.values() for p in mine}
    k, named = 1, list[Placed]()
    for p in more:
        while f"S{k}" in taken:
            k += 1
        taken.add(f"S{k}")
        named.append(replace(p, name=f"S{k}"))
        laid.chosen[p.run] = sorted([*laid.chosen[p.run], named[-1]], key=lambda q: q.along_m)
    return named
