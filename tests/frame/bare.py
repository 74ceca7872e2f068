"""A bare frame of one kind of tube, for tests."""

from collections.abc import Sequence

import numpy as np

from wetside.frame.beam import Beams, tube_area_m2, tube_inertia_m4
from wetside.frame.solve import Frame

E_PA, G_PA = 117e9, 43.7e9
OUTSIDE, WALL = 0.022, 0.0009
AREA, INERTIA = tube_area_m2(OUTSIDE, WALL), tube_inertia_m4(OUTSIDE, WALL)
FIX = (True,) * 6
FREE = (False,) * 6
PIN = (True, True, True, False, False, False)


def frame(
    at: Sequence[Sequence[float]],
    ends: Sequence[tuple[int, int]],
    held: dict[int, Sequence[bool]],
    load: Sequence[float] | np.ndarray = (0.0, 0.0, 0.0),
    strain: float | Sequence[float] = 0.0,
    on_node: np.ndarray | None = None,
) -> Frame:
    n, m = len(at), len(ends)
    hold = np.zeros((n, 6), dtype=bool)
    for node, what in held.items():
        hold[node] = what
    return Frame(
        at=np.array(at, dtype=float),
        beams=Beams(
            ends=np.array(ends, dtype=np.intp),
            elastic_pa=np.full(m, E_PA),
            shear_pa=np.full(m, G_PA),
            area_m2=np.full(m, AREA),
            inertia_m4=np.full(m, INERTIA),
            radius_m=np.full(m, OUTSIDE / 2),
            load_n_m=np.broadcast_to(np.asarray(load, dtype=float), (m, 3)).copy(),
            strain=np.broadcast_to(np.asarray(strain, dtype=float), (m,)).copy(),
        ),
        held=hold,
        spring=np.zeros((n, 6)),
        axes=np.tile(np.eye(3), (n, 1, 1)),
        load=np.zeros((n, 6)) if on_node is None else on_node,
    )
