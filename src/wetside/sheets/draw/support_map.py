"""Supports on an isometric: a sign of each kind at its place, with its name."""

from collections.abc import Callable, Sequence

from wetside.frame.reading import SupportAt
from wetside.frame.spec import SupportKind
from wetside.sheets.draw.border import LegendRow
from wetside.sheets.draw.isometric import Note
from wetside.sheets.draw.letters import width
from wetside.sheets.draw.lines import Line
from wetside.sheets.draw.numbers import SIZE
from wetside.sheets.draw.place import Crowd, around, ring
from wetside.sheets.draw.stretch import View
from wetside.sheets.draw.svg import XY, Drawing, path_data, tag
from wetside.sheets.draw.theme import Theme


def _shape(points: Sequence[XY], at: XY, fill: str, ink: str) -> str:
    moved = [(at[0] + x, at[1] + y) for x, y in points]
    return tag("path", d=path_data(moved, closed=True, places=2), fill=fill, stroke=ink, stroke_width=0.3)


_SHAPES: dict[SupportKind, tuple[tuple[XY, ...], bool]] = {
    SupportKind.STANDOFF: (((-1.1, -1.1), (1.1, -1.1), (1.1, 1.1), (-1.1, 1.1)), False),
    SupportKind.CLIP: (((0.0, -1.3), (1.3, 1.1), (-1.3, 1.1)), False),
    SupportKind.HANGER: (((0.0, 1.3), (1.3, -1.1), (-1.3, -1.1)), False),
    SupportKind.RISER_CLAMP: (((-1.5, -0.7), (1.5, -0.7), (1.5, 0.7), (-1.5, 0.7)), False),
    SupportKind.ANCHOR: (((-1.1, -1.1), (1.1, -1.1), (1.1, 1.1), (-1.1, 1.1)), True),
    SupportKind.GUIDE: (((0.0, -1.4), (1.4, 0.0), (0.0, 1.4), (-1.4, 0.0)), False),
}


def sign(kind: SupportKind, at: XY, theme: Theme) -> str:
    """The sign of a kind of support: open for those that let the tube slide, filled for an anchor."""
    points, filled = _SHAPES[kind]
    return _shape(points, at, theme.ink if filled else theme.sheet, theme.ink)


def support_note(
    supports: Sequence[SupportAt], theme: Theme, said: Callable[[SupportAt], str] = lambda s: s.name
) -> Note:
    """Supports as the note of an isometric.

    :param said: what stands beside the sign
    """
    kinds = [k for k in SupportKind if any(s.kind is k for s in supports)]

    def row(kind: SupportKind) -> LegendRow:
        return LegendRow(kind.value, lambda at: sign(kind, at, theme))

    def write(drawing: Drawing, crowd: Crowd, lines: Sequence[Line], view: View) -> None:
        runs = {line.leg.run for line in lines}
        shown = [s for s in supports if s.run in runs]
        flat = [view(s.at) for s in shown]
        for s, at in zip(shown, flat, strict=True):
            drawing.open(f"support:{s.name}", "support")
            drawing.add(sign(s.kind, at, theme))
            drawing.close()
            crowd.block(around(at, 2.8, 2.8))
        for s, at in zip(shown, flat, strict=True):
            words = said(s)
            w = width(words, SIZE) + 0.6
            spots = ring(at, w, 2.4, (2.0, 3.2, 5.0, 7.5, 10.5, 14.0, 19.0, 25.0), gap=1.5)
            spot = crowd.choose(spots, clear=0.1) or crowd.choose(spots, clear=0.1, through=True)
            if spot is None:
                continue
            if spot.leader is not None:
                drawing.line(*spot.leader, theme.mute, 0.15)
            drawing.text((spot.box.middle[0], spot.box.y1 - 0.45), words, SIZE, anchor="middle", halo=True)

    return Note(
        write=write,
        rows=tuple(row(k) for k in kinds),
        said="places and loads: on the support sheet",
    )
