"""Materials counted from the pipework and its fittings."""

from collections import Counter
from collections.abc import Iterable, Mapping

from wetside.basis.si import Metre
from wetside.emitter.spec import Emitter
from wetside.fabricate.reading import Fabrication, FittingKind
from wetside.network.spec import Apparatus, Boiler, Tank
from wetside.pipework.reading import InLine, Leg, NodeKind, Pipework
from wetside.pipework.spec import Item, ItemKind, Vec
from wetside.takeoff.cutting import TubeCuts
from wetside.takeoff.reading import CountLine, JointLine, Takeoff, TubeLine
from wetside.takeoff.water import tube_lengths, water_held


def count(
    pipework: Pipework,
    fabrication: Fabrication,
    cutting: Iterable[TubeCuts],
    *,
    emitters: Iterable[Emitter],
    emitter_valves: Mapping[str, tuple[str, str]],
    items: Iterable[Item],
    boilers: Iterable[Boiler],
    tanks: Iterable[Tank],
    equipment: Iterable[tuple[str, str]],
    apparatus: Apparatus | None = None,
) -> Takeoff:
    """Count tube, fittings, valves, equipment, emitters and joints, and the water that all of it holds.

    :param emitter_valves: emitter → items at its flow and return connection, empty for none
    :param equipment: owner kind and owner of everything that has ports; emitters among them are counted as emitters
    """
    emitters = tuple(emitters)
    water = water_held(pipework, emitters, boilers, tanks, apparatus)
    valved = _three_way_places(pipework, apparatus or Apparatus())
    return Takeoff(
        tubes=_tubes(pipework.legs, cutting),
        counts=(
            *_fittings(fabrication, valved),
            *_three_ways(fabrication, valved),
            *_valves(pipework, emitter_valves, {i.name: i for i in items}),
            *_equipment(pipework, equipment),
            *_emitters(emitters),
        ),
        joints=_joints(fabrication),
        water=water,
        water_m3=sum(w.water_m3 for w in water),
    )


def _tubes(legs: Iterable[Leg], cutting: Iterable[TubeCuts]) -> tuple[TubeLine, ...]:
    planned = {c.tube: c.plan.bought for c in cutting}
    return tuple(
        TubeLine(tube=tube.name, size=tube.size, length_m=length, stock_m=tube.stock_m, sticks=planned.get(tube, 0))
        for tube, length in tube_lengths(legs).items()
    )


def _three_way_places(pipework: Pipework, apparatus: Apparatus) -> set[Vec]:
    """Where a three-way valve stands in place of a tee."""
    tees = {v.tee for v in apparatus.three_ways}
    return {n.at for n in pipework.nodes if n.name in tees}


def _three_ways(fabrication: Fabrication, valved: set[Vec]) -> list[CountLine]:
    counted = Counter(
        sizes_text(f.kind, f.sizes) for f in fabrication.fittings if f.kind is FittingKind.TEE and f.at in valved
    )
    return [
        CountLine(group="valves", item="three-way valve", size=size, count=n) for size, n in sorted(counted.items())
    ]


def _fittings(fabrication: Fabrication, valved: set[Vec]) -> list[CountLine]:
    counted = Counter(
        (f.kind, sizes_text(f.kind, f.sizes))
        for f in fabrication.fittings
        if not (f.kind is FittingKind.TEE and f.at in valved)
    )
    order = list(FittingKind)
    return [
        CountLine(group="fittings", item=kind.value, size=sizes, count=n)
        for (kind, sizes), n in sorted(counted.items(), key=lambda kv: (order.index(kv[0][0]), kv[0][1]))
    ]


def sizes_text(kind: FittingKind, sizes: tuple[str, ...]) -> str:
    """Sizes as asked for at the counter, the larger end first: ``"22 mm"``, ``"28 × 22 mm"``, ``"22 × 22 × 15 mm"``.

    The same fitting turned round gives the same text; a tee's branch stays last.
    """
    run, branches = (sizes[:2], sizes[2:]) if kind in (FittingKind.TEE, FittingKind.CROSS) else (sizes, ())
    ordered = [*sorted(run, key=_nominal, reverse=True), *sorted(branches, key=_nominal, reverse=True)]
    if len(set(ordered)) == 1:
        return ordered[0]
    units = {s.rpartition(" ")[2] for s in ordered}
    if len(units) == 1:
        return " × ".join(s.rpartition(" ")[0] for s in ordered) + f" {units.pop()}"
    return " × ".join(ordered)


def _nominal(size: str) -> tuple[float, str]:
    """For ordering only: the number in a size such as ``"22 mm"`` or ``"1 1/4 in"``, in millimetres."""
    *numbers, unit = size.split()
    total = 0.0
    for word in numbers:
        top, _, bottom = word.partition("/")
        try:
            total += float(top) / float(bottom or 1)
        except ValueError:
            return (0.0, size)
    return (total * (25.4 if unit == "in" else 1.0), size)


def nominal_m(size: str) -> Metre:
    """The number in a nominal size, in metres; 0 where there is none."""
    return _nominal(size or "0 mm")[0] / 1000.0


def _valves(
    pipework: Pipework, emitter_valves: Mapping[str, tuple[str, str]], items: Mapping[str, Item]
) -> list[CountLine]:
    counted: Counter[tuple[str, str]] = Counter()
    for leg in pipework.legs:
        for p in leg.pieces:
            if isinstance(p, InLine) and p.item.kind is not ItemKind.CIRCULATOR:
                counted[p.item.kind.value, p.tube.size] += 1
    at_port = _size_at_port(pipework)
    for emitter, pair in emitter_valves.items():
        for valve, port in zip(pair, ("flow", "return"), strict=True):
            if valve:
                kind = items[valve].kind.value if valve in items else valve
                counted[kind, at_port.get(f"{emitter}.{port}", "")] += 1
    return [
        CountLine(group="valves", item=item, size=size, count=n)
        for (item, size), n in sorted(counted.items(), key=lambda kv: (kv[0][0], _nominal(kv[0][1] or "0 mm")))
    ]


def _size_at_port(pipework: Pipework) -> dict[str, str]:
    sizes: dict[str, str] = {}
    for leg in pipework.legs:
        tubes = leg.tubes
        for n, tube in ((leg.a, tubes[0]), (leg.b, tubes[-1])):
            if pipework.nodes[n].kind is NodeKind.PORT:
                sizes[pipework.nodes[n].name] = tube.size
    return sizes


def _equipment(pipework: Pipework, equipment: Iterable[tuple[str, str]]) -> list[CountLine]:
    lines = [
        CountLine(
            group="equipment",
            item=owner if kind in owner or kind == "equipment" else f"{kind} {owner}",
            size="",
            count=1,
        )
        for kind, owner in equipment
        if kind != "emitter"
    ]
    circulators = Counter(
        (p.item.name, p.tube.size)
        for leg in pipework.legs
        for p in leg.pieces
        if isinstance(p, InLine) and p.item.kind is ItemKind.CIRCULATOR
    )
    for (name, size), n in sorted(circulators.items()):
        lines.append(CountLine(group="equipment", item=name, size=size, count=n))
    return lines


def _emitters(emitters: Iterable[Emitter]) -> list[CountLine]:
    counted = Counter((e.kind.value, _body(e)) for e in emitters)
    return [CountLine(group="emitters", item=kind, size=body, count=n) for (kind, body), n in counted.items()]


def _body(e: Emitter) -> str:
    if e.sections:
        return f"{e.sections} sections"
    return f"{e.length_m * 1000:.0f} × {e.height_m * 1000:.0f} mm"


def _joints(fabrication: Fabrication) -> tuple[JointLine, ...]:
    counted = Counter((j.kind.value, j.size) for j in fabrication.joints)
    return tuple(
        JointLine(kind=kind, size=size, count=n)
        for (kind, size), n in sorted(counted.items(), key=lambda kv: (kv[0][0], _nominal(kv[0][1])))
    )
