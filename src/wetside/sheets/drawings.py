"""Which drawings a study has: made once here, for the terminal, the page and the pack alike."""

import re
from typing import TYPE_CHECKING

from wetside.basis.record import record
from wetside.basis.rules import ORDER, Verdict
from wetside.fabricate.bench import item_kinds
from wetside.sheets.bench import bench_works, three_way_bodies
from wetside.sheets.buy import BuySheet, buy_sheet
from wetside.sheets.cuts import cuts_sheet
from wetside.sheets.draw.bench import bench_drawing
from wetside.sheets.draw.border import drawing_size
from wetside.sheets.draw.chart import duty_chart
from wetside.sheets.draw.cut_map import cut_note
from wetside.sheets.draw.isometric import Note, isometric
from wetside.sheets.draw.lines import near_boiler
from wetside.sheets.draw.plan import plan
from wetside.sheets.draw.schematic import schematic
from wetside.sheets.draw.sides import sides
from wetside.sheets.draw.spares import Stocking, spares_chart
from wetside.sheets.draw.sticks import stick_sheets
from wetside.sheets.draw.support_map import support_note
from wetside.sheets.draw.theme import Theme

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class Picture:
    """A drawing with what is said of it."""

    file: str
    title: str
    alt: str
    """What the drawing shows, for those who can't see it."""
    svg: str
    width_mm: float
    height_mm: float


def file_name(*words: str) -> str:
    """A file name that every file system takes: ``"plan-ground.svg"``."""
    text = re.sub(r"[^\w]+", "-", " ".join(words).casefold()).strip("-_")
    return f"{text[:60]}.svg"


def room_verdicts(study: "Study") -> dict[str, Verdict]:
    """The worst verdict on each room, from the findings that lead to it."""
    found: dict[str, Verdict] = {}
    for f in study.findings:
        kind, _, name = f.place.partition(":")
        if kind == "room" and (name not in found or ORDER[f.verdict] < ORDER[found[name]]):
            found[name] = f.verdict
    return found


def storeys(study: "Study") -> tuple[str, ...]:
    """Names of the storeys from the ground up."""
    return tuple(s.name for s in sorted(study.design.house.storeys, key=lambda s: s.level_m))


def plans(study: "Study", theme: Theme, only: str | None = None) -> tuple[Picture, ...]:
    """A plan of each storey, or of one."""
    d = study.design
    size = drawing_size(d.paper)
    verdicts = room_verdicts(study)
    made: list[Picture] = []
    for i, name in enumerate(storeys(study), start=1):
        if only not in (None, name):
            continue
        svg = plan(
            house=d.house,
            storey=name,
            load=study.rooms,
            openings=study.openings,
            emitters=d.emitters,
            pipework=study.pipework,
            flow=study.flow,
            sides=sides(study.pipework, study.flow),
            system=d.system,
            verdicts=verdicts,
            theme=theme,
            job=d.name,
            size=size,
        )
        alt = f"Plan of storey {name}: walls, openings, rooms with need and output, emitters and tube"
        made.append(picture(file_name("plan", str(i), name), f"Plan: {name}", alt, svg, size))
    return tuple(made)


def picture(file: str, title: str, alt: str, svg: str, size: tuple[float, float]) -> Picture:
    return Picture(file=file, title=title, alt=alt, svg=svg, width_mm=size[0], height_mm=size[1])


def _three_ways(study: "Study") -> dict[str, str]:
    """Names of the three-way valves by the tee that each stands in place of."""
    return {v.tee: v.name for v in study.design.apparatus.three_ways}


def isometrics(study: "Study", theme: Theme) -> tuple[Picture, ...]:
    """The pipework near the boiler, and the whole of it, in space."""
    d = study.design
    side = sides(study.pipework, study.flow)
    close = near_boiler(study.pipework, [b.name for b in d.boilers])
    # numbered on the sheet near the boiler, so not again in the crowd of the whole
    numbered = {line.leg.name for line in close if line.a is not None and line.b is not None}
    made: list[Picture] = []
    for file, title, lines in (
        ("isometric-boiler.svg", "Isometric near the boiler", close),
        ("isometric.svg", "Isometric", None),
    ):
        if lines is not None and not lines:
            continue
        size = drawing_size(d.paper, upright=lines is None)
        svg = isometric(
            study.pipework,
            house=d.house,
            emitters=d.emitters,
            fabrication=study.fabrication,
            sides=side,
            system=d.system,
            theme=theme,
            lines=lines,
            elsewhere=numbered if lines is None else frozenset(),
            title=title,
            job=d.name,
            size=size,
            three_ways=_three_ways(study),
        )
        made.append(
            picture(file, title, f"{title}: tube, fittings, valves and numbered joints, not to scale", svg, size)
        )
    return tuple(made)


def noted(study: "Study", theme: Theme, file: str, title: str, alt: str, note: Note) -> Picture:
    """An isometric of all tube that says something else than joints."""
    d = study.design
    size = drawing_size(d.paper, upright=True)
    svg = isometric(
        study.pipework,
        house=d.house,
        emitters=d.emitters,
        fabrication=study.fabrication,
        sides=sides(study.pipework, study.flow),
        system=d.system,
        theme=theme,
        title=title,
        job=d.name,
        size=size,
        note=note,
        three_ways=_three_ways(study),
    )
    return picture(file, title, alt, svg, size)


def cut_maps(study: "Study", theme: Theme) -> tuple[Picture, ...]:
    """Where each piece of tube goes; those of the bench sheets are left to them."""
    made = study.fabrication
    near = {c.name for b in bench_works(study) for c in b.work.cuts}
    if len(near) == len(made.cuts):
        return ()
    alt = "Isometric with the number of every piece of tube that no bench sheet has, not to scale"
    return (noted(study, theme, "isometric-cuts.svg", "Isometric of the cuts", alt, cut_note(made, theme, near)),)


def support_maps(study: "Study", theme: Theme) -> tuple[Picture, ...]:
    """Where each support goes."""
    supports = study.supporting.supports
    if not supports:
        return ()
    alt = "Isometric with every support by kind and name, not to scale"
    return (noted(study, theme, "support-map.svg", "Support map", alt, support_note(supports, theme)),)


def stick_pictures(study: "Study", theme: Theme) -> tuple[Picture, ...]:
    """Every stick with the pieces that are cut from it, to scale, on as many sheets as it takes."""
    d, size = study.design, drawing_size(study.design.paper, upright=True)
    sheets = stick_sheets(cuts_sheet(study), theme=theme, job=d.name, size=size)
    alt = "Sticks and coils of tube to scale, with the pieces that are cut from each"
    return tuple(
        picture(file_name("sticks", str(k)), f"Sticks {k}" if len(sheets) > 1 else "Sticks", alt, svg, size)
        for k, svg in enumerate(sheets, start=1)
    )


def schematics(study: "Study", theme: Theme) -> tuple[Picture, ...]:
    """What is joined to what near the boiler; none without a boiler."""
    d = study.design
    if not d.boilers:
        return ()
    size = drawing_size(d.paper)
    svg = schematic(
        study.pipework,
        house=d.house,
        emitters=d.emitters,
        boilers=d.boilers,
        tanks=d.tanks,
        flow=study.flow,
        sides=sides(study.pipework, study.flow),
        system=d.system,
        theme=theme,
        glycol_share=d.plant.glycol_share,
        three_ways=_three_ways(study),
        job=d.name,
        size=size,
    )
    alt = "Schematic of the pipework near the boiler, in the order that water meets it, with flows and temperatures"
    return (picture("schematic.svg", "Schematic of the boiler", alt, svg, size),)


CHART = (110.0, 66.0)
"""Width and height of a duty chart in mm."""


def bench_pictures(study: "Study", theme: Theme) -> tuple[Picture, ...]:
    """A bench sheet's drawing for each assembly by a boiler."""
    d, size = study.design, drawing_size(study.design.paper)
    kinds = item_kinds(study.pipework, study.fabrication)
    made: list[Picture] = []
    for b in bench_works(study):
        title = f"Bench sheet: {b.work.name}"
        svg = bench_drawing(
            b.work,
            study.fabrication,
            kinds,
            b.stand,
            datum=b.datum,
            valves=three_way_bodies(study),
            system=d.system,
            theme=theme,
            title=title,
            job=d.name,
            size=size,
        )
        alt = f"{title}: front and right side to scale, every piece of tube with number and length, every joint"
        made.append(picture(file_name("bench", b.work.name), title, alt, svg, size))
    return tuple(made)


def duty_charts(study: "Study", theme: Theme, size: tuple[float, float] = CHART) -> tuple[Picture, ...]:
    """Curve and duty of each circulator, those built into boilers too."""
    d = study.design
    duty = {c.name: c for c in study.flow.circulators}
    known = (*d.circulators, *(b.circulator for b in d.boilers if b.circulator is not None))
    made: list[Picture] = []
    for c in known:
        svg = duty_chart(c, duty=duty.get(c.name), system=d.system, theme=theme, size=size)
        alt = f"Curve of {c.name} with the point at which it works"
        made.append(picture(file_name("duty", c.name), f"Duty: {c.name}", alt, svg, size))
    return tuple(made)


def whole_pages(study: "Study", theme: Theme) -> tuple[Picture, ...]:
    """The drawings that fill a page of the pack, in its order."""
    return (*schematics(study, theme), *isometrics(study, theme), *plans(study, theme))


def spares_charts(sheet: BuySheet, theme: Theme, size: tuple[float, float] = CHART) -> tuple[Picture, ...]:
    """The spares curve of a buy list; none without joints or cuts to spoil."""
    if not sheet.curve:
        return ()
    curve = [Stocking(chance=p.chance, left=p.left, spares=p.spares, chosen=p.chosen) for p in sheet.curve]
    svg = spares_chart(curve, accepted=sheet.accepted, currency=sheet.currency, theme=theme, size=size)
    alt = "Chance of another trip against money left over, one more spare at each dot"
    return (picture("spares.svg", "Spares", alt, svg, size),)


def shop_pages(study: "Study", theme: Theme) -> tuple[Picture, ...]:
    """The drawings to cut, join and hang by, in the order of the work."""
    return (
        *bench_pictures(study, theme),
        *cut_maps(study, theme),
        *stick_pictures(study, theme),
        *support_maps(study, theme),
    )


def drawings(study: "Study", theme: Theme, storey: str | None = None) -> tuple[Picture, ...]:
    """Every drawing of a study, or only the plan of one storey.

    :raises JobProblem: the job can't be read
    :raises NoSolution: the network has no answer
    """
    if storey is not None:
        return plans(study, theme, storey)
    return (
        *whole_pages(study, theme),
        *shop_pages(study, theme),
        *spares_charts(buy_sheet(study), theme),
        *duty_charts(study, theme),
    )
