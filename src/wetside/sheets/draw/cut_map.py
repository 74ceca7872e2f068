"""Numbers of the pieces of tube on an isometric."""

from collections.abc import Collection, Sequence
from itertools import pairwise
from math import dist

from wetside.fabricate.reading import Cut, Fabrication
from wetside.pipework.spec import Vec
from wetside.pipework.vec import add, times
from wetside.sheets.draw.border import LegendRow
from wetside.sheets.draw.isometric import Note
from wetside.sheets.draw.letters import width
from wetside.sheets.draw.lines import Line
from wetside.sheets.draw.place import Crowd, beside, ring
from wetside.sheets.draw.stretch import View
from wetside.sheets.draw.svg import XY, Drawing, tag
from wetside.sheets.draw.theme import Theme

SIZE = 2.3
_FROM = (2.0, 3.5, 5.5, 8.0, 11.0, 15.0, 20.0, 26.0)


def corners(cut: Cut, fabrication: Fabrication) -> list[Vec]:
    """Centres of both fittings and the corners of the tube's bends between them."""
    a, b = fabrication.bodies[cut.a], fabrication.bodies[cut.b]
    points, heading = [a.at], a.ends[cut.a_end].away
    here = add(a.at, times(heading, a.ends[cut.a_end].takeout_m))
    for bend in cut.bends:
        here = add(here, times(heading, bend.from_last_m))
        points.append(here)
        heading = bend.out_of
    return [*points, b.at]


def cut_note(fabrication: Fabrication, theme: Theme, elsewhere: Collection[str] = ()) -> Note:
    """Every piece's number beside it.

    :param elsewhere: names of pieces that are numbered on a sheet of their own
    """

    def sample(at: XY) -> str:
        return tag("text", "C7", x=at[0], y=at[1] + 0.9, font_size=2.6, font_weight="600", text_anchor="middle",
                   fill=theme.ink)  # fmt: skip

    def write(drawing: Drawing, crowd: Crowd, lines: Sequence[Line], view: View) -> None:
        shown = {line.leg.name for line in lines}
        jobs: list[tuple[float, str, XY, XY]] = []
        for cut in fabrication.cuts:
            if cut.leg not in shown or cut.name in elsewhere:
                continue
            flat = [view(p) for p in corners(cut, fabrication)]
            a, b = max(pairwise(flat), key=lambda s: dist(*s))
            jobs.append((dist(a, b), cut.name, a, b))
        # the shortest have the least choice
        for _, name, a, b in sorted(jobs):
            w = width(name, SIZE, weight=600) + 0.6
            middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            spots = [
                *beside(a, b, w, 2.4, off=0.8),
                *ring(middle, w, 2.4, (2.0, 3.5, 5.5, 8.0, 11.0, 15.0, 20.0, 26.0)),
            ]
            spot = crowd.choose(spots, clear=0.1) or crowd.choose(spots, clear=0.1, through=True)
            if spot is None:
                continue
            if spot.leader is not None:
                drawing.line(*spot.leader, drawing.theme.mute, 0.15)
            x, _ = spot.box.middle
            drawing.text((x, spot.box.y1 - 0.45), name, SIZE, anchor="middle", weight=600, halo=True)

    said = "pieces near the boiler: on the bench sheets" if elsewhere else "numbers as on the cut sheet"
    return Note(write=write, rows=(LegendRow("piece of tube, as on the cut sheet", sample),), said=said)
