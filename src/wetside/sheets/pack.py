"""The job pack: every sheet of a study in one PDF, to print and take to the basement."""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from wetside import __version__
from wetside.basis.record import record
from wetside.basis.rules import Verdict
from wetside.sheets import pages, shop_pages
from wetside.sheets.balance import balance_sheet
from wetside.sheets.balance_page import balance_page
from wetside.sheets.bench import bench_sheet
from wetside.sheets.buy import buy_sheet
from wetside.sheets.check import check_sheet
from wetside.sheets.cuts import cuts_sheet
from wetside.sheets.draw.letters import clip
from wetside.sheets.draw.marks import standalone
from wetside.sheets.draw.theme import LIGHT, PRINT
from wetside.sheets.drawings import (
    Picture,
    bench_pictures,
    cut_maps,
    duty_charts,
    spares_charts,
    stick_pictures,
    support_maps,
    whole_pages,
)
from wetside.sheets.flow import flow_sheet
from wetside.sheets.rooms import rooms_sheet
from wetside.sheets.supports import supports_sheet
from wetside.sheets.takeoff import takeoff_sheet
from wetside.sheets.typeset import embedded, typeset
from wetside.sheets.wording import clean

if TYPE_CHECKING:
    from wetside.study.study import Study

STEPS = 9
PAPER = replace(LIGHT, sheet="#FFFFFF")
"""Marks in dark colour on white: on a black-and-white printer their shapes remain."""

WARNING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 18" width="20" height="18">'
    '<path d="M10 1.2L18.9 16.8H1.1Z" fill="none" stroke="#000000" stroke-width="1.8" stroke-linejoin="round"/>'
    '<path d="M10 6.4V11.4" stroke="#000000" stroke-width="1.9" stroke-linecap="round"/>'
    '<circle cx="10" cy="14.1" r="1.1" fill="#000000"/></svg>'
)
CHART = (85.0, 62.0)
"""Width and height in mm of a duty chart: two stand side by side."""
HEADINGS = ("Summary", "Cautions", "Rooms", "Room by room", "Emitters", "Flows", "Balancing")
LAST = ("Findings", "For the licensed fitter")


@record
class Pack:
    pdf: bytes
    sheets: tuple[str, ...]


def picture(p: Picture) -> dict[str, Any]:
    return {
        "title": clean(p.title), "alt": clean(p.alt), "svg": embedded(p.svg), "width": p.width_mm,
        "ratio": p.width_mm / p.height_mm, "wide": p.width_mm > p.height_mm,
    }  # fmt: skip


def pack_data(study: "Study", step: Callable[[str], None] = lambda _: None) -> dict[str, Any]:
    """All that the pack says, ready for the typesetter.

    :param step: told the name of each step as it begins
    :raises JobProblem: the job can't be read
    :raises NoSolution: the network has no answer
    """
    step("rooms")
    rooms = rooms_sheet(study)
    step("flows")
    flow = flow_sheet(study)
    step("balancing")
    balance = balance_sheet(study)
    step("take-off")
    takeoff = takeoff_sheet(study)
    step("rules")
    check = check_sheet(study)
    step("cuts and joints")
    cuts, bench, supports = cuts_sheet(study), bench_sheet(study), supports_sheet(study)
    step("buy list")
    buys = buy_sheet(study)
    step("drawings")
    d = study.design
    return {
        "title": f"{clean(d.name)}: job pack",
        "job": clean(d.name),
        "running": clip(clean(d.name), 3.4, 120.0, narrow=False),
        "paper": "us-letter" if d.paper == "us-letter" else "a4",
        "made": f"wetside {__version__}",
        "marks": {v.value: embedded(standalone(v, PAPER)) for v in Verdict},
        "warning": WARNING,
        "summary": pages.summary_page(d, check, rooms, flow, takeoff),
        "cautions": pages.cautions_page(check),
        "rooms": pages.rooms_page(rooms),
        "emitters": pages.emitters_page(flow),
        "flows": pages.flows_page(flow),
        "balance": balance_page(balance),
        "charts": [picture(p) for p in duty_charts(study, PRINT, CHART)],
        "drawings": [picture(p) for p in whole_pages(study, PRINT)],
        "takeoff": pages.takeoff_page(takeoff),
        "buy": shop_pages.buy_page(buys),
        "spares": [picture(p) for p in spares_charts(buys, PRINT, CHART)],
        "cuts": shop_pages.cuts_page(cuts),
        "sticks": [picture(p) for p in stick_pictures(study, PRINT)],
        "cut_maps": [picture(p) for p in cut_maps(study, PRINT)],
        "benches": [
            {"drawing": picture(p), "words": words}
            for p, words in zip(bench_pictures(study, PRINT), shop_pages.bench_pages(bench), strict=True)
        ],
        "joints": shop_pages.joints_page(cuts),
        "supports": shop_pages.supports_page(supports),
        "support_maps": [picture(p) for p in support_maps(study, PRINT)],
        **pages.findings_page(check),
        "fitter": pages.fitter_page(d, check, rooms),
    }


def make_pack(study: "Study", step: Callable[[str], None] = lambda _: None) -> Pack:
    """The pack of a study as PDF; the same study gives the same bytes.

    :param step: told the name of each of the `STEPS` steps as it begins
    :raises JobProblem: the job can't be read
    :raises NoSolution: the network has no answer
    """
    data = pack_data(study, step)
    step("typesetting")
    return Pack(pdf=typeset("pack.typ", data), sheets=titles(data))


def titles(data: dict[str, Any]) -> tuple[str, ...]:
    """Titles of the pack's sheets, in order."""
    return (
        *HEADINGS,
        *(p["title"] for p in data["drawings"]),
        "Take-off",
        "Buy list",
        "Cut sheet",
        *(p["title"] for p in (*data["sticks"], *data["cut_maps"])),
        *(t for b in data["benches"] for t in (b["drawing"]["title"], b["words"]["title"])),
        "Joint map",
        "Supports",
        *(p["title"] for p in data["support_maps"]),
        *LAST,
    )
