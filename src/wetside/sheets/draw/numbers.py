"""Joint numbers on a drawing: a small capsule for the joints of each fitting; per leg where they would be too many."""

import itertools
from collections.abc import Sequence

from wetside.fabricate.reading import Fabrication, Joint
from wetside.sheets.draw.letters import width
from wetside.sheets.draw.lines import Line, distance
from wetside.sheets.draw.place import Crowd, Spot, around, ring
from wetside.sheets.draw.stretch import View
from wetside.sheets.draw.svg import XY, Drawing

SIZE = 2.3
_HIGH = 3.0
_FAR = 0.12
"""A joint belongs to the bead of its run that is at most this far away (a take-out), m."""


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
        best: tuple[float, int, int] | None = None
        for i in by_run.get(joint.run, ()):
            for k, bead in enumerate(lines[i].beads):
                d = distance(bead.at, joint.at)
                if best is None or d < best[0] - 1e-6:
                    best = (d, i, k)
        on_line = best is not None and (best[0] <= _FAR or _between(lines[best[1]], joint))
        if best is not None and on_line:
            found.setdefault((best[1], -1 if per_leg else best[2]), []).append(joint.number)
    return sorted((k, sorted(v)) for k, v in found.items())


def _between(line: Line, joint: Joint) -> bool:
    """Whether the joint (a coupling in a long straight) lies on the drawn part of the line."""
    for a, b in zip(line.beads, line.beads[1:], strict=False):
        if abs(distance(a.at, joint.at) + distance(b.at, joint.at) - distance(a.at, b.at)) < 0.02:
            return True
    return False


def number_joints(drawing: Drawing, crowd: Crowd, lines: Sequence[Line], view: View, fabrication: Fabrication) -> None:
    """Capsules beside the fittings; when there are more than the sheet has room for, one for each leg."""
    groups = _groups(lines, fabrication.joints, per_leg=False)
    if len(groups) > 90:
        groups = _groups(lines, fabrication.joints, per_leg=True)
    for (i, k), numbers in groups:
        flat = [view(b.at) for b in lines[i].beads]
        at = flat[k] if k >= 0 else _middle(flat)
        words = spans(numbers)
        w = max(_HIGH, width(words, SIZE) + 1.6)
        spot = crowd.choose(ring(at, w, _HIGH, (1.2, 2.2, 3.6, 5.5, 8.0, 11.0, 15.0, 20.0), gap=0.6), clear=0.15)
        if spot is not None:
            _capsule(drawing, spot, words, f"joints:{words}")


def _middle(flat: Sequence[XY]) -> XY:
    """Middle of the longest stretch."""
    a, b = max(itertools.pairwise(flat), key=lambda s: (s[1][0] - s[0][0]) ** 2 + (s[1][1] - s[0][1]) ** 2)
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)


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
