"""What the person says about buying: saw, stock on sale, offcuts at hand, prices, and what going back costs."""

from wetside.basis.record import record
from wetside.basis.si import Metre, Ratio


@record
class StockOnSale:
    """Sticks or coils of a tube that are on sale, and offcuts of it at hand."""

    tube: str
    lengths_m: tuple[Metre, ...] = ()
    """The tube's own stock length where none is given."""
    prices: tuple[float, ...] = ()
    """Of one stick of each length, where known."""
    own_m: tuple[Metre, ...] = ()


@record
class Price:
    item: str
    """As the buy list names it."""
    size: str
    """As the buy list writes it; empty for every size."""
    each: float


@record
class LeftOver:
    """Whole pieces, sticks or packs that were not used."""

    item: str
    """As the buy list names it."""
    size: str
    """As the buy list writes it; empty for an item that it has in one size."""
    count: int


@record
class Buying:
    """Defaults marked as assumptions where they are shown."""

    kerf_m: Metre | None = None
    """Lost at each cut; nothing for a wheel cutter (assumed on copper and plastic), a saw's 2 mm on steel."""
    stock: tuple[StockOnSale, ...] = ()
    prices: tuple[Price, ...] = ()
    currency: str = ""
    trip: float | None = None
    """What another trip to the shop costs: time and fuel."""
    return_fee: Ratio | None = None
    """Share of the price that is lost on what is brought back."""
    chance: Ratio | None = None
    """The chance of another trip that the person accepts."""
    spoil_joint: Ratio | None = None
    """Chance that a joint is spoilt and its fitting with it."""
    spoil_cut: Ratio | None = None
    """Chance that a piece of tube is cut wrong."""
    left: tuple[LeftOver, ...] = ()
    within_s: float = 5.0
    """Time for laying out the cuts of one tube."""
