"""Joint numbers on a drawing: a small capsule for the joints of each fitting; per leg where they would be too many."""

from collections.abc import Sequence
from itertools import pairwise

from wetside.fabricate.reading import Fabrication, Joint
from wetside.pipework.spec import Vec
from wetside.sheets.draw.letters import width
from wetside.sheets.draw.lines import Line, distance
from wetside.sheets.draw.place import Crowd, Spot, around, ring
from wetside.sheets.draw.stretch import View
from wetside.sheets.draw.svg import XY, Drawing

SIZE = 2.3
_HIGH = 3.0
_FAR = 0.12
"""A joint belongs to the nearest drawn line of its run, when it is at most this far off it (a take-out), m."""


_FROM = (1.2, 2.2, 3.6, 5.5, 8.0, 11.0, 15.0, 20.0, 26.0, 34.0, 44.0)


def spans(numbers: Sequence[int]) -> str:
    """``"3, 7–9"`` from numbers in order."""
    parts: list[str] = []
    start = last = numbers[0]
    for n in [*numbers[1:], None]:
        if n is not None and n == last + 1:
            last = n
            continue
        parts.append(str(start) if start == last else f"{start}–{last}" if last > start + 1 else f"{start}, {last}")
        if n is not None:
            start = last = n
    return ", ".join(parts)


def _groups(lines: Sequence[Line], joints: Sequence[Joint], per_leg: bool) -> list[tuple[tuple[int, int], list[int]]]:
    """Joint numbers by (line, bead) that they sit at; by (line, -1) for a whole leg."""
    found: dict[tuple[int, int], list[int]] = {}
    by_run: dict[str, list[int]] = {}
    for i, line in enumerate(lines):
        by_run.setdefault(line.leg.run, []).append(i)
    for joint in joints:
        near = [(_away(lines[i], joint.at), i) for i in by_run.get(joint.run, ())]
        off, i = min(near, default=(_FAR + 1.0, 0))
        if off <= _FAR:
            beads = lines[i].beads
            k = min(range(len(beads)), key=lambda k: distance(beads[k].at, joint.at))
            found.setdefault((i, -1 if per_leg else k), []).append(joint.number)
    return sorted((k, sorted(v)) for k, v in found.items())


def _away(line: Line, at: Vec) -> float:
    """Distance from the line, m."""
    least = float("inf")
    for p, q in pairwise(b.at for b in line.beads):
        d = [v - u for u, v in zip(p, q, strict=True)]
        n = sum(x * x for x in d)
        t = sum((c - u) * x for c, u, x in zip(at, p, d, strict=True)) / n if n > 0 else 0.0
        t = min(1.0, max(0.0, t))
        least = min(least, distance(at, (p[0] + t * d[0], p[1] + t * d[1], p[2] + t * d[2])))
    return least


def number_joints(drawing: Drawing, crowd: Crowd, lines: Sequence[Line], view: View, fabrication: Fabrication) -> None:
    """Capsules beside the fittings; when there are more than the sheet has room for, one for each leg."""
    groups = _groups(lines, fabrication.joints, per_leg=False)
    if len(groups) > 90:
        groups = _groups(lines, fabrication.joints, per_leg=True)
    for (i, k), numbers in groups:
        flat = [view(b.at) for b in lines[i].beads]
        words = spans(numbers)
        w = max(_HIGH, width(words, SIZE) + 1.6)
        anchors = [flat[k]] if k >= 0 else _middles(flat)
        spots = [s for at in anchors for s in ring(at, w, _HIGH, _FROM, gap=0.6)]
        spot = crowd.choose(spots, clear=0.15) or crowd.choose(spots, clear=0.15, through=True)
        if spot is not None:
            _capsule(drawing, spot, words, f"joints:{words}")


def _middles(flat: Sequence[XY]) -> list[XY]:
    """Middles of the three longest stretches, the longest first."""
    parts = sorted(pairwise(flat), key=lambda s: -((s[1][0] - s[0][0]) ** 2) - (s[1][1] - s[0][1]) ** 2)
    return [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in parts[:3]]


def _capsule(drawing: Drawing, spot: Spot, words: str, data_id: str) -> None:
    t = drawing.theme
    box = spot.box
    if spot.leader is not None:
        drawing.line(*spot.leader, t.mute, 0.18)
    drawing.open(data_id, "joints")
    drawing.rect(
        box.x0, box.y0, box.x1 - box.x0, box.y1 - box.y0, fill=t.sheet, stroke=t.mute, width=0.2, round_=_HIGH / 2
    )
    x, y = around(box.middle, 0, 0).middle
    drawing.text((x, y + 0.8), words, SIZE, anchor="middle")
    drawing.close()
