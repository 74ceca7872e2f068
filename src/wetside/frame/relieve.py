"""A second look at where runs are held lengthwise: where heat bends a run too far, other places are tried."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import islice

from wetside.frame.look import Chosen, Look
from wetside.frame.place import HOLDS_ALONG, Placed
from wetside.frame.spec import SupportKind
from wetside.frame.track import Track

LOOKS = 16
"""Most other arrangements that are tried."""


def relieve(on: Mapping[str, Track], first: Look, solve: Callable[[Sequence[Chosen]], Sequence[Look]]) -> Look:
    """The frame with holds moved along their reaches where that brings the runs closer to what they may bear.

    Only runs that break their limit are touched, the worst first, and a change is kept if the runs break less, all
    together.

    :param solve: the frame with each of some other choices of supports
    """
    best = first
    left = LOOKS
    tried: set[str] = set()
    while left > 0:
        broken = {run: s for run, s in best.shares.items() if s > 1.0 and run not in tried}
        if not broken:
            break
        run = max(broken, key=broken.__getitem__)
        tried.add(run)
        others = list(islice(_others(on[run], best.chosen[run]), left))
        left -= len(others)
        for look in solve([{**best.chosen, run: other} for other in others]) if others else ():
            if _score(look) < _score(best):
                best = look
    return best


def _score(look: Look) -> float:
    """By how much the runs break, all together."""
    return sum(max(s - 1.0, 0.0) for s in look.shares.values())


def _others(track: Track, mine: Sequence[Placed]) -> Iterator[list[Placed]]:
    """The same supports with one reach held at another of its supports, or not at all."""
    for reach in track.reaches():
        low, high = reach[0].from_m, reach[-1].to_m
        here = [p for p in mine if low <= p.along_m <= high and p.why != "by hand"]
        holder = next((p for p in here if p.kind in HOLDS_ALONG), None)
        if holder is None:
            continue
        plain = SupportKind.STANDOFF if reach[0].vertical else SupportKind.GUIDE
        for p in here:
            if p is not holder:
                swap = {p.name: holder.kind, holder.name: plain}
                yield [replace(q, kind=swap.get(q.name, q.kind)) for q in mine]
        yield [replace(q, kind=plain) if q is holder else q for q in mine]
