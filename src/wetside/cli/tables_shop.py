"""The cut sheet and the buy list as terminal tables."""

from rich.console import Group, RenderableType
from rich.text import Text

from wetside.basis.quantity import System, number_text, tape
from wetside.cli.cells import head, name
from wetside.cli.ledger import Ledger
from wetside.cli.prose import prose
from wetside.sheets.buy import BuySheet, returns_said
from wetside.sheets.cuts import CutsSheet
from wetside.sheets.wording import clean, plural, share


def cuts(sheet: CutsSheet) -> RenderableType:
    """Pieces run by run, what is too tight, street elbows, sticks, what to cut last, take-outs to measure."""
    system = System(sheet.units)
    parts: list[RenderableType] = [head(sheet.job, "cuts"), Text()]
    for run in dict.fromkeys(c.run for c in sheet.cuts):
        t = Ledger(clean(run), ("cut", "from", "to", "tube", "length", "stick"), names=4)
        for c in sheet.cuts:
            if c.run == run:
                bent = f", {plural(len(c.bends), 'bend')}" if c.bends else ""
                t.add(name(c.name), name(c.from_), name(c.to), name(c.tube + bent), c.tape, str(c.stick))
        parts.append(t)
    if sheet.tight:
        t = Ledger("Too near each other", ("leg", "from", "to", "to do"), names=4)
        for x in sheet.tight:
            t.add(name(x.leg), name(x.from_), name(x.to), name(x.remedy))
        parts.append(t)
    if sheet.streets:
        t = Ledger("Street elbows", ("leg", "from", "to", "centre to tip"), names=3)
        for x in sheet.streets:
            t.add(name(x.leg), name(x.from_), name(x.to), tape(x.end_m, system))
        parts.append(t)
    t = Ledger("Sticks", ("stick", "tube", "cuts", "length", "left over"), names=3)
    for s in sheet.sticks:
        own = ", own" if s.own else ""
        t.add(
            str(s.number), name(s.tube), name(" ".join(s.cuts)), tape(s.stock_m, system) + own, tape(s.offcut_m, system)
        )
    parts.append(t)
    for x in sheet.tubes:
        proof = "proven" if x.proven else f"at least {x.bound}, gap {share(x.gap, 1.0)}"
        wasted = f"{number_text(100 * x.waste, 1)} % waste"
        parts.append(prose(f"{clean(x.tube)}: {plural(x.cuts, 'piece')}, {x.bought} to buy ({proof}), {wasted}.", ""))
    parts.append(Text())
    t = Ledger("What a run can miss", ("run", "meets", "cut last", "worst", "likely"), names=3)
    for x in sheet.stackups:
        t.add(name(x.run), name(x.meets), name(" ".join(x.fit_last)), tape(x.worst_m, system), tape(x.likely_m, system))
    parts.append(t)
    t = Ledger("Take-outs", ("fitting", "tube", "", "take-out", "goes in"), names=3)
    for x in sheet.takeouts:
        marked = "typical, measure yours" if x.measure else ""
        t.add(name(x.body), name(x.size), marked, tape(x.takeout_m, system), tape(x.insertion_m, system))
    parts.append(t)
    return Group(*parts)


def buy(sheet: BuySheet) -> RenderableType:
    """The list group by group, then what it costs and how sure it is."""
    parts: list[RenderableType] = [head(sheet.job, "buy list"), Text()]
    priced = any(r.each is not None for r in sheet.buy)
    for group in dict.fromkeys(r.group for r in sheet.buy):
        noted = any(r.note for r in sheet.buy if r.group == group)
        places = ("room",) if noted else ()
        columns = ("item", "size", *places, "", "need", "spare", "buy", *(("each", "cost") if priced else ()))
        t = Ledger(clean(group).capitalize(), columns, names=3 + len(places))
        for r in sheet.buy:
            if r.group == group:
                money = (_money(r.each), _money(r.cost)) if priced else ()
                where = (name(r.note),) if noted else ()
                counts = (str(r.need), str(r.spare), str(r.buy))
                t.add(name(r.item), name(r.size), *where, name(r.pack), *counts, *money)
        parts.append(t)
    if priced:
        rest = f", without a price for {plural(sheet.unpriced, 'line')}" if sheet.unpriced else ""
        parts.append(prose(f"{clean(sheet.currency)} {_money(sheet.total)}{rest}.".strip(), "bold"))
    chance = number_text(100 * sheet.chance, 1)
    parts.append(prose(f"Another trip with these spares: {chance} % ({share(sheet.accepted, 1.0)} accepted).", "bold"))
    if sheet.assumed or sheet.prices_assumed:
        words = [*sheet.assumed, *([f"{plural(sheet.prices_assumed, 'price')}"] if sheet.prices_assumed else [])]
        parts.append(prose(f"Assumed, for want of your own: {', '.join(words)}.", "dim"))
    if sheet.returns:
        noted = any(x.note for x in sheet.returns)
        columns = ("item", "size", "", *(("note",) if noted else ()), "left over", "each", "money back")
        t = Ledger("Goes back to the counter", columns, names=4 if noted else 3)
        for x in sheet.returns:
            odd = (name(x.note),) if noted else ()
            t.add(name(x.item), name(x.size), name(x.pack), *odd, str(x.count), _money(x.each), _money(x.back))
        parts.append(t)
        parts.append(prose(f"{returns_said(sheet)}", "bold"))
    t = Ledger("Spares", ("spares", "another trip", "left over", "cost", ""), unruled=1)
    step = max(len(sheet.curve) // 12, 1)
    for k, p in enumerate(sheet.curve):
        if k % step == 0 or p.chosen:
            mark = "this list" if p.chosen else ""
            t.add(str(p.spares), f"{number_text(100 * p.chance, 1)} %", _money(p.left), _money(p.cost), mark)
    parts.append(t)
    return Group(*parts)


def _money(value: float | None) -> str:
    return "–" if value is None else number_text(value, 2)
