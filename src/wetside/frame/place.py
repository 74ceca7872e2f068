"""Supports placed on the runs: as few as the spacing table, heavy items and free length at bends allow.

Common practice, no source: a support near each end of a straight rather than on its bend, one on either side of a heavy
item, the first one near a port of the boiler, none where a bend must be free to move with heat.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from math import inf
from typing import NamedTuple

from wetside.basis.record import record
from wetside.basis.si import Kilogram, Metre
from wetside.frame.around import Around
from wetside.frame.spec import Support, SupportKind, Timber
from wetside.frame.track import UPRIGHT, Mark, Stretch, Track
from wetside.pipework.reading import NodeKind
from wetside.pipework.spec import Tube, Vec
from wetside.pipework.vec import dot

STEP: Metre = 0.05
"""Places at which a bracket is tried."""
BRACKET: Metre = 0.025
"""Half the width that a bracket takes of the tube."""
HEAVY: Kilogram = 1.0
"""An item from this mass on gets a support on either side."""
HEAVY_REACH: Metre = 0.4
CLOSE = 1e-9
"""Shares of a span closer than this are the same."""
FAR = 3.0
"""Spans of more shares are never looked at."""
EVEN, LONG_SPAN = 0.6, 1000.0
"""What an uneven span, and one that is too long, cost against one support."""
TIGHT, STRAP = 3.0, 0.15
"""What a support costs beside a bend that must be free: one that would stop it, and a hanger that lets it move."""
WALL: Metre = 0.15
RISER: Metre = 1.2
"""A vertical tube from this length on hangs in a riser clamp."""
LONG: Metre = 6.0
"""A reach from this length on, free at both ends, gets an anchor in its middle."""

SOUGHT: Metre = 1.5
"""Free tube is looked for over this length from a bend or tee."""
HOLDS_ALONG = (SupportKind.ANCHOR, SupportKind.RISER_CLAMP)

Rate = Callable[[Tube, bool], Metre | None]


@record
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


class Spot(NamedTuple):
    """A place where a bracket could go."""

    along_m: Metre
    used: float
    """Shares of spacing from the run's start to here."""
    fixed_to: str
    cost: float = 0.0
    """What stands against a support here, in supports."""
    strap: bool = False
    """Only a hanger, which lets the tube move sideways, leaves the bend free."""


@record(kw_only=False)
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
        return self.used_in(min(max(bisect_right(self.ends, along) - 1, 0), len(self.rates) - 1), along)

    def used_in(self, k: int, along: Metre) -> float:
        """The same for a place on the track's stretch number `k`."""
        return self.sums[k] + (along - self.ends[k]) * self.rates[k]


@record(kw_only=False)
class Free:
    """Tube at one end of a reach that should be free to move: how long, and whether up and down."""

    length_m: Metre = 0.0
    upright: bool = False


@record(kw_only=False)
class Pushed:
    """A tee that a branch pushes sideways with its growth, and the tube on either side that takes it up."""

    along_m: Metre
    free: Free


def spots(
    track: Track,
    ruler: Ruler,
    keep_free: Mapping[int, tuple[Free, Free]],
    pushed: Sequence[Pushed],
    timbers: Iterable[Timber],
) -> list[Spot]:
    """Places for brackets along a run, clear of fittings, on timbers where the plan has them.

    :param keep_free: by reach, how much of its start and of its end should stay free to move
    :param pushed: tees beside which tube should stay free to move
    """
    timbers = tuple(timbers)
    found: list[Spot] = []
    limits: dict[int, tuple[Metre, Metre]] = {}
    for s in track.stretches:
        low, high = limits.get(s.reach, (s.from_m, s.to_m))
        limits[s.reach] = (min(low, s.from_m), max(high, s.to_m))
    none = (Free(), Free())
    marks = [(m.along_m, m.clear_m + BRACKET) for m in track.marks]
    for k, s in enumerate(track.stretches):
        low, high = limits[s.reach]
        taken = [(at, clear) for at, clear in marks if s.from_m - clear < at < s.to_m + clear]
        first, last = keep_free.get(s.reach, none)
        near = [p for p in pushed if low <= p.along_m <= high]
        for along, on in _places(s, timbers):
            if any(abs(along - at) < clear for at, clear in taken):
                continue
            cost, strap = 0.0, False
            beside = [(p.free, abs(along - p.along_m)) for p in near]
            for free, off in ((first, along - low), (last, high - along), *beside):
                if off < free.length_m:
                    sideways = not free.upright and not s.vertical
                    cost += STRAP if sideways else TIGHT * (1.0 - off / free.length_m)
                    strap = strap or sideways
            found.append(Spot(along_m=along, used=ruler.used_in(k, along), fixed_to=on, cost=cost, strap=strap))
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
    step = STEP if s.to_m - s.from_m < 1.0 else 2.0 * STEP
    count = int((s.to_m - s.from_m) / step)
    return [(s.from_m + (k + 0.5) * step, "") for k in range(count)]


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
    """Places that keep every span within its share: as few as can be, where bends stay free to move, evenly spread.

    The best of all choices, found place by place from the start. A span that no place can shorten enough stays long.

    :param start: share of a span used before the run begins
    :param end: share that is used after it ends
    :param whole: shares along the whole run
    """
    fixed = {m.along_m for m in must}
    line = sorted([*must, *(p for p in places if p.along_m not in fixed)], key=lambda p: p.along_m)
    used = [-start, *(p.used for p in line), whole + end]
    stops = [False, *(p.along_m in fixed for p in line)]
    last = len(used) - 1
    best = [0.0] + [inf] * last
    back = [0] * (last + 1)
    for j in range(1, last + 1):
        own = 0.0 if j == last else 1.0 + line[j - 1].cost
        least, source, here = inf, 0, used[j]
        for i in range(j - 1, -1, -1):
            span = here - used[i]
            uneven = EVEN * span**4
            over = span - 1.0
            # a long span is allowed only where it must be; two a little too long are better than one far too long
            long = LONG_SPAN * over * (1.0 + over) if over > CLOSE else 0.0
            if own + uneven + long > least:
                break  # a longer span costs still more
            total = best[i] + own + uneven + long
            if total < least:
                least, source = total, i
            if stops[i] or span > FAR:
                break
        best[j], back[j] = least, source
    chosen: list[Spot] = []
    j = back[last]
    while j:
        chosen.append(line[j - 1])
        j = back[j]
    return chosen[::-1]


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


def kinds(
    track: Track, chosen: list[Placed], around: Around, straps: set[Metre], hold_at: Mapping[int, Metre]
) -> list[Placed]:
    """What each support is: by where the tube runs, what it is fixed to, and what must be free to move.

    :param straps: distances at which only a hanger leaves a bend free
    :param hold_at: by reach, where it should be held lengthwise
    """
    made: list[Placed] = []
    for k, reach in enumerate(track.reaches()):
        low, high = reach[0].from_m, reach[-1].to_m
        mine = [p for p in chosen if low <= p.along_m <= high and p.along_m not in {q.along_m for q in made}]
        if not mine:
            continue
        holder = min(mine, key=lambda p: abs(p.along_m - hold_at[k])) if k in hold_at else None
        by_hand = any(p.kind in HOLDS_ALONG for p in mine if p.why == "by hand")
        for p in mine:
            if p.why == "by hand":
                made.append(p)
                continue
            if p is holder and not by_hand:
                kind = SupportKind.RISER_CLAMP if reach[0].vertical else SupportKind.ANCHOR
                on = p.fixed_to or _wall(track.at(p.along_m), around)
            elif reach[0].vertical:
                kind, on = SupportKind.STANDOFF, p.fixed_to or _wall(track.at(p.along_m), around)
            elif p.along_m in straps:
                kind, on = SupportKind.HANGER, p.fixed_to
            else:
                kind, on = support_kind(p.fixed_to, track.at(p.along_m), around)
                if holder is not None and kind is SupportKind.CLIP:
                    kind = SupportKind.GUIDE
            made.append(replace(p, kind=kind, fixed_to=on))
    return made


def hold_points(track: Track, stiff: Mapping[Metre, Metre]) -> dict[int, Metre]:
    """Where long reaches that no port holds should be held lengthwise: beside the tee whose branch would suffer most
    from being moved, else so that each end grows as its free tube can take it, which goes by the square of its length.

    :param stiff: by distance along the run, how much too short the free tube of a branch there is
    """
    found: dict[int, Metre] = {}
    for k, reach in enumerate(track.reaches()):
        low, high = reach[0].from_m, reach[-1].to_m
        if high - low < (RISER if reach[0].vertical else LONG) or _held(track, reach):
            continue
        worst = max((x for x in stiff if low < x < high), key=lambda x: stiff[x], default=None)
        if worst is not None:
            found[k] = worst
            continue
        before = square_m([s for s in reversed(track.stretches) if s.to_m <= low + 1e-9], reach[0], SOUGHT)
        after = square_m([s for s in track.stretches if s.from_m >= high - 1e-9], reach[0], SOUGHT)
        whole = before**2 + after**2
        share = before**2 / whole if whole > 0.0 else 0.5
        found[k] = low + (high - low) * min(max(share, 0.3), 0.7)
    return found


def square_m(stretches: Iterable[Stretch], moving: Stretch, most: Metre) -> Metre:
    """Tube square to a movement in the first part of some stretches."""
    total = passed = 0.0
    for s in stretches:
        length = min(s.to_m - s.from_m, most - passed)
        if abs(dot(s.way, moving.way)) < UPRIGHT:
            total += length
        passed += length
        if passed >= most:
            break
    return total


def _held(track: Track, reach: tuple[Stretch, ...]) -> bool:
    """The reach ends at a port, which holds it lengthwise."""
    first, last = track.stretches[0].reach, track.stretches[-1].reach
    return (reach[0].reach == first and track.start.kind is NodeKind.PORT) or (
        reach[0].reach == last and track.end.kind is NodeKind.PORT
    )


def _wall(at: Vec, around: Around) -> str:
    gap = around.wall_gap(at)
    return "wall" if gap is not None and gap <= WALL else ""


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
