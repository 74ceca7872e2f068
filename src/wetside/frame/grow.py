"""How the runs lengthen with heat, and how much free tube their bends have for it."""

from collections.abc import Callable, Iterable, Mapping, Sequence

from wetside.basis.record import record
from wetside.basis.si import Celsius, Kelvin, Metre, Pascal
from wetside.frame.heat import free_leg_m, growth_m, locked_stress_pa, loop_radius_m
from wetside.frame.mass import strength
from wetside.frame.model import is_held
from wetside.frame.place import HOLDS_ALONG, SOUGHT, Free, Placed, Pushed, square_m
from wetside.frame.reading import Bend, Loop
from wetside.frame.spec import SupportKind
from wetside.frame.track import UPRIGHT, Stretch, Track
from wetside.pipework.reading import NodeKind, Pipework
from wetside.pipework.vec import dot

SLACK: Metre = 0.0005
"""Growth that the play of clips and joints takes up; less than this asks for no free length."""
STUB: Metre = 0.3
"""A branch that turns within this length of its tee hands its growth on to the tee."""
TAPS: Celsius = 60.0
"""Tube that only leads tap water, hot."""


def hot_by_leg(pipework: Pipework, most: Celsius, cold: Celsius) -> dict[str, Celsius]:
    """The hottest that every leg can get: heating water as hot as the boiler goes, hot tap water 60 °C, all else stays
    as cold as it was put together. A leg is of the water that its ports tell."""
    group = list(range(len(pipework.nodes)))

    def root(x: int) -> int:
        while group[x] != x:
            group[x] = group[group[x]]
            x = group[x]
        return x

    for leg in pipework.legs:
        group[root(leg.a)] = root(leg.b)
    found: dict[int, Celsius] = {}
    for n, node in enumerate(pipework.nodes):
        if node.port is None:
            continue
        kind, name = node.port.owner_kind, node.port.name
        heating = kind == "emitter" or (kind in ("boiler", "tank") and name in ("flow", "return"))
        here = most if heating else (max(TAPS, cold) if kind in ("boiler", "tank") and name == "hot" else cold)
        found[root(n)] = max(found.get(root(n), cold), here)
    return {leg.name: found.get(root(leg.a), cold) for leg in pipework.legs}


@record
class Growth:
    """A reach that lengthens."""

    reach: int
    from_m: Metre
    to_m: Metre
    whole_m: Metre
    """Growth of all of it."""
    at_start_m: Metre
    at_end_m: Metre
    """How far its start and its end are pushed outwards; 0 where it is held."""
    locked: bool
    """Held at both ends with no bend between."""


def growths(
    track: Track, rise: Sequence[Kelvin], chosen: Iterable[Placed] = (), points: Iterable[Metre] = ()
) -> tuple[Growth, ...]:
    """Growth of every reach of a run, from where it is held: a port, the tee that it starts or ends at, an anchor or a
    riser clamp, else its middle.

    :param rise: by stretch, how much warmer than when it was put together
    :param points: further places where the run is to be held lengthwise
    """
    holds = [*points, *(p.along_m for p in chosen if p.kind in HOLDS_ALONG)]
    reaches = track.reaches()
    found: list[Growth] = []
    before = 0
    for k, reach in enumerate(reaches):
        low, high = reach[0].from_m, reach[-1].to_m
        parts = rise[before : before + len(reach)]
        before += len(reach)
        whole = sum(
            growth_m(s.to_m - s.from_m, strength(s.tube.material).expansion_per_k, r)
            for s, r in zip(reach, parts, strict=True)
        )
        first = k == 0 and (track.start.kind is NodeKind.TEE or is_held(track.start))
        last = k == len(reaches) - 1 and (track.end.kind is NodeKind.TEE or is_held(track.end))
        inside = [x for x in holds if low < x < high]
        length = high - low

        def share(distance: Metre, whole: Metre = whole, length: Metre = length) -> Metre:
            return whole * distance / length

        if inside:
            at_start, at_end = share(min(inside) - low), share(high - max(inside))
        elif first or last:
            at_start = at_end = whole
        else:
            at_start = at_end = whole / 2.0
        found.append(
            Growth(
                reach=k,
                from_m=low,
                to_m=high,
                whole_m=whole,
                at_start_m=0.0 if first else at_start,
                at_end_m=0.0 if last else at_end,
                locked=first and last,
            )
        )
    return tuple(found)


def keep_free(track: Track, grown: Sequence[Growth]) -> dict[int, tuple[Free, Free]]:
    """By reach, how much of its start and end the neighbouring reaches' growth wants free of supports."""
    found: dict[int, tuple[Free, Free]] = {}
    reaches = track.reaches()
    for k, reach in enumerate(reaches):
        first = last = Free()
        if k:
            first = _free_of(reach[0], grown[k - 1].at_end_m, reaches[k - 1][-1])
        if k + 1 < len(reaches):
            last = _free_of(reach[-1], grown[k + 1].at_start_m, reaches[k + 1][0])
        found[k] = (first, last)
    return found


def _free_of(s: Stretch, movement: Metre, moving: Stretch) -> Free:
    return Free(_needed(s.tube.outside_m, movement, s), moving.vertical)


def stiff_branches(
    on: Mapping[str, Track], track: Track, grown: Sequence[Growth], starts: Mapping[str, list[tuple[str, bool]]]
) -> dict[Metre, Metre]:
    """By the tee's distance along a run, how much too short the free tube of a branch there is for the run's growth.

    :param starts: by tee node, the runs that start (true) or end there
    """
    found: dict[Metre, Metre] = {}
    for name, along in track.tees:
        s = track.stretch(along)
        for run, first in starts.get(name, ()):
            branch = on[run]
            near = branch.stretches if first else branch.stretches[::-1]
            free = square_m(near, s, SOUGHT)
            needed = _needed(near[0].tube.outside_m, grown[s.reach].whole_m / 2.0, near[0])
            if free < needed:
                found[along] = max(found.get(along, 0.0), needed - free)
    return found


def pushed_tees(
    on: Mapping[str, Track],
    track: Track,
    grown: Mapping[str, Sequence[Growth]],
    starts: Mapping[str, list[tuple[str, bool]]],
) -> list[Pushed]:
    """Tees of a run that a branch pushes sideways: one that soon turns into a straight which grows.

    :param grown: every run, held by nothing but its ends
    """
    found: list[Pushed] = []
    for name, along in track.tees:
        s = track.stretch(along)
        for run, first in starts.get(name, ()):
            branch = on[run]
            order = grown[run] if first else grown[run][::-1]
            passed = 0.0
            for g in order:
                movement = g.at_start_m if first else g.at_end_m
                reach = branch.stretch((g.from_m + g.to_m) / 2.0)
                if passed and movement >= SLACK and abs(dot(reach.way, s.way)) < UPRIGHT:
                    length = _needed(s.tube.outside_m, movement, s) - passed
                    if length > 0.0:
                        found.append(Pushed(along, Free(length, reach.vertical)))
                    break
                passed += g.to_m - g.from_m
                if passed > STUB:
                    break
    return found


def _needed(outside: Metre, movement: Metre, s: Stretch) -> Metre:
    figures = strength(s.tube.material)
    if movement < SLACK or figures.allowable_pa is None:
        return 0.0
    return free_leg_m(outside, movement, figures.elastic_pa, figures.allowable_pa)


Tee = Callable[[str], tuple[Track, Metre, Sequence[Placed]] | None]
"""The run that owns a tee node, the tee's distance along it, and its supports."""


def bends(
    track: Track, grown: Sequence[Growth], chosen: Sequence[Placed], tee: Tee, allowable: Pascal | None
) -> list[Bend]:
    """Every bend whose neighbours grow by more than slack takes up, with the free tube that it needs and has.

    The free tube is what lies square to the movement between the bend and the first support or port that holds the
    tube against it; past a tee at the run's end, what the run that it belongs to has up to its nearest support. The
    need is by the guided cantilever with the range of stress that the frame is held to; where supports are placed, and
    for offsets and loops, the smaller stress of the copper handbook is used.

    :param allowable: stress of plastic tube, by its maker; without it bends of plastic are left out
    """
    reaches = track.reaches()
    found: list[Bend] = []
    for k in range(len(reaches) - 1):
        at = reaches[k + 1][0].from_m
        for mine, other, movement, onward in (
            (reaches[k][-1], reaches[k + 1][0], grown[k].at_end_m, True),
            (reaches[k + 1][0], reaches[k][-1], grown[k + 1].at_start_m, False),
        ):
            figures = strength(other.tube.material)
            stress = figures.range_pa or allowable
            if movement < SLACK or stress is None:
                continue
            found.append(
                Bend(
                    run=track.run,
                    at=track.at(at),
                    movement_m=movement,
                    needed_m=free_leg_m(other.tube.outside_m, movement, figures.elastic_pa, stress),
                    free_m=_free(track, at, mine, chosen, tee, onward=onward),
                )
            )
    return found


def _free(track: Track, at: Metre, moving: Stretch, chosen: Sequence[Placed], tee: Tee, *, onward: bool) -> Metre:
    """Tube square to a straight's direction from its bend onward (or back) to what holds it."""
    stops = [p.along_m for p in chosen if _holds(track, p, moving) and (p.along_m > at if onward else p.along_m < at)]
    stop = min(stops, default=track.length_m) if onward else max(stops, default=0.0)
    low, high = (at, stop) if onward else (stop, at)
    free = sum(
        max(min(s.to_m, high) - max(s.from_m, low), 0.0)
        for s in track.stretches
        if abs(dot(s.way, moving.way)) < UPRIGHT
    )
    owner = None if stops else tee((track.end if onward else track.start).name)
    if owner is not None:
        main, along, there = owner
        if abs(dot(main.stretch(along).way, moving.way)) < UPRIGHT:
            holds = [p.along_m for p in there if _holds(main, p, moving)]
            free += min((abs(x - along) for x in [*holds, 0.0, main.length_m]), default=0.0)
    return free


def _holds(track: Track, p: Placed, moving: Stretch) -> bool:
    """A support holds the tube against a movement: a hanger only up and down; a clip lets tube slide through that runs
    the way of the movement."""
    if p.kind is SupportKind.HANGER:
        return moving.vertical
    sliding = abs(dot(track.stretch(p.along_m).way, moving.way)) > UPRIGHT
    return not sliding or p.kind in HOLDS_ALONG


def loops(track: Track, grown: Sequence[Growth], short: Sequence[Bend], allowable: Pascal | None) -> list[Loop]:
    """Reaches that need an offset or loop: locked between held ends beyond what the tube bears, or with no bend that
    has the room."""
    reaches = track.reaches()
    found: list[Loop] = []
    for g, reach in zip(grown, reaches, strict=True):
        s = reach[0]
        figures = strength(s.tube.material)
        stress = figures.allowable_pa or allowable
        if g.whole_m < SLACK or stress is None:
            continue
        strain = g.whole_m / (g.to_m - g.from_m)
        tight = [b for b in short if b.movement_m in (g.at_start_m, g.at_end_m) and b.free_m < b.needed_m]
        ends = [x for x in (g.at_start_m, g.at_end_m) if x >= SLACK]
        locked = g.locked and locked_stress_pa(figures.elastic_pa, strain, 1.0) > stress
        starts = {track.at(g.from_m), track.at(g.to_m)}
        stuck = bool(ends) and len({b.at for b in tight if b.at in starts}) == len(ends)
        if not locked and not stuck:
            continue
        offset = free_leg_m(s.tube.outside_m, g.whole_m, figures.elastic_pa, stress)
        found.append(
            Loop(
                run=track.run,
                at=track.at((g.from_m + g.to_m) / 2.0),
                length_m=g.to_m - g.from_m,
                growth_m=g.whole_m,
                offset_m=offset,
                radius_m=loop_radius_m(offset),
            )
        )
    return found


def rises(track: Track, pipework: Pipework, hot: Mapping[str, Celsius], cold: Celsius) -> list[Kelvin]:
    """By stretch, how much warmer than when it was put together; never below nothing."""
    return [max(hot[pipework.legs[s.leg].name] - cold, 0.0) for s in track.stretches]
