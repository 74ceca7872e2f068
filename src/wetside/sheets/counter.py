"""Buying and cutting as the page shows it: sticks drawn to scale, the list for the counter, the spares curve."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wetside.basis.quantity import Kind, System, number_text, show, tape
from wetside.basis.record import record
from wetside.sheets.buy import BuySheet, buy_sheet
from wetside.sheets.cuts import cuts_sheet
from wetside.sheets.draw.screen import SCREEN
from wetside.sheets.draw.spares import Stocking, spares_chart
from wetside.sheets.said import said
from wetside.sheets.takeoff import takeoff_sheet
from wetside.sheets.wording import plural, share
from wetside.takeoff.cutting import TubeCuts

if TYPE_CHECKING:
    from wetside.study.study import Study


@record
class Piece:
    name: str = said("Number of the piece in building order.")
    length: str = said("Its length as read off the tape.")
    part: float = said("Its length as a share of the longest stick of its tube.", "1")
    run: str = said("Its run.")
    ends: str = said("What its ends go into, with the joints' numbers.")
    room: str = said("Room that it passes through; empty where none is known.")
    bends: str = said("Bends in it; empty where it is straight.")


@record
class Stick:
    number: int = said("Number of the stick.")
    length: str = said("Its length.")
    part: float = said("Its length as a share of the longest of its tube.", "1")
    own: bool = said("Whether it is an offcut at hand.")
    left: str = said("What is left over in one piece.")
    left_part: float = said("The same as a share of the longest stick.", "1")
    pieces: tuple[Piece, ...] = said("Pieces cut from it, longest first.")


@record
class TubeShop:
    tube: str = said("The tube.")
    size: str = said("Its size.")
    sticks: tuple[Stick, ...] = said("Its sticks.")
    buys: str = said("What to buy, and what comes of it.")
    proof: str = said("Whether a cheaper plan is possible.")


@record
class BuyLineText:
    group: str = said("Where it stands at the counter.")
    item: str = said("The item.")
    size: str = said("Its size.")
    need: str = said("As drawn.")
    spare: str = said("Spares; empty where there are none.")
    buy: str = said("To buy.")
    pack: str = said("What one of them is; empty for single pieces.")
    each: str = said("Price of one; empty where the job gives none.")
    cost: str = said("Price of all.")
    note: str = said("Where it goes, or what it is for.")


@record
class Counted:
    group: str = said("What it belongs to.")
    item: str = said("The item.")
    size: str = said("Its size.")
    amount: str = said("How many, or how much.")


@record
class Meeting:
    run: str = said("The run.")
    text: str = said("How far it can miss, and what to cut last.")


@record
class CounterSheet:
    tubes: tuple[TubeShop, ...] = said("Cut plan of each tube.")
    pieces: int = said("Pieces of tube in all.")
    cut_sum: str = said("The cut plan in a line.")
    tight: tuple[str, ...] = said("Fittings too near each other, with what to do.")
    meetings: tuple[Meeting, ...] = said("Tolerances of runs that must meet something.")
    buy: tuple[BuyLineText, ...] = said("The list for the counter.")
    returns: tuple[BuyLineText, ...] = said("What goes back: how many, and the money back.")
    total: str = said("Price of what has one.")
    unpriced: str = said("How many lines have none.")
    curve: str = said("The spares curve as SVG in named colours.")
    chance: str = said("Chance of a second trip with these spares.")
    accepted: str = said("Chance that is accepted.")
    assumed: tuple[str, ...] = said("Assumptions behind the spares.")
    counted: tuple[Counted, ...] = said("The take-off.")
    money: str = said("Money of the job; empty where it does not say.")


def counter_sheet(study: "Study", system: System) -> CounterSheet:
    """Buying and cutting of a study.

    :raises JobProblem: the pipework can't be read
    """
    cuts, buys = cuts_sheet(study), buy_sheet(study)
    stick_numbers = iter(range(1, len(cuts.sticks) + 1))
    tubes = tuple(_tube(x, stick_numbers, system) for x in study.cutting)
    return CounterSheet(
        tubes=tubes,
        pieces=len(cuts.cuts),
        cut_sum=f"{plural(len(cuts.cuts), 'piece')} from {plural(len(cuts.sticks), 'stick')}, "
        f"{cuts.bought} to buy; no plan gets by with fewer than {cuts.bound}",
        tight=tuple(
            f"{t.leg}: {tape(t.length_m, system)} between {t.from_} and {t.to}, needs {tape(t.least_m, system)}; "
            f"{t.remedy}"
            for t in cuts.tight
        ),
        meetings=tuple(
            Meeting(
                run=s.run,
                text=f"meets {s.meets} within {tape(s.likely_m, system)}, at worst {tape(s.worst_m, system)}"
                + (f"; cut {', '.join(s.fit_last)} last, to measure" if s.fit_last else ""),
            )
            for s in cuts.stackups
        ),
        buy=tuple(_lines(buys)),
        returns=tuple(_back(buys)),
        total=_money(buys.total, buys.currency),
        unpriced=plural(buys.unpriced, "line") + " without a price" if buys.unpriced else "",
        curve=spares_chart(
            [Stocking(chance=p.chance, left=p.left, spares=p.spares, chosen=p.chosen) for p in buys.curve],
            accepted=buys.accepted, currency=buys.currency, theme=SCREEN,
        ) if buys.curve else "",
        chance=f"{number_text(100.0 * buys.chance, 1)} %",
        accepted=f"{number_text(100.0 * buys.accepted, 1)} %",
        assumed=buys.assumed,
        counted=tuple(_counted(study, system)),
        money=buys.currency,
    )  # fmt: skip


def _money(amount: float, currency: str) -> str:
    return f"{number_text(amount, 2)} {currency}".rstrip()


def _tube(laid: TubeCuts, numbers: Iterator[int], system: System) -> TubeShop:
    longest = max((s.stock_m for s in laid.plan.sticks), default=1.0)
    sticks: list[Stick] = []
    for s in laid.plan.sticks:
        pieces = tuple(
            Piece(
                name=c.name, length=tape(c.length_m, system), part=c.length_m / longest, run=c.run,
                ends=f"{c.start} to {c.end}", room=c.room,
                bends=", ".join(f"{b.angle_deg:.0f}° at {tape(b.from_last_m, system)}" for b in c.bends),
            )
            for c in (laid.cuts[i] for i in s.cuts)
        )  # fmt: skip
        sticks.append(
            Stick(
                number=next(numbers), length=tape(s.stock_m, system), part=s.stock_m / longest, own=s.own,
                left=tape(s.offcut_m, system), left_part=s.offcut_m / longest, pieces=pieces,
            )
        )  # fmt: skip
    plan = laid.plan
    cut = sum(c.length_m for c in laid.cuts)
    used = sum(s.stock_m for s in plan.sticks)
    return TubeShop(
        tube=laid.tube.name,
        size=laid.tube.size,
        sticks=tuple(sticks),
        buys=f"{plural(len(laid.cuts), 'piece')}, {show(cut, Kind.LENGTH, system, 1)} of tube; "
        f"buy {plan.bought}, {share(used - cut, used)} left over",
        proof="nothing cheaper is possible"
        if plan.proven
        else f"at most {number_text(100.0 * plan.gap, 1)} % from best",
    )


def _lines(sheet: BuySheet) -> Iterator[BuyLineText]:
    for r in sheet.buy:
        yield BuyLineText(
            group=r.group, item=r.item, size=r.size, need=str(r.need), spare=f"+{r.spare}" if r.spare else "",
            buy=str(r.buy), pack=r.pack, each="" if r.each is None else number_text(r.each, 2),
            cost="" if r.cost is None else number_text(r.cost, 2), note=r.note,
        )  # fmt: skip


def _back(sheet: BuySheet) -> Iterator[BuyLineText]:
    for r in sheet.returns:
        yield BuyLineText(
            group="goes back to the counter: how many, and the money back", item=r.item, size=r.size, need="", spare="",
            buy=str(r.count), pack=r.pack, each="" if r.each is None else number_text(r.each, 2),
            cost="" if r.back is None else number_text(r.back, 2), note=r.note,
        )  # fmt: skip


def _counted(study: "Study", system: System) -> Iterator[Counted]:
    sheet = takeoff_sheet(study)
    for t in sheet.tubes:
        amount = f"{show(t.length_m, Kind.LENGTH, system, 1)}, {plural(t.sticks, 'stick')}"
        yield Counted(group="tube", item=t.tube, size=t.size, amount=amount)
    for c in sheet.counts:
        yield Counted(group=c.group, item=c.item, size=c.size, amount=str(c.count))
    for j in sheet.joints:
        yield Counted(group="joints", item=j.kind, size=j.size, amount=str(j.count))
    for w in sheet.water:
        yield Counted(group="water", item=w.part, size="", amount=show(w.water_m3, Kind.WATER_VOLUME, system))
