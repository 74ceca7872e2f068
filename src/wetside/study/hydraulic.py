"""What the network's sizing and balancing need of a design."""

from wetside.emitter.spec import Emitter
from wetside.house.reading import HouseLoad
from wetside.network.duty import usual_drop
from wetside.network.equipment import Equipment
from wetside.network.ways import Wish
from wetside.study.design import Design


def equipment_of(design: Design, rooms: HouseLoad, emitters: tuple[Emitter, ...] | None = None) -> Equipment:
    """:param emitters: instead of the design's own"""
    return Equipment(
        emitters=design.emitters if emitters is None else emitters,
        emitter_valves=dict(design.emitter_valves),
        items=design.items,
        boilers=design.boilers,
        circulators=design.circulators,
        tanks=design.tanks,
        room_c={r.name: r.inside_c for r in rooms.rooms},
        void_c=design.void_c,
        glycol_share=design.plant.glycol_share,
        apparatus=design.apparatus,
    )


def wish_of(design: Design, rooms: HouseLoad) -> Wish:
    return Wish(
        load_w={r.name: r.load_w for r in rooms.rooms if r.heated},
        drop_k=usual_drop(design.system) if design.drop_k is None else design.drop_k,
        drops_k=dict(design.emitter_drops_k),
    )
