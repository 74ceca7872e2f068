"""A run in other tubes: one tube for each of its legs, changed at the tees between them."""

from collections.abc import Sequence
from dataclasses import replace

from wetside.pipework.spec import ChangeTube, Move, Run, Tee


def retubed(run: Run, tubes: Sequence[str]) -> Run:
    """The run with its legs, in order, in these tubes. Where two neighbours differ the tube changes behind the tee.

    :param tubes: one for each leg: one more than the run has tees
    :raises ValueError: too few or too many
    """
    if len(tubes) != 1 + sum(isinstance(m, Tee) for m in run.moves):
        raise ValueError(f'run "{run.name}" has {1 + sum(isinstance(m, Tee) for m in run.moves)} legs')
    moves: list[Move] = []
    leg = 0
    for m in run.moves:
        if isinstance(m, ChangeTube):
            continue
        moves.append(m)
        if isinstance(m, Tee):
            leg += 1
            if tubes[leg] != tubes[leg - 1]:
                moves.append(ChangeTube(tubes[leg], f"tube {tubes[leg]}"))
    return replace(run, tube=tubes[0], moves=tuple(moves))


def tubes_of(run: Run) -> tuple[str, ...]:
    """The tube that each leg of a run ends in, in order. A change that comes just before or behind a tee, or anywhere
    within a leg, counts for the leg that it is written in."""
    found = [run.tube]
    for m in run.moves:
        if isinstance(m, ChangeTube):
            found[-1] = m.tube
        elif isinstance(m, Tee):
            found.append(found[-1])
    return tuple(found)
