"""Pressure lost in fittings and in-line items, from the shipped tables."""

from functools import cache

import numpy as np

from wetside.basis.record import record
from wetside.basis.si import Degree, KvM3PerHour, Metre
from wetside.basis.tables import load, number
from wetside.network.friction import kv_from_k
from wetside.network.valves import kv_at
from wetside.pipework.spec import Item, Material


@record(kw_only=False)
class Loss:
    """A loss coefficient on the bore, a Kv, or a length of the same tube that loses as much; they add up."""

    k: float = 0.0
    kv_m3_h: KvM3PerHour | None = None
    extra_m: Metre = 0.0


_Row = tuple[float, float]


@cache
def _fittings() -> dict[tuple[str, str, str], tuple[_Row, ...]]:
    """Family, fitting, "k" or "length" → (bore, value)."""
    found: dict[tuple[str, str, str], list[_Row]] = {}
    for row in load("fitting_resistance").rows:
        for column in ("k", "length"):
            if isinstance(row[column], float):
                key = (str(row["family"]), str(row["fitting"]), column)
                found.setdefault(key, []).append((number(row, "bore"), number(row, column)))
    return {k: tuple(sorted(v)) for k, v in found.items()}


@cache
def _items() -> dict[tuple[str, str], tuple[_Row, ...]]:
    """Kind, "k" or "flow" (a Kv) → (bore, value)."""
    found: dict[tuple[str, str], list[_Row]] = {}
    for row in load("item_resistance").rows:
        for column in ("k", "flow"):
            if isinstance(row[column], float):
                found.setdefault((str(row["kind"]), column), []).append((number(row, "bore"), number(row, column)))
    return {k: tuple(sorted(v)) for k, v in found.items()}


def _at(rows: tuple[_Row, ...], bore_m: Metre) -> float:
    return float(np.interp(bore_m, [b for b, _ in rows], [v for _, v in rows]))


@cache
def fitting(material: Material, name: str, bore_m: Metre) -> Loss:
    """Loss of an ``"elbow 90"``, ``"elbow 45"``, ``"tee run"`` or ``"tee branch"`` (table `fitting_resistance`).

    Copper counts as soldered; everything else as screwed, which is on the safe side for press and insert fittings.
    """
    family = "soldered" if material is Material.COPPER else "screwed"
    table = _fittings()
    k, length = table.get((family, name, "k")), table.get((family, name, "length"))
    return Loss(k=_at(k, bore_m) if k else 0.0, extra_m=_at(length, bore_m) if length else 0.0)


def turn(material: Material, angle_deg: Degree, bore_m: Metre) -> Loss:
    """Loss of a change of direction: up to 60° as a 45° elbow, above as a 90° one, in proportion to the angle."""
    name, full = ("elbow 45", 45.0) if angle_deg <= 60.0 else ("elbow 90", 90.0)
    one = fitting(material, name, bore_m)
    share = angle_deg / full
    return Loss(k=one.k * share, extra_m=one.extra_m * share)


def reducer_k(small_bore_m: Metre, large_bore_m: Metre) -> float:
    """Loss coefficient of a reducer on its small bore: ``0.5 (1 − beta²)``, a sudden narrowing (from memory).

    Taken for either direction: water that widens gently loses about as much.
    """
    return 0.5 * (1.0 - min(1.0, small_bore_m / large_bore_m) ** 2)


@cache
def item(one: Item, bore_m: Metre) -> Loss:
    """Loss of an in-line item: its own Kv or k, else the typical one of its kind (table `item_resistance`).

    A valve that is partly open has the part of its Kv that its characteristic gives.
    """
    loss = _whole(one, bore_m)
    if one.opening >= 1.0 or one.opening <= 0.0:
        return loss
    kv = loss.kv_m3_h or kv_from_k(loss.k, bore_m)
    return Loss(kv_m3_h=kv_at(kv, one.opening, one.characteristic)) if kv else loss


def _whole(one: Item, bore_m: Metre) -> Loss:
    if one.kv_m3_h is not None or one.k is not None:
        return Loss(k=one.k or 0.0, kv_m3_h=one.kv_m3_h)
    table = _items()
    k, kv = table.get((one.kind.value, "k")), table.get((one.kind.value, "flow"))
    return Loss(k=_at(k, bore_m) if k else 0.0, kv_m3_h=_at(kv, bore_m) if kv else None)
