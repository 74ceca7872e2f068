"""The support sheet as terminal tables."""

from rich.console import Group, RenderableType
from rich.text import Text

from wetside.basis.quantity import Kind, System, show
from wetside.cli.cells import head, name, num, unit_of
from wetside.cli.ledger import Ledger
from wetside.cli.prose import prose
from wetside.sheets.supports import SupportRow, SupportsSheet
from wetside.sheets.wording import clean, plural


def _size(of: tuple[float, ...]) -> float:
    return sum(x * x for x in of) ** 0.5


def _fine(value: float, system: System) -> str:
    """A small length to a tenth of a millimetre, or thousandths of an inch."""
    return show(value, Kind.SIZE, system, 1 if system is System.METRIC else 3, unit=False)


def supports(sheet: SupportsSheet) -> RenderableType:
    """Connections first, then supports run by run, runs at their worst, what moves, what is heavy."""
    system = System(sheet.units)
    parts: list[RenderableType] = [head(sheet.job, "supports"), Text()]
    parts.append(prose(f"Spacing: {clean(sheet.spacing)}.", "dim"))
    parts.append(prose(f"The pipework weighs {show(sheet.weight_n, Kind.FORCE, system)}, full.", ""))
    force, moment = unit_of(Kind.FORCE, system), unit_of(Kind.MOMENT, system)
    t = Ledger("On the boiler's connections", ("connection", force, moment, f"hot {force}", f"hot {moment}"), names=1)
    for c in sheet.connections:
        t.add(
            name(c.port),
            num(_size(c.force_n), Kind.FORCE, system), num(_size(c.moment_n_m), Kind.MOMENT, system),
            num(_size(c.hot_force_n), Kind.FORCE, system), num(_size(c.hot_moment_n_m), Kind.MOMENT, system),
        )  # fmt: skip
    parts.append(t)
    limits = f"{show(sheet.force_limit_n, Kind.FORCE, system)} and {show(sheet.moment_limit_n_m, Kind.MOMENT, system)}"
    whose = "typical: ask the boiler's maker" if sheet.limits_typical else "the maker's"
    parts.append(prose(f"At most {limits} by weight ({whose}).", ""))
    if sheet.suggested:
        proven = "no fewer will do" if sheet.suggested_proven else "fewer were not ruled out"
        enough = "" if sheet.suggested_enough else "; not enough by themselves"
        parts.append(_list(f"To unload the boiler ({proven}{enough})", sheet.suggested, system))
    parts.append(_list(plural(len(sheet.supports), "support").capitalize(), sheet.supports, system))
    length, stress = unit_of(Kind.LENGTH, system), unit_of(Kind.STRESS, system)
    small = unit_of(Kind.SIZE, system)
    t = Ledger("Runs at their worst", ("run", f"span {length}", "allowed", f"sag {small}", stress, f"moves {small}"))
    for r in sheet.runs:
        t.add(
            name(r.run), num(r.span_m, Kind.LENGTH, system),
            "–" if r.allowed_m is None else num(r.allowed_m, Kind.LENGTH, system),
            _fine(r.sag_m, system),
            num(r.stress_pa, Kind.STRESS, system),
            _fine(r.movement_m, system),
        )  # fmt: skip
    parts.append(t)
    if sheet.loops:
        t = Ledger("Straights that want an offset or a loop", ("run", f"grows {small}", f"offset {small}", "radius"))
        for x in sheet.loops:
            sizes = (num(v, Kind.SIZE, system) for v in (x.offset_m, x.radius_m))
            t.add(name(x.run), _fine(x.growth_m, system), *sizes)
        parts.append(t)
    if sheet.heavy:
        t = Ledger("Heavy", ("what", unit_of(Kind.MASS, system)))
        for h in sheet.heavy:
            t.add(name(h.name), num(h.mass_kg, Kind.MASS, system))
        parts.append(t)
    parts += [prose(f"{c.topic.capitalize()}: {c.text}", "bold") for c in sheet.cautions]
    return Group(*parts)


def _list(title: str, rows: tuple[SupportRow, ...], system: System) -> Ledger:
    t = Ledger(title, ("name", "kind", "place", "on", unit_of(Kind.FORCE, system)), names=4)
    for s in rows:
        t.add(name(s.name), s.kind, name(s.place), s.fixed_to or "–", num(s.load_n, Kind.FORCE, system))
    return t
