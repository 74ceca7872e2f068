"""Where a laid run stands after each of its moves: what a person takes hold of to change it."""

from wetside.basis.errors import MistakeList
from wetside.pipework.reading import Pipework
from wetside.pipework.spec import Go, Run, Vec
from wetside.pipework.vec import add, times
from wetside.pipework.walk import distances


def stops(run: Run, laid: Pipework) -> tuple[Vec, ...]:
    """Positions [m], one more than the run has moves: its start, then where each move leaves it.

    :param run: one of the runs that `laid` was laid of
    """
    places = {n.name: n.at for n in laid.nodes}
    length = distances(run, places[run.start], places[run.end] if run.end else None, MistakeList()) or {}
    found = [places[run.start]]
    for i, move in enumerate(run.moves):
        here = found[-1]
        found.append(add(here, times(move.direction, length[i])) if isinstance(move, Go) else here)
    return tuple(found)
