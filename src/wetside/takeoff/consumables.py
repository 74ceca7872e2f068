"""What joints, threads, tube and water use up: solder, flux, gas, abrasive, sealant, rings, insulation, inhibitor."""

import math
from collections import Counter
from collections.abc import Iterable
from functools import cache
from itertools import pairwise

from wetside.basis.quantity import INCH, POUND, System, tape
from wetside.basis.record import record
from wetside.basis.si import CubicMetre, Kilogram, Metre
from wetside.basis.tables import load, number
from wetside.fabricate.reading import Fabrication, JointKind
from wetside.fabricate.sizes import insertion
from wetside.fabricate.spec import Shop
from wetside.pipework.reading import Leg, Straight
from wetside.pipework.spec import Tube

CLEARANCE: Metre = 0.010 * INCH
"""Twice the average clearance of a solder joint: the allowance for waste of CDA Table 14.10."""
SOLDER_DENSITY = 0.266 * POUND / INCH**3
"""Behind the masses of that table, kg/m3."""
WIRE_M2 = math.pi / 4.0 * (INCH / 8.0) ** 2
"""Section of 1/8 in solder wire."""


@record
class Used:
    """One consumable: what is used up, and the packs that it is sold in."""

    item: str
    size: str
    amount: float
    unit: str
    pack: float
    note: str = ""

    @property
    def packs(self) -> int:
        return math.ceil(self.amount / self.pack - 1e-9)


@cache
def rate(name: str) -> float:
    """A rate or pack of the table `shop_rates`."""
    return number(load("shop_rates").by("name")[name], "amount")


def solder_m3(outside: Metre, cup: Metre) -> CubicMetre:
    """Solder for one joint, waste allowed for: ``pi × outside × cup × clearance`` at 0.010 in (CDA Table 14.10)."""
    return math.pi * outside * cup * CLEARANCE


def solder_kg(outside: Metre, cup: Metre) -> Kilogram:
    """Mass of solder for one joint. The allowance for waste is in the clearance: don't double it again."""
    return solder_m3(outside, cup) * SOLDER_DENSITY


def brazing_kg(outside: Metre) -> Kilogram:
    """Brazing filler for one joint as published, nothing allowed for waste (CDA Table 14.11)."""
    points = [(number(r, "outside"), number(r, "mass") / 100.0) for r in load("brazing").rows]
    if outside <= points[0][0]:
        return points[0][1] * outside / points[0][0]
    for (x0, y0), (x1, y1) in pairwise(points):
        if outside <= x1:
            return y0 + (y1 - y0) * (outside - x0) / (x1 - x0)
    return points[-1][1] * outside / points[-1][0]


def joints_used(
    fabrication: Fabrication, tubes: Iterable[Tube], shop: Shop, system: System = System.METRIC
) -> tuple[Used, ...]:
    """Consumables of the joints: solder and flux or filler, gas, abrasive cloth, thread tape, rings."""
    by_size = {t.size: t for t in tubes}
    by_cut = {c.name: c.tube for c in fabrication.cuts}
    made = Counter((j.kind, j.size, by_cut.get(j.cut, by_size.get(j.size))) for j in fabrication.joints)
    solder = filler = gas = cloth = tape = 0.0
    rings: Counter[tuple[str, str]] = Counter()
    for (kind, size, tube), n in made.items():
        outside = tube.outside_m if tube else 0.0213
        heat = n * rate("gas") * (outside / 0.022) ** 2
        if kind is JointKind.SOLDER:
            solder += n * solder_kg(outside, insertion(shop, tube).value_m if tube else outside)
            gas, cloth = gas + heat, cloth + n * rate("abrasive cloth")
        elif kind is JointKind.BRAZE:
            filler += n * brazing_kg(outside) * rate("brazing use")
            gas, cloth = gas + 2.0 * heat, cloth + n * rate("abrasive cloth")
        elif kind is JointKind.THREAD:
            tape += n * rate("thread tape turns") * math.pi * outside
        elif kind in (JointKind.CRIMP, JointKind.EXPANSION):
            rings[f"{kind.value} ring", size] += n
    lines = [
        Used(item="solder, lead-free", size="", amount=solder, unit="kg", pack=rate(f"solder pack {system.value}")),
        Used(item="flux", size="", amount=solder * rate("flux"), unit="kg", pack=rate("flux pack")),
        Used(item="brazing filler", size="", amount=filler, unit="kg", pack=rate("filler pack")),
        Used(item="torch gas", size="", amount=gas, unit="g", pack=rate("gas pack")),
        Used(item="abrasive cloth", size="", amount=cloth, unit="m", pack=rate("abrasive cloth pack")),
        Used(item="thread tape", size="", amount=tape, unit="m", pack=rate("thread tape pack")),
        *(Used(item=i, size=s, amount=n, unit="", pack=1.0) for (i, s), n in sorted(rings.items())),
    ]
    return tuple(x for x in lines if x.amount > 0.0)


def insulation_used(legs: Iterable[Leg], system: System = System.METRIC) -> tuple[Used, ...]:
    """Insulation by room, tube size and thickness, with a typical share for waste."""
    length: dict[tuple[str, str, Metre], Metre] = {}
    for leg in legs:
        for p in leg.pieces:
            if isinstance(p, Straight) and leg.insulation_m > 0.0:
                key = (leg.room, p.tube.size, leg.insulation_m)
                length[key] = length.get(key, 0.0) + p.length_m
    return tuple(
        Used(
            item=f"insulation {tape(thick, system)}",
            size=size,
            amount=metres * (1.0 + rate("insulation waste")),
            unit="m",
            pack=rate(f"insulation pack {system.value}"),
            note=room or "no room",
        )
        for (room, size, thick), metres in sorted(length.items())
    )


def water_used(water: CubicMetre, glycol: float) -> tuple[Used, ...]:
    """Inhibitor for the system's water, or antifreeze (which carries its own)."""
    if glycol > 0.0:
        return (Used(item="antifreeze, propylene glycol", size="", amount=1000.0 * water * glycol, unit="l", pack=5.0),)
    return (
        Used(
            item="inhibitor", size="", amount=1000.0 * water * rate("inhibitor"), unit="l", pack=rate("inhibitor pack")
        ),
    )
