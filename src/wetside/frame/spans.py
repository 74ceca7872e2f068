"""Spans between supports, along the runs and through tees."""

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.frame.model import is_held
from wetside.frame.place import Placed, Ruler
from wetside.frame.reading import Span
from wetside.frame.spacing import Allowed, Spacing
from wetside.frame.track import Track
from wetside.pipework.reading import Node, NodeKind


@record(kw_only=False)
class Beyond:
    """What lies between a tee and the nearest thing that holds the run it belongs to."""

    name: str
    length_m: Metre
    used: float


def beyond(track: Track, ruler: Ruler, along: Metre, chosen: Sequence[Placed]) -> Beyond | None:
    """The nearest support or held port of a run from a place on it, in shares of the allowed span."""
    stops = [(p.name, p.along_m) for p in chosen]
    stops += [(n.name, x) for n, x in ((track.start, 0.0), (track.end, track.length_m)) if is_held(n)]
    here = ruler.used(along)
    found = [Beyond(name, abs(x - along), abs(ruler.used(x) - here)) for name, x in stops]
    return min(found, key=lambda b: b.used, default=None)


def spans(
    on: Mapping[str, Track],
    rulers: Mapping[str, Ruler],
    chosen: Mapping[str, Sequence[Placed]],
    spacing: Spacing,
    tee_at: Callable[[str], tuple[str, Metre] | None],
) -> list[Span]:
    """Every span of every run; at a tee it goes on to the nearest support of the run that the tee belongs to.

    :param tee_at: the run that owns a tee node, and the tee's distance along it
    """
    found: list[Span] = []
    for run, track in on.items():
        ruler = rulers[run]
        stops = [
            _end(track.start, 0.0, on, rulers, chosen, tee_at),
            *((p.name, p.along_m, 0.0, 0.0) for p in chosen[run]),
            _end(track.end, track.length_m, on, rulers, chosen, tee_at),
        ]
        for (a, low, more_a, used_a), (b, high, more_b, used_b) in pairwise(stops):
            length = high - low + more_a + more_b
            if high - low < 1e-9:
                continue
            used = ruler.used(high) - ruler.used(low) + used_a + used_b
            tubes = [s for s in track.stretches if s.to_m > low + 1e-9 and s.from_m < high - 1e-9]
            rows = [spacing.allowed(s.tube, vertical=s.vertical) for s in tubes]
            known = all(r is not None for r in rows)
            found.append(
                Span(
                    run=run,
                    first=a,
                    second=b,
                    length_m=length,
                    allowed_m=length / used if known and used > 0.0 else None,
                    source=_sources(rows),
                    tube=tubes[0].tube.name,
                )
            )
    return found


def _sources(rows: Sequence[Allowed | None]) -> str:
    return ", ".join(dict.fromkeys(r.table for r in rows if r is not None))


def _end(
    node: Node,
    along: Metre,
    on: Mapping[str, Track],
    rulers: Mapping[str, Ruler],
    chosen: Mapping[str, Sequence[Placed]],
    tee_at: Callable[[str], tuple[str, Metre] | None],
) -> tuple[str, Metre, Metre, float]:
    if node.kind is NodeKind.TEE and (owner := tee_at(node.name)) is not None:
        run, place = owner
        more = beyond(on[run], rulers[run], place, chosen[run])
        if more is not None:
            return (more.name, along, more.length_m, more.used)
    return (node.name, along, 0.0, 0.0)
