"""The fewest further supports that bring the load on the boiler's connections under the limit."""

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from wetside.basis.record import record
from wetside.basis.si import Newton, NewtonMetre
from wetside.frame.beam import Floats, Ints, stiffness
from wetside.frame.model import grips
from wetside.frame.solve import Frame, Solved, solve
from wetside.frame.spec import SupportKind
from wetside.pipework.spec import Vec

EXACT = 4
"""Up to this many further supports every choice is tried."""
TRIES = 60_000
"""Most choices that are tried of one number of supports."""
HELPS = 0.98
"""Where no choice is enough, one more support must at least lower the load to this share."""


@record
class Candidate:
    """A place where a support could go: a node of the frame, which has none yet."""

    node: int
    kind: SupportKind
    way: Vec
    """Direction of the tube."""


@record(kw_only=False)
class Choice:
    picked: tuple[int, ...]
    """Indices of the candidates."""
    worst: float
    """Largest load over its limit that is left, as a share of the limit."""
    proven: bool
    """Every smaller choice was tried and does not do."""


@record(kw_only=False)
class _Answers:
    """How the frame answers forces in every direction that a candidate would hold."""

    owner: Ints
    """Candidate of each direction."""
    move: Floats
    """(d,) movement by weight."""
    soft: Floats
    """(d, d) movement by unit forces."""
    load: Floats
    """(c, 6) on the connections by weight."""
    turn: Floats
    """(c, 6, d) on the connections by unit forces."""


def fewest(
    frame: Frame,
    candidates: Sequence[Candidate],
    connections: Sequence[int],
    force: Newton,
    moment: NewtonMetre,
) -> Choice:
    """The smallest choice of candidates with which every connection's force and moment keep their limits; of equally
    small ones that with the least load.

    Every choice is tried, number by number, as long as there are not too many; each costs one small solve, since the
    frame's answer to a unit force at every candidate is worked out once. Beyond that one is added at a time, whichever
    helps most, and the answer is not proven.

    :param connections: nodes of the frame that are the boiler's connections
    """
    answers = _answers(frame, candidates, connections)
    limits = np.array([force, moment])

    def worst(choice: Sequence[int]) -> float:
        return _worst(answers, np.array(choice, dtype=np.intp), limits)

    best = Choice((), worst(()), True)
    if best.worst <= 1.0 or not len(candidates):
        return best
    proven = True
    for size in range(1, len(candidates) + 1):
        choices = list(combinations(range(len(candidates)), size)) if size <= EXACT else []
        if not choices or len(choices) > TRIES:
            proven = False
            rest = [k for k in range(len(candidates)) if k not in best.picked]
            choices = [(*best.picked, k) for k in rest]
        shares = [worst(c) for c in choices]
        k = int(np.argmin(shares))
        found = Choice(tuple(sorted(choices[k])), shares[k], proven)
        if found.worst <= 1.0:
            return found
        helps = found.worst < best.worst * HELPS
        if not helps and not proven:
            break
        if helps:
            best = found
    return Choice(best.picked, best.worst, False)


def _answers(frame: Frame, candidates: Sequence[Candidate], connections: Sequence[int]) -> _Answers:
    owner: list[int] = []
    node: list[int] = []
    way: list[Floats] = []
    for k, c in enumerate(candidates):
        axes, spring = grips(c.kind, c.way)
        for row in range(3):
            if spring[row] > 0.0:
                owner.append(k)
                node.append(c.node)
                way.append(axes[row])
    d = len(owner)
    beside = np.zeros((len(frame), 6, d))
    for j in range(d):
        beside[node[j], :3, j] = way[j]
    solved = solve(frame, beside)
    ways, nodes = np.array(way).reshape(d, 3), np.array(node, dtype=np.intp)
    move = np.einsum("dj,dj->d", ways, solved.weight.moved[nodes, :3])
    soft = np.einsum("dj,djk->dk", ways, solved.beside[nodes, :3, :])
    load = -solved.weight.reaction[np.array(connections, dtype=np.intp)]
    turn = np.stack([_on(solved, n) for n in connections]) if connections else np.zeros((0, 6, d))
    return _Answers(np.array(owner, dtype=np.intp), move, soft, load, turn)


def _on(solved: Solved, node: int) -> Floats:
    """Force and moment on what holds a node, (6, k), by each of the further loads."""
    beams = solved.frame.beams
    mine = np.flatnonzero((beams.ends == node).any(axis=1))
    one = beams.picked(mine)
    ii, ij, jj = stiffness(one, solved.lines.picked(mine))
    total = np.zeros((6, solved.beside.shape[2]))
    for k in range(len(mine)):
        a, z = (int(x) for x in one.ends[k])
        if a == node:
            total -= ii[k] @ solved.beside[a] + ij[k] @ solved.beside[z]
        if z == node:
            total -= ij[k].T @ solved.beside[a] + jj[k] @ solved.beside[z]
    return total


def _worst(a: _Answers, choice: Ints, limits: Floats) -> float:
    if len(choice):
        d = np.flatnonzero(np.isin(a.owner, choice))
        push = np.linalg.solve(a.soft[np.ix_(d, d)], -a.move[d])
        load = a.load + a.turn[:, :, d] @ push
    else:
        load = a.load
    force = np.sqrt(np.square(load[:, :3]).sum(axis=1)) / limits[0]
    moment = np.sqrt(np.square(load[:, 3:]).sum(axis=1)) / limits[1]
    return float(max(force.max(initial=0.0), moment.max(initial=0.0)))
