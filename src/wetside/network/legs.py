"""A leg of pipework as links: one for each stretch of one tube, more where circulators sit."""

from collections.abc import Mapping
from dataclasses import dataclass

from wetside.basis.errors import MistakeList, nearest
from wetside.basis.si import Celsius, KvM3PerHour, Metre, Pascal, WattPerMK
from wetside.network.friction import kv_from_k
from wetside.network.losses import EMISSIVITY, bare_w_mk, lagged_w_mk
from wetside.network.resist import Loss, fitting, item, reducer_k, turn
from wetside.network.spec import Circulator
from wetside.network.valves import opening_pa, steepness
from wetside.pipework.reading import InLine, Leg, Reducer, Straight, Turn
from wetside.pipework.spec import ItemKind, Tube


@dataclass(slots=True, kw_only=True)
class Part:
    """A stretch of a leg in one tube, summed up while the leg is gone through piece by piece."""

    tube: Tube
    length_m: Metre = 0.0
    k: float = 0.0
    inverse_kv2: float = 0.0
    extra_m: Metre = 0.0
    shut: bool = False
    one_way: bool = False
    opens_pa: Pascal = 0.0
    steep_pa_s_kg: float = 0.0
    circulator: Circulator | None = None
    end_height_m: Metre = 0.0
    loss_w_mk: WattPerMK = 0.0

    @property
    def idle(self) -> bool:
        """Does nothing to the water."""
        held = self.shut or self.one_way or self.circulator is not None
        return not (held or self.length_m or self.k or self.inverse_kv2 or self.extra_m)

    @property
    def kv_m3_h(self) -> KvM3PerHour | None:
        return self.inverse_kv2**-0.5 if self.inverse_kv2 else None

    def lose(self, loss: Loss) -> None:
        self.k += loss.k
        self.extra_m += loss.extra_m
        if loss.kv_m3_h is not None:
            self.inverse_kv2 += loss.kv_m3_h**-2.0


def parts_of(
    leg: Leg, tube: Tube, circulators: Mapping[str, Circulator], water_c: Celsius, air_c: Celsius,
    mistakes: MistakeList,
) -> list[Part]:  # fmt: skip
    """Cut a leg into parts, in its written direction. Check valves and circulators work in that direction too.

    :param tube: what a leg without pieces (two tees in one spot) is made of
    """
    parts: list[Part] = []
    for piece in leg.pieces:
        if not parts or piece.tube.name != parts[-1].tube.name:
            parts.append(Part(tube=piece.tube, loss_w_mk=_loss_w_mk(leg, piece.tube, water_c, air_c)))
        part = parts[-1]
        bore = part.tube.bore_m
        match piece:
            case Straight():
                part.length_m += piece.length_m
                part.end_height_m = piece.b[2]
            case Turn():
                part.lose(turn(part.tube.material, piece.angle_deg, bore))
                part.end_height_m = piece.at[2]
            case Reducer():
                small, large = sorted((piece.tube.bore_m, piece.to.bore_m))
                part.lose(Loss(k=reducer_k(small, large) * (bore / small) ** 4))
                part.end_height_m = piece.at[2]
                parts.append(
                    Part(tube=piece.to, end_height_m=piece.at[2], loss_w_mk=_loss_w_mk(leg, piece.to, water_c, air_c))
                )
            case InLine():
                _with_item(part, piece, leg, circulators, parts, mistakes)
                parts[-1].end_height_m = piece.at[2]
    if not parts:
        parts.append(Part(tube=tube))
    return [p for p in parts if not p.idle] or parts[:1]


def _with_item(
    part: Part, piece: InLine, leg: Leg, circulators: Mapping[str, Circulator], parts: list[Part],
    mistakes: MistakeList,
) -> None:  # fmt: skip
    one, bore = piece.item, part.tube.bore_m
    if one.on_branch:
        part.lose(fitting(part.tube.material, "tee run", bore))
        return
    loss = item(one, bore)
    if one.kind is ItemKind.BYPASS:
        part.steep_pa_s_kg += steepness(one, loss.kv_m3_h or kv_from_k(loss.k, bore))
    else:
        part.lose(loss)
    if one.shut or one.opening <= 0.0:
        part.shut = True
    if one.kind in (ItemKind.CHECK_VALVE, ItemKind.BYPASS):
        part.one_way = True
        part.opens_pa += opening_pa(one)
    if one.kind is ItemKind.CIRCULATOR:
        circulator = circulators.get(one.name)
        if circulator is None:
            mistakes.add(
                "run", leg.run, "moves", f'no circulator is called "{one.name}"', nearest(one.name, circulators)
            )
            return
        if part.circulator is not None:
            part = Part(tube=part.tube, loss_w_mk=part.loss_w_mk)
            parts.append(part)
        part.circulator = circulator


def _loss_w_mk(leg: Leg, tube: Tube, water_c: Celsius, air_c: Celsius) -> WattPerMK:
    if leg.insulation_m > 0.0:
        return lagged_w_mk(tube.outside_m, leg.insulation_m, leg.insulation_w_mk)
    return bare_w_mk(tube.outside_m, water_c, air_c, EMISSIVITY[tube.material])
