"""Runs laid in space: what comes out, and every mistake with its place and remedy."""

import pytest

from wetside.basis.errors import JobProblem, Mistake
from wetside.basis.quantity import System
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.moves import parse_move
from wetside.pipework.reading import InLine, NodeKind, Pipework, Reducer, Straight, Turn
from wetside.pipework.spec import Port, Run
from wetside.pipework.tubes import shipped_tubes

PORTS = (
    Port(owner="boiler", name="flow", at=(1.0, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler"),
    Port(owner="boiler", name="return", at=(1.3, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler"),
    Port(owner="vessel", name="", at=(0.0, 0.0, 0.5), faces=(0.0, 0.0, 1.0), owner_kind="vessel"),
)


def run(name: str, start: str, moves: list[str], end: str = "", tube: str = "copper 22", room: str = "") -> Run:
    said = tuple(parse_move(m, System.METRIC) for m in moves)
    return Run(name=name, tube=tube, start=start, moves=said, end=end, room=room)


def laid(*runs: Run, ports: tuple[Port, ...] = PORTS) -> Pipework:
    return lay(runs, ports, shipped_tubes(), shipped_items(), lambda at: f"room at {at[0]:.2f}")


def mistakes(*runs: Run) -> tuple[Mistake, ...]:
    with pytest.raises(JobProblem) as caught:
        laid(*runs)
    return caught.value.mistakes


def only(*runs: Run) -> Mistake:
    (found,) = mistakes(*runs)
    assert found.place.kind == "run"
    return found


PRIMARY = run(
    "primary",
    "boiler.flow",
    [
        "down 300 mm",
        "fit isolating valve",
        "down 200 mm",
        "tee A",
        "down 100 mm",
        "tee B",
        "down 0.1 m",
        "east …",
        "up …",
    ],
    "boiler.return",
    "copper 28",
)
FLOW = run("flow", "primary.A", ["west 400 mm", "tube copper 15", "west 100 mm", "south 1 m"])
RETURN = run("back", "primary.B", ["north 1 m"])


def test_legs_nodes_and_pieces() -> None:
    pw = laid(PRIMARY, FLOW, RETURN)
    assert [leg.name for leg in pw.legs] == ["primary 1", "primary 2", "primary 3", "flow", "back"]
    assert [leg.first for leg in pw.legs] == [0, 4, 6, 0, 0]
    ends = [(pw.nodes[leg.a].name, pw.nodes[leg.b].name) for leg in pw.legs]
    assert ends == [
        ("boiler.flow", "primary.A"),
        ("primary.A", "primary.B"),
        ("primary.B", "boiler.return"),
        ("primary.A", "flow end"),
        ("primary.B", "back end"),
    ]
    kinds = {n.name: n.kind for n in pw.nodes}
    assert kinds["boiler.flow"] is NodeKind.PORT
    assert kinds["primary.A"] is NodeKind.TEE
    assert kinds["flow end"] is NodeKind.CAP
    assert next(n for n in pw.nodes if n.name == "boiler.flow").port == PORTS[0]
    first, second, third, flow, _ = pw.legs
    assert [type(p) for p in first.pieces] == [Straight, InLine, Straight]
    assert [type(p) for p in second.pieces] == [Straight]
    assert [type(p) for p in third.pieces] == [Straight, Turn, Straight, Turn, Straight]
    assert [type(p) for p in flow.pieces] == [Straight, Reducer, Straight, Turn, Straight]
    assert third.length_m == pytest.approx(0.1 + 0.3 + 0.7)
    (closure,) = pw.closures
    assert closure.run == "primary"
    assert closure.size_m == pytest.approx(0.0, abs=1e-12)


def test_moves_in_one_direction_are_one_straight() -> None:
    (leg,) = laid(run("a", "boiler.flow", ["down 100 mm", "down 200 mm", "down 50 mm"])).legs
    (only_piece,) = leg.pieces
    assert isinstance(only_piece, Straight)
    assert only_piece.length_m == pytest.approx(0.35)


def test_a_turn_knows_its_angle_and_directions() -> None:
    (leg,) = laid(run("a", "boiler.flow", ["down 1 m", "east 1 m", "northeast 1 m"])).legs
    square, half = (p for p in leg.pieces if isinstance(p, Turn))
    assert (square.angle_deg, half.angle_deg) == (pytest.approx(90.0), pytest.approx(45.0))
    assert square.into == (0.0, 0.0, -1.0)
    assert square.out_of == (1.0, 0.0, 0.0)


def test_an_elbow_right_at_a_port_at_either_end() -> None:
    (leg,) = laid(run("a", "boiler.flow", ["west 1 m", "down to 0.5 m"], "vessel")).legs
    assert [type(p) for p in leg.pieces] == [Turn, Straight, Turn, Straight]
    (leg,) = laid(run("a", "vessel", ["up 1 m", "east …"], "boiler.flow")).legs
    assert [type(p) for p in leg.pieces] == [Straight, Turn, Straight, Turn]


def test_a_room_is_given_or_found_from_the_longest_straight() -> None:
    given = run("a", "boiler.flow", ["down 1 m", "west 3 m"], room="Loft")
    found = run("b", "boiler.return", ["down 1.2 m", "west 3 m"])
    assert [leg.room for leg in laid(given, found).legs] == ["Loft", "room at -0.20"]


def test_a_run_may_end_at_a_tee() -> None:
    joins = run("home", "vessel", ["up 100 mm", "north 500 mm", "up …", "east …", "south …"], "primary.A")
    found = laid(PRIMARY, joins, RETURN)
    leg = next(x for x in found.legs if x.run == "home")
    assert found.nodes[leg.b].name == "primary.A"


def test_a_cross_and_a_tee_at_a_corner() -> None:
    cross = run("other", "primary.A", ["east 1 m"])
    assert len([x for x in laid(PRIMARY, FLOW, cross, RETURN).nodes if x.name == "primary.A"]) == 1
    corner = run("main", "boiler.flow", ["down 1 m", "tee C", "west 1 m"])
    laid(corner, run("on", "main.C", ["down 1 m"]))
    laid(corner, run("on", "main.C", ["east 1 m"]))


def test_a_run_that_misses_is_laid_and_its_gap_told() -> None:
    moves = ["down 500 mm", "east 335 mm", "up 512 mm"]
    pw = laid(run("primary", "boiler.flow", moves, "boiler.return"))
    (closure,) = pw.closures
    assert closure.gap == pytest.approx((-0.035, 0.0, -0.012))
    assert pw.nodes[pw.legs[0].b].name == "boiler.return"


def test_what_open_distances_can_not_reach_stays_as_the_gap() -> None:
    (closure,) = laid(run("primary", "boiler.flow", ["down 500 mm", "east …", "up 450 mm"], "boiler.return")).closures
    assert closure.gap == pytest.approx((0.0, 0.0, 0.05))


def test_levels_are_coordinates() -> None:
    (leg,) = laid(run("a", "boiler.flow", ["down to 0.2 m", "west to -3 m", "up to 1 m"])).legs
    assert [p.length_m for p in leg.pieces if isinstance(p, Straight)] == pytest.approx([1.3, 4.0, 0.8])


# --- mistakes: one run that is wrong in one way each


def test_unknown_names_get_the_nearest() -> None:
    found = mistakes(
        run("a", "boiler.flwo", ["down 1 m"]),
        run("b", "boiler.return", ["down 1 m", "fit gate vlave", "tube copper 23", "down 1 m"], "vesel", "coper 22"),
    )
    told = {(m.place.name, m.place.field, m.place.index): m for m in found}
    assert 'did you mean "boiler.flow"' in told["a", "start", None].remedy
    assert 'did you mean "vessel"' in told["b", "end", None].remedy
    assert 'did you mean "copper 22"' in told["b", "tube", None].remedy
    assert 'did you mean "gate valve"' in told["b", "moves", 1].remedy
    assert 'did you mean "copper ' in told["b", "moves", 2].remedy
    assert len(found) == 5


def test_a_run_is_no_place_to_start() -> None:
    found = only(run("a", "boiler.flow", ["down 1 m"]), run("b", "a", ["down 1 m"]))
    assert (found.place.name, found.place.field) == ("b", "start")
    assert "leave a tee" in found.remedy


def test_an_empty_start() -> None:
    assert "starts nowhere" in only(run("a", "", ["down 1 m"])).wrong


def test_two_runs_of_one_name() -> None:
    assert only(run("a", "boiler.flow", ["down 1 m"]), run("a", "vessel", ["up 1 m"])).place.field == "name"


def test_a_run_named_as_a_leg() -> None:
    found = only(PRIMARY, FLOW, RETURN, run("primary 1", "vessel", ["up 1 m"]))
    assert (found.place.name, found.place.field) == ("primary 1", "name")


def test_two_tees_of_one_name() -> None:
    moves = ["down 1 m", "tee A", "down 1 m", "tee A", "down 1 m"]
    found = mistakes(run("a", "boiler.flow", moves), run("b", "a.A", ["west 1 m"]))
    assert [m.place.index for m in found] == [3]


def test_a_port_used_twice() -> None:
    found = only(run("a", "boiler.flow", ["down 1 m"]), run("b", "boiler.flow", ["west 1 m"]))
    assert found.place.name == "b"
    assert 'taken by run "a"' in found.wrong
    assert "can't come back" in only(run("a", "vessel", ["up 1 m", "east 1 m"], "vessel")).remedy


def test_back_into_the_port() -> None:
    assert "straight back into the port" in only(run("a", "boiler.flow", ["up 1 m"])).wrong
    found = only(run("a", "boiler.flow", ["south 1 m", "up 1 m", "east …", "north 1 m", "down …"], "boiler.return"))
    assert (found.place.field, found.remedy) == ("end", "arrive going up")


def test_straight_back() -> None:
    found = only(run("a", "boiler.flow", ["down 1 m", "fit union", "up 200 mm"]))
    assert found.place.index == 2
    assert "straight back" in found.wrong


def test_an_open_distance_that_goes_back() -> None:
    found = only(run("a", "boiler.flow", ["down 500 mm", "west …", "up …"], "boiler.return"))
    assert found.place.index == 1
    assert "would have to go back 300 mm" in found.wrong
    assert 'write "east …"' in found.remedy


def test_an_open_distance_of_nothing() -> None:
    found = only(run("a", "boiler.flow", ["down 500 mm", "east …", "north …", "up …"], "boiler.return"))
    assert found.place.index == 2
    assert "comes out as nothing" in found.wrong


def test_two_open_distances_on_one_line() -> None:
    found = only(run("a", "boiler.flow", ["down …", "east …", "up …"], "boiler.return"))
    assert found.place.index == 2
    assert "open along the same line" in found.wrong


def test_open_without_an_end() -> None:
    assert "ends nowhere" in only(run("a", "boiler.flow", ["down 1 m", "east …"])).wrong


def test_a_level_after_an_open_distance_on_its_axis() -> None:
    found = only(run("a", "boiler.flow", ["down …", "east 300 mm", "up to 1.5 m"], "boiler.return"))
    assert found.place.index == 2
    assert "can't be settled" in found.wrong


def test_levels_that_are_behind_or_reached() -> None:
    found = only(run("a", "boiler.flow", ["down to 2 m"]))
    assert found.remedy == 'write "up to 2 m"'
    assert "is there already" in only(run("a", "boiler.flow", ["down 1 m", "west to 1 m"])).wrong


def test_runs_that_wait_for_each_other() -> None:
    found = only(
        run("a", "b.T", ["down 1 m", "tee T", "down 1 m"]),
        run("b", "a.T", ["west 1 m", "tee T", "west 1 m"]),
        run("c", "a.T", ["east 1 m"]),
    )
    assert found.place.name == "a"
    assert '"a", "b" wait for each other' in found.wrong


def test_no_waiting_where_nothing_is_open() -> None:
    b = run("b", "a.T", ["west 500 mm", "down 500 mm", "tee T", "down 1 m"])
    # a ends at b's tee and b starts at a's: every distance is given, so both can be laid
    pw = laid(run("a", "boiler.flow", ["down 1 m", "tee T", "down 0.5 m", "west 500 mm"], "b.T"), b)
    assert pw.closures[0].size_m == pytest.approx(0.0, abs=1e-9)


def test_own_tee() -> None:
    found = mistakes(run("a", "boiler.flow", ["down 1 m", "tee T", "down 1 m"], "a.T"))
    assert any("a tee of this run itself" in m.wrong for m in found)


def test_a_branch_along_the_run() -> None:
    found = only(PRIMARY, run("x", "primary.A", ["down 1 m"]), RETURN)
    assert (found.place.name, found.place.field) == ("x", "start")
    assert "along the run, down" in found.wrong


def test_two_branches_on_one_side() -> None:
    found = only(PRIMARY, FLOW, run("x", "primary.A", ["west 1 m", "up 1 m"]), RETURN)
    assert found.place.name == "x"


def test_no_tee_fits() -> None:
    square = only(PRIMARY, FLOW, run("x", "primary.A", ["north 1 m"]), RETURN)
    assert "no tee fits at primary.A" in square.wrong
    corner = run("main", "boiler.flow", ["down 1 m", "tee C", "west 1 m"])
    assert "no tee fits" in only(corner, run("on", "main.C", ["north 1 m"])).wrong


def test_five_tubes_at_a_tee() -> None:
    more = [run(w, "primary.A", [f"{w} 1 m"]) for w in ("east", "north")]
    assert "5 tubes meet" in only(PRIMARY, FLOW, *more, RETURN).wrong


def test_a_tee_that_nothing_joins() -> None:
    found = only(PRIMARY, FLOW)
    assert (found.place.name, found.place.index) == ("primary", 5)
    assert '"primary.B"' in found.remedy


@pytest.mark.parametrize(
    ("moves", "index", "says"),
    [
        (["tee T", "down 1 m"], 0, "right at the start"),
        (["down 1 m", "tee T"], 1, "right at the end"),
        (["down 1 m", "tee T", "tee U", "down 1 m"], 2, "in the same place"),
        (["tube copper 15", "down 1 m"], 0, "before there is any"),
        (["down 1 m", "tube copper 15"], 1, "does not go on"),
        (["down 1 m", "tube copper 15", "tube copper 10", "down 1 m"], 2, "without going anywhere"),
        (["down 1 m", "tube copper 22", "down 1 m"], 1, 'in "copper 22" already'),
        ([], None, "does not go anywhere"),
        (["fit union"], None, "does not go anywhere"),
    ],
)
def test_moves_that_do_not_follow_each_other(moves: list[str], index: int | None, says: str) -> None:
    joiners = [run(f"j {m}x", f"a.{m[4:]}", ["west 1 m"]) for m in moves if m.startswith("tee")]
    found = mistakes(run("a", "boiler.flow", moves), *joiners)
    assert [(m.place.index, says in m.wrong) for m in found] == [(index, True)]


def test_all_mistakes_come_together() -> None:
    found = mistakes(
        run("a", "boiler.flow", ["up 1 m"]),
        run("b", "boiler.retrun", ["down 1 m"]),
        run("c", "vessel", ["up 1 m", "east …"]),
    )
    assert {m.place.name for m in found} == {"a", "b", "c"}


def test_order_of_runs_does_not_matter() -> None:
    runs = (PRIMARY, FLOW, RETURN)

    def seen(pw: Pipework) -> dict[str, tuple[str, str, tuple[object, ...]]]:
        return {leg.name: (pw.nodes[leg.a].name, pw.nodes[leg.b].name, leg.pieces) for leg in pw.legs}

    assert seen(laid(*runs)) == seen(laid(*reversed(runs)))
