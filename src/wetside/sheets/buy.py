"""The buy sheet: what to pick at the counter, with spares; also as CSV and as a workbook."""

import csv
import io
from typing import TYPE_CHECKING

from wetside.basis.quantity import Kind, System, number_text, show
from wetside.basis.record import record
from wetside.sheets.said import said
from wetside.sheets.takeoff import harmless
from wetside.sheets.wording import clean, plural, share
from wetside.sheets.xlsx import Cell, xlsx
from wetside.takeoff.buy import BuyLine
from wetside.takeoff.returns import Return, returns

if TYPE_CHECKING:
    from wetside.study.study import Study

COLUMNS = ("group", "item", "size", "need", "spare", "buy", "pack", "each", "cost", "note")
_WIDTHS = (18.0, 26.0, 22.0, 8.0, 8.0, 8.0, 16.0, 10.0, 10.0, 24.0)


@record
class BuyRow:
    group: str = said("Where it stands at the counter: tube, fittings of one size, valves, …")
    item: str = said("The item.")
    size: str = said("Its size or sizes as spoken at the counter; empty where it has none.")
    need: int = said("How many are drawn, or used up.")
    spare: int = said("How many more.")
    buy: int = said("How many to buy.")
    pack: str = said("What one of them is, where it is no single piece: a stick, a coil, a pack.")
    each: float | None = said("Price of one, in money of the job; null where the job gives none.")
    cost: float | None = said("Price of all.")
    note: str = said("Where it goes, or what it is for; mostly empty.")


@record
class ReturnRow:
    group: str = said("Where it stands at the counter; empty for what the list does not have.")
    item: str = said("The item.")
    size: str = said("Its size or sizes.")
    count: int = said("How many go back.")
    pack: str = said("What one of them is, where it is no single piece.")
    each: float | None = said("Price of one; null where none is known.")
    back: float | None = said("Money back, less the return fee.")
    note: str = said("What is odd about it; mostly empty.")


@record
class SparePoint:
    chance: float = said("Chance of another trip.", "1")
    left: float = said("Expected price of what is left over.", "money")
    cost: float = said("Expected loss on what goes back, and trips.", "money")
    spares: int = said("Spares in all.")
    chosen: bool = said("Whether the list is made with it.")


@record
class BuySheet:
    job: str = said("Name of the job.")
    units: str = said('System of units in which the job is written: "metric" or "us".')
    currency: str = said("Money of the job; empty where it does not say.")
    buy: tuple[BuyRow, ...] = said("The list, as a counter hand picks it.")
    returns: tuple[ReturnRow, ...] = said("What the job says is left over: it goes back to the counter.")
    back: float = said("Money back for what goes back and has a price, less the return fee.", "money")
    total: float = said("Price of what has one.", "money")
    unpriced: int = said("Lines without a price.")
    chance: float = said("Chance of another trip with these spares.", "1")
    accepted: float = said("Chance that is accepted.", "1")
    trip: float = said("What another trip costs.", "money")
    return_fee: float = said("Share of the price lost on what is brought back.", "1")
    assumed: tuple[str, ...] = said("What of this is an assumption, for want of a figure in the job.")
    prices_assumed: int = said("Items whose price is assumed for reckoning spares.")
    curve: tuple[SparePoint, ...] = said("Chance of another trip against money left over, one more spare each.")


def buy_sheet(study: "Study") -> BuySheet:
    """The buy list of a study.

    :raises JobProblem: the pipework can't be read
    """
    b = study.buy
    back = returns(b, study.design.buying)
    system = study.design.system
    return BuySheet(
        job=study.design.name,
        units=system.value,
        currency=b.currency,
        buy=tuple(_row(x, system) for x in b.lines),
        returns=tuple(_return(x, system) for x in back),
        back=sum(x.back for x in back if x.back is not None),
        total=b.cost,
        unpriced=b.unpriced,
        chance=b.spares.choice.chance,
        accepted=b.terms.chance,
        trip=b.terms.trip,
        return_fee=b.terms.return_fee,
        assumed=b.terms.assumed,
        prices_assumed=sum(1 for x in b.lines if x.each is None and x.assumed > 0.0),
        curve=tuple(
            SparePoint(chance=p.chance, left=p.left, cost=p.cost, spares=sum(p.spares), chosen=k == b.spares.chosen)
            for k, p in enumerate(b.spares.curve)
        ),
    )


def _row(x: BuyLine, system: System) -> BuyRow:
    return BuyRow(
        group=x.group,
        item=x.item,
        size=x.size,
        need=x.need,
        spare=x.spare,
        buy=x.buy,
        pack=_pack(x, system),
        each=x.each,
        cost=x.cost,
        note=x.note,
    )


def _return(x: Return, system: System) -> ReturnRow:
    note = ""
    if x.line is None:
        note = f"not on the list; {x.likely}?" if x.likely else "not on the list"
    elif x.count > x.line.buy:
        note = f"the list has {x.line.buy}"
    return ReturnRow(
        group=x.group,
        item=x.item,
        size=x.size,
        count=x.count,
        pack="" if x.line is None else _pack(x.line, system),
        each=x.each,
        back=x.back,
        note=note,
    )


def _pack(x: BuyLine, system: System) -> str:
    """``"stick of 3 m"``, ``"pack of 0.25 kg"``; empty for single pieces."""
    if not x.pack:
        return ""
    kinds = {"m": Kind.LENGTH, "kg": Kind.MASS, "l": Kind.WATER_VOLUME}
    if x.pack_unit not in kinds:
        return f"{x.pack} of {number_text(x.pack_holds, 0)} {x.pack_unit}"
    value = x.pack_holds * (1e-3 if x.pack_unit == "l" else 1.0)
    number, _, unit = show(value, kinds[x.pack_unit], system, 2).partition(" ")
    return f"{x.pack} of {number.rstrip('0').rstrip('.')} {unit}"


def returns_said(sheet: BuySheet) -> str:
    """What comes back for what goes back: ``"€ 12.30 back, after a return fee of 15 %."``"""
    unknown = sum(1 for x in sheet.returns if x.back is None)
    rest = f", without a price for {plural(unknown, 'line')}" if unknown else ""
    money = f"{clean(sheet.currency)} {number_text(sheet.back, 2)}".strip()
    return f"{money} back{rest}, after a return fee of {share(sheet.return_fee, 1.0)}."


def _cells(sheet: BuySheet) -> list[list[Cell]]:
    return [[r.group, r.item, r.size, r.need, r.spare, r.buy, r.pack, r.each, r.cost, r.note] for r in sheet.buy]


def buy_csv(sheet: BuySheet) -> str:
    """The list as CSV (RFC 4180), with a plain decimal point; no cell is taken for a formula."""
    out = io.StringIO()
    write = csv.writer(out).writerow
    write(COLUMNS)
    for row in _cells(sheet):
        write([harmless(x) if isinstance(x, str) else "" if x is None else x for x in row])
    return out.getvalue()


def buy_xlsx(sheet: BuySheet) -> bytes:
    """The list as a workbook."""
    rows = [[clean(x) if isinstance(x, str) else x for x in row] for row in _cells(sheet)]
    return xlsx("buy", [COLUMNS, *rows], _WIDTHS)
