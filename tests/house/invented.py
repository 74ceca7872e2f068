"""Invented houses for the tests of the house floor."""

from wetside.house.spec import Climate, Construction, Fabric, Ground, House, Layer, Room, Storey

BRICK = Construction(
    name="brick",
    layers=(
        Layer(material="lime plaster", thickness_m=0.015, conductivity_w_mk=0.70),
        Layer(material="brick", thickness_m=0.33, conductivity_w_mk=0.77),
    ),
)
JOISTS = Construction(
    name="joists",
    layers=(
        Layer(material="plasterboard", thickness_m=0.0125),
        Layer(material="air layer", thickness_m=0.2, bridge_share=0.1, bridge_conductivity_w_mk=0.13),
        Layer(material="chipboard", thickness_m=0.022),
    ),
)
CONSTRUCTIONS = (
    BRICK,
    JOISTS,
    Construction(name="partition", u_w_m2k=1.8),
    Construction(name="slab", layers=(Layer(material="concrete", thickness_m=0.1),)),
    Construction(name="slates", u_w_m2k=0.3),
    Construction(name="window", u_w_m2k=1.6),
    Construction(name="door", u_w_m2k=2.0),
)
FABRIC = Fabric(
    outer_wall="brick",
    inner_wall="partition",
    ground_floor="slab",
    inner_floor="joists",
    roof="slates",
    inner_door="door",
)
STOREYS = (
    Storey(name="Ground", level_m=0.0, height_m=2.5),
    Storey(name="Upper", level_m=2.8, height_m=2.4),
)


def rectangle(west: float, south: float, east: float, north: float) -> tuple[tuple[float, float], ...]:
    return ((west, south), (east, south), (east, north), (west, north))


def room(name: str, outline: tuple[tuple[float, float], ...], storey: str = "Ground", **more: object) -> Room:
    return Room(name=name, storey=storey, outline=outline, **more)


def house(*rooms: Room, **more: object) -> House:
    values: dict[str, object] = {
        "climate": Climate(outside_c=-7.0, mean_c=9.4),
        "ground": Ground(),
        "fabric": FABRIC,
        "storeys": STOREYS,
        "constructions": CONSTRUCTIONS,
        "rooms": rooms,
    }
    return House(**(values | more))


def twelve_rooms() -> House:
    """Two storeys of six rooms, one of them a store without heating; openings in every room."""
    from wetside.house.spec import Opening, Part

    rooms: list[Room] = []
    openings: list[Opening] = []
    for storey in ("Ground", "Upper"):
        for i in range(3):
            for j in range(2):
                name = f"{storey} {i}{j}"
                rooms.append(room(name, rectangle(4.0 * i, 3.5 * j, 4.0 * i + 4.0, 3.5 * j + 3.5), storey,
                                  heated=name != "Ground 20", inside_c=18.0 + i + 2 * j))  # fmt: skip
                openings.append(Opening(name=f"W {name}", room=name, part=Part.WINDOW, wall="north" if j else "south",
                                        construction="window", width_m=1.2, height_m=1.3, sill_m=0.9))  # fmt: skip
    return house(*rooms, openings=tuple(openings), n50_1_h=6.0)
