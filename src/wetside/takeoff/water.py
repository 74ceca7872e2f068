"""The water that the heating holds."""

from collections.abc import Iterable
from math import pi

from wetside.basis.si import CubicMetre, Metre
from wetside.emitter.spec import Emitter
from wetside.network.spec import Apparatus, Boiler, Tank
from wetside.pipework.reading import InLine, Leg, Pipework, Straight
from wetside.pipework.spec import Tube
from wetside.takeoff.reading import WaterLine


def tube_content_m3(length: Metre, bore: Metre) -> CubicMetre:
    """Water in a tube: ``pi/4 bore² length``."""
    return pi / 4.0 * bore**2 * length


def rank(tube: Tube) -> tuple[str, Metre, str]:
    """Order of tubes on every list: by material, the widest first."""
    return (tube.material.value, -tube.outside_m, tube.name)


def tube_lengths(legs: Iterable[Leg]) -> dict[Tube, Metre]:
    """Length along the centre lines, tube by tube."""
    total: dict[Tube, Metre] = {}
    for leg in legs:
        for p in leg.pieces:
            if isinstance(p, Straight):
                total[p.tube] = total.get(p.tube, 0.0) + p.length_m
    return dict(sorted(total.items(), key=lambda kv: rank(kv[0])))


def heating_legs(pipework: Pipework, boilers: Iterable[Boiler], apparatus: Apparatus | None = None) -> tuple[Leg, ...]:
    """Legs that hold heating water: those joined to a flow or return of a boiler, by tube, by emitters, by other
    equipment with a flow and a return, by separators, exchangers and manifolds. Tap-water tube is not among them.
    Without a boiler's port: all of them."""
    own = {f"{b.name}.{p}" for b in boilers for p in ("flow", "return")}
    starts = [i for i, n in enumerate(pipework.nodes) if n.name in own]
    if not starts:
        return pipework.legs
    near: dict[int, list[int]] = {}
    for leg in pipework.legs:
        near.setdefault(leg.a, []).append(leg.b)
        near.setdefault(leg.b, []).append(leg.a)
    whole = apparatus or Apparatus()
    joining = {x.name for x in (*whole.separators, *whole.exchangers, *whole.manifolds)}
    through: dict[str, list[int]] = {}
    for i, n in enumerate(pipework.nodes):
        if n.port is not None and (n.port.name in ("flow", "return") or n.port.owner in joining):
            through.setdefault(n.port.owner, []).append(i)
    for ends in through.values():
        for i in ends:
            near.setdefault(i, []).extend(k for k in ends if k != i)
    found, edge = set(starts), list(starts)
    while edge:
        for k in near.get(edge.pop(), ()):
            if k not in found:
                found.add(k)
                edge.append(k)
    return tuple(leg for leg in pipework.legs if leg.a in found)


def water_held(
    pipework: Pipework, emitters: Iterable[Emitter], boilers: Iterable[Boiler], tanks: Iterable[Tank],
    apparatus: Apparatus | None = None,
) -> tuple[WaterLine, ...]:  # fmt: skip
    """The heating water in tube, emitters, boilers, coils, separators, exchangers and items, part by part."""
    boilers = tuple(boilers)
    legs = heating_legs(pipework, boilers, apparatus)
    in_items = sum(p.item.water_m3 for leg in legs for p in leg.pieces if isinstance(p, InLine))
    lines = [(t.name, tube_content_m3(length, t.bore_m)) for t, length in tube_lengths(legs).items()]
    lines.append(("emitters", sum(e.water_m3 for e in emitters)))
    lines += [(b.name, b.water_m3) for b in boilers]
    lines += [(f"coil of {t.name}", t.coil_water_m3) for t in tanks]
    whole = apparatus or Apparatus()
    lines += [(x.name, x.water_m3) for x in (*whole.separators, *whole.exchangers)]
    lines.append(("items", in_items))
    return tuple(WaterLine(part=part, water_m3=v) for part, v in lines if v > 0.0)
