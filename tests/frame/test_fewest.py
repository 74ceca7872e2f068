"""The fewest supports that unload the boiler: against trying every choice with a fresh solve of the whole frame."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from bare import FIX, frame
from hypothesis import given
from hypothesis import strategies as st
from shed import by_hand, pipes, read, run

from wetside.frame.fewest import Candidate, fewest
from wetside.frame.model import grips
from wetside.frame.solve import Frame, solve
from wetside.frame.spec import SupportKind

CLAMPS = (SupportKind.CLIP, SupportKind.HANGER, SupportKind.RISER_CLAMP)


def drop(seed: int) -> tuple[Frame, list[Candidate]]:
    """Tube down from the boiler and away from it, with heavy things on it and places for supports."""
    rng = np.random.default_rng(seed)
    down, level = int(rng.integers(2, 5)), int(rng.integers(3, 6))
    at = [(0.0, 0.0, -0.2 * i) for i in range(down)] + [(0.3 * (i + 1), 0.0, -0.2 * (down - 1)) for i in range(level)]
    n = len(at)
    on_node = np.zeros((n, 6))
    for i in rng.integers(1, n, 2):
        on_node[i, 2] -= rng.uniform(5.0, 60.0)
    f = frame(at, [(i, i + 1) for i in range(n - 1)], {0: FIX, n - 1: FIX}, load=(0, 0, -8.4), on_node=on_node)
    candidates = [
        Candidate(
            node=i,
            kind=CLAMPS[int(rng.integers(0, 3))] if i >= down else SupportKind.RISER_CLAMP,
            way=(1.0, 0.0, 0.0) if i >= down else (0.0, 0.0, -1.0),
        )
        for i in range(1, n - 1)
    ]
    return f, candidates


def load_on_boiler(f: Frame, picked: list[Candidate], force: float, moment: float) -> float:
    held, axes = f.held.copy(), f.axes.copy()
    for c in picked:
        a, spring = grips(c.kind, c.way)
        axes[c.node] = a
        held[c.node] |= spring > 0.0
    r = solve(replace(f, held=held, axes=axes)).weight.reaction[0]
    return max(float(np.linalg.norm(r[:3])) / force, float(np.linalg.norm(r[3:])) / moment)


@given(st.integers(0, 3000), st.floats(2.0, 60.0), st.floats(0.5, 10.0))
def test_no_smaller_choice_does(seed: int, force: float, moment: float) -> None:
    f, candidates = drop(seed)
    choice = fewest(f, candidates, [0], force, moment)
    picked = [candidates[k] for k in choice.picked]
    assert choice.worst == pytest.approx(load_on_boiler(f, picked, force, moment), rel=1e-6)
    most = len(choice.picked) if choice.worst <= 1.0 else min(len(candidates), 3) + 1
    for size in range(min(most, 4)):
        for other in combinations(candidates, size):
            assert load_on_boiler(f, list(other), force, moment) > 1.0 - 1e-9
    if choice.worst <= 1.0:
        same = [
            load_on_boiler(f, list(o), force, moment) for o in combinations(candidates, len(choice.picked))
        ]  # fmt: skip
        assert choice.worst <= min(same) + 1e-9
        assert choice.proven


def test_nothing_is_added_where_nothing_is_needed() -> None:
    f, candidates = drop(1)
    assert fewest(f, candidates, [0], 1e5, 1e5).picked == ()
    assert fewest(f, [], [0], 1.0, 1.0).picked == ()


def test_a_pump_on_the_boiler_is_taken_off_it() -> None:
    hanging = run(["down 300 mm", "fit pump", "down 200 mm", "east ..."])
    bare = read(pipes(hanging), automatic=False)
    (connection,) = bare.connections
    assert np.linalg.norm(connection.force_n) > bare.force_limit_n
    # what it says to add is not yet there
    assert bare.supports == () and bare.suggested and bare.suggested_enough and bare.suggested_proven
    added = tuple(by_hand(x.name, x.kind.value, x.along_m) for x in bare.suggested)
    mended = read(pipes(hanging), automatic=False, supports=added)
    assert np.linalg.norm(mended.connections[0].force_n) <= mended.force_limit_n
    assert np.linalg.norm(mended.connections[0].moment_n_m) <= mended.moment_limit_n_m
    assert mended.suggested == ()
    assert [x.load_n for x in mended.supports] == pytest.approx([x.load_n for x in bare.suggested])
    # one fewer is not enough
    for left_out in added:
        fewer = tuple(x for x in added if x is not left_out)
        short = read(pipes(hanging), automatic=False, supports=fewer)
        assert np.linalg.norm(short.connections[0].force_n) > short.force_limit_n or (
            np.linalg.norm(short.connections[0].moment_n_m) > short.moment_limit_n_m
        )


def test_by_itself_the_proposal_unloads_the_boiler() -> None:
    hanging = run(["down 300 mm", "fit pump", "down 200 mm", "east ..."])
    s = read(pipes(hanging), force_n=20.0, moment_n_m=3.0)
    assert np.linalg.norm(s.connections[0].force_n) <= 20.0
    assert all(x.name in {y.name for y in s.supports} for x in s.suggested)
    assert s.limits_given
