"""From lines, emitters and equipment to a view in which all of them fit the sheet."""

from collections.abc import Mapping, Sequence

from wetside.basis.record import record
from wetside.emitter.spec import Emitter
from wetside.pipework.reading import Node
from wetside.pipework.spec import Vec
from wetside.sheets.draw.equipment import outline, slab
from wetside.sheets.draw.lines import Line
from wetside.sheets.draw.place import Box
from wetside.sheets.draw.stretch import Need, View, arrange, needs_of
from wetside.sheets.draw.svg import XY
from wetside.sheets.draw.symbols import END_REACH, OWNER_ITEM
from wetside.sheets.draw.tubes import apart, bead_room, points_of, strokes_of

Needs = tuple[list[Need], list[Need], list[Need]]
SPREADS = 10
"""How often tubes that lie on one another are moved apart before it is left at that."""


@record(kw_only=False)
class Scene:
    lines: Sequence[Line]
    emitters: Sequence[Emitter]
    """Emitters that the lines reach."""
    owners: Mapping[str, list[Node]]
    """Ports at the lines' ends, by equipment."""
    symbol: float
    """Half a symbol's length, mm."""
    clearance: float
    """Least distance of tubes side by side, mm."""
    depth: float
    """How deep the box of a boiler or tank is drawn, mm."""
    rear: float
    power: float

    def needs(self) -> Needs:
        needs = needs_of(self.lines, bead_room(self.symbol), self.clearance)
        for e in self.emitters:
            low, _, high, _ = slab(e)
            needs[2].append((low[2], high[2], 6.0))
            for k in (0, 1):
                if abs(high[k] - low[k]) > 0.05:
                    needs[k].append((min(low[k], high[k]), max(low[k], high[k]), 9.0))
        return needs

    def reach(self, view: View) -> Box:
        """All that is drawn except words."""
        flat: list[XY] = [view(p) for p in points_of(self.lines)]
        flat.extend(view(p) for e in self.emitters for p in slab(e))
        for nodes in self.owners.values():
            flat.extend(outline(nodes, view, self.depth, self.rear))
            kind = nodes[0].port.owner_kind if nodes[0].port is not None else ""
            if kind in OWNER_ITEM:
                far = END_REACH[OWNER_ITEM[kind]] * self.symbol
                flat.extend((x + d, y + d) for x, y in map(view, (n.at for n in nodes)) for d in (-far, far))
        return Box(min(x for x, _ in flat), min(y for _, y in flat), max(x for x, _ in flat), max(y for _, y in flat))

    def view(self, needs: Needs, ways: tuple[XY, XY, XY], eye: Vec, room: Box) -> View:
        """The largest view; boxes that stick out of the room make it a little smaller."""
        points = points_of(self.lines) + [p for e in self.emitters for p in slab(e)]
        inner = room
        view = arrange(points, needs, ways, eye, inner, power=self.power)
        for _ in range(3):
            r = self.reach(view)
            out = (room.x0 - r.x0, room.y0 - r.y0, r.x1 - room.x1, r.y1 - room.y1)
            if max(out) <= 0.05:
                break
            inner = Box(
                inner.x0 + max(0.0, out[0]), inner.y0 + max(0.0, out[1]),
                inner.x1 - max(0.0, out[2]), inner.y1 - max(0.0, out[3]),
            )  # fmt: skip
            view = arrange(points, needs, ways, eye, inner, power=self.power)
        return view

    def spread(self, needs: Needs, ways: tuple[XY, XY, XY], eye: Vec, room: Box) -> View:
        """The view with tubes moved off one another."""
        view = self.view(needs, ways, eye, room)
        for _ in range(SPREADS):
            more = apart(self.lines, strokes_of(self.lines, view), view)
            if not any(more):
                break
            needs = ([*needs[0], *more[0]], [*needs[1], *more[1]], [*needs[2], *more[2]])
            view = self.view(needs, ways, eye, room)
        return view
