"""The building's tables → `House`. Names that lead nowhere are faults here; geometry is the house floor's to judge."""

from wetside.basis.errors import nearest
from wetside.house.materials import conductivity, known_materials
from wetside.house.spec import (
    Bridge,
    Climate,
    Construction,
    Fabric,
    Faces,
    Ground,
    House,
    Layer,
    ListedSurface,
    Opening,
    Part,
    Point,
    Room,
    Shielding,
    Storey,
    Underfloor,
    WallNote,
)  # fmt: skip
from wetside.house.uvalue import AIR_LAYER_NAMES
from wetside.jobfile.check import Draft
from wetside.jobfile.house_tables import (
    ClimateTable,
    ConstructionTable,
    FabricTable,
    GroundTable,
    LayerTable,
    OpeningTable,
    RoomTable,
    StoreyTable,
    WallTable,
)  # fmt: skip


def outline_of(room: RoomTable) -> tuple[Point, ...]:
    """The room's outline, from its corners or its rectangle."""
    if room.outline is not None:
        return tuple(room.outline)
    if room.rectangle is not None:
        west, south, east, north = room.rectangle
        return ((west, south), (east, south), (east, north), (west, north))
    return ()


def build_house(draft: Draft) -> House | None:
    """The house, or nothing when its tables have faults."""
    climate = draft.one("climate", ClimateTable)
    ground = draft.one("ground", GroundTable)
    fabric = draft.one("fabric", FabricTable)
    _names(draft, fabric)
    _shapes(draft)
    constructions = _constructions(draft)
    if climate is None or ground is None or fabric is None or draft.source.faults:
        return None
    return House(
        climate=Climate(
            outside_c=climate.outside,
            mean_c=climate.mean,
            cold_water_c=climate.cold_water,
            shielding=Shielding(climate.shielding),
            altitude_m=climate.altitude,
        ),
        ground=Ground(
            underfloor=Underfloor(ground.underfloor),
            conductivity_w_mk=ground.conductivity,
            wall_thickness_m=ground.wall_thickness,
            groundwater_close=ground.groundwater_close,
            edge_insulation_m2k_w=ground.edge_insulation,
            edge_depth_m=ground.edge_depth,
            crawl_height_m=ground.crawl_height,
            crawl_wall_u_w_m2k=ground.crawl_wall_u,
            crawl_vents_m2_m=ground.crawl_vents,
            wind_m_s=ground.wind,
            wind_factor=ground.wind_factor,
        ),
        fabric=Fabric(
            outer_wall=fabric.outer_wall,
            inner_wall=fabric.inner_wall,
            ground_floor=fabric.ground_floor,
            inner_floor=fabric.inner_floor,
            roof=fabric.roof,
            inner_door=fabric.inner_door,
        ),
        storeys=tuple(
            Storey(name=s.name, level_m=s.level, height_m=s.height) for _, s in draft.rows("storey", StoreyTable)
        ),
        constructions=constructions,
        rooms=tuple(_room(r) for _, r in draft.rows("room", RoomTable)),
        walls=tuple(
            WallNote(
                room=w.room,
                wall=w.wall,
                construction=w.construction,
                faces=Faces(w.faces) if w.faces else None,
                temperature_c=w.temperature,
                below_ground_m=w.below_ground,
            )
            for _, w in draft.rows("wall", WallTable)
        ),
        openings=tuple(
            Opening(
                name=o.name,
                room=o.room,
                part=Part(o.part),
                wall=o.wall,
                construction=o.construction or "",
                width_m=o.width,
                height_m=o.height,
                sill_m=o.sill,
                offset_m=o.offset,
            )
            for _, o in draft.rows("opening", OpeningTable)
        ),
        bridge_allowance_w_m2k=fabric.bridge_allowance,
        n50_1_h=fabric.n50,
    )


def _room(r: RoomTable) -> Room:
    return Room(
        name=r.name,
        storey=r.storey,
        outline=outline_of(r),
        heated=r.heated,
        inside_c=r.inside,
        air_change_1_h=r.air_change,
        height_m=r.height,
        roof_pitch_deg=r.roof_pitch,
        outer_wall=r.outer_wall,
        floor=r.floor,
        top=r.top,
        volume_m3=r.volume,
        floor_area_m2=r.floor_area,
        surfaces=tuple(
            ListedSurface(
                name=s.name,
                part=Part(s.part),
                area_m2=s.area,
                construction=s.construction,
                faces=Faces(s.faces),
                behind=s.behind,
                temperature_c=s.temperature,
            )
            for s in r.surface
        ),
        bridges=tuple(Bridge(name=b.name, psi_w_mk=b.psi, length_m=b.length) for b in r.bridge),
        reheat_w_m2=r.reheat,
        b_factor=r.b_factor,
        supply_air_m3_h=r.supply_air,
        supply_air_c=r.supply_air_temperature,
    )


def _names(draft: Draft, fabric: FabricTable | None) -> None:
    """Every construction, storey and room that a table names is there."""
    known, rooms, storeys = draft.names("construction"), draft.names("room"), draft.names("storey")
    if fabric is not None:
        for field in ("outer_wall", "inner_wall", "ground_floor", "inner_floor", "roof", "inner_door"):
            if (name := getattr(fabric, field)) is not None:
                draft.know(("fabric", field), name, known, "construction")
    for i, room in draft.rows("room", RoomTable):
        draft.know(("room", i, "storey"), room.storey, storeys, "storey")
        for field in ("outer_wall", "floor", "top"):
            if (name := getattr(room, field)) is not None:
                draft.know(("room", i, field), name, known, "construction")
        for j, surface in enumerate(room.surface):
            draft.know(("room", i, "surface", j, "construction"), surface.construction, known, "construction")
            if surface.behind:
                draft.know(("room", i, "surface", j, "behind"), surface.behind, rooms, "room")
    for i, wall in draft.rows("wall", WallTable):
        draft.know(("wall", i, "room"), wall.room, rooms, "room")
        if wall.construction is not None:
            draft.know(("wall", i, "construction"), wall.construction, known, "construction")
    for i, opening in draft.rows("opening", OpeningTable):
        draft.know(("opening", i, "room"), opening.room, rooms, "room")
        if opening.construction is not None:
            draft.know(("opening", i, "construction"), opening.construction, known, "construction")
        elif opening.part != "door" or fabric is None or fabric.inner_door is None:
            remedy = f'add, for example: construction = "{known[0] if known else "window"}"'
            draft.fault(("opening", i), "construction is missing", remedy)


def _shapes(draft: Draft) -> None:
    for i, room in draft.rows("room", RoomTable):
        if room.outline is not None and room.rectangle is not None:
            draft.fault(("room", i, "rectangle"), "it has an outline and a rectangle", "keep one of the two")
        if room.outline is None and room.rectangle is None and (room.floor_area is None or room.volume is None):
            remedy = "add rectangle = [west, south, east, north], or floor_area, volume and [[room.surface]]"
            draft.fault(("room", i), "it has no outline", remedy)
        if room.supply_air > 0.0 and room.supply_air_temperature is None:
            draft.fault(("room", i, "supply_air"), "the supply air has no temperature", "add supply_air_temperature")


def _constructions(draft: Draft) -> tuple[Construction, ...]:
    found: list[Construction] = []
    for i, table in draft.rows("construction", ConstructionTable):
        if (table.u is None) == (not table.layers):
            wrong = "it has neither a U-value nor layers" if table.u is None else "it has both a U-value and layers"
            draft.fault(("construction", i), wrong, "give u = 1.6, or layers from inside to outside")
        layers = [_layer(draft, i, j, layer) for j, layer in enumerate(table.layers)]
        found.append(Construction(name=table.name, layers=tuple(x for x in layers if x), u_w_m2k=table.u))
    return tuple(found)


def _layer(draft: Draft, i: int, j: int, layer: LayerTable) -> Layer | None:
    path = ("construction", i, "layers", j)
    conducts, before = layer.conductivity, len(draft.source.faults)
    air = layer.material.strip().casefold() in AIR_LAYER_NAMES
    if layer.resistance is not None:
        if layer.thickness is not None and conducts is not None:
            wrong, remedy = "the layer has a conductivity too", "keep the resistance or the conductivity"
            draft.fault((*path, "resistance"), wrong, remedy)
    else:
        if layer.thickness is None or layer.thickness <= 0.0:
            draft.fault((*path, "thickness"), "the layer has no thickness", "add thickness, or a resistance")
        if conducts is None and not air and (conducts := conductivity(layer.material)) is None:
            wrong = f'"{layer.material}" is no shipped material'
            remedy = f"add its conductivity, or take a shipped one: {nearest(layer.material, known_materials())}"
            draft.fault((*path, "material"), wrong, remedy)
    if layer.bridge_share > 0.0 and layer.bridge_conductivity is None:
        draft.fault(
            (*path, "bridge_share"), "the stud has no conductivity", "add bridge_conductivity = 0.13 (softwood)"
        )
    if layer.bridge_share > 0.0 and not layer.thickness:
        draft.fault((*path, "bridge_share"), "the stud has no thickness", "add thickness")
    if len(draft.source.faults) > before:
        return None
    return Layer(
        material=layer.material,
        thickness_m=layer.thickness or 0.0,
        conductivity_w_mk=None if layer.resistance is not None else conducts,
        resistance_m2k_w=layer.resistance,
        bridge_share=layer.bridge_share,
        bridge_conductivity_w_mk=layer.bridge_conductivity,
    )
