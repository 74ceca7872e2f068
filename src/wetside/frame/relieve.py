"""A second look at where runs are held lengthwise: where heat bends a run too far, other places are tried."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from wetside.frame.place import HOLDS_ALONG, Placed
from wetside.frame.reading import RunFrame
from wetside.frame.spec import SupportKind
from wetside.frame.track import Track

LOOKS = 16
"""Most other arrangements that are tried."""

Chosen = Mapping[str, Sequence[Placed]]


def share(r: RunFrame) -> float:
    """Stress of a run over what it may be; nothing where no figure is known."""
    return r.stress_pa / r.allowable_pa if r.allowable_pa else 0.0


def relieve(
    on: Mapping[str, Track], chosen: Chosen, runs: Sequence[RunFrame], look: Callable[[Chosen], Sequence[RunFrame]]
) -> dict[str, list[Placed]]:
    """The supports, with holds moved along their reaches where that brings the runs closer to what they may bear.

    Only runs that break their limit are touched, the worst first, and a change is kept if the worst of all becomes
    less, or as many runs break less.

    :param look: solves the frame with other supports
    """
    best = {run: list(mine) for run, mine in chosen.items()}
    score = _score(runs)
    left = LOOKS
    tried: set[str] = set()
    while left > 0:
        worst = max((r for r in runs if share(r) > 1.0 and r.run not in tried), key=share, default=None)
        if worst is None:
            break
        tried.add(worst.run)
        for other in _others(on[worst.run], best[worst.run]):
            if left <= 0:
                break
            left -= 1
            attempt = {**best, worst.run: other}
            answer = look(attempt)
            if _score(answer) < score:
                best, score, runs = attempt, _score(answer), answer
    return best


def _score(runs: Sequence[RunFrame]) -> float:
    """By how much the runs break, all together."""
    return sum(max(share(r) - 1.0, 0.0) for r in runs)


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
