"""The job's cuts laid onto the stock of each tube."""

from collections.abc import Iterable

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.fabricate.reading import Cut, Fabrication
from wetside.pipework.spec import Material, Tube
from wetside.takeoff.spec import Buying, StockOnSale
from wetside.takeoff.stock import KERF, CutPlan, plan_cuts
from wetside.takeoff.water import rank


@record
class TubeCuts:
    """The cuts of one tube and the sticks that they are cut from; a stick's cuts are indices into `cuts`."""

    tube: Tube
    cuts: tuple[Cut, ...]
    plan: CutPlan
    kerf_m: Metre


def lay_cuts(fabrication: Fabrication, buying: Buying | None = None) -> tuple[TubeCuts, ...]:
    """All cuts of the job laid onto stock, tube by tube: own offcuts first, then the least to buy.

    :raises ValueError: a cut is longer than every stock length of its tube
    """
    buying = buying or Buying()
    by_tube: dict[Tube, list[Cut]] = {}
    for cut in fabrication.cuts:
        by_tube.setdefault(cut.tube, []).append(cut)
    on_sale = {s.tube: s for s in buying.stock}
    return tuple(
        _lay(tube, cuts, on_sale.get(tube.name, StockOnSale(tube=tube.name)), buying)
        for tube, cuts in sorted(by_tube.items(), key=lambda kv: rank(kv[0]))
    )


def kerf_m(tube: Tube, buying: Buying) -> Metre:
    """What a cut of this tube loses: a saw on steel, a wheel cutter or shears (nothing) on all others."""
    if buying.kerf_m is not None:
        return buying.kerf_m
    return KERF if tube.material is Material.STEEL else 0.0


def _lay(tube: Tube, cuts: Iterable[Cut], stock: StockOnSale, buying: Buying) -> TubeCuts:
    cuts = tuple(cuts)
    kerf = kerf_m(tube, buying)
    plan = plan_cuts(
        [c.length_m for c in cuts],
        stock.lengths_m or (tube.stock_m,),
        kerf,
        own_m=stock.own_m,
        prices=stock.prices or None,
        within_s=buying.within_s,
    )
    return TubeCuts(tube=tube, cuts=cuts, plan=plan, kerf_m=kerf)
