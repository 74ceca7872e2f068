"""Drawings for CAD: plans, centre lines in space, bench sheets, as DXF with layers, in the house's own measure.

East is x, north is y and up is z, in millimetres or inches; a bench sheet lies in x (right) and y (up). Needs the
package ezdxf (extra "dxf"), which is imported only here, when it is asked for. The same study gives the same bytes.
"""

import io
from collections.abc import Generator, Sequence
from contextlib import contextmanager
from importlib import import_module
from importlib.util import find_spec
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING, Any

from wetside.basis.quantity import INCH, System, tape
from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.fabricate.reading import Fabrication
from wetside.house.spec import House
from wetside.pipework.reading import NodeKind, Straight
from wetside.pipework.spec import Tube, Vec
from wetside.pipework.vec import add, sub, times
from wetside.sheets.bench import Bench, bench_works
from wetside.sheets.draw.bench_parts import SLEEVE, tube_lines, tube_of
from wetside.sheets.draw.lines import lines_of
from wetside.sheets.draw.plan_tubes import band, stretches
from wetside.sheets.draw.sides import sides
from wetside.sheets.wording import clean

if TYPE_CHECKING:
    from wetside.study.study import Study

LACKING = "DXF needs the package ezdxf: pip install 'wetside[dxf]'"
"""What to say where the package is missing."""

# name, colour (1 red, 3 green, 5 blue, 7 black or white, 8 grey), kind of line, and weight in 1/100 mm
LAYERS: tuple[tuple[str, int, str, int], ...] = (
    ("ROOMS", 7, "CONTINUOUS", 35),
    ("OPENINGS", 8, "CONTINUOUS", 18),
    ("EMITTERS", 8, "CONTINUOUS", 25),
    ("EQUIPMENT", 7, "CONTINUOUS", 35),
    ("FLOW", 1, "CONTINUOUS", 50),
    ("RETURN", 5, "DASHED", 50),
    ("OTHER", 8, "DASHDOT", 35),
    ("FITTINGS", 7, "CONTINUOUS", 25),
    ("SUPPORTS", 3, "CONTINUOUS", 25),
    ("TUBE", 7, "CONTINUOUS", 35),
    ("TUBE-CUT-LAST", 1, "CONTINUOUS", 35),
    ("CENTRE", 8, "DASHDOT", 13),
    ("JOINTS", 3, "CONTINUOUS", 25),
    ("TEXT", 7, "CONTINUOUS", 18),
)
SIDE_LAYER = {"flow": "FLOW", "return": "RETURN", "other": "OTHER"}


@record
class DxfFile:
    file: str
    title: str
    text: str


def has_dxf() -> bool:
    """Whether the package that writes DXF is installed."""
    return find_spec("ezdxf") is not None


@contextmanager
def _fixed() -> Generator[None]:
    """No time of day and no fresh ids in the file."""
    options: Any = import_module("ezdxf").options
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


class _Sheet:
    """A file being drawn; positions come in metres."""

    def __init__(self, system: System, dash: float = 1.0) -> None:
        """
        :param dash: how much longer dashes are than on a bench sheet
        """
        self.per_m = 1.0 / INCH if system is System.US else 1000.0
        with _fixed():
            self.document: Any = import_module("ezdxf").new("R2010", units=1 if system is System.US else 4)
        line_types: Any = self.document.linetypes
        unit = self.per_m / 1000.0
        for name, pattern in (("DASHED", [36.0, 24.0, -12.0]), ("DASHDOT", [48.0, 30.0, -8.0, 2.0, -8.0])):
            if name not in line_types:
                line_types.add(name, pattern=[x * unit for x in pattern])
        for name, colour, kind, weight in LAYERS:
            self.document.layers.add(name, color=colour, linetype=kind, lineweight=weight)
        self.document.header["$LTSCALE"] = dash
        self.space: Any = self.document.modelspace()

    def at(self, p: Sequence[float]) -> tuple[float, ...]:
        # a thousandth of a millimetre: what is the same place stays the same number
        return tuple(round(x * self.per_m, 3) for x in p)

    def line(self, layer: str, points: Sequence[Sequence[float]], *, closed: bool = False) -> None:
        """A flat or a spatial polyline."""
        placed = [self.at(p) for p in points]
        if len(placed[0]) == 3:
            self.space.add_polyline3d(placed, close=closed, dxfattribs={"layer": layer})
        else:
            self.space.add_lwpolyline(placed, close=closed, dxfattribs={"layer": layer})

    def circle(self, layer: str, centre: Sequence[float], radius: Metre) -> None:
        self.space.add_circle(self.at(centre), round(radius * self.per_m, 3), dxfattribs={"layer": layer})

    def point(self, layer: str, at: Sequence[float]) -> None:
        self.space.add_point(self.at(at), dxfattribs={"layer": layer})

    def words(self, at: Sequence[float], text: str, height: Metre = 0.05, layer: str = "TEXT") -> None:
        self.space.add_text(
            clean(text), height=round(height * self.per_m, 3), dxfattribs={"layer": layer}
        ).set_placement(self.at(at))

    def text(self) -> str:
        out = io.StringIO()
        with _fixed():
            self.document.write(out)
        return out.getvalue()


def dxf_files(study: "Study", storey: str | None = None) -> tuple[DxfFile, ...]:
    """A plan of each storey, the pipework in space, and the bench sheets; or one plan.

    :raises ImportError: the package ezdxf is missing; see `has_dxf`
    :raises JobProblem: the job can't be read
    :raises NoSolution: the network has no answer
    """
    from wetside.sheets.drawings import file_name, storeys

    def named(*words: str) -> str:
        return file_name(*words).removesuffix(".svg") + ".dxf"

    made = [
        DxfFile(file=named("plan", str(i), name), title=f"Plan: {name}", text=_plan(study, name))
        for i, name in enumerate(storeys(study), start=1)
        if storey in (None, name)
    ]
    if storey is None:
        made.append(DxfFile(file="pipework.dxf", title="Pipework in space", text=_space(study)))
        made.extend(
            DxfFile(
                file=named("bench", b.work.name),
                title=f"Bench sheet: {b.work.name}",
                text=_bench(b, study.fabrication, study.design.system),
            )
            for b in bench_works(study)
        )
    return tuple(made)


def _plan(study: "Study", storey: str) -> str:
    d = study.design
    sheet = _Sheet(d.system, 8.0)
    for room in d.house.rooms:
        if room.storey == storey and room.outline:
            sheet.line("ROOMS", room.outline, closed=True)
            x, y = (sum(p[k] for p in room.outline) / len(room.outline) for k in (0, 1))
            sheet.words((x, y), room.name, 0.15)
    for o in study.openings:
        if o.storey == storey:
            sheet.line("OPENINGS", o.line)
    low, high = band(d.house, storey)
    for e in d.emitters:
        if low <= e.at[2] < high:
            (x, y, _), (u, v), h, deep = e.at, e.along, e.length_m / 2, max(e.depth_m, 0.06)
            left, right = (x - h * u, y - h * v), (x + h * u, y + h * v)
            out = (v * deep, -u * deep)
            corners = (left, right, (right[0] + out[0], right[1] + out[1]), (left[0] + out[0], left[1] + out[1]))
            sheet.line("EMITTERS", corners, closed=True)
            sheet.words((x + out[0], y + out[1]), e.name, 0.08)
    for p in d.ports:
        if p.owner_kind != "emitter" and low <= p.at[2] < high:
            sheet.circle("EQUIPMENT", p.at[:2], 0.03)
            sheet.words((p.at[0] + 0.05, p.at[1]), p.ref)
    lines, side = lines_of(study.pipework), sides(study.pipework, study.flow)
    for s in stretches(lines, low, high):
        layer = SIDE_LAYER[side.get(lines[s.line].leg.name, "other")]
        if s.riser is None:
            sheet.line(layer, (s.a[:2], s.b[:2]))
        else:
            sheet.circle(layer, s.a[:2], s.tube.outside_m / 2)
    return sheet.text()


def _space(study: "Study") -> str:
    sheet = _Sheet(study.design.system, 8.0)
    side = sides(study.pipework, study.flow)
    for leg in study.pipework.legs:
        layer = SIDE_LAYER[side.get(leg.name, "other")]
        runs: list[tuple[Tube, list[Vec]]] = []
        for p in leg.pieces:
            if not isinstance(p, Straight):
                continue
            if runs and runs[-1][0] == p.tube and runs[-1][1][-1] == p.a:
                runs[-1][1].append(p.b)
            else:
                runs.append((p.tube, [p.a, p.b]))
        for tube, points in runs:
            sheet.line(layer, points)
            middle = times(add(points[0], points[1]), 0.5)
            sheet.words(middle, f"{leg.name}, {tube.name}")
    for body in study.fabrication.bodies:
        sheet.point("FITTINGS", body.at)
    for node in study.pipework.nodes:
        if node.kind is NodeKind.PORT:
            sheet.point("EQUIPMENT", node.at)
            sheet.words(node.at, node.name, layer="EQUIPMENT")
    for s in study.supporting.supports:
        sheet.point("SUPPORTS", s.at)
        sheet.words(s.at, f"{s.name} {s.kind.value}", layer="SUPPORTS")
    for room in study.design.house.rooms:
        level = _level(study.design.house, room.storey)
        if room.outline:
            sheet.line("ROOMS", [(*p, level) for p in room.outline], closed=True)
    return sheet.text()


def _level(house: House, storey: str) -> Metre:
    return next(s.level_m for s in house.storeys if s.name == storey)


def _bench(bench: Bench, made: Fabrication, system: System) -> str:
    """Front, and the right side beside it."""
    sheet, work = _Sheet(system), bench.work
    seen = [bench.stand(made.bodies[k].at) for k in work.bodies]
    shift = max(p[0] for p in seen) - min(p[1] for p in seen) + 0.4
    for axis, off in ((0, 0.0), (1, shift)):
        _view(sheet, bench, made, axis, off, system)
    top = max(p[2] for p in seen) + 0.25
    sheet.words((min(p[0] for p in seen), top), f"front, seen looking {bench.stand.looking}", 0.03)
    sheet.words((shift + min(p[1] for p in seen), top), "right side", 0.03)
    return sheet.text()


def _view(sheet: _Sheet, bench: Bench, made: Fabrication, axis: int, off: Metre, system: System) -> None:
    work, in_joint = bench.work, tube_of(made)

    def flat(p: Vec) -> tuple[float, float]:
        q = bench.stand(p)
        return (q[axis] + off, q[2])

    for line in tube_lines(work, made):
        points = [flat(p) for p in line.points]
        layer = "TUBE-CUT-LAST" if line.last else "TUBE"
        for a, b in pairwise(points):
            _tube(sheet, layer, a, b, line.cut.tube.outside_m)
        if hypot(points[-1][0] - points[0][0], points[-1][1] - points[0][1]) > 1e-6:
            sheet.line("CENTRE", points)
            # said once: in front, or at the side where the front shows it end-on
            hidden = all(bench.stand.turned(sub(q, line.points[0]))[0] ** 2 < 1e-8 for q in line.points)
            upright = abs(points[0][0] - points[1][0]) < 1e-6
            if axis == 0 or (hidden and not upright):
                x, y = (points[0][0] + points[1][0]) / 2, (points[0][1] + points[1][1]) / 2
                said = (
                    f"{line.cut.name} goes on" if line.leads else f"{line.cut.name} {tape(line.cut.length_m, system)}"
                )
                off_line = line.cut.tube.outside_m / 2 + 0.006
                sheet.words((x + off_line, y) if upright else (x - 0.02, y + off_line), said, 0.014)
    done = set(work.in_place)
    for k in work.bodies:
        body = made.bodies[k]
        at = flat(body.at)
        for e in body.ends:
            cut = in_joint.get(e.joint)
            if cut is None:
                continue
            tip = flat(add(body.at, times(e.away, e.takeout_m + e.insertion_m)))
            _tube(sheet, "FITTINGS", at, tip, cut.tube.outside_m * SLEEVE)
            if tip != at:
                sheet.circle("JOINTS", tip, 0.006 if e.joint in done else 0.003)
        if body.port and axis == 0:
            sheet.words((at[0] + 0.02, at[1] + 0.02), body.port, 0.02)


def _tube(sheet: _Sheet, layer: str, a: tuple[float, float], b: tuple[float, float], wide: Metre) -> None:
    """Both edges of a tube and its ends; a round where it is seen end-on."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    if length < 1e-6:
        sheet.circle(layer, a, wide / 2)
        return
    u, v = (b[0] - a[0]) / length * wide / 2, (b[1] - a[1]) / length * wide / 2
    corners = ((a[0] - v, a[1] + u), (b[0] - v, b[1] + u), (b[0] + v, b[1] - u), (a[0] + v, a[1] - u))
    sheet.line(layer, corners, closed=True)
