"""A frame solved: displacements, reactions, end forces, for its weight and for heat."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.frame.beam import Beams, Floats, Lines, end_forces, end_loads, end_push, stiffness
from wetside.frame.eliminate import solve_blocks

Flags = NDArray[np.bool_]
Ints = NDArray[np.intp]

FAR: Metre = 1e4
"""A node that moves this far is held by nothing."""


@record
class Frame:
    """Beams between nodes, what holds the nodes, and the loads right on them."""

    at: Floats
    """(n, 3) positions."""
    beams: Beams
    held: Flags
    """(n, 6) directions and turns that can't move, in the node's axes."""
    spring: Floats
    """(n, 6) stiffness of what holds the node, N/m and N m per radian, in the node's axes."""
    axes: Floats
    """(n, 3, 3) the node's axes as rows."""
    load: Floats
    """(n, 6) weight on the node, in the axes of the house."""

    def __len__(self) -> int:
        return len(self.at)


@record(kw_only=False)
class Bent:
    """A frame under one load."""

    moved: Floats
    """(n, 6) displacement and rotation."""
    reaction: Floats
    """(n, 6) force and moment that what holds a node puts on it."""
    first: Floats
    second: Floats
    """(m, 6) force and moment on each beam's ends."""


class Unsupported(ValueError):
    """Some of the frame can move freely."""


@record(kw_only=False)
class Solved:
    """`weight`: the frame's own loads; `heat`: its beams lengthened, without any weight."""

    frame: Frame
    lines: Lines
    weight: Bent
    heat: Bent
    beside: Floats
    """(n, 6, k) displacements for the further loads that were asked for."""


def solve_pairs(pairs: Sequence[tuple[Frame, Frame]]) -> list[tuple[Bent, Bent]]:
    """The same beams on many sets of supports, in one go: of each pair the first frame under its weight, the second
    lengthened by heat.

    Most of the time goes into the rounds of elimination, and all take the same ones.

    :raises Unsupported: part of the frame can move freely
    """
    first = pairs[0][0]
    beams, n, count = first.beams, len(first), 2 * len(pairs)
    lines = Lines.of(first.at, beams.ends)
    blocks = stiffness(beams, lines)
    own = end_loads(beams, lines), end_push(beams, lines)
    right, diagonal = _assembled(first, blocks, *own, None)
    right[:, :, 0] -= first.load
    frames = [f for pair in pairs for f in pair]
    right = np.concatenate([right[:, :, k : k + 1] for _ in pairs for k in (0, 1)])
    for k, f in enumerate(frames[::2]):
        right[2 * k * n : (2 * k + 1) * n, :, 0] += f.load
    many = Frame(
        at=np.tile(first.at, (count, 1)),
        beams=beams,
        held=np.concatenate([f.held for f in frames]),
        spring=np.concatenate([f.spring for f in frames]),
        axes=np.concatenate([f.axes for f in frames]),
        load=np.zeros((count * n, 6)),
    )
    ends = (beams.ends[None, :, :] + n * np.arange(count)[:, None, None]).reshape(-1, 2)
    moved = _constrained(many, ends, np.tile(diagonal, (count, 1, 1)), np.tile(blocks[1], (count, 1, 1)), right)
    bent = [
        _bent(f, blocks, moved[k * n : (k + 1) * n, :, 0], own[k % 2], f.load if k % 2 == 0 else np.zeros_like(f.load))
        for k, f in enumerate(frames)
    ]
    return list(zip(bent[::2], bent[1::2], strict=True))


def solve(frame: Frame, beside: Floats | None = None) -> Solved:
    """Solve a frame for its weight, for heat, and for further nodal loads.

    :param beside: (n, 6, k) further loads, each solved alone
    :raises Unsupported: part of the frame can move freely
    """
    beams = frame.beams
    lines = Lines.of(frame.at, beams.ends)
    blocks = stiffness(beams, lines)
    loads, push = end_loads(beams, lines), end_push(beams, lines)
    right, diagonal = _assembled(frame, blocks, loads, push, beside)
    moved = _constrained(frame, beams.ends, diagonal, blocks[1], right)
    return _solved(frame, lines, blocks, loads, push, moved)


def _assembled(
    frame: Frame, blocks: tuple[Floats, Floats, Floats], loads: tuple[Floats, Floats], push: tuple[Floats, Floats],
    beside: Floats | None,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Right-hand sides (weight, heat, further loads) and the diagonal blocks."""
    n, ends = len(frame), frame.beams.ends
    right = np.zeros((n, 6, 2 + (0 if beside is None else beside.shape[2])))
    right[:, :, 0] = frame.load + _at_nodes(n, ends, *loads)
    right[:, :, 1] = _at_nodes(n, ends, *push)
    if beside is not None:
        right[:, :, 2:] = beside
    return right, _at_nodes(n, ends, blocks[0], blocks[2])


def _at_nodes(n: int, ends: Ints, first: Floats, second: Floats) -> Floats:
    """What beams' first and second ends have, summed at their nodes."""
    shape = first.shape[1:]
    wide = math.prod(shape)
    slots = (np.concatenate([ends[:, 0], ends[:, 1]])[:, None] * wide + np.arange(wide)).ravel()
    rows = np.concatenate([first, second]).ravel()
    return np.asarray(np.bincount(slots, rows, n * wide), dtype=np.float64).reshape(n, *shape)


def _solved(
    frame: Frame, lines: Lines, blocks: tuple[Floats, Floats, Floats], loads: tuple[Floats, Floats],
    push: tuple[Floats, Floats], moved: Floats,
) -> Solved:  # fmt: skip
    beams = frame.beams
    none = (np.zeros_like(loads[0]), np.zeros_like(loads[1]))
    return Solved(
        frame,
        lines,
        _bent(frame, blocks, moved[:, :, 0], loads, frame.load),
        _bent(frame, blocks, moved[:, :, 1], push if np.any(beams.strain) else none, np.zeros_like(frame.load)),
        moved[:, :, 2:],
    )


def _constrained(frame: Frame, ends: Ints, diagonal: Floats, off: Floats, right: Floats) -> Floats:
    """Displacements in the axes of the house, with held directions kept still."""
    turn = np.zeros((len(frame), 6, 6))
    turn[:, :3, :3] = turn[:, 3:, 3:] = frame.axes
    free = (~frame.held).astype(float)
    d = turn @ diagonal @ turn.transpose(0, 2, 1)
    idx = np.arange(6)
    d[:, idx, idx] += frame.spring
    scale = np.maximum(d[:, idx, idx].max(axis=1, keepdims=True), 1.0)
    d *= free[:, :, None] * free[:, None, :]
    d[:, idx, idx] += (1.0 - free) * scale
    o = turn[ends[:, 0]] @ off @ turn[ends[:, 1]].transpose(0, 2, 1)
    o *= free[ends[:, 0]][:, :, None] * free[ends[:, 1]][:, None, :]
    r = (turn @ right) * free[:, :, None]
    try:
        x = solve_blocks(d, ends, o, r)
        rest, whole = _rest(d, ends, o, x, r), np.abs(r).max(initial=1.0)
        if np.abs(rest).max(initial=0.0) > 1e-12 * whole:
            x = x + solve_blocks(d, ends, o, rest)
            rest = _rest(d, ends, o, x, r)
    except np.linalg.LinAlgError:
        raise Unsupported("part of the pipework is held by nothing") from None
    if not np.all(np.isfinite(x)) or np.abs(x).max(initial=0.0) > FAR or np.abs(rest).max(initial=0.0) > 1e-6 * whole:
        raise Unsupported("part of the pipework is held by nothing")
    return turn.transpose(0, 2, 1) @ x


def _rest(diagonal: Floats, ends: Ints, off: Floats, x: Floats, right: Floats) -> Floats:
    across = _at_nodes(len(x), ends, off @ x[ends[:, 1]], off.transpose(0, 2, 1) @ x[ends[:, 0]])
    return right - diagonal @ x - across


def _bent(
    frame: Frame, blocks: tuple[Floats, Floats, Floats], moved: Floats, own: tuple[Floats, Floats], on_node: Floats
) -> Bent:
    first, second = end_forces(frame.beams, blocks, moved, own)
    reaction = _at_nodes(len(frame), frame.beams.ends, first, second) - on_node
    kept = np.any(frame.held, axis=1) | np.any(frame.spring > 0.0, axis=1)
    reaction[~kept] = 0.0
    return Bent(moved, reaction, first, second)
