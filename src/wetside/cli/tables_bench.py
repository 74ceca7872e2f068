"""The bench sheets, and pipework made near a boiler, as terminal tables."""

from rich.console import Group, RenderableType
from rich.text import Text

from wetside.basis.quantity import System, tape
from wetside.cli.cells import head, name
from wetside.cli.ledger import Ledger
from wetside.cli.prose import prose
from wetside.sheets.assemble import AssembleSheet
from wetside.sheets.bench import BenchSheet
from wetside.sheets.wording import clean


def bench(sheet: BenchSheet) -> RenderableType:
    """Assembly by assembly: pieces of tube, what heat would spoil, the order of work."""
    system = System(sheet.units)
    parts: list[RenderableType] = [head(sheet.job, "bench sheets")]
    if not sheet.assemblies:
        parts.append(prose("Nothing is joined to a boiler yet.", ""))
    for a in sheet.assemblies:
        t = Ledger(clean(a.name), ("piece", "tube", "from joint", "way", "to joint", "on the bench", "length"), names=6)
        for c in a.cuts:
            where = "cut last" if c.last else c.piece
            t.add(name(c.name), name(c.tube), str(c.from_), c.way, str(c.to), where, c.tape)
        parts += [Text(), t]
        if a.care:
            t = Ledger("Heat spoils", ("part", "joints", "before the flame"), names=3)
            for row in a.care:
                t.add(name(row.part), row.joints, row.what)
            parts.append(t)
        for row in a.tolerances:
            words = f"{clean(row.run)} can miss {clean(row.meets)} by {tape(row.worst_m, system)} at worst"
            parts.append(prose(f"{words}, {tape(row.likely_m, system)} likely.", "dim"))
        parts.append(Text())
        parts.extend(prose(f"{k}. {clean(step)}", "") for k, step in enumerate(a.steps, start=1))
        parts.extend(prose(f"{c.topic.capitalize()}: {c.text}", "bold") for c in a.cautions)
    return Group(*parts)


def assemble(sheet: AssembleSheet) -> RenderableType:
    """Runs move by move, the room that they take, what is left to do."""
    system = System(sheet.units)
    parts: list[RenderableType] = [head(sheet.job, f"pipework near {clean(sheet.boiler)}"), Text()]
    t = Ledger("Runs", ("run", "tube", "from", "moves", "to"), names=5)
    for r in sheet.runs:
        t.add(name(r.name), name(r.tube), name(r.start), name(", ".join(r.moves)), name(r.end or "capped"))
    parts.append(t)
    room = f"{tape(sheet.beside_m, system)} beside the flow, {tape(sheet.above_m, system)} above"
    parts.append(prose(f"It takes {room} and {tape(sheet.below_m, system)} below the connections.", ""))
    parts.extend(prose(f"{clean(n)[:1].upper()}{clean(n)[1:]}.", "bold") for n in sheet.notes)
    done = "Written into the job file." if sheet.written else "Not written yet: add --write."
    parts.append(prose(done, "bold"))
    return Group(*parts)
