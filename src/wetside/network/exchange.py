"""Plate exchangers: which links are their sides, and which junctions they couple."""

import numpy as np

from wetside.basis.record import record
from wetside.network.columns import Columns, Floats, Ints, listed
from wetside.network.graph import Shape
from wetside.network.net import Net


@record(kw_only=False)
class Sides:
    """Exchangers whose sides both lie on loops."""

    links: Ints
    """Two rows: the one side and the other, as places in `Shape.live`."""
    w_k: Floats


def exchanger_sides(net: Net, columns: Columns, shape: Shape) -> Sides:
    """The exchangers of a net that can pass heat at all."""
    names = {x.name: i for i, x in enumerate(net.links)}
    place = np.full(columns.shut.size, -1, dtype=np.intp)
    place[shape.live] = np.arange(shape.live.size)
    rows = [(i, names[e.other], e.w_k) for i in listed(columns.exchangers) if (e := net.links[i].exchanger) is not None]
    found = [(int(place[i]), int(place[j]), w) for i, j, w in rows if i < j and place[i] >= 0 and place[j] >= 0]
    links = np.array([(i, j) for i, j, _ in found], dtype=np.intp).reshape(-1, 2).T
    return Sides(links, np.array([w for _, _, w in found], dtype=np.float64))


def exchanger_pairs(sides: Sides, shape: Shape) -> tuple[Ints, Ints]:
    """Junctions that exchangers may couple, four pairs for each, whichever way the water goes."""
    i, j = shape.chain[sides.links]
    a, b = shape.a, shape.b
    first = np.array([a[i], a[i], b[i], b[i]]).T.ravel()
    second = np.array([a[j], b[j], a[j], b[j]]).T.ravel()
    return first, second
