"""Chosen for a duty: a circulator, and emitters that are large enough."""

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from wetside.basis.record import record
from wetside.basis.si import Celsius, Kelvin, M3PerSecond, Metre, Pascal, Ratio, Watt
from wetside.basis.tables import load, number
from wetside.emitter.spec import Emitter, EmitterKind
from wetside.network.adjust import LEAST_SPEED
from wetside.network.curve import head_at
from wetside.network.duty import LEAST_DROP_K, output_by_drop
from wetside.network.net import Curve
from wetside.network.spec import Circulator

TYPICAL_EFFICIENCY = 0.25
"""Of a small circulator, from the socket to the water (common practice, no source)."""
TOWEL_RAIL_NOTE = "take a larger rail"
_ENOUGH = 1.0 - 1e-4


@record
class CirculatorChoice:
    name: str
    typical: bool
    """From the shipped table of typical curves."""
    speed: float | None
    """The least that serves; None where even full speed does not."""
    watts: Watt | None
    """Electric power at that speed."""


@cache
def typical_circulators() -> tuple[Circulator, ...]:
    """The shipped curves (table `circulators`)."""
    points: dict[str, list[tuple[M3PerSecond, Pascal]]] = {}
    watts: dict[str, Watt] = {}
    for row in load("circulators").rows:
        name = str(row["name"])
        points.setdefault(name, []).append((number(row, "flow"), number(row, "head")))
        if isinstance(row["power"], float):
            watts[name] = row["power"]
    return tuple(Circulator(name=n, points=tuple(p), watts=watts.get(n)) for n, p in points.items())


def power(circulator: Circulator, speed: float, volume_m3_s: M3PerSecond, head_pa: Pascal) -> Watt:
    """Electric power [W] at a speed: what is known of it by the cube of the speed (affinity laws), else the power given
    to the water over a typical efficiency."""
    if circulator.watts is not None:
        return circulator.watts * (speed / circulator.speed) ** 3
    return volume_m3_s * head_pa / TYPICAL_EFFICIENCY


def least_speed(circulator: Circulator, volume_m3_s: M3PerSecond, head_pa: Pascal) -> float | None:
    """Least relative speed, up to 1 or what it is set to, that adds a head [Pa of cold water] to a flow, to four places
    upwards; None where it can't."""
    curve = Curve(name=circulator.name, points=circulator.points, terms=circulator.terms)

    def reaches(speed: float) -> bool:
        return head_at(replace(curve, speed=speed), volume_m3_s) >= head_pa

    low, high = LEAST_SPEED, max(1.0, circulator.speed)
    if not reaches(high):
        return None
    if reaches(low):
        return low
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if reaches(middle) else (middle, high)
    return math.ceil(1e4 * high - 1e-5) / 1e4


def circulator_choices(
    given: Sequence[Circulator], volume_m3_s: M3PerSecond, head_pa: Pascal
) -> tuple[CirculatorChoice, ...]:
    """Every circulator for a duty, the one of lowest power first, those that can't serve last.

    :param given: the job's own; the typical ones are put beside them
    """
    made: list[CirculatorChoice] = []
    for typical, many in ((False, given), (True, typical_circulators())):
        for c in many:
            speed = least_speed(c, volume_m3_s, head_pa)
            watts = None if speed is None else power(c, speed, volume_m3_s, head_pa)
            made.append(CirculatorChoice(name=c.name, typical=typical, speed=speed, watts=watts))
    return tuple(sorted(made, key=lambda c: (c.watts is None, c.watts or 0.0, c.typical, c.name)))


@record
class EmitterChoice:
    """A larger emitter of the same kind."""

    emitter: Emitter
    """As it is to be."""
    was: Emitter
    factor: Ratio
    """Its output over that of the present one."""
    needed_w: Watt
    """Rated output that covers its share."""
    note: str


@cache
def _lengths(kind: str) -> tuple[Metre, ...]:
    return tuple(number(r, "length") for r in load("emitter_lengths").rows if r["kind"] == kind)


def next_length(kind: EmitterKind, least_m: Metre) -> Metre:
    """The next length on sale (table `emitter_lengths`, typical); the least one itself beyond the table's end."""
    return next((x for x in _lengths(kind.value) if x >= least_m * _ENOUGH), least_m)


def covering(
    emitter: Emitter, share_w: Watt, supply_c: Celsius, room_c: Celsius, drop_k: Kelvin
) -> EmitterChoice | None:
    """What an emitter must grow to, to give its share with the design drop; None where it can already, at whatever
    sensible flow.

    Grows by whole sections, or to the next length on sale. A towel rail grows in output alone.

    :raises ValueError: no size would do, because the water is too cold
    """
    if output_by_drop(emitter, supply_c, min(LEAST_DROP_K, drop_k), room_c) >= share_w * _ENOUGH:
        return None
    gives = output_by_drop(emitter, supply_c, drop_k, room_c)
    if gives <= 0.0:
        raise ValueError(
            "after the design drop its water is colder than the room, so that no size will do; raise the flow "
            "temperature or lower the drop"
        )
    factor = share_w / gives
    needed_w = emitter.rated_w * factor
    if emitter.kind is EmitterKind.COLUMN and emitter.sections > 0:
        sections = math.ceil(emitter.sections * factor * _ENOUGH)
        factor = sections / emitter.sections
        grown = replace(emitter, sections=sections, length_m=emitter.length_m * factor)
        note = f"{sections} sections"
    elif emitter.kind is EmitterKind.TOWEL_RAIL:
        factor, grown, note = 1.0, emitter, TOWEL_RAIL_NOTE
    else:
        length = next_length(emitter.kind, emitter.length_m * factor)
        factor = length / emitter.length_m
        grown, note = replace(emitter, length_m=length), "longer"
    grown = replace(
        grown, rated_w=emitter.rated_w * factor, water_m3=emitter.water_m3 * factor, mass_kg=emitter.mass_kg * factor,
        surface_m2=emitter.surface_m2 * factor,
    )  # fmt: skip
    return EmitterChoice(emitter=grown, was=emitter, factor=factor, needed_w=needed_w, note=note)
