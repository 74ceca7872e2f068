"""Design rules of supports, weight on the boiler's connections, and expansion."""

from wetside.basis.quantity import Kind, System, tape
from wetside.basis.rules import Finding, Rule, Severity
from wetside.basis.si import Metre, Newton, NewtonMetre
from wetside.frame.place import CLOSE
from wetside.frame.reading import Bend, Connection, RunFrame, SupportAt, Supporting
from wetside.pipework.spec import Vec

CONNECTION_FORCE = Rule(
    id="FRM-01",
    title="The pipework's weight does not rest on a connection of the boiler",
    sense="at most",
    kind=Kind.FORCE,
    source="common practice",
)
CONNECTION_MOMENT = Rule(
    id="FRM-02",
    title="The pipework's weight does not twist a connection of the boiler",
    sense="at most",
    kind=Kind.MOMENT,
    source="common practice",
)
SPACING = Rule(
    id="FRM-03",
    title="Supports stand no farther apart than the table allows",
    sense="at most",
    kind=Kind.LENGTH,
    source="common practice",
    near=-1.0,  # the table's figure may be used in full
)
SAG = Rule(
    id="FRM-04",
    title="Tube full of water sags little between supports",
    sense="at most",
    kind=Kind.SIZE,
    source="support-sag",
    severity=Severity.ADVISE,
    places=1,
)
STRESS = Rule(
    id="FRM-05",
    title="Heat and weight bend no tube too far",
    sense="at most",
    kind=Kind.STRESS,
    source="b31-range",
    places=0,
)
ROOM = Rule(
    id="FRM-06",
    title="A bend has free tube for the growth of the straight before it",
    sense="at least",
    kind=Kind.SIZE,
    source="guided-cantilever",
    severity=Severity.ADVISE,
)
PASSAGE = Rule(
    id="FRM-07",
    title="Tube has room to move where it passes floors and walls",
    sense="at most",
    kind=Kind.SIZE,
    source="common practice",
    severity=Severity.ADVISE,
    places=1,
)
LOAD = Rule(
    id="FRM-08",
    title="No support carries more than it bears",
    sense="at most",
    kind=Kind.FORCE,
    source="typical",
)
RULES = (CONNECTION_FORCE, CONNECTION_MOMENT, SPACING, SAG, STRESS, ROOM, PASSAGE, LOAD)


def judge(s: Supporting, *, sag_m: Metre, gap_m: Metre, system: System = System.METRIC) -> tuple[Finding, ...]:
    """All rules of this floor, judged: each connection, each run at its worst place, each overloaded support.

    :param sag_m: most that tube may sag
    :param gap_m: room around tube in sleeves and holes
    """
    found: list[Finding] = []
    for c in s.connections:
        found += _connection(c, s)
    for port in s.bare_ports:
        missing = f"no run starts or ends at {port}"
        found.append(CONNECTION_FORCE.judge(port, None, s.force_limit_n, missing=missing, place=port))
        found.append(CONNECTION_MOMENT.judge(port, None, s.moment_limit_n_m, missing=missing, place=port))
    found += _spacing(s, system)
    for r in s.runs:
        found.append(_sag(r, sag_m))
        found.append(_stress(r))
    found += _room(s, system)
    worst = {p.run: p for p in sorted(s.passages, key=lambda p: p.movement_m)}
    for p in worst.values():
        remedy = (
            f"give the hole {tape(p.movement_m + 0.001, system)} of room all round, or hold the tube beside it"
            if p.movement_m > gap_m
            else ""
        )
        found.append(PASSAGE.judge(f"run {p.run}, {p.through}", p.movement_m, gap_m, place=p.run, remedy=remedy))
    found += _loads(s)
    return tuple(found)


def force_n(of: tuple[Newton, Newton, Newton]) -> Newton:
    """Size of a force, or of a moment in N m."""
    return sum(x * x for x in of) ** 0.5


def _connection(c: Connection, s: Supporting) -> list[Finding]:
    force: Newton = force_n(c.force_n)
    moment: NewtonMetre = force_n(c.moment_n_m)
    remedy = ""
    if force > s.force_limit_n or moment > s.moment_limit_n_m:
        if s.suggested:
            where = ", ".join(f"a {x.kind.value} on {x.run} at {_said(x.at)}" for x in s.suggested)
            remedy = f"fix {where} before the union at the boiler is made"
            if not s.suggested_enough:
                remedy += "; that alone is not enough: move heavy items to where they can be held"
        else:
            remedy = "hold the tube, or the heavy item that hangs on it, beside the boiler"
    limit_from = "" if s.limits_given else " (typical limit)"
    subject = f"{c.port}{limit_from}"
    return [
        CONNECTION_FORCE.judge(subject, force, s.force_limit_n, place=c.port, remedy=remedy),
        CONNECTION_MOMENT.judge(subject, moment, s.moment_limit_n_m, place=c.port, remedy=remedy),
    ]


def _said(at: Vec) -> str:
    return f"{at[0]:.2f} m east, {at[1]:.2f} m north, {at[2]:.2f} m up"


def _spacing(s: Supporting, system: System) -> list[Finding]:
    """Each run at its longest span in proportion to what the table allows."""
    found: list[Finding] = []
    for run in dict.fromkeys(x.run for x in s.spans):
        mine = [x for x in s.spans if x.run == run]
        unknown = next((x for x in mine if x.allowed_m is None), None)
        if unknown is not None:
            missing = f"the tables in use say nothing of {unknown.tube}: choose one that does, or ask its maker"
            found.append(SPACING.judge(f"run {run}", unknown.length_m, None, missing=missing, place=run))
            continue
        worst = max(mine, key=lambda x: x.length_m / (x.allowed_m or 1.0))
        allowed = worst.allowed_m or 0.0
        remedy = (
            f"put a support between {worst.first} and {worst.second}, which are "
            f"{tape(worst.length_m, system)} of tube apart"
            if worst.length_m > allowed * (1.0 + CLOSE)
            else ""
        )
        subject = f"run {run}, {worst.first} to {worst.second} ({worst.source})"
        length = min(worst.length_m, allowed) if worst.length_m <= allowed * (1.0 + CLOSE) else worst.length_m
        found.append(SPACING.judge(subject, length, allowed, place=run, remedy=remedy))
    return found


def _sag(r: RunFrame, limit: Metre) -> Finding:
    remedy = f"another support near {_said(r.sag_at)}" if r.sag_m > limit else ""
    return SAG.judge(f"run {r.run}", r.sag_m, limit, place=r.run, remedy=remedy)


def _stress(r: RunFrame) -> Finding:
    if r.allowable_pa is None:
        missing = f"the allowable stress of {r.material} tube, hot: maker's sheet"
        return STRESS.judge(f"run {r.run}", r.stress_pa, None, missing=missing, place=r.run)
    remedy = (
        f"give the tube more free length near {_said(r.stress_at)}: move the supports beside the bend away, hold the "
        f"long straight nearer to it, or bring in an offset"
        if r.stress_pa > r.allowable_pa
        else ""
    )
    return STRESS.judge(f"run {r.run}", r.stress_pa, r.allowable_pa, place=r.run, remedy=remedy)


def _room(s: Supporting, system: System) -> list[Finding]:
    """Each run at the bend that is shortest of free tube; a loop where one is needed."""
    worst: dict[str, Bend] = {}
    for b in s.bends:
        if b.run not in worst or b.free_m / b.needed_m < worst[b.run].free_m / worst[b.run].needed_m:
            worst[b.run] = b
    found: list[Finding] = []
    for run, b in worst.items():
        remedy = ""
        if b.free_m < b.needed_m:
            remedy = f"no support within {tape(b.needed_m, system)} of the bend at {_said(b.at)}"
            loop = max((x for x in s.loops if x.run == run), key=lambda x: x.growth_m, default=None)
            if loop is not None:
                remedy += (
                    f", or an offset with {tape(loop.offset_m, system)} of tube (a loop of radius "
                    f"{tape(loop.radius_m, system)}) near {_said(loop.at)}"
                )
        found.append(ROOM.judge(f"run {run}", b.free_m, b.needed_m, place=run, remedy=remedy))
    return found


def _loads(s: Supporting) -> list[Finding]:
    """Every support that carries more than it bears, else the one nearest to it."""

    def share(x: SupportAt) -> float:
        return force_n(x.force_n) / x.bears_n

    over = [x for x in s.supports if share(x) > 1.0]
    shown = over or sorted(s.supports, key=share)[-1:]
    found: list[Finding] = []
    for x in shown:
        remedy = f"a stronger {x.kind.value} (maker's figure), or another support beside it" if share(x) > 1.0 else ""
        subject = f"{x.name}, {x.kind.value} on run {x.run}" + ("" if x.bears_given else " (typical)")
        found.append(LOAD.judge(subject, force_n(x.force_n), x.bears_n, place=x.name, remedy=remedy))
    return found
