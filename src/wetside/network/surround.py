"""What surrounds tube and emitters: given temperatures, or rooms whose temperature is to be found."""

import numpy as np

from wetside.network.columns import Columns, Floats, Ints, listed
from wetside.network.net import Net


class Surroundings:
    """Temperatures around every link of a net, as the rooms stand at the moment."""

    def __init__(self, net: Net, columns: Columns) -> None:
        place = {r.name: i for i, r in enumerate(net.rooms)}
        self.ambient = columns.ambient.copy()
        """Around the tube of each link."""
        ratings = [r for i in listed(columns.rated) if (r := net.links[i].rating) is not None]
        self.room_c = np.array([r.room_c for r in ratings], dtype=np.float64)
        """Around each emitter (in the order of `Columns.rated`)."""
        self.tube_room: Ints = np.array([place.get(x.room, -1) for x in net.links], dtype=np.intp)
        """Room that each link's tube heats; −1 for none of the net's."""
        self.emitter_room: Ints = np.array([place.get(r.room, -1) for r in ratings], dtype=np.intp)
        self._tubes, self._emitters = np.flatnonzero(self.tube_room >= 0), np.flatnonzero(self.emitter_room >= 0)
        self._lossy, self._fill_c, self._rated = columns.loss > 0.0, net.fill_c, columns.rated
        self.take(np.array([r.start_c for r in net.rooms], dtype=np.float64))

    def take(self, rooms_c: Floats) -> None:
        """Let the rooms have these temperatures."""
        self.rooms_c = rooms_c
        self.ambient[self._tubes] = rooms_c[self.tube_room[self._tubes]]
        self.room_c[self._emitters] = rooms_c[self.emitter_room[self._emitters]]

    def standing_c(self) -> Floats:
        """Temperature of water that stands in each link."""
        still = np.where(self._lossy, self.ambient, self._fill_c)
        still[self._rated] = self.room_c
        return still
