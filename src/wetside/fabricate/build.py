"""Bodies, fittings and joints as they are gathered while the legs are walked."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.fabricate.reading import Body, Cut, End, Fabrication, Fitting, FittingKind, Joint, JointKind
from wetside.fabricate.sizes import insertion, nearest_size, reducers, sized_like, sold_reducers, takeout
from wetside.fabricate.spec import JointSystem, Shop, Take
from wetside.pipework.items import shipped_items
from wetside.pipework.reading import Straight
from wetside.pipework.spec import Item, ItemKind, Material, Tube, Vec

JOINT_KIND: dict[JointSystem, JointKind] = {
    JointSystem.SOLDERED: JointKind.SOLDER,
    JointSystem.BRAZED: JointKind.BRAZE,
    JointSystem.PRESSED: JointKind.PRESS,
    JointSystem.COMPRESSION: JointKind.COMPRESSION,
    JointSystem.THREADED: JointKind.THREAD,
    JointSystem.CRIMP: JointKind.CRIMP,
    JointSystem.EXPANSION: JointKind.EXPANSION,
}


@record(kw_only=False)
class Link:
    """A joint to be made, and the fitting that goes in with it."""

    kind: JointKind
    size: str
    of: str
    fitting: tuple[FittingKind, tuple[str, ...], Material] | None = None
    """Goes into the body here, before the tube does."""


@record(kw_only=False)
class Way:
    """From a body's socket to the tube: joints outwards, the last one the tube's, and what they add to the take-out."""

    links: tuple[Link, ...]
    added_m: Metre
    insertion_m: Metre
    source: str


@dataclass(slots=True)
class Making:
    """A body whose joints are not all made yet."""

    name: str
    at: Vec
    run: str
    ends: list[End] = field(default_factory=list[End])
    port: str = ""
    street: Metre | None = None
    fitting: int = -1
    """Index of the fitting that it is."""


@record(kw_only=False)
class Station:
    """A body on a leg: the end that the leg comes in by and the one that it leaves by (-1 for none)."""

    body: int
    into: int
    out: int


@dataclass(slots=True)
class Bench:
    """All that has been made so far."""

    shop: Shop
    fittings: list[Fitting] = field(default_factory=list[Fitting])
    made: list[tuple[JointKind, str, Vec, str, str, str]] = field(
        default_factory=list[tuple[JointKind, str, Vec, str, str, str]]
    )
    """Joints so far: kind, size, place, run, what the tube is joined to, room."""
    goes_in: dict[int, str] = field(default_factory=dict[int, str])
    """Joint's number → the piece of tube that goes in."""
    bodies: list[Making] = field(default_factory=list[Making])
    cuts: list[Cut] = field(default_factory=list[Cut])
    blocked: list[Cut] = field(default_factory=list[Cut])
    streets: list[Cut] = field(default_factory=list[Cut])
    run: str = ""
    room: str = ""

    def kind(self, tube: Tube) -> JointKind:
        return JOINT_KIND[self.shop.system(tube.material)]

    def joint(self, kind: JointKind, size: str, at: Vec, of: str) -> int:
        self.made.append((kind, size, at, self.run, of, self.room))
        return len(self.made)

    def fitting(
        self, kind: FittingKind, sizes: Sequence[str], at: Vec, sockets: int, material: Material, sold: bool = True
    ) -> None:
        self.fittings.append(
            Fitting(
                kind=kind,
                sizes=tuple(dict.fromkeys(sizes)) if len(sizes) == 2 else tuple(sizes),
                at=at,
                run=self.run,
                sockets=sockets,
                sold=sold,
                material=material.value,
            )
        )

    def body(self, name: str, at: Vec, port: str = "", street: Metre | None = None) -> int:
        self.bodies.append(Making(name, at, self.run, port=port, street=street))
        return len(self.bodies) - 1

    def end(self, body: int, away: Vec, takeout_m: Metre, way: Way, source: str) -> int:
        """An end of a body whose joints are made later; its index."""
        typical = "typical" in (source, way.source)
        self.bodies[body].ends.append(
            End(
                away=away,
                takeout_m=takeout_m + way.added_m,
                insertion_m=way.insertion_m,
                joint=0,
                kind=way.links[-1].kind,
                source="typical" if typical else source,
            )
        )
        return len(self.bodies[body].ends) - 1

    def join(self, body: int, end: int, way: Way, outwards: bool) -> None:
        """Make the joints of an end in the order in which the leg is built."""
        made = self.bodies[body]
        tube_joint = 0
        for link in way.links if outwards else reversed(way.links):
            if link.fitting is not None:
                kind, sizes, material = link.fitting
                self.fitting(kind, sizes, made.at, 1, material)
            number = self.joint(link.kind, link.size, made.at, link.of)
            if link is way.links[-1]:
                tube_joint = number
        e = made.ends[end]
        made.ends[end] = End(
            away=e.away,
            takeout_m=e.takeout_m,
            insertion_m=e.insertion_m,
            joint=tube_joint,
            kind=e.kind,
            source=e.source,
        )

    def unmake_last(self) -> None:
        """Take back the joint that was made last."""
        self.made.pop()

    def rename_joint(self, number: int, of: str) -> None:
        """Say what a joint's tube goes into, where that has become something else."""
        kind, size, at, run, _, room = self.made[number - 1]
        self.made[number - 1] = (kind, size, at, run, of, room)

    def name_cut(self, cut: str, *joints: int) -> None:
        """Say at its joints which piece of tube goes in."""
        self.goes_in |= dict.fromkeys(joints, cut)

    def done(self) -> Fabrication:
        return Fabrication(
            fittings=tuple(self.fittings),
            joints=tuple(
                Joint(number=k, kind=kind, size=size, at=at, run=run, of=of, room=room, cut=self.goes_in.get(k, ""))
                for k, (kind, size, at, run, of, room) in enumerate(self.made, 1)
            ),
            bodies=tuple(
                Body(name=b.name, at=b.at, run=b.run, ends=tuple(b.ends), port=b.port, street=b.street)
                for b in self.bodies
            ),
            cuts=tuple(self.cuts),
            blocked=tuple(self.blocked),
            streets=tuple(self.streets),
        )


def way_out(bench: Bench, socket: Tube, tube: Tube, of: str) -> Way:
    """From a socket of one size to the tube that is wanted there: straight in, through bushings, or an adapter.

    A bushing's larger end fills the socket, and the next tube ends its gap further out. An adapter does the same, with
    both couplings' gaps. Typical.
    """
    shop = bench.shop
    depth = insertion(shop, tube)
    if tube.material is socket.material and tube.size == socket.size:
        return Way((Link(bench.kind(tube), tube.size, of),), 0.0, depth.value_m, depth.source)
    links: list[Link] = []
    added = 0.0
    target = tube.size if tube.material is socket.material else nearest_size(shop, socket, tube.outside_m)
    chain = reducers(socket.material, socket.size, target)
    last, inside = socket, of
    for size, to in chain or ():
        links.append(Link(bench.kind(socket), size, inside, (FittingKind.BUSHING, (size, to), socket.material)))
        added += insertion(shop, last).value_m + sold_reducers(socket.material)[size, to]
        last, inside = sized_like(shop, socket, to), f"bushing in {of}"
    if last.size != tube.size or last.material is not tube.material:
        kind = adapter_kind(last, tube)
        links.append(Link(bench.kind(last), last.size, inside, (kind, (last.size, tube.size), last.material)))
        added += insertion(shop, last).value_m + adapter_gap_m(shop, last, tube)
        inside = f"{kind.value} in {of}"
        if kind is FittingKind.DIELECTRIC:
            links.append(Link(JointKind.UNION, last.size, inside))
    links.append(Link(bench.kind(tube), tube.size, inside))
    return Way(tuple(links), added, depth.value_m, "typical")


def adapter_kind(a: Tube, b: Tube) -> FittingKind:
    """What joins two tubes that are no reducer apart."""
    if {a.material, b.material} == {Material.COPPER, Material.STEEL}:
        return FittingKind.DIELECTRIC
    return FittingKind.ADAPTER


def adapter_gap_m(shop: Shop, a: Tube, b: Tube) -> Metre:
    """Between the ends of two tubes in an adapter: both couplings' halves; a dielectric union is as long as a union
    (table `items`). Typical."""
    if adapter_kind(a, b) is FittingKind.DIELECTRIC:
        return item_length_m(next(i for i in shipped_items() if i.kind is ItemKind.UNION))
    return takeout(shop, Take.COUPLING, a).value_m + takeout(shop, Take.COUPLING, b).value_m


def item_length_m(item: Item) -> Metre:
    """Between the ends of the tubes in an item; the trade kind's typical length where it has none of its own."""
    if item.length_m > 0.0:
        return item.length_m
    return next(i.length_m for i in shipped_items() if i.kind is item.kind)


def direction(s: Straight) -> Vec:
    return ((s.b[0] - s.a[0]) / s.length_m, (s.b[1] - s.a[1]) / s.length_m, (s.b[2] - s.a[2]) / s.length_m)
