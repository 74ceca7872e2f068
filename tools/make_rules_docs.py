"""Writes docs/rules.md, the list of every design rule: `python tools/make_rules_docs.py`; `--check` only looks."""

import sys
from pathlib import Path

from wetside.basis.quantity import Kind, System, show
from wetside.basis.rules import Rule
from wetside.basis.tables import reference
from wetside.fluid.fuel import NATURAL_GAS, dew_point
from wetside.frame.spec import Bracing
from wetside.network.balance_rules import MOST_OFF, MOST_PA
from wetside.network.rules import LEAST_FLOW_KG_S, MIXED_MARGIN_K, MOST_DROP_K, SETTLE_MARGIN_K, default_limits
from wetside.pipework.rules import MISS
from wetside.plant.pressure import OVER_BOILING_PA
from wetside.plant.rules import EXCESS_AIR, LEAST_STORE_C, MOST_TAP_C, TOP_COLD_PA, TURNDOWN
from wetside.plant.separation import LEAST_AFTER, LEAST_BEFORE, MOST_SPACING
from wetside.plant.vessel import FILL_OVER_CHARGE_PA, OVER_STATIC_PA
from wetside.study.gather import ALL_RULES
from wetside.study.standing import OUTSIDE

FILE = Path(__file__).parent.parent / "docs" / "rules.md"

HEAD = """# The rules

Made by `python tools/make_rules_docs.py` from the rules themselves; don't edit by hand.

`wetside check` judges these rules at every place that they apply to. The verdict is worked out on the unrounded
numbers:

- **breaks**: the measured value is on the wrong side of the limit.
- **near**: it is on the right side, by no more than the near band (a share of the limit). A rule without a band never
  says near.
- **holds**: it is on the right side by more.
- **not known**: a number that it needs is missing. That is never a pass.
- **accepted**: it breaks or is near, and the job says `[[accept]]` with a date and a reason. A safety rule can't be
  accepted.

A **must** rule that breaks makes `wetside check --strict` end with 1; so does a **safety** rule that is not known. An
**advise** rule that breaks is said and left to you. How the measured numbers come about is in [methods](methods.md).
An id is never used again for another rule.
"""

GROUPS = {
    "PIP": "Runs of tube in space", "NET": "Water and heat in the network", "BAL": "Balance",
    "PLA": "The boiler room", "FAB": "The shop", "FRM": "Supports, weight and movement",
    "JOB": "The job as a whole",
}  # fmt: skip


def bar(pa: float) -> str:
    return show(pa, Kind.PRESSURE, System.METRIC)


def metric(value: float, kind: Kind, places: int | None = None) -> str:
    return show(value, kind, System.METRIC, places).replace("\u202f", " ")


def _speeds() -> str:
    parts: list[str] = []
    for system in System:
        narrow, wide = default_limits(0.02, system), default_limits(0.1, system)
        parts.append(f"{show(narrow[0], Kind.SPEED, system)} to 50 mm (2 in) bore, {show(wide[0], Kind.SPEED, system)} "
                     f"above, in {system.value} jobs")  # fmt: skip
    return "; ".join(parts) + "; or `[limits] speed`"


def _gradients() -> str:
    parts = [f"{show(default_limits(0.02, s)[1], Kind.GRADIENT, s)} in {s.value} jobs" for s in System]
    return "; ".join(parts) + "; or `[limits] gradient`"


LEAST_FLOW = metric(LEAST_FLOW_KG_S, Kind.MASS_FLOW)

# What is measured, and the limit or where it comes from.
JUDGED: dict[str, tuple[str, str]] = {
    "PIP-01": ("how far the last move of a run arrives from the port or tee that it names", metric(MISS, Kind.SIZE)),
    "PIP-03": ("least distance of two centre lines that don't meet at a tee", "both outside radii together"),
    "NET-01": ("mean speed in the narrowest tube of a leg", _speeds()),
    "NET-02": ("friction per metre in the steepest tube of a leg, fittings left out", _gradients()),
    "NET-03": ("heat that a room's emitters give, the room at its design temperature; tube gives none here",
               "the room's load on the design day"),
    "NET-04": ("how far the water cools in an emitter", metric(MOST_DROP_K, Kind.DIFFERENCE)),
    "NET-06": ("water in a leg that is neither shut nor a dead end", LEAST_FLOW),
    "NET-07": ("temperature at which a room settles on the design day, tube heat counted",
               f"{metric(SETTLE_MARGIN_K, Kind.DIFFERENCE)} under its design temperature"),
    "NET-08": ("water that a running circulator moves", LEAST_FLOW),
    "NET-09": ("water temperature at the valve's sensor", f"{metric(MIXED_MARGIN_K, Kind.DIFFERENCE)} under what it "
               "is set to"),
    "NET-10": ("water through a boiler that fires", "the boiler's `least_flow`"),
    "BAL-01": ("how far the worst emitter's flow is from its design flow", metric(MOST_OFF, Kind.SHARE)),
    "BAL-02": ("pressure over the emitter, with its valves, that bears most", metric(MOST_PA, Kind.HEAD)),
    "PLA-01": ("output of all boilers together",
               "load of the house as a whole plus heat of tube outside heated rooms; both stand beside the limit"),
    "PLA-02": ("least output of the boiler that goes lowest", f"{TURNDOWN:g} × the load of the house"),
    "PLA-03": ("flow temperature that a boiler is set to", "its `most`"),
    "PLA-04": ("return temperature of a condensing boiler", "dew point of the flue gas of natural gas with "
               f"{EXCESS_AIR * 100:.0f} % excess air: {metric(dew_point(NATURAL_GAS, EXCESS_AIR), Kind.TEMPERATURE)}"),
    "PLA-05": ("volume of the vessel", "(expansion + reserve) (final + 1 bar) / (final − charge); expansion from 10 °C "
               "to the boiler's `most`; final: the relief valve's setting less its margin, at the vessel's height"),
    "PLA-06": ("gas charge of the vessel", "water standing from the vessel to the highest point plus "
               f"{bar(OVER_STATIC_PA)}, to 0.01 bar as a gauge reads"),
    "PLA-07": ("gas charge of the vessel", f"cold fill at its height, less {bar(FILL_OVER_CHARGE_PA)}, to 0.01 bar"),
    "PLA-08": ("set pressure of the relief valve", "lowest rated pressure of the boilers"),
    "PLA-09": ("heat that the relief valve can pass", "output of all boilers together"),
    "PLA-10": ("ways from a boiler to the relief valve without anything that shuts (a hand, check, zone or bypass "
               "valve, a valve of an emitter)", "1"),
    "PLA-11": ("pressure of the cold fill at the highest point of runs and emitters", bar(TOP_COLD_PA)),
    "PLA-12": ("lowest pressure at any node with the circulator running: once cold, once with the vessel as full as at "
               "the boiler's `most`", f"{bar(OVER_BOILING_PA)}; hot, as much over boiling at the node's temperature"),
    "PLA-13": ("pressure at the relief valve, the water at the boiler's `most`; it never rises above the setting, but "
               "what the cold fill alone makes is shown as it is", "the setting less its margin: 0.5 bar, from 5 bar "
               "upwards a tenth"),
    "PLA-14": ("tube between the centres of two separating tees", f"{MOST_SPACING:g} bores of that tube"),
    "PLA-15": ("straight tube before the pair, as the water goes", f"{LEAST_BEFORE:g} bores"),
    "PLA-16": ("straight tube after the pair", f"{LEAST_AFTER:g} bores"),
    "PLA-17": ("flow of a circulator", "the last point of its curve, at its speed"),
    "PLA-18": ("hot water that the boilers' own exchangers warm from `cold_water` to `hot`", "`[hot_water] wanted`"),
    "PLA-19": ("temperature at the taps", metric(MOST_TAP_C, Kind.TEMPERATURE)),
    "PLA-20": ("temperature of a tank's store", metric(LEAST_STORE_C, Kind.TEMPERATURE)),
    "PLA-21": ("water through a boiler, from return to flow; backwards is less than nothing", LEAST_FLOW),
    "PLA-22": ("relief valves that the job states, where it has a boiler", "1"),
    "PLA-23": ("expansion vessels that the job states, where it has a boiler", "1"),
    "PLA-24": ("ways from a boiler to the vessel without a zone or check valve, and without any valve in the branch to "
               "the vessel; hand valves where water goes round don't count", "1"),
    "PLA-25": ("runs that start or end at a piece of equipment or a tank that has a place", "1"),
    "PLA-26": ("runs that fit the circulator (a second time is a mistake, not a finding)", "1"),
    "FAB-01": ("tube between two fittings, cups left out", "what can be held, cut and joined in that material"),
    "FAB-02": ("tees and crosses that are sold in their sizes, or made with bushings", "all of them"),
    "FAB-03": ("tube between two fittings, cups left out", "what goes into both of them"),
    "FRM-01": ("force on a boiler's connection by weight", "`[supports] force`, else a small typical figure"),
    "FRM-02": ("moment on a boiler's connection by weight", "`[supports] moment`, else a small typical figure"),
    "FRM-03": ("tube between two supports", "the spacing table in use, and the code's where one is adopted"),
    "FRM-04": ("sag of full tube between supports", f"{metric(Bracing().sag_m, Kind.SIZE, 1)}, or `[supports] sag`"),
    "FRM-05": ("stress by heat and weight at the worst place of a run", "allowable range of the tube's material"),
    "FRM-06": ("free tube beside a bend, up to the next support", "what the straight before it needs for its growth"),
    "FRM-07": ("movement of tube in a hole through a floor or wall",
               f"{metric(Bracing().gap_m, Kind.SIZE)}, or `[supports] gap`"),
    "FRM-08": ("force on a support", "what it bears: stated, else typical for its kind"),
    "JOB-01": ("places at which the rule judges what an `[[accept]]` names", "1"),
    "JOB-02": ("wall between an emitter and the nearest door in the same wall; less than nothing where it stands "
               "before the door", "0 mm"),
    "JOB-03": ("how far a connection of equipment is above or below every storey", metric(OUTSIDE, Kind.LENGTH)),
}  # fmt: skip


def near(rule: Rule) -> str:
    return "none" if rule.near < 0.0 else f"{rule.near * 100:g} %"


def entry(rule: Rule) -> str:
    measured, limit = JUDGED[rule.id]
    severity = f"{rule.severity.value}, safety" if rule.safety else rule.severity.value
    rows = [
        ("measured", measured), (rule.sense, limit), ("near band", near(rule)), ("severity", severity),
        ("source", reference(rule.source)),
    ]  # fmt: skip
    if rule.remedy:
        rows.append(("to do", rule.remedy))
    lines = "".join(f"- {name}: {value}\n" for name, value in rows)
    return f"\n### {rule.id} {rule.title}\n\n{lines}"


def text() -> str:
    """The whole page."""
    ids = [r.id for r in ALL_RULES]
    if set(ids) != set(JUDGED):
        raise SystemExit(f"say in JUDGED what these measure, or take them out: {sorted(set(ids) ^ set(JUDGED))}")
    parts = [HEAD]
    for group, title in GROUPS.items():
        rules = sorted((r for r in ALL_RULES if r.id.startswith(group)), key=lambda r: r.id)
        parts.append(f"\n## {title}\n")
        parts.extend(entry(r) for r in rules)
    return "".join(parts).replace("\u202f", " ")


def main(args: list[str]) -> int:
    made = text()
    stale = not FILE.exists() or FILE.read_text(encoding="utf-8") != made
    if stale and "--check" in args:
        print(f"{FILE.name} is stale: run python tools/make_rules_docs.py")
        return 1
    if stale:
        FILE.write_text(made, encoding="utf-8", newline="\n")
        print(f"wrote {FILE.name}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
