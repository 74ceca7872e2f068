"""A room that is nothing but its list of surfaces, for checking published heat losses."""

from collections.abc import Callable

import pytest

from wetside.house.spec import Climate, Construction, Fabric, Faces, Ground, House, ListedSurface, Part, Room, Storey

Listed = tuple[str, float, float] | tuple[str, float, float, str]


@pytest.fixture(scope="session")
def listed_house() -> Callable[..., House]:
    """Builder: surfaces as (name, area m2, U W/m2K[, room behind]), no allowance for bridges unless given."""

    def build(
        surfaces: list[Listed], inside_c: float, outside_c: float, volume_m3: float, air_change: float,
        others: tuple[Room, ...] = (), allowance: float = 0.0, **room: object,
    ) -> House:  # fmt: skip
        constructions = [Construction(name=s[0], u_w_m2k=s[2]) for s in surfaces if s[2] > 0]
        main = Room(
            name="all", storey="one", inside_c=inside_c, volume_m3=volume_m3, air_change_1_h=air_change,
            surfaces=tuple(
                ListedSurface(name=s[0], part=Part.WALL, area_m2=s[1], construction=s[0],
                              faces=Faces.UNHEATED if len(s) > 3 else Faces.OUTSIDE, behind=s[3] if len(s) > 3 else "")
                for s in surfaces if s[2] > 0
            ),
            **room,
        )  # fmt: skip
        any_name = constructions[0].name
        return House(
            climate=Climate(outside_c=outside_c, mean_c=outside_c + 15),
            ground=Ground(),
            fabric=Fabric(outer_wall=any_name, inner_wall=any_name, ground_floor=any_name, inner_floor=any_name,
                          roof=any_name),
            storeys=(Storey(name="one", level_m=0.0, height_m=2.5),),
            constructions=tuple(constructions), rooms=(main, *others), bridge_allowance_w_m2k=allowance,
        )  # fmt: skip

    return build
