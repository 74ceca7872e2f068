"""Where a run stands after each of its moves: what a person takes hold of to change it."""

from collections.abc import Iterable

from wetside.basis.errors import MistakeList
from wetside.pipework.lay import walk_each
from wetside.pipework.spec import Go, Item, Port, Run, Tube, Vec
from wetside.pipework.vec import add, times
from wetside.pipework.walk import distances


def stops(
    runs: Iterable[Run], ports: Iterable[Port], tubes: Iterable[Tube], items: Iterable[Item]
) -> dict[str, tuple[Vec, ...]]:
    """Positions [m] by run, one more than the run has moves: its start, then where each move leaves it.

    A run that can't be walked is left out, and what hangs on it; a tee that nothing leaves yet is no hindrance. So a
    house that is half drawn shows the tube that is there.
    """
    places, walked = walk_each(runs, ports, tubes, items)
    found: dict[str, tuple[Vec, ...]] = {}
    for name, w in walked.items():
        run = w.run
        length = distances(run, places[run.start], places.get(run.end), MistakeList()) or {}
        here = [places[run.start]]
        for i, move in enumerate(run.moves):
            here.append(add(here[-1], times(move.direction, length[i])) if isinstance(move, Go) else here[-1])
        found[name] = tuple(here)
    return found
