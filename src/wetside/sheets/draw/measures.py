"""Distances from a datum along the edges of a view: a thin line from each point, its figure at the foot."""

from collections.abc import Sequence

from wetside.sheets.draw.letters import width
from wetside.sheets.draw.place import Box, Crowd
from wetside.sheets.draw.svg import XY, Drawing, path_data

SIZE = 2.6
PITCH = 3.0
"""Least distance of two figures side by side, mm."""


def spread(wanted: Sequence[float], pitch: float, low: float, high: float) -> list[float]:
    """Places at least `pitch` apart and in order, each as near to where it is wanted as the others let it.

    Places that would overlap share their middle; all stay between `low` and `high` where there is room.
    """
    blocks: list[tuple[float, int]] = []
    for w in wanted:
        blocks.append((w, 1))
        while len(blocks) > 1:
            (a, n), (b, m) = blocks[-2], blocks[-1]
            if b - a >= pitch * (n + m) / 2:
                break
            blocks[-2:] = [((a * n + b * m) / (n + m), n + m)]
    found: list[float] = []
    for middle, n in blocks:
        start = middle - pitch * (n - 1) / 2
        found.extend(start + pitch * k for k in range(n))
    for k in range(len(found)):
        found[k] = max(found[k], low + pitch * k)
    for k in range(len(found)):
        found[-1 - k] = min(found[-1 - k], high - pitch * k)
    return found


def measure_level(
    drawing: Drawing, crowd: Crowd, points: Sequence[tuple[float, float, str]], foot: float, inside: Box
) -> None:
    """Figures under a view, turned to be read from the right.

    :param points: place along the paper, where the thin line begins, and the figure; from left to right
    """
    places = spread([x for x, _, _ in points], PITCH, inside.x0 + 3.0, inside.x1 - 3.0)
    drawing.open("measures", "measures")
    for (x, y, words), to in zip(points, places, strict=True):
        _witness(drawing, crowd, [(x, min(y + 2.0, foot)), (x, foot), (to, foot + 2.6), (to, foot + 3.6)])
        long = width(words, SIZE)
        drawing.text((to + 0.95, foot + 4.4 + long), words, SIZE, turned=-90.0)
        crowd.block(Box(to - 1.5, foot, to + 1.5, foot + 5.0 + long))
    drawing.close()


def measure_plumb(
    drawing: Drawing, crowd: Crowd, points: Sequence[tuple[float, float, str]], edge: float, inside: Box
) -> None:
    """Figures left of a view.

    :param points: place down the paper, where the thin line begins, and the figure; from the lowest up
    """
    down = sorted(points)
    places = spread([y for y, _, _ in down], PITCH, inside.y0 + 3.0, inside.y1 - 3.0)
    drawing.open("measures", "measures")
    for (y, x, words), to in zip(down, places, strict=True):
        _witness(drawing, crowd, [(max(x - 2.0, edge), y), (edge, y), (edge - 2.6, to), (edge - 3.4, to)])
        drawing.text((edge - 4.0, to + 0.95), words, SIZE, anchor="end")
        crowd.block(Box(edge - 4.5 - width(words, SIZE), to - 1.5, edge, to + 1.5))
    drawing.close()


def _witness(drawing: Drawing, crowd: Crowd, points: list[XY]) -> None:
    crowd.wire(points[0], points[1], 0.15)
    drawing.path(path_data(points, places=2), stroke=drawing.theme.mute, width=0.15)
