"""What the pages of the pack say: sheets in, text out, ready for the typesetter. No number is computed here."""

from typing import Any

from wetside.basis.quantity import UNITS, Kind, System, show
from wetside.network.spec import Boiler
from wetside.sheets.check import CheckSheet, FindingLine
from wetside.sheets.flow import FlowSheet, SourceLine
from wetside.sheets.rooms import RoomsSheet, behind_text
from wetside.sheets.takeoff import TakeoffSheet
from wetside.sheets.wording import clean, degrees, plural, rating_text, share, watts
from wetside.study.design import Design

Page = dict[str, Any]

WORST = 4
"""Rules on the first sheet, each at its worst place."""
BUY_ORDER = ("fittings", "valves", "equipment", "emitters")


def unit(kind: Kind, system: System) -> str:
    return UNITS[system][kind].text


def bare(value: float, kind: Kind, system: System) -> str:
    """The number alone; the column head carries the unit."""
    return show(value, kind, system, unit=False)


def fact(label: str, value: str, note: str) -> dict[str, str]:
    return {"label": label, "value": value, "note": clean(note)}


def finding(f: FindingLine) -> dict[str, str]:
    """One finding as the pack prints it."""
    accepted = f"accepted {f.accepted_on}: {f.accepted_because}" if f.accepted_on else ""
    severity = f"{f.severity}, safety" if f.safety else f.severity
    return {
        "id": f.id,
        "title": f.title,
        "subject": clean(f.subject),
        "verdict": f.verdict,
        "severity": severity,
        "measured": f.measured_text,
        "sense": f.sense,
        "limit": f.limit_text + (f" ({f.limit_parts})" if f.limit_parts else ""),
        "missing": clean(f.missing),
        "remedy": "" if accepted or f.verdict == "holds" else clean(f.remedy),
        "accepted": clean(accepted),
        "source": f.source,
    }


def findings_page(sheet: CheckSheet) -> Page:
    """Findings that ask for something one by one, those that hold gathered by rule."""
    held: dict[str, dict[str, Any]] = {}
    for f in sheet.findings:
        if f.verdict != "holds":
            continue
        one = finding(f)
        group = held.setdefault(
            f.id, {k: one[k] for k in ("id", "title", "severity", "sense", "source")} | {"rows": []}
        )
        group["rows"].append([one["subject"], one["measured"], one["limit"]])
    return {"findings": [finding(f) for f in sheet.findings if f.verdict != "holds"], "held": list(held.values())}


def facts(rooms: RoomsSheet, flow: FlowSheet, takeoff: TakeoffSheet) -> list[dict[str, str]]:
    """Key numbers of the job."""
    system = System(rooms.units)
    made = [
        fact(
            "Rooms need",
            watts(rooms.total_w, system),
            f"at {degrees(rooms.outside_c, system)} outside; house as a whole {watts(rooms.building_w, system)}",
        ),
        fact(
            "Emitters give",
            watts(flow.emitters_w, system),
            f"{plural(len(flow.emitters), 'emitter')}, {share(flow.emitters_w, rooms.total_w)} of the need",
        ),
    ]
    for b in flow.boilers:
        limit = ", at its most" if b.limited else ""
        water = f"{degrees(b.supply_c, system)} flow, {degrees(b.return_c, system)} return{limit}"
        made.append(
            fact(f"Boiler {b.name}" if len(flow.boilers) > 1 else "Boiler gives", watts(b.output_w, system), water)
        )
    made.extend(
        fact(
            "Circulator",
            show(c.flow_m3_s, Kind.FLOW, system),
            f"{c.name}: {show(c.cold_pa, Kind.HEAD, system)} head",
        )
        for c in flow.circulators
    )
    made.append(fact("Water", show(takeoff.water_m3, Kind.WATER_VOLUME, system), "in the whole system"))
    made.append(fact("Tube", show(takeoff.tube_m, Kind.LENGTH, system, 1), plural(takeoff.joint_count, "joint")))
    made.append(fact("Tube gives off", watts(flow.pipe_loss_w, system), "on its way, on the design day"))
    return made


def summary_page(design: Design, check: CheckSheet, rooms: RoomsSheet, flow: FlowSheet, takeoff: TakeoffSheet) -> Page:
    s = check.summary
    asking: dict[tuple[str, str], list[FindingLine]] = {}
    for f in check.findings:
        if f.verdict in ("breaks", "not known", "near"):
            asking.setdefault((f.verdict, f.id), []).append(f)
    told = list(asking.values())[:WORST]
    counts = (
        ("breaks", s.breaks),
        ("not known", s.not_known),
        ("near", s.near),
        ("accepted", s.accepted),
        ("holds", s.holds),
    )
    return {
        "facts": facts(rooms, flow, takeoff),
        "counts": [{"verdict": v, "count": str(n)} for v, n in counts],
        "worst": [
            finding(first) | {"others": f"{plural(len(rest), 'more place')} on the sheet Findings" if rest else ""}
            for first, *rest in told
        ],
        "more": str(sum(map(len, asking.values())) - sum(map(len, told))),
        "notes": [clean(n) for n in design.notes],
    }


def rooms_page(sheet: RoomsSheet) -> Page:
    system = System(sheet.units)
    w = unit(Kind.POWER, system)
    storeys: list[dict[str, Any]] = []
    for r in sheet.rooms:
        if not storeys or storeys[-1]["name"] != clean(r.storey):
            storeys.append({"name": clean(r.storey), "rooms": []})
        storeys[-1]["rooms"].append([
            clean(r.name),
            bare(r.inside_c, Kind.TEMPERATURE, system),
            bare(r.floor_area_m2, Kind.AREA, system),
            bare(r.air_change_1_h, Kind.AIR_CHANGE, system),
            watts(r.transmission_w, system, unit=False),
            watts(r.air_w, system, unit=False),
            watts(r.load_w, system, unit=False) if r.heated else "unheated",
        ])  # fmt: skip
    most = max((x.load_w for x in sheet.losses), default=0.0)
    return {
        "head": [
            "Room", unit(Kind.TEMPERATURE, system), unit(Kind.AREA, system), "air 1/h", f"surfaces {w}", f"air {w}",
            f"needs {w}",
        ],
        "storeys": storeys,
        "total": watts(sheet.total_w, system),
        "building": watts(sheet.building_w, system),
        "outside": degrees(sheet.outside_c, system),
        "ways": [
            {
                "way": x.way,
                "heat": watts(x.load_w, system),
                "share": share(x.load_w, sheet.total_w),
                "part": max(x.load_w, 0.0) / most if most > 0 else 0.0,
            }
            for x in sheet.losses
        ],
        "detail_head": [
            "Surface", "to", unit(Kind.AREA, system), unit(Kind.U_VALUE, system), unit(Kind.TEMPERATURE, system), w,
        ],
        "detail": [
            {
                "name": clean(r.name),
                "needs": watts(r.load_w, system) if r.heated else f"unheated, {degrees(r.inside_c, system)}",
                "rows": [
                    [
                        clean(s.name),
                        clean(behind_text(s)),
                        bare(s.area_m2, Kind.AREA, system),
                        bare(s.u_w_m2k + s.bridge_w_m2k, Kind.U_VALUE, system),
                        bare(s.behind_c, Kind.TEMPERATURE, system),
                        watts(s.load_w, system, unit=False),
                    ]
                    for s in r.surfaces
                ]
                + [["air", "", "", "", "", watts(r.air_w, system, unit=False)]]
                + ([["heating up", "", "", "", "", watts(r.reheat_w, system, unit=False)]] if r.reheat_w else []),
            }
            for r in sheet.rooms
            if r.heated
        ],
    }  # fmt: skip


def emitters_page(sheet: FlowSheet) -> Page:
    system = System(sheet.units)
    w, deg = unit(Kind.POWER, system), unit(Kind.TEMPERATURE, system)
    most = max((max(r.load_w, r.output_w) for r in sheet.rooms), default=0.0)
    return {
        "rooms": [
            {
                "room": clean(r.room),
                "needs": watts(r.load_w, system, unit=False),
                "gets": watts(r.output_w, system, unit=False),
                "over": watts(r.over_w, system, unit=False),
                "need_part": max(r.load_w, 0.0) / most if most > 0 else 0.0,
                "gets_part": max(r.output_w, 0.0) / most if most > 0 else 0.0,
            }
            for r in sheet.rooms
            if r.heated
        ],
        "rooms_head": ["Room", f"needs {w}", f"gets {w}", f"over {w}", "gets against need"],
        "head": [
            "Emitter", "Room", f"rated {w}", f"gives {w}", f"in {deg}", f"out {deg}", unit(Kind.MASS_FLOW, system),
        ],
        "rows": [
            [
                clean(e.name),
                clean(e.room),
                watts(e.rated_w, system, unit=False),
                watts(e.output_w, system, unit=False),
                bare(e.supply_c, Kind.TEMPERATURE, system),
                bare(e.return_c, Kind.TEMPERATURE, system),
                bare(e.flow_kg_s, Kind.MASS_FLOW, system),
            ]
            for e in sheet.emitters
        ],
        "ratings": [
            [clean(e.name), f"{rating_text(e.rated_w, e.rated_excess_k, system)}: {clean(e.rating_note)}"]
            for e in sheet.emitters
        ],
    }  # fmt: skip


def source_row(s: SourceLine, system: System) -> list[str]:
    return [
        clean(s.name),
        bare(s.flow_kg_s, Kind.MASS_FLOW, system),
        bare(s.supply_c, Kind.TEMPERATURE, system),
        bare(s.return_c, Kind.TEMPERATURE, system),
        watts(s.output_w, system, unit=False) + (" (its most)" if s.limited else ""),
    ]


def flows_page(sheet: FlowSheet) -> Page:
    system = System(sheet.units)
    deg = unit(Kind.TEMPERATURE, system)
    columns = (Kind.LENGTH, Kind.MASS_FLOW, Kind.SPEED, Kind.GRADIENT)
    return {
        "circulators": [
            [clean(c.name), show(c.flow_m3_s, Kind.FLOW, system), show(c.cold_pa, Kind.HEAD, system)]
            for c in sheet.circulators
        ],
        "sources_head": [
            "Boiler or tank", unit(Kind.MASS_FLOW, system), f"flow {deg}", f"return {deg}",
            f"heat {unit(Kind.POWER, system)}",
        ],
        "sources": [source_row(s, system) for s in (*sheet.boilers, *sheet.tanks)],
        "head": ["Leg", "Tube", *(unit(k, system) for k in columns), f"drop {unit(Kind.HEAD, system)}"],
        "legs": [
            [
                clean(x.name),
                clean(x.tube),
                bare(x.length_m, Kind.LENGTH, system),
                bare(x.flow_kg_s, Kind.MASS_FLOW, system),
                bare(x.velocity_m_s, Kind.SPEED, system),
                bare(x.gradient_pa_m, Kind.GRADIENT, system),
                show(x.drop_pa, Kind.HEAD, system, 3, unit=False),
            ]
            for x in sheet.legs
        ],
        "loss": watts(sheet.pipe_loss_w, system),
    }  # fmt: skip


def takeoff_page(sheet: TakeoffSheet) -> Page:
    system = System(sheet.units)
    length, water = unit(Kind.LENGTH, system), unit(Kind.WATER_VOLUME, system)
    groups = sorted({c.group for c in sheet.counts}, key=lambda g: (BUY_ORDER.index(g) if g in BUY_ORDER else 9, g))
    return {
        "tube_head": ["Tube", "Size", length, f"stock {length}", "to buy"],
        "tubes": [
            [clean(t.tube), clean(t.size), bare(t.length_m, Kind.LENGTH, system), bare(t.stock_m, Kind.LENGTH, system),
             str(t.sticks)]
            for t in sheet.tubes
        ],
        "groups": [
            {
                "name": clean(g).capitalize(),
                "rows": [[clean(c.item), clean(c.size), str(c.count)] for c in sheet.counts if c.group == g],
            }
            for g in groups
        ],
        "joints": [[clean(j.kind), clean(j.size), str(j.count)] for j in sheet.joints],
        "water_head": ["Part", water],
        "water": [[clean(x.part), bare(x.water_m3, Kind.WATER_VOLUME, system)] for x in sheet.water],
        "water_total": bare(sheet.water_m3, Kind.WATER_VOLUME, system),
    }  # fmt: skip


def cautions_page(sheet: CheckSheet) -> list[dict[str, str]]:
    return [{"id": c.id, "topic": c.topic, "text": c.text} for c in sheet.cautions]


FITTER_TOPICS = ("CAU-GAS", "CAU-CO", "CAU-PRESSURE", "CAU-ELECTRIC", "CAU-LAW")

# Blank for the licensed fitter: what to check and decide. wetside states no number on the gas and flue side.
FITTER_BLANKS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Gas supply",
        (
            "Kind of gas",
            "Standing and working pressure",
            "Meter and supply large enough",
            "Gas line: tube, size, route",
            "Tightness test",
        ),
    ),
    (
        "Flue and air",
        (
            "Kind of flue, length and bends allowed",
            "Route and terminal, clearances",
            "Combustion air, ventilation of the place",
            "Flue gas tightness",
            "Carbon monoxide alarm: place, date",
        ),
    ),
    (
        "Boiler",
        (
            "Suits the place and the gas",
            "Hung or stood as its maker says",
            "Condensate drain: route, trap, frost",
            "Relief discharge ends safely",
            "Wiring, isolation, bonding",
        ),
    ),
    (
        "First fire",
        (
            "Burner pressure or gas rate, most and least",
            "Flue gas: carbon monoxide and dioxide, most and least",
            "Safety cut-outs proved",
            "Handed over, maker's book left",
        ),
    ),
)


def boiler_row(b: Boiler, system: System) -> list[str]:
    tap = watts(b.hot_water_w, system) if b.hot_water_w is not None else "–"
    return [
        clean(b.name),
        f"{watts(b.least_w, system)} to {watts(b.output_w, system)}",
        tap,
        degrees(b.flow_c, system),
        "condensing" if b.condensing else "not condensing",
    ]


def fitter_page(design: Design, check: CheckSheet, rooms: RoomsSheet) -> Page:
    """The sheet that the licensed fitter fills in."""
    system = design.system
    return {
        "boilers_head": ["Boiler", "heating output", "hot water", "set flow", ""],
        "boilers": [boiler_row(b, system) for b in design.boilers],
        "need": watts(rooms.building_w, system),
        "outside": degrees(rooms.outside_c, system),
        "blanks": [{"topic": t, "rows": list(rows)} for t, rows in FITTER_BLANKS],
        "cautions": [c for c in cautions_page(check) if c["id"] in FITTER_TOPICS],
    }
