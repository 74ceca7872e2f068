"""What can be said of runs before and after they are walked: names that resolve, moves that follow each other."""

from collections.abc import Iterable

from wetside.basis.errors import MistakeList, nearest
from wetside.basis.record import record
from wetside.pipework.items import SPOKEN
from wetside.pipework.spec import ChangeTube, Fit, Go, Item, Port, Run, Tee, Tube, Vec
from wetside.pipework.vec import SAME, opposite, same, square, times, towards
from wetside.pipework.walk import Walked, independent, open_moves, says


@record(kw_only=False)
class Names:
    """Everything that a run may name."""

    runs: dict[str, Run]
    ports: dict[str, Port]
    tees: dict[str, tuple[str, str]]
    """`run.tee` → run, tee."""
    tubes: dict[str, Tube]
    items: dict[str, Item]


def named(
    runs: Iterable[Run], ports: Iterable[Port], tubes: Iterable[Tube], items: Iterable[Item], mistakes: MistakeList
) -> Names:
    """Gather the names, reporting those that are given twice."""
    by_name: dict[str, Run] = {}
    tees: dict[str, tuple[str, str]] = {}
    by_ref = {p.ref: p for p in ports}
    for run in runs:
        if run.name in by_name:
            mistakes.add("run", run.name, "name", f'two runs are called "{run.name}"', "give one of them another name")
            continue
        by_name[run.name] = run
        for i, m in enumerate(run.moves):
            if not isinstance(m, Tee):
                continue
            ref = f"{run.name}.{m.name}"
            if ref in tees:
                wrong = f'it has a tee "{m.name}" already'
                mistakes.add("run", run.name, "moves", wrong, "give one of them another name", i)
            elif ref in by_ref:
                wrong = f'"{ref}" would mean both this tee and a port'
                mistakes.add("run", run.name, "moves", wrong, "give the tee or the run another name", i)
            tees[ref] = (run.name, m.name)
    for name in by_name:
        other, _, digits = name.rpartition(" ")
        if digits.isdigit() and other in by_name and any(isinstance(m, Tee) for m in by_name[other].moves):
            wrong = f'a leg of run "{other}" is called "{name}" too'
            mistakes.add("run", name, "name", wrong, "give the run a name that does not end in a number")
    return Names(by_name, by_ref, tees, {t.name: t for t in tubes}, {x.name: x for x in items})


def tee_runs(refs: Iterable[str], names: Names) -> list[str]:
    """The runs that the tees among the references belong to."""
    return [names.tees[r][0] for r in refs if r in names.tees]


def check_run(run: Run, names: Names, mistakes: MistakeList) -> bool:
    """Whether the run can be walked, as far as can be told without positions."""
    before = len(mistakes.found)
    if run.tube not in names.tubes:
        mistakes.add("run", run.name, "tube", f'no tube is called "{run.tube}"', nearest(run.tube, names.tubes))
    _check_ends(run, names, mistakes)
    _check_names_in_moves(run, names, mistakes)
    _check_goes(run, mistakes)
    _check_between(run, mistakes)
    return len(mistakes.found) == before


def _check_ends(run: Run, names: Names, mistakes: MistakeList) -> None:
    for field, ref in (("start", run.start), ("end", run.end)):
        if not ref:
            if field == "start":
                mistakes.add(
                    "run", run.name, field, "it starts nowhere",
                    'start it at a port such as "boiler.flow", or at a tee of another run such as "primary.A"',
                )  # fmt: skip
            continue
        if ref not in names.ports and ref not in names.tees:
            tip = nearest(ref, (*names.ports, *names.tees))
            if ref in names.runs:
                tip = f'leave a tee in "{ref}" there and name it, such as "{ref}.A"'
            mistakes.add("run", run.name, field, f'there is no port or tee "{ref}"', tip)
        elif ref in names.tees and names.tees[ref][0] == run.name:
            tip = "let another run go between the two points"
            mistakes.add("run", run.name, field, f'"{ref}" is a tee of this run itself', tip)
        elif ref in names.ports:
            # each user after the first is told
            users = [
                (r.name, f) for r in names.runs.values() for f, x in (("start", r.start), ("end", r.end)) if x == ref
            ]
            if users[0] != (run.name, field):
                mistakes.add(
                    "run", run.name, field, f'port "{ref}" is taken by run "{users[0][0]}"',
                    f'leave a tee in "{users[0][0]}" and join it there' if users[0][0] != run.name
                    else "a run can't come back to the port that it left",
                )  # fmt: skip


def _check_names_in_moves(run: Run, names: Names, mistakes: MistakeList) -> None:
    for i, m in enumerate(run.moves):
        if isinstance(m, Fit) and m.item not in names.items:
            tip = nearest(m.item, names.items, SPOKEN)
            mistakes.add("run", run.name, "moves", f'nothing to fit is called "{m.item}"', tip, i)
        if isinstance(m, ChangeTube) and m.tube not in names.tubes:
            mistakes.add("run", run.name, "moves", f'no tube is called "{m.tube}"', nearest(m.tube, names.tubes), i)


def _check_goes(run: Run, mistakes: MistakeList) -> None:
    last: Go | None = None
    for i, m in enumerate(run.moves):
        if not isinstance(m, Go):
            continue
        if m.distance_m is not None and m.distance_m < SAME:
            mistakes.add("run", run.name, "moves", f"{says(m)} does not go forward", "leave it out or turn it round", i)
        if last is not None and opposite(last.direction, m.direction):
            wrong = f"{says(m)} goes straight back along {says(last)}"
            mistakes.add("run", run.name, "moves", wrong, "make the earlier move shorter, or go sideways between", i)
        last = m
    if last is None:
        tip = 'write for instance "down 350 mm"'
        mistakes.add("run", run.name, "moves", "it does not go anywhere", tip)
    opens = open_moves(run)
    if opens and not run.end:
        for i, m in opens:
            wrong = f"{says(m)} can't be settled, because the run ends nowhere"
            mistakes.add("run", run.name, "moves", wrong, "give the distance, or name the run's end", i)
    elif not independent([m.direction for _, m in opens]):
        i, m = opens[-1]
        others = ", ".join(says(o) for _, o in opens[:-1])
        wrong = f"{says(m)} and {others} are open along the same line"
        mistakes.add("run", run.name, "moves", wrong, "leave one distance open for each axis and give the others", i)


def _check_between(run: Run, mistakes: MistakeList) -> None:
    """Tees and changes of tube need tube before and after them."""
    gone = False
    since_tee: Tee | None = None
    change: ChangeTube | None = None
    tube = run.tube
    for i, m in enumerate(run.moves):
        more = any(isinstance(n, Go) for n in run.moves[i + 1 :])
        match m:
            case Go():
                gone, since_tee, change = True, None, None
            case Tee():
                if not gone or not more:
                    where, tip = ("start", run.start) if not gone else ("end", run.end)
                    mistakes.add(
                        "run", run.name, "moves", f'tee "{m.name}" stands right at the {where} of the run',
                        f"put tube between it and {tip or 'the cap'}", i,
                    )  # fmt: skip
                elif since_tee is not None:
                    wrong = f'tee "{m.name}" stands in the same place as tee "{since_tee.name}"'
                    mistakes.add("run", run.name, "moves", wrong, "put tube between them, or use one tee for both", i)
                since_tee = m
            case ChangeTube():
                if not gone:
                    tip = f'say tube = "{m.tube}" for the run'
                    mistakes.add("run", run.name, "moves", "the tube changes before there is any", tip, i)
                elif not more:
                    mistakes.add("run", run.name, "moves", "the tube changes and does not go on", "leave it out", i)
                elif change is not None:
                    wrong = f'"{change.tube}" changes to "{m.tube}" without going anywhere'
                    mistakes.add("run", run.name, "moves", wrong, "leave one of the two out", i)
                elif m.tube == tube:
                    mistakes.add("run", run.name, "moves", f'the run is in "{tube}" already', "leave it out", i)
                tube, change = m.tube, m
            case Fit():
                pass


def check_tees(names: Names, walked: dict[str, Walked], mistakes: MistakeList) -> None:
    """Each tee must be one that can be bought: two ends in line and one square to them, or a cross.

    A tee may stand at a corner of its run when the joining run completes the line.
    """
    joining: dict[str, list[tuple[Run, str, Vec]]] = {ref: [] for ref in names.tees}
    for w in walked.values():
        if w.run.start in joining:
            joining[w.run.start].append((w.run, "start", w.leaves))
        if w.run.end in joining:
            joining[w.run.end].append((w.run, "end", times(w.arrives, -1.0)))
    for ref, (run, tee) in names.tees.items():
        point = next(t for t in walked[run].tees if t.name == tee)
        ways = [times(point.into, -1.0), point.out_of]
        if not joining[ref]:
            tip = f'let a run start or end at "{ref}", or leave the tee out'
            mistakes.add("run", run, "moves", f'nothing joins tee "{tee}"', tip, point.index)
            continue
        bad = False
        for other, field, way in joining[ref]:
            if any(same(way, x) for x in ways):
                verb = "leaves" if field == "start" else "joins"
                mistakes.add(
                    "run", other.name, field, f"the branch {verb} tee {ref} along the run, {towards(way)}",
                    "set off square to the run" if field == "start" else "arrive square to the run",
                )  # fmt: skip
                bad = True
            ways.append(way)
        other, field, _ = joining[ref][-1]
        if bad:
            continue
        if len(ways) > 4:
            tip = "leave a second tee beside it"
            mistakes.add("run", other.name, field, f"{len(ways)} tubes meet at {ref}; a cross takes 4", tip)
        elif not _can_be_bought(ways):
            spoken = ", ".join(towards(w) for w in ways[:-1]) + " and " + towards(ways[-1])
            tip = "two of them must be in line, and the others square to those"
            mistakes.add("run", other.name, field, f"no tee fits at {ref}: tubes leave it {spoken}", tip)


def _can_be_bought(ways: list[Vec]) -> bool:
    first = ways[0]
    partner = next((w for w in ways[1:] if opposite(w, first)), None)
    if partner is None:
        # the first is the branch: the other two must be in line
        return len(ways) == 3 and opposite(ways[1], ways[2]) and square(first, ways[1])
    rest = [w for w in ways[1:] if w is not partner]
    return all(square(w, first) for w in rest) and (len(rest) == 1 or opposite(rest[0], rest[1]))
