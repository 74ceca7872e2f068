"""The buy list: everything that is counted, with spares, in the order in which a counter hand picks it."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cache

from wetside.basis.record import record
from wetside.basis.si import Metre, Ratio
from wetside.basis.tables import load, number
from wetside.fabricate.reading import Fabrication
from wetside.fabricate.spec import Shop
from wetside.pipework.spec import Material, Tube
from wetside.takeoff.consumables import Used
from wetside.takeoff.count import nominal_m, sizes_text
from wetside.takeoff.cutting import TubeCuts
from wetside.takeoff.reading import Takeoff
from wetside.takeoff.spares import Demand, Spares, any_spoilt, plan_spares, spoilt_before, sticks_more
from wetside.takeoff.spec import Buying

SUPPORTS = ("standoff", "clip", "hanger", "riser clamp", "anchor", "guide")
COILED = (Material.PEX, Material.MULTILAYER)


_ASSUMED = {"fittings": "fitting", "valves": "valve"}
"""Groups whose price is assumed where the job gives none."""


@record
class BuyLine:
    group: str
    """Where it stands at the counter: tube, fittings of one size, valves, …"""
    item: str
    size: str
    need: int
    """As drawn."""
    spare: int
    pack: str
    """``"stick"``, ``"coil"``, ``"pack"``, or empty for single pieces."""
    pack_holds: float
    pack_unit: str
    each: float | None
    """Price of one; none where the job gives none."""
    assumed: float
    """Price that the spares are reckoned with where there is none; 0 for what gets no spares."""
    note: str = ""

    @property
    def buy(self) -> int:
        return self.need + self.spare

    @property
    def cost(self) -> float | None:
        return None if self.each is None else self.each * self.buy


@record
class Terms:
    """What the spares are reckoned with, and which of it is assumed."""

    trip: float
    return_fee: Ratio
    chance: Ratio
    assumed: tuple[str, ...]


@record
class BuyList:
    lines: tuple[BuyLine, ...]
    demands: tuple[Demand, ...]
    """What the spares are planned for, in the order of each curve point's numbers."""
    spares: Spares
    terms: Terms
    currency: str

    @property
    def cost(self) -> float:
        """Of the lines that have a price."""
        return sum(x.cost for x in self.lines if x.cost is not None)

    @property
    def unpriced(self) -> int:
        return sum(1 for x in self.lines if x.each is None)


@cache
def default(name: str) -> float:
    """An assumption of the table `buying_defaults`."""
    return number(load("buying_defaults").by("name")[name], "amount")


def terms(buying: Buying) -> Terms:
    """The person's own terms, assumptions where there are none."""
    given = {
        "trip": buying.trip,
        "return fee": buying.return_fee,
        "chance": buying.chance,
        "spoil cut": buying.spoil_cut,
    }
    assumed = [k for k, v in given.items() if v is None]
    if buying.spoil_joint is None:
        assumed.append("spoil joint")
    value = {k: default(k) if v is None else v for k, v in given.items()}
    return Terms(trip=value["trip"], return_fee=value["return fee"], chance=value["chance"], assumed=tuple(assumed))


def assumed_price(group: str, outside: Metre) -> float:
    """A price for reckoning spares where the job gives none: the table's at 22 mm, as the power 1.5 of the outside
    diameter. An assumption."""
    return default(f"price {group}") * (outside / 0.022) ** 1.5


def buy_list(
    takeoff: Takeoff,
    fabrication: Fabrication,
    cutting: Sequence[TubeCuts],
    used: Iterable[Used],
    *,
    tubes: Iterable[Tube],
    shop: Shop,
    buying: Buying,
) -> BuyList:
    """All that is to be bought: tube, fittings by size, valves, equipment, emitters, insulation, consumables.

    Spares are planned for tube, fittings and valves together: each may be spoilt with a joint or a cut.
    """
    outsides = {t.size: t.outside_m for t in tubes}
    price = _Prices(buying, outsides)
    lines = [*_tube_lines(cutting, price), *_piece_lines(takeoff, price)]
    chances = _chances(fabrication, shop, buying)
    spoil_cut = default("spoil cut") if buying.spoil_cut is None else buying.spoil_cut
    demands: list[Demand] = []
    which: list[int] = []
    by_tube = {c.tube.name: c for c in cutting}
    seen: set[str] = set()
    for i, x in enumerate(lines):
        if x.group == "tube" and x.item not in seen:
            seen.add(x.item)
            more = _tube_more(by_tube[x.item], x.pack_holds, spoil_cut)
        elif x.group.startswith("fittings"):
            more = spoilt_before(x.need, chances.get((x.item, x.size), 0.0))
        elif x.group == "valves":
            more = spoilt_before(x.need, default("spoil item"))
        else:
            continue
        which.append(i)
        demands.append(Demand(item=x.item, size=x.size, price=x.each or x.assumed, more=more))
    on = terms(buying)
    spares = plan_spares(demands, trip=on.trip, return_fee=on.return_fee, accepted=on.chance)
    for i, n in zip(which, spares.choice.spares, strict=True):
        lines[i] = replace(lines[i], spare=n)
    return BuyList(
        lines=(*lines, *(_used_line(u, price) for u in used)),
        demands=tuple(demands),
        spares=spares,
        terms=on,
        currency=buying.currency,
    )


class _Prices:
    """Prices of the job, and assumptions beside them."""

    def __init__(self, buying: Buying, outsides: Mapping[str, Metre]) -> None:
        self.given = {(p.item, p.size): p.each for p in buying.prices}
        self.stock = {s.tube: dict(zip(s.lengths_m, s.prices, strict=False)) for s in buying.stock}
        self.outsides = outsides

    def each(self, item: str, size: str) -> float | None:
        return self.given.get((item, size), self.given.get((item, "")))

    def outside(self, size: str) -> Metre:
        """Outside diameter of a nominal size; the first size of several."""
        return self.outsides.get(size, nominal_m(size) or 0.022)


def _tube_lines(cutting: Sequence[TubeCuts], price: _Prices) -> list[BuyLine]:
    lines: list[BuyLine] = []
    for c in cutting:
        bought = Counter(s.stock_m for s in c.plan.sticks if not s.own) or Counter({c.tube.stock_m: 0})
        for stock, n in sorted(bought.items(), reverse=True):
            given = price.stock.get(c.tube.name, {}).get(stock, price.each(c.tube.name, c.tube.size))
            lines.append(
                BuyLine(
                    group="tube",
                    item=c.tube.name,
                    size=c.tube.size,
                    need=n,
                    spare=0,
                    pack="coil" if c.tube.material in COILED else "stick",
                    pack_holds=stock,
                    pack_unit="m",
                    each=given,
                    assumed=assumed_price("tube", c.tube.outside_m) * stock,
                )
            )
    return lines


def _piece_lines(takeoff: Takeoff, price: _Prices) -> list[BuyLine]:
    """Fittings by their largest size, largest first; then valves, equipment and emitters."""
    lines: list[BuyLine] = []
    for c in takeoff.counts:
        if c.item == "bend":
            continue
        first = _first_size(c.size)
        group = f"fittings {first}" if c.group == "fittings" else c.group
        lines.append(
            BuyLine(
                group=group,
                item=c.item,
                size=c.size,
                need=c.count,
                spare=0,
                pack="",
                pack_holds=1.0,
                pack_unit="",
                each=price.each(c.item, c.size),
                assumed=assumed_price(_ASSUMED[c.group], price.outside(first)) if c.group in _ASSUMED else 0.0,
            )
        )
    order = {"fittings": 0, "valves": 1, "equipment": 2, "emitters": 3}
    return sorted(
        lines,
        key=lambda x: (order[x.group.split()[0]], -price.outside(_first_size(x.size)) if x.group[0] == "f" else 0.0),
    )


def _first_size(size: str) -> str:
    """``"28 mm"`` of ``"28 × 22 × 15 mm"``: the largest end stands first."""
    first, _, rest = size.partition(" × ")
    if not rest or first.endswith(("mm", "in")):
        return first
    return f"{first} {size.rpartition(' ')[2]}"


def _chances(fabrication: Fabrication, shop: Shop, buying: Buying) -> dict[tuple[str, str], Ratio]:
    """Chance that a fitting is spoilt with one of its joints, by item and size as the list has them."""
    found: dict[tuple[str, str], Ratio] = {}
    for f in fabrication.fittings:
        if f.sockets and f.material:
            chance = buying.spoil_joint
            if chance is None:
                system = shop.system(Material(f.material))
                chance = number(load("joint_gap").by("system")[system.value], "joint_spoil")
            found[f.kind.value, sizes_text(f.kind, f.sizes)] = any_spoilt(f.sockets, chance)
    return found


def _tube_more(c: TubeCuts, stock: Metre, chance: Ratio) -> tuple[float, ...]:
    longest = max((x.length_m for x in c.cuts), default=0.0)
    free = sum(s.offcut_m for s in c.plan.sticks if s.offcut_m >= longest)
    return sticks_more([x.length_m for x in c.cuts], chance, stock, free)


def _used_line(u: Used, price: _Prices) -> BuyLine:
    group = "insulation" if u.item.startswith("insulation") else "supports" if u.item in SUPPORTS else "consumables"
    return BuyLine(
        group=group,
        item=u.item,
        size=u.size,
        need=u.packs,
        spare=0,
        pack="pack" if u.unit else "",
        pack_holds=u.pack,
        pack_unit=u.unit,
        each=price.each(u.item, u.size),
        assumed=0.0,
        note=u.note,
    )
