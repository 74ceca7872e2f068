"""Design rules of the shop: room between fittings, and tees that are sold."""

from collections import Counter
from collections.abc import Iterator, Sequence

from wetside.basis.quantity import Kind, System, tape
from wetside.basis.rules import Finding, Rule, Severity
from wetside.basis.si import Metre
from wetside.fabricate.reading import Body, Cut, Fabrication, FittingKind
from wetside.fabricate.street import street_move_m
from wetside.pipework.vec import times, towards

ROOM = Rule(
    id="FAB-01",
    title="Room for a piece of tube between two fittings",
    sense="at least",
    kind=Kind.SIZE,
    source="common practice",
    severity=Severity.ADVISE,
)
SOLD = Rule(
    id="FAB-02",
    title="Tees are sold, or made of sold ones with bushings",
    sense="at least",
    kind=Kind.NUMBER,
    source="typical",
    severity=Severity.ADVISE,
    places=0,
    near=-1.0,
)
REACH = Rule(
    id="FAB-03",
    title="A piece of tube reaches into both its fittings",
    sense="at least",
    kind=Kind.SIZE,
    source="common practice",
    severity=Severity.MUST,
)
RULES = (ROOM, SOLD, REACH)


def judge(fabrication: Fabrication, system: System = System.METRIC) -> tuple[Finding, ...]:
    """All rules of this floor, judged; of pieces that have room only the tightest is shown."""
    every = (*fabrication.blocked, *fabrication.cuts)
    barred = [c for c in every if c.length_m < _reach_m(fabrication, c) - 1e-9]
    whole = [c for c in every if c not in barred]
    tightest = sorted(whole, key=lambda c: c.length_m - c.least_m)[:1]
    tight = [c for c in whole if c.short_m > 0.0]
    found = [
        *_room(REACH, fabrication, [(c, _reach_m(fabrication, c)) for c in barred or tightest], system),
        *_room(ROOM, fabrication, [(c, c.least_m) for c in tight or tightest], system),
    ]
    tees = [f for f in fabrication.fittings if f.kind in (FittingKind.TEE, FittingKind.CROSS)]
    if tees:
        missing = [f for f in tees if not f.sold]
        words = "; ".join(f"{f.kind.value} {' × '.join(f.sizes)} in run {f.run}" for f in missing)
        advice = f"leave two tees instead, or ask at the counter: {words}" if words else ""
        found.append(SOLD.judge("tees and crosses", float(len(tees) - len(missing)), float(len(tees)), remedy=advice))
    return tuple(found)


def _reach_m(fabrication: Fabrication, cut: Cut) -> Metre:
    """What a piece has inside both its fittings."""
    a, b = fabrication.bodies[cut.a].ends[cut.a_end], fabrication.bodies[cut.b].ends[cut.b_end]
    return a.insertion_m + b.insertion_m


def _room(
    rule: Rule, fabrication: Fabrication, pieces: Sequence[tuple[Cut, Metre]], system: System
) -> Iterator[Finding]:
    """Pieces against the length that each needs."""
    said: Counter[str] = Counter()
    for c, least in pieces:
        # without joint numbers, so that an accepted finding outlives a change elsewhere
        a, b = fabrication.bodies[c.a].name, fabrication.bodies[c.b].name
        subject = f"leg {c.leg}, from {a} to {b}"
        said[subject] += 1
        if said[subject] > 1:
            subject += f", number {said[subject]}"
        advice = remedy(fabrication, c, system) if c.short_m > 0.0 else ""
        yield rule.judge(subject, max(c.length_m, 0.0), least, place=c.leg, remedy=advice)


def remedy(fabrication: Fabrication, cut: Cut, system: System) -> str:
    """What to do about a piece that is too short: the smaller move of a longer piece or a street elbow.

    A port stays where it is: the fitting at the piece's other end moves.
    """
    a, b = fabrication.bodies[cut.a], fabrication.bodies[cut.b]
    moved, apart = (a, times(a.ends[cut.a_end].away, -1.0)) if b.port else (b, a.ends[cut.a_end].away)
    longer = f"move {_who(moved)} {tape(cut.short_m, system)} {towards(apart)}"
    if cut.bends:
        return longer
    mine, other = a.ends[cut.a_end], b.ends[cut.b_end]
    centres = mine.takeout_m + cut.length_m + other.takeout_m
    moves = [
        (abs(m), m, who)
        for m, who in ((street_move_m(a, mine, other, centres), a), (street_move_m(b, other, mine, centres), b))
        if m is not None
    ]
    if not moves:
        return longer
    size, move, who = min(moves, key=lambda m: m[0])
    if size < 5e-4:
        return f"take a street elbow for {_who(who)}: its end goes right into the other fitting"
    side = towards(apart if move > 0.0 else times(apart, -1.0))
    return f"{longer}, or take a street elbow for {_who(who)} and move {_who(moved)} {tape(size, system)} {side}"


def _who(body: Body) -> str:
    joints = ", ".join(str(e.joint) for e in body.ends)
    return f"{body.name} (joint{'s' if len(body.ends) > 1 else ''} {joints})"
