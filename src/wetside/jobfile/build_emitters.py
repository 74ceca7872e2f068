"""Emitters and in-line items: tables → specs, with emitters rated and placed."""

from dataclasses import replace
from itertools import pairwise

from wetside.emitter.ratings import (
    Rated,
    baseboard_rating,
    edr_rating,
    panel_rating,
    sections_rating,
    surface_rating,
    towel_rail_rating,
)  # fmt: skip
from wetside.emitter.spec import Emitter, EmitterKind
from wetside.house.check import outline_flaws
from wetside.jobfile.build_house import outline_of
from wetside.jobfile.check import Draft
from wetside.jobfile.house_tables import RoomTable, StoreyTable
from wetside.jobfile.lines import Path as Steps
from wetside.jobfile.place import Misplaced, Stand, emitter_ports, stand_free, stand_on_wall, under_ceiling
from wetside.jobfile.plant_tables import (
    BaseboardTable,
    CirculatorTable,
    ColumnTable,
    EmitterBase,
    ItemTable,
    PanelTable,
    TowelRailTable,
)  # fmt: skip
from wetside.network.ways import SETTING_KINDS
from wetside.pipework.items import SPOKEN, shipped_items
from wetside.pipework.spec import Item, ItemKind, Port

_KINDS: dict[type[EmitterBase], EmitterKind] = {
    PanelTable: EmitterKind.PANEL,
    ColumnTable: EmitterKind.COLUMN,
    TowelRailTable: EmitterKind.TOWEL_RAIL,
    BaseboardTable: EmitterKind.BASEBOARD,
}


def build_items(draft: Draft) -> tuple[Item, ...]:
    """Every item by name: shipped kinds, the job's own, circulators, and lockshields with a setting of their own."""
    by_name = {x.name: x for x in shipped_items()}
    kinds = {x.kind: x for x in shipped_items()}
    for i, t in draft.rows("item", ItemTable):
        like = kinds[ItemKind(t.kind)]
        _fits(draft, i, t)
        if t.kv is not None and t.k is not None:
            draft.fault(("item", i, "k"), "it has kv and k", "keep one of the two")
        by_name[t.name] = replace(
            like,
            name=t.name,
            kv_m3_h=t.kv,
            k=t.k,
            length_m=like.length_m if t.length is None else t.length,
            mass_kg=like.mass_kg if t.mass is None else t.mass,
            water_m3=like.water_m3 if t.water is None else t.water,
            on_branch=like.on_branch if t.on_branch is None else t.on_branch,
            shut=t.shut,
            open_kv_m3_h=t.open_kv,
            turns=_turns(draft, i, t),
            opening=t.opening,
            characteristic=t.characteristic,
            opens_pa=t.opens,
            full_pa=t.full,
            set_c=t.holds,
            band_k=t.band,
        )
    like = kinds[ItemKind.CIRCULATOR]
    for _, c in draft.rows("circulator", CirculatorTable):
        by_name[c.name] = replace(
            like,
            name=c.name,
            length_m=like.length_m if c.length is None else c.length,
            mass_kg=c.mass or like.mass_kg,
        )
    for _, e in draft.rows("emitter", EmitterBase):
        for valve in (e.flow_valve, e.return_valve):
            if e.lockshield_kv is not None and valve in by_name and by_name[valve].kind in SETTING_KINDS:
                name = lockshield_name(e)
                base = by_name[valve]
                full = base.kv_m3_h if base.open_kv_m3_h is None else base.open_kv_m3_h
                by_name[name] = replace(base, name=name, kv_m3_h=e.lockshield_kv, k=None, open_kv_m3_h=full)
    return tuple(by_name.values())


def _fits(draft: Draft, i: int, t: ItemTable) -> None:
    """Fields that only some kinds have."""
    for field, given, kinds in (
        ("opens", t.opens is not None, ("bypass valve", "check valve")),
        ("full", t.full is not None, ("bypass valve",)),
        ("holds", t.holds is not None, ("thermostatic valve",)),
    ):
        if given and t.kind not in kinds:
            draft.fault(("item", i, field), f"a {t.kind} has none", f"leave it out; it is for a {' or '.join(kinds)}")
    if t.full is not None and t.full <= (t.opens or 0.0):
        draft.fault(("item", i, "full"), "it is fully open before it opens", "give a higher pressure than opens")


def _turns(draft: Draft, i: int, t: ItemTable) -> tuple[tuple[float, float], ...]:
    if any(b[0] <= a[0] or b[1] <= a[1] for a, b in pairwise(t.turns)):
        wrong, remedy = "its turns and coefficients do not both rise", "list its points from nearly shut to fully open"
        draft.fault(("item", i, "turns"), wrong, remedy)
    return tuple(t.turns)


def lockshield_name(emitter: EmitterBase) -> str:
    """Name of the lockshield with the emitter's own setting."""
    return f"{emitter.name} lockshield"


def build_emitters(
    draft: Draft, items: tuple[Item, ...], ports: list[Port]
) -> tuple[tuple[Emitter, ...], tuple[tuple[str, tuple[str, str]], ...]]:
    """Emitters, and the valves at each; their ports are added to `ports`."""
    rooms = {r.name: r for _, r in draft.rows("room", RoomTable)}
    room_names = draft.names("room")
    storeys = {s.name: s for _, s in draft.rows("storey", StoreyTable)}
    flawed = _flawed(draft)
    kinds = {x.name: x.kind for x in items}
    found: list[Emitter] = []
    valves: list[tuple[str, tuple[str, str]]] = []
    for i, table in draft.rows("emitter", EmitterBase):
        path = ("emitter", i)
        valves.append((table.name, _valves(draft, path, table, kinds)))
        rated = _rating(draft, path, table)
        room = rooms.get(table.room)
        if not draft.know((*path, "room"), table.room, room_names, "room"):
            continue
        if table.at is not None:
            stand = stand_free(table)
            if table.wall is not None:
                draft.fault((*path, "wall"), "it has a wall and a place of its own", "keep wall, or at with faces")
        elif (
            room is None
            or room.name in flawed
            or room.storey not in storeys
            or not (outline_of(room) or room.floor_area)
        ):
            continue  # told already
        else:
            stand = stand_on_wall(table, outline_of(room), storeys[room.storey].level)
        if isinstance(stand, Stand) and room is not None and room.storey in storeys:
            stand = under_ceiling(table, stand, room, storeys[room.storey])
        if isinstance(stand, Misplaced):
            draft.fault((*path, stand.field), stand.wrong, stand.remedy)
            continue
        if table.flow_at == table.return_at:
            draft.fault((*path, "return_at"), "flow and return are at one corner", "move one of them")
            continue
        if rated is None:
            continue
        ports.extend(emitter_ports(table, stand))
        found.append(
            Emitter(
                name=table.name,
                room=table.room,
                kind=_KINDS[type(table)],
                rated_w=rated.rated_w,
                rated_excess_k=rated.rated_excess_k,
                exponent=rated.exponent,
                water_m3=rated.water_m3 if table.water is None else table.water,
                mass_kg=rated.mass_kg if table.mass is None else table.mass,
                rating_note=rated.rating_note,
                length_m=table.length,
                height_m=table.height,
                depth_m=table.depth,
                sections=rated.sections,
                surface_m2=rated.surface_m2,
                kv_m3_h=table.kv,
                at=stand.at,
                along=stand.along,
            )
        )
    return tuple(found), tuple(valves)


def _flawed(draft: Draft) -> set[str]:
    """Rooms whose outline encloses nothing or crosses itself: said here, because nothing can stand on their walls."""
    found: set[str] = set()
    for i, room in draft.rows("room", RoomTable):
        flaws = outline_flaws(room.name, outline) if (outline := outline_of(room)) else ()
        for wrong, remedy, corner in flaws:
            field = ("outline", corner) if room.outline is not None else ("rectangle",)
            draft.fault(("room", i, *field), wrong, remedy)
            found.add(room.name)
    return found


def _valves(draft: Draft, path: Steps, table: EmitterBase, kinds: dict[str, ItemKind]) -> tuple[str, str]:
    fitted: list[str] = []
    locked = False
    for field, name in (("flow_valve", table.flow_valve), ("return_valve", table.return_valve)):
        if name and not draft.know((*path, field), name, list(kinds), "valve", SPOKEN):
            continue
        if name and table.lockshield_kv is not None and kinds[name] in SETTING_KINDS:
            name, locked = lockshield_name(table), True
        fitted.append(name)
    if table.lockshield_kv is not None and not locked:
        remedy = 'add return_valve = "lockshield valve", or leave the setting out'
        draft.fault((*path, "lockshield_kv"), "it has no lockshield or balancing valve to set", remedy)
    return (fitted[0], fitted[1]) if len(fitted) == 2 else ("", "")


def _rating(draft: Draft, path: Steps, t: EmitterBase) -> Rated | None:
    try:
        if isinstance(t, PanelTable):
            return panel_rating(
                t.output, length_m=t.length, height_m=t.height, panels=t.panels, excess_k=t.excess, exponent=t.exponent
            )
        if isinstance(t, TowelRailTable):
            return towel_rail_rating(
                t.output, length_m=t.length, height_m=t.height, excess_k=t.excess, exponent=t.exponent
            )
        if isinstance(t, BaseboardTable):
            if t.fins is not None and t.fins > t.length:
                draft.fault((*path, "fins"), "its fins are longer than itself", "give the length of the fins alone")
            return baseboard_rating(
                t.length if t.fins is None else t.fins, t.output_per_length, t.mean_water,
                air_c=t.rating_room, exponent=t.exponent, heating_effect=t.heating_effect,
            )  # fmt: skip
        if isinstance(t, ColumnTable):
            return _column(draft, path, t)
    except ValueError as bad:
        wrong, _, remedy = str(bad).partition("; ")
        field = (
            "height"
            if "high" in wrong
            else "style"
            if "type" in wrong
            else "mean_water"
            if "water" in wrong
            else "kind"
        )
        draft.fault((*path, field), wrong, remedy or "mend the figure")
    return None


def _column(draft: Draft, path: Steps, t: ColumnTable) -> Rated | None:
    ways = [w for w, given in (("watts_per_section", t.watts_per_section), ("style", t.style), ("edr", t.edr)) if given]
    if len(ways) != 1:
        wrong = "its output is not said" if not ways else f"its output is said {len(ways)} times: {', '.join(ways)}"
        draft.fault((*path, ways[-1]) if ways else path, wrong, "give watts_per_section, or style, or edr")
        return None
    if t.edr is not None:
        part = "column radiator" if t.style and t.style.endswith("column") else "tube radiator"
        rated = surface_rating(t.edr, exponent=t.exponent, metallic_paint=t.metallic_paint, part=part)
        n = t.sections or 0
        water = rated.water_m3 if t.water_per_section is None or not n else n * t.water_per_section
        mass = rated.mass_kg if t.mass_per_section is None or not n else n * t.mass_per_section
        return replace(rated, sections=n, water_m3=water, mass_kg=mass)
    if t.sections is None:
        draft.fault(path, "sections is missing", "add, for example: sections = 10")
        return None
    if t.watts_per_section is not None:
        return sections_rating(
            t.sections, t.watts_per_section, excess_k=t.excess, exponent=t.exponent,
            water_per_section_m3=t.water_per_section, mass_per_section_kg=t.mass_per_section,
            metallic_paint=t.metallic_paint,
        )  # fmt: skip
    return edr_rating(
        t.style or "", t.height, t.sections, exponent=t.exponent, water_per_section_m3=t.water_per_section,
        mass_per_section_kg=t.mass_per_section, metallic_paint=t.metallic_paint, system=draft.system,
    )  # fmt: skip
