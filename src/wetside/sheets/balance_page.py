"""The balancing page of the pack: what to set, valve by valve, with room to tick."""

from typing import Any

from wetside.basis.quantity import UNITS, Kind, System, show
from wetside.sheets.balance import BalanceSheet
from wetside.sheets.wording import clean, setting_text


def balance_page(sheet: BalanceSheet) -> dict[str, Any]:
    """The page's data, in the job's units."""
    system = System(sheet.units)

    def bare(value: float | None, kind: Kind) -> str:
        return "–" if value is None else show(value, kind, system, unit=False)

    def unit(kind: Kind) -> str:
        return UNITS[system][kind].text

    notes = [(v.emitter, v.note) for v in sheet.valves if v.note] + [(c.name, c.note) for c in sheet.circulators]
    return {
        "about": f"Design drop {show(sheet.drop_k, Kind.DIFFERENCE, system)}. Open every valve, set the circulators, "
        "then set the valves from the list, with all thermostatic heads off; check by the return temperatures.",
        "head": [
            "Emitter", "Room", "Valve", unit(Kind.KV), "turns", f"design {unit(Kind.MASS_FLOW)}",
            f"gets {unit(Kind.MASS_FLOW)}", f"return {unit(Kind.TEMPERATURE)}", "authority",
        ],
        "rows": [
            [
                clean(v.emitter),
                clean(v.room),
                ("open" if v.fully_open else clean(v.valve_kind)) or "none",
                bare(v.kv, Kind.KV),
                "–" if v.turns is None else f"{v.turns:.1f}",
                bare(v.design_kg_s, Kind.MASS_FLOW),
                bare(v.flow_kg_s, Kind.MASS_FLOW),
                bare(v.return_c, Kind.TEMPERATURE),
                "–" if v.authority is None else f"{v.authority:.2f}",
            ]
            for v in sheet.valves
        ],
        "circulators_head": ["Circulator", "set to", "now", unit(Kind.FLOW), f"head {unit(Kind.HEAD)}"],
        "circulators": [
            [
                clean(c.name),
                setting_text(c.setting, c.regulation, system),
                setting_text(c.before, c.regulation, system),
                bare(c.flow_m3_s, Kind.FLOW),
                bare(c.head_pa, Kind.HEAD),
            ]
            for c in sheet.circulators
        ],
        "notes": [f"{clean(n)}: {clean(text)}." for n, text in notes if text] + [f"{clean(n)}." for n in sheet.notes],
    }  # fmt: skip
