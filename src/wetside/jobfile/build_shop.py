"""Checked tables → what the shop and the buy list need."""

from wetside.fabricate.spec import JointSystem, OwnFitting, Shop, Take
from wetside.jobfile.check import Draft
from wetside.jobfile.shop_tables import BuyingTable, FittingTable, JointsTable, LeftOverTable, PriceTable, StockTable
from wetside.pipework.spec import Material, Tube
from wetside.takeoff.spec import Buying, LeftOver, Price, StockOnSale


def build_shop(draft: Draft) -> Shop | None:
    """How tube is joined; nothing when the table has faults."""
    joints = draft.one("joints", JointsTable)
    if joints is None:
        return None
    longest = {s.tube: max(s.lengths) for _, s in draft.rows("stock", StockTable) if s.lengths}
    return Shop(
        systems=((Material.COPPER, JointSystem(joints.copper)), (Material.PEX, JointSystem(joints.PEX))),
        own=tuple(
            OwnFitting(
                take=Take(f.kind),
                size=f.size,
                takeout_m=f.takeout,
                insertion_m=f.insertion,
                system=JointSystem(f.joint) if f.joint else None,
            )
            for _, f in draft.rows("fitting", FittingTable)
        ),
        stock_m=tuple(longest.items()),
        least_gap_m=joints.gap,
        cut_m=joints.cut_tolerance,
        take_m=joints.fitting_tolerance,
    )


def build_buying(draft: Draft, tubes: tuple[Tube, ...]) -> Buying | None:
    """Stock, prices and terms; nothing when their table has faults."""
    b = draft.one("buying", BuyingTable)
    known = [t.name for t in tubes]
    for i, s in draft.rows("stock", StockTable):
        draft.know(("stock", i, "tube"), s.tube, known, "tube")
        if s.prices and len(s.prices) != len(s.lengths):
            wrong = f"{len(s.lengths)} lengths have {len(s.prices)} prices"
            draft.fault(("stock", i, "prices"), wrong, "give each length its price, in the same order")
    if b is None:
        return None
    return Buying(
        kerf_m=b.kerf,
        stock=tuple(
            StockOnSale(tube=s.tube, lengths_m=tuple(s.lengths), prices=tuple(s.prices), own_m=tuple(s.offcuts))
            for _, s in draft.rows("stock", StockTable)
        ),
        prices=tuple(Price(item=p.item, size=p.size, each=p.each) for _, p in draft.rows("price", PriceTable)),
        left=tuple(
            LeftOver(item=x.item, size=x.size, count=x.count) for _, x in draft.rows("left_over", LeftOverTable)
        ),
        currency=b.currency,
        trip=b.trip,
        return_fee=b.return_fee,
        chance=b.chance,
        spoil_joint=b.spoil_joint,
        spoil_cut=b.spoil_cut,
    )
