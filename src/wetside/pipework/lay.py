"""Runs laid in space: nodes, legs and closures. All mistakes in the runs are reported together."""

from collections.abc import Callable, Iterable
from dataclasses import replace

from wetside.basis.errors import MistakeList
from wetside.pipework.check import Names, check_run, check_tees, named, tee_runs
from wetside.pipework.reading import Closure, Leg, Node, NodeKind, Pipework
from wetside.pipework.spec import Go, Item, Port, Run, Tube, Vec
from wetside.pipework.vec import SAME, opposite, same, sub, times, towards
from wetside.pipework.walk import Walked, distances, longest_middle, open_moves, says, walk


def lay(
    runs: Iterable[Run],
    ports: Iterable[Port],
    tubes: Iterable[Tube],
    items: Iterable[Item],
    room_of: Callable[[Vec], str],
) -> Pipework:
    """Lay the runs in space, each from its start, in the order in which they hang together.

    Open distances are settled from the run's end. A run that misses its end is no mistake: its leg is joined to the
    named node all the same and the miss is its closure.

    :param room_of: the room at a position, or empty; asked with the middle of each leg's longest straight
    :raises JobProblem: every mistake in the runs, with kind "run" and the index of the move
    """
    mistakes = MistakeList()
    names = named(runs, ports, tubes, items, mistakes)
    sound = {r.name for r in names.runs.values() if check_run(r, names, mistakes)}
    walked: dict[str, Walked] = {}
    for name in _order(names, mistakes):
        if name in sound and (w := _walk(names.runs[name], names, walked, mistakes)) is not None:
            walked[name] = w
    if len(walked) == len(names.runs):
        check_tees(names, walked, mistakes)
    mistakes.raise_if_any()
    return _assemble(names, walked, room_of)


def laid_again(laid: Pipework, runs: Iterable[Run], room_of: Callable[[Vec], str]) -> Pipework:
    """The same runs between the same ports, laid in a house whose rooms may have moved; itself where none did.

    :param room_of: as for `lay`
    """
    own = {r.name: r.room for r in runs}
    rooms = [own[leg.run] or room_of(longest_middle(list(leg.pieces))) for leg in laid.legs]
    if all(leg.room == room for leg, room in zip(laid.legs, rooms, strict=True)):
        return laid
    legs = tuple(
        leg if leg.room == room else replace(leg, room=room) for leg, room in zip(laid.legs, rooms, strict=True)
    )
    return replace(laid, legs=legs)


def walk_each(
    runs: Iterable[Run], ports: Iterable[Port], tubes: Iterable[Tube], items: Iterable[Item]
) -> tuple[dict[str, Vec], dict[str, Walked]]:
    """Every run that can be walked by itself, whatever is wrong with the others; and the places of ports and tees."""
    mistakes = MistakeList()
    names = named(runs, ports, tubes, items, mistakes)
    walked: dict[str, Walked] = {}
    for name in _order(names, mistakes):
        run = names.runs[name]
        if check_run(run, names, mistakes) and (w := _walk(run, names, walked, mistakes)) is not None:
            walked[name] = w
    places = {ref: p.at for ref, p in names.ports.items()}
    for name, w in walked.items():
        places |= {f"{name}.{t.name}": t.at for t in w.tees}
    return places, walked


def _order(names: Names, mistakes: MistakeList) -> list[str]:
    """Run names so that each comes after the runs that its start, or its open distances, depend on."""
    waits: dict[str, set[str]] = {}
    for run in names.runs.values():
        ends = [run.start, *([run.end] if open_moves(run) else [])]
        waits[run.name] = set(tee_runs(ends, names))
    order: list[str] = []
    while waits:
        ready = [n for n, w in waits.items() if not w & waits.keys()]
        if not ready:
            # only runs that truly wait for each other are to blame, not those that hang on them
            ring = _ring(waits)
            first = names.runs[ring[0]]
            mistakes.add(
                "run", first.name, "start",
                "it can't be placed, because the runs " + ", ".join(f'"{n}"' for n in ring) + " wait for each other",
                "start one of them at a port, or give its open distances",
            )  # fmt: skip
            return order
        for n in ready:
            order.append(n)
            del waits[n]
    return order


def _ring(waits: dict[str, set[str]]) -> list[str]:
    seen: list[str] = []
    at = next(iter(waits))
    while at not in seen:
        seen.append(at)
        at = next(n for n in waits if n in waits[at])
    return seen[seen.index(at) :]


def _walk(run: Run, names: Names, walked: dict[str, Walked], mistakes: MistakeList) -> Walked | None:
    start, end = _place(run.start, names, walked), _place(run.end, names, walked)
    if start is None or (end is None and open_moves(run)):
        return None
    length = distances(run, start, end, mistakes)
    if length is None:
        return None
    start_port, end_port = names.ports.get(run.start), names.ports.get(run.end)
    w = walk(
        run,
        start,
        start_port.faces if start_port else None,
        end_port.faces if end_port else None,
        length,
        names.tubes,
        names.items,
    )
    if start_port and opposite(w.leaves, start_port.faces):
        mistakes.add(
            "run", run.name, "moves", f"it leaves {run.start} straight back into the port",
            f"a tube leaves {run.start} going {towards(start_port.faces)}", w.firsts[0],
        )  # fmt: skip
    if end_port and same(w.arrives, end_port.faces):
        mistakes.add(
            "run", run.name, "end", f"it comes at {run.end} from behind, going {towards(w.arrives)}",
            f"arrive going {towards(times(end_port.faces, -1.0))}",
        )  # fmt: skip
    return w


def _place(ref: str, names: Names, walked: dict[str, Walked]) -> Vec | None:
    if ref in names.ports:
        return names.ports[ref].at
    if ref in names.tees:
        run, tee = names.tees[ref]
        if run in walked:
            return next(t.at for t in walked[run].tees if t.name == tee)
    return None


def _last_along(run: Run, gap: Vec) -> tuple[int, str]:
    """The last move that goes along the widest part of a gap, else the last of all: the one to look at."""
    goes = [(i, m) for i, m in enumerate(run.moves) if isinstance(m, Go)]
    axis = max(range(3), key=lambda a: abs(gap[a]))
    i, move = next(((i, m) for i, m in reversed(goes) if abs(m.direction[axis]) > SAME), goes[-1])
    return i, says(move)


def _assemble(names: Names, walked: dict[str, Walked], room_of: Callable[[Vec], str]) -> Pipework:
    nodes: list[Node] = []
    index: dict[str, int] = {}

    def node(ref: str, kind: NodeKind, at: Vec) -> int:
        if ref not in index:
            index[ref] = len(nodes)
            nodes.append(Node(name=ref, kind=kind, at=at, port=names.ports.get(ref)))
        return index[ref]

    def joined(ref: str) -> int:
        at = _place(ref, names, walked)
        assert at is not None, ref
        return node(ref, NodeKind.PORT if ref in names.ports else NodeKind.TEE, at)

    legs: list[Leg] = []
    closures: list[Closure] = []
    for run in names.runs.values():
        w = walked[run.name]
        at = [joined(run.start), *(joined(f"{run.name}.{t.name}") for t in w.tees)]
        if run.end:
            at.append(joined(run.end))
            gap = sub(nodes[at[-1]].at, w.arrival)
            move, said = _last_along(run, gap)
            closures.append(Closure(run=run.name, gap=gap, move=move, said=said))
        else:
            at.append(node(f"{run.name} end", NodeKind.CAP, w.arrival))
        for k, pieces in enumerate(w.legs):
            legs.append(
                Leg(
                    name=f"{run.name} {k + 1}" if w.tees else run.name,
                    run=run.name,
                    a=at[k],
                    b=at[k + 1],
                    pieces=tuple(pieces),
                    insulation_m=run.insulation_m,
                    insulation_w_mk=run.insulation_w_mk,
                    room=run.room or room_of(longest_middle(pieces)),
                    first=w.firsts[k],
                )
            )
    return Pipework(nodes=tuple(nodes), legs=tuple(legs), closures=tuple(closures))
