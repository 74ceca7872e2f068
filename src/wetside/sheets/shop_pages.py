"""What the pack says of the shop side: bench sheets, cuts, joints to tick, the buy list, supports. Text only."""

from typing import Any

from wetside.basis.quantity import Kind, System, number_text, show, tape
from wetside.sheets.bench import Assembly, BenchSheet
from wetside.sheets.buy import BuySheet, returns_said
from wetside.sheets.cuts import CutsSheet
from wetside.sheets.supports import SupportsSheet
from wetside.sheets.wording import clean, plural, share

Page = dict[str, Any]


def bench_pages(sheet: BenchSheet) -> list[Page]:
    """One page of words for each assembly, to lie beside its drawing."""
    system = System(sheet.units)
    return [_bench(a, system) for a in sheet.assemblies]


def _bench(a: Assembly, system: System) -> Page:
    depth = {e.joint: e.insertion_m for p in a.parts for e in p.ends}
    return {
        "title": f"To build: {clean(a.name)}",
        "about": clean(
            f"Runs {', '.join(a.runs)}. Meets {', '.join(a.meets)}. Distances on the drawing from {a.datum}; "
            f"right and left as seen looking {a.looking}."
        ),
        "steps": [clean(s) for s in a.steps],
        "cautions": [clean(c.text) for c in a.cautions],
        "care": [
            [clean(part), "; ".join(c.joints for c in a.care if (c.part, c.what) == (part, what)), clean(what)]
            for part, what in dict.fromkeys((c.part, c.what) for c in a.care)
        ],
        "cuts": [
            [
                c.name,
                clean(c.tube),
                c.tape,
                f"{c.from_}, {tape(depth[c.from_], system)}",
                c.way,
                f"{c.to}, {tape(depth[c.to], system)}",
                "cut last" if c.last else c.piece,
            ]
            for c in a.cuts
        ],
        "parts": _parts(a),
        "typical": any(e.typical for p in a.parts for e in p.ends),
        "misses": [
            [clean(t.run), clean(t.meets), " ".join(t.fit_last), tape(t.worst_m, system), tape(t.likely_m, system)]
            for t in a.tolerances
        ],
    }  # fmt: skip


def _parts(a: Assembly) -> list[list[str]]:
    """What to lay out, alike with alike: part, sizes, how many, at which joints."""
    size = {j.number: j.size for j in a.joints}
    found: dict[tuple[str, str], list[str]] = {}
    for p in a.parts:
        kind = "tee" if p.name.startswith("tee ") and not p.name.startswith("tee for ") else p.name.partition(" at ")[0]
        sizes = " × ".join(dict.fromkeys(size[e.joint] for e in p.ends))
        found.setdefault((clean(kind), clean(sizes)), []).append(p.joints)
    return [[kind, sizes, str(len(joints)), "; ".join(joints)] for (kind, sizes), joints in sorted(found.items())]


def cuts_page(sheet: CutsSheet) -> Page:
    system = System(sheet.units)
    return {
        "runs": [
            {
                "name": clean(run),
                "rows": [
                    [c.name, clean(c.tube), c.tape, _end(c.from_), _end(c.to), str(c.stick)]
                    for c in sheet.cuts
                    if c.run == run
                ],
            }
            for run in dict.fromkeys(c.run for c in sheet.cuts)
        ],
        "tubes": [
            f"{clean(x.tube)}: {plural(x.cuts, 'piece')}, {x.bought} to buy "
            f"({'nothing cheaper is possible' if x.proven else f'at least {x.bound}'}), "
            f"{number_text(100 * x.waste, 1)} % left over."
            for x in sheet.tubes
        ],
        "tight": [[clean(x.leg), clean(x.from_), clean(x.to), clean(x.remedy)] for x in sheet.tight],
        "misses": [
            [clean(x.run), clean(x.meets), " ".join(x.fit_last), tape(x.worst_m, system), tape(x.likely_m, system)]
            for x in sheet.stackups
        ],
        "takeouts": [
            [clean(x.body), clean(x.size), tape(x.takeout_m, system), tape(x.insertion_m, system),
             "typical, measure yours" if x.measure else ""]
            for x in sheet.takeouts
        ],
    }  # fmt: skip


def _end(words: str) -> str:
    """``"tee primary.A (joint 11)"`` → ``"11 tee primary.A"``."""
    what, _, number = clean(words).rpartition(" (joint ")
    return f"{number.removesuffix(')')} {what}"


def joints_page(sheet: CutsSheet) -> Page:
    """The joint map as a list to tick, run by run."""
    return {
        "count": str(len(sheet.joints)),
        "runs": [
            {
                "name": clean(run),
                "rows": [
                    [str(j.number), j.kind, clean(j.size), clean(j.of), clean(j.cut)]
                    for j in sheet.joints
                    if j.run == run
                ],
            }
            for run in dict.fromkeys(j.run for j in sheet.joints)
        ],
    }


def buy_page(sheet: BuySheet) -> Page:
    priced = any(r.each is not None for r in sheet.buy)
    notes = [f"Chance of another trip with these spares: {number_text(100 * sheet.chance, 1)} % "
             f"({share(sheet.accepted, 1.0)} accepted)."]  # fmt: skip
    if priced:
        rest = f", without a price for {plural(sheet.unpriced, 'line')}" if sheet.unpriced else ""
        notes.insert(0, f"In all {clean(sheet.currency)} {number_text(sheet.total, 2)}{rest}.")
    words = [*sheet.assumed, *([plural(sheet.prices_assumed, "price")] if sheet.prices_assumed else [])]
    if sheet.returns:
        notes.append(returns_said(sheet))
    if words:
        notes.append(f"Assumed, for want of your own: {', '.join(words)}.")
    return {
        "priced": priced,
        "groups": [
            {
                "name": clean(g)[:1].upper() + clean(g)[1:],
                "rows": [
                    [
                        clean(r.item) + (f", {clean(r.note)}" if r.note else ""),
                        clean(r.size),
                        clean(r.pack),
                        str(r.need),
                        str(r.spare),
                        str(r.buy),
                        *(["–" if r.cost is None else number_text(r.cost, 2)] if priced else []),
                    ]
                    for r in sheet.buy
                    if r.group == g
                ],
            }
            for g in dict.fromkeys(r.group for r in sheet.buy)
        ]
        + ([_goes_back(sheet, priced)] if sheet.returns else []),
        "notes": [clean(n) for n in notes],
    }


def _goes_back(sheet: BuySheet, priced: bool) -> Page:
    """The returns list, in the buy list's columns."""
    return {
        "name": "Goes back to the counter: how many, and the money back",
        "rows": [
            [
                clean(x.item) + (f", {clean(x.note)}" if x.note else ""),
                clean(x.size),
                clean(x.pack),
                "",
                "",
                str(x.count),
                *(["–" if x.back is None else number_text(x.back, 2)] if priced else []),
            ]
            for x in sheet.returns
        ],
    }


def supports_page(sheet: SupportsSheet) -> Page:
    system = System(sheet.units)

    def force(v: tuple[float, ...]) -> str:
        return show(sum(x * x for x in v) ** 0.5, Kind.FORCE, system)

    def moment(v: tuple[float, ...]) -> str:
        return show(sum(x * x for x in v) ** 0.5, Kind.MOMENT, system)

    typical = " (typical: ask its maker)" if sheet.limits_typical else ""
    return {
        "about": clean(sheet.spacing),
        "connections": [
            [clean(c.port), force(c.force_n), moment(c.moment_n_m), force(c.hot_force_n), moment(c.hot_moment_n_m)]
            for c in sheet.connections
        ],
        "limits": f"At most {show(sheet.force_limit_n, Kind.FORCE, system)} and "
        f"{show(sheet.moment_limit_n_m, Kind.MOMENT, system)} of weight on a connection{typical}.",
        "rows": [
            [clean(s.name), s.kind, clean(s.size), clean(s.place), clean(s.fixed_to), clean(s.why),
             show(s.load_n, Kind.FORCE, system)]
            for s in sheet.supports
        ],
        "suggested": [[clean(s.kind), clean(s.size), clean(s.place)] for s in sheet.suggested],
        "passages": [[clean(p.run), clean(p.through), tape(p.movement_m, system)] for p in sheet.passages],
        "loops": [
            [clean(x.run), tape(x.growth_m, system), tape(x.offset_m, system), tape(x.radius_m, system)]
            for x in sheet.loops
        ],
        "heavy": [f"{clean(h.name)}, {show(h.mass_kg, Kind.MASS, system)}" for h in sheet.heavy],
        "cautions": [clean(c.text) for c in sheet.cautions],
    }  # fmt: skip
