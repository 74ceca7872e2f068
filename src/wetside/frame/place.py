"""Supports placed on the runs: as few as the spacing table, heavy items and free length at bends allow.

Common practice, no source: a support near each end of a straight rather than on its bend, one on either side of a heavy
item, the first one near a port of the boiler, none where a bend must be free to move with heat.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from wetside.basis.si import Kilogram, Metre
from wetside.frame.around import Around
from wetside.frame.spec import Support, SupportKind, Timber
from wetside.frame.track import Mark, Stretch, Track
from wetside.pipework.reading import NodeKind
from wetside.pipework.spec import Tube, Vec

STEP: Metre = 0.05
"""Places at which a bracket is tried."""
BRACKET: Metre = 0.025
"""Half the width that a bracket takes of the tube."""
HEAVY: Kilogram = 1.0
"""An item from this mass on gets a support on either side."""
HEAVY_REACH: Metre = 0.4
FULL, CORNERED = 0.97, 0.8
"""Share of the table's spacing that is used on a straight line, and round a bend."""
WALL: Metre = 0.15
RISER: Metre = 1.2
"""A vertical tube from this length on hangs in a riser clamp."""
LONG: Metre = 6.0
"""A reach from this length on, free at both ends, gets an anchor in its middle."""

Rate = Callable[[Tube, bool], Metre | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A support on a run."""

    name: str
    run: str
    kind: SupportKind
    along_m: Metre
    why: str
    """``"by hand"``, ``"spacing"``, ``"heavy item"`` or ``"boiler connection"``."""
    fixed_to: str = ""
    """``"joist"``, ``"stud"``, ``"wall"`` or empty."""
    bears_n: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place where a bracket could go."""

    along_m: Metre
    used: float
    """Shares of spacing from the run's start to here."""
    reach: int
    tight: bool
    fixed_to: str


@dataclass(frozen=True, slots=True)
class Ruler:
    """Distance along a track counted in shares of the allowed spacing: a span may use one."""

    ends: tuple[Metre, ...]
    sums: tuple[float, ...]
    rates: tuple[float, ...]

    @staticmethod
    def of(track: Track, allowed: Rate) -> "Ruler":
        ends, sums, rates = [0.0], [0.0], list[float]()
        for s in track.stretches:
            spacing = allowed(s.tube, s.vertical)
            rate = 1.0 / spacing if spacing else 1.0
            rates.append(rate)
            ends.append(s.to_m)
            sums.append(sums[-1] + rate * (s.to_m - s.from_m))
        return Ruler(tuple(ends), tuple(sums), tuple(rates))

    def used(self, along: Metre) -> float:
        k = min(max(bisect_right(self.ends, along) - 1, 0), len(self.rates) - 1)
        return self.sums[k] + (along - self.ends[k]) * self.rates[k]


def spots(
    track: Track, ruler: Ruler, keep_free: Mapping[int, tuple[Metre, Metre]], timbers: Iterable[Timber]
) -> list[Spot]:
    """Places for brackets along a run, clear of fittings, on timbers where the plan has them.

    :param keep_free: by reach, how much of its start and of its end should stay free to move
    """
    timbers = tuple(timbers)
    found: list[Spot] = []
    limits: dict[int, tuple[Metre, Metre]] = {}
    for s in track.stretches:
        low, high = limits.get(s.reach, (s.from_m, s.to_m))
        limits[s.reach] = (min(low, s.from_m), max(high, s.to_m))
    for s in track.stretches:
        low, high = limits[s.reach]
        free = keep_free.get(s.reach, (0.0, 0.0))
        for along, on in _places(s, timbers):
            if any(abs(along - m.along_m) < m.clear_m + BRACKET for m in track.marks):
                continue
            tight = along - low < free[0] or high - along < free[1]
            found.append(Spot(along_m=along, used=ruler.used(along), reach=s.reach, tight=tight, fixed_to=on))
    return found


def _places(s: Stretch, timbers: tuple[Timber, ...]) -> list[tuple[Metre, str]]:
    """Distances along one straight, with what a bracket there is fixed to."""
    if not s.vertical:
        axis = 0 if abs(s.way[0]) >= abs(s.way[1]) else 1
        for t in timbers:
            if not t.low_m <= s.a[2] <= t.high_m:
                continue
            if t.run_north is not None and t.run_north == (axis == 1):
                break  # along the joist: a bracket anywhere on its side
            if abs(s.way[axis]) < 0.99:
                break
            return [(x, t.what) for x in _at_timbers(s, axis, t)]
    count = int((s.to_m - s.from_m) / STEP)
    return [(s.from_m + (k + 0.5) * STEP, "") for k in range(count)]


def _at_timbers(s: Stretch, axis: int, t: Timber) -> list[Metre]:
    length = s.to_m - s.from_m
    start, way = s.a[axis], s.way[axis]
    low, high = sorted((start, start + way * length))
    k = -int(-((low - t.first_m) / t.spacing_m) // 1)
    found: list[Metre] = []
    while (x := t.first_m + k * t.spacing_m) <= high:
        if x >= low:
            found.append(s.from_m + (x - start) / way)
        k += 1
    return sorted(found)


def fill(places: list[Spot], must: list[Spot], start: float, end: float, whole: float) -> list[Spot]:
    """Places that keep every span within its share, as few as can be and evenly spread.

    :param start: share of a span used before the run begins
    :param end: share that is used after it ends
    :param whole: shares along the whole run
    """
    chosen: list[Spot] = []
    before, reach = -start, 0
    stops = sorted({m.along_m: m for m in must}.values(), key=lambda m: m.along_m)
    last_reach = max((p.reach for p in places), default=0)
    for stop in [*stops, None]:
        to = stop.used if stop else whole + end
        to_reach = stop.reach if stop else last_reach
        between = [p for p in places if before < p.used < to]
        chosen += _even(between, before, reach, to, to_reach)
        if stop:
            chosen.append(stop)
            before, reach = stop.used, stop.reach
    return chosen


def _even(between: list[Spot], start: float, reach: int, end: float, end_reach: int) -> list[Spot]:
    """As few as the full share needs, then the smallest share that needs no more."""
    best = _greedy(between, start, reach, end, end_reach, 1.0)
    if not best:
        return best
    low, high = 0.3, 1.0
    for _ in range(9):
        share = (low + high) / 2
        tried = _greedy(between, start, reach, end, end_reach, share)
        if len(tried) <= len(best) and _fits(tried, start, reach, end, end_reach, share):
            best, high = tried, share
        else:
            low = share
    return best


def _most(reach: int, other: int, share: float) -> float:
    return share * (FULL if reach == other else CORNERED)


def _fits(chosen: list[Spot], start: float, reach: int, end: float, end_reach: int, share: float) -> bool:
    for p in chosen:
        if p.used - start > _most(reach, p.reach, share):
            return False
        start, reach = p.used, p.reach
    return end - start <= _most(reach, end_reach, share)


def _greedy(between: list[Spot], start: float, reach: int, end: float, end_reach: int, share: float) -> list[Spot]:
    """The farthest place each time; one that should stay free only where there is no other."""
    chosen: list[Spot] = []
    index = 0
    while end - start > _most(reach, end_reach, share):
        free: int | None = None
        tight: int | None = None
        for k in range(index, len(between)):
            p = between[k]
            step = p.used - start
            if step > share * FULL:
                break
            if step > _most(reach, p.reach, share):
                continue
            if p.tight:
                tight = k
            else:
                free = k
        # a free place close behind would gain nothing
        if free is not None and between[free].used - start < 0.15 and tight is not None:
            free = None
        pick = free if free is not None else tight
        if pick is None:
            pick = index if index < len(between) else None
        if pick is None:
            break
        chosen.append(between[pick])
        start, reach, index = between[pick].used, between[pick].reach, pick + 1
    return chosen


def beside_heavy(track: Track, places: list[Spot], marks: Iterable[Mark]) -> list[Spot]:
    """The nearest place on either side of every heavy item, where there is one within reach."""
    found: list[Spot] = []
    for m in marks:
        if m.mass_kg < HEAVY:
            continue
        before = [p for p in places if 0.0 < m.along_m - p.along_m <= HEAVY_REACH]
        after = [p for p in places if 0.0 < p.along_m - m.along_m <= HEAVY_REACH]
        found += before[-1:] + after[:1]
    return found


def kinds(track: Track, chosen: list[Placed], around: Around) -> list[Placed]:
    """What each support is: by where the tube runs and what it is fixed to."""
    made: list[Placed] = []
    for reach in track.reaches():
        low, high = reach[0].from_m, reach[-1].to_m
        mine = [p for p in chosen if low <= p.along_m <= high and p.along_m not in {q.along_m for q in made}]
        if not mine:
            continue
        middle = min(mine, key=lambda p: abs(p.along_m - (low + high) / 2))
        held = _held(track, reach)
        anchored = high - low >= LONG and not held and not reach[0].vertical
        for p in mine:
            if p.why == "by hand":
                made.append(p)
                continue
            if reach[0].vertical:
                riser = high - low >= RISER and not held and p is middle
                kind, on = (SupportKind.RISER_CLAMP if riser else SupportKind.STANDOFF), p.fixed_to
            elif anchored:
                kind, on = (SupportKind.ANCHOR if p is middle else SupportKind.GUIDE), p.fixed_to
            else:
                kind, on = support_kind(p.fixed_to, track.at(p.along_m), around)
            made.append(replace(p, kind=kind, fixed_to=on))
    return made


def _held(track: Track, reach: tuple[Stretch, ...]) -> bool:
    """The reach ends at a port, which holds it lengthwise."""
    first, last = track.stretches[0].reach, track.stretches[-1].reach
    return (reach[0].reach == first and track.start.kind is NodeKind.PORT) or (
        reach[0].reach == last and track.end.kind is NodeKind.PORT
    )


def support_kind(fixed_to: str, at: Vec, around: Around) -> tuple[SupportKind, str]:
    """Kind of a support under level tube, and what it is fixed to."""
    if fixed_to == "joist":
        return SupportKind.CLIP, "joist"
    gap = around.wall_gap(at)
    if gap is None:
        return SupportKind.CLIP, fixed_to
    if gap <= WALL:
        return SupportKind.STANDOFF, fixed_to or "wall"
    return SupportKind.HANGER, fixed_to


def by_hand(supports: Iterable[Support], on: Mapping[str, Track]) -> list[Placed]:
    """Supports placed by hand, on their tracks. Those whose run or place doesn't exist have been told before."""
    made: list[Placed] = []
    for s in supports:
        track = on[s.run]
        along = s.along_m if s.along_m is not None else track.nearest(s.at or track.start.at)[0]
        made.append(Placed(name=s.name, run=s.run, kind=s.kind, along_m=along, why="by hand", bears_n=s.bears_n))
    return made
