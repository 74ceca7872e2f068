"""Rules of the pipework: a pass, a fail and the limit itself."""

import itertools

import pytest

from wetside.basis.quantity import System
from wetside.basis.rules import Finding, Verdict
from wetside.basis.tables import reference
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.moves import parse_move
from wetside.pipework.rules import RULES, cup_m, judge
from wetside.pipework.spec import Material, Port, Run
from wetside.pipework.tubes import shipped_tubes

PORTS = (
    Port(owner="boiler", name="flow", at=(1.0, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler"),
    Port(owner="boiler", name="return", at=(1.3, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler"),
)
TUBES = {t.name: t for t in shipped_tubes()}


def run(name: str, start: str, *moves: str, end: str = "", tube: str = "copper 22") -> Run:
    said = tuple(parse_move(m, System.METRIC) for m in moves)
    return Run(name=name, tube=tube, start=start, moves=said, end=end)


def found(rule: str, *runs: Run) -> list[Finding]:
    return [f for f in judge(lay(runs, PORTS, shipped_tubes(), shipped_items(), lambda _: "")) if f.rule.id == rule]


def test_ids_and_sources() -> None:
    assert [r.id for r in RULES] == ["PIP-01", "PIP-03"]
    assert all(reference(r.source) for r in RULES)


@pytest.mark.parametrize(
    ("up", "verdict"), [("500 mm", Verdict.HOLDS), ("498.1 mm", Verdict.NEAR), ("497.9 mm", Verdict.BREAKS)]
)
def test_closure(up: str, verdict: Verdict) -> None:
    (f,) = found("PIP-01", run("a", "boiler.flow", "down 500 mm", "east …", f"up {up}", end="boiler.return"))
    assert f.verdict is verdict
    assert f.subject == "run a"


def test_a_miss_is_told_by_direction_and_size() -> None:
    (f,) = found("PIP-01", run("a", "boiler.flow", "down 500 mm", "east 335 mm", "up 488 mm", end="boiler.return"))
    assert f.remedy == 'it ends 35 mm east and 12 mm below boiler.return; look at "east 335 mm", move 2'
    (f,) = found("PIP-01", run("a", "boiler.flow", "down 500 mm", "east 265 mm", "up 500 mm", end="boiler.return"))
    assert f.remedy == 'it ends 35 mm west of boiler.return; look at "east 265 mm", move 2'
    # nothing goes north or south: the last move it is
    (f,) = found("PIP-01", run("a", "boiler.flow", "down 500 mm", "north 40 mm", "east …", "up …", end="boiler.return"))
    assert f.remedy.endswith('look at "north 40 mm", move 2')


def test_two_tubes_in_one_place_is_no_matter_of_taste() -> None:
    a = run("a", "boiler.flow", "down 500 mm", "south 400 mm")
    clashes = found("PIP-03", a, run("b", "boiler.return", "down 500 mm", "south 200 mm", "west 600 mm"))
    assert any(f.broken_must for f in clashes)


def test_clash() -> None:
    def pair(apart: str) -> list[Finding]:
        a = run("a", "boiler.flow", "down 1 m", "east 1 m", "down 1 m")
        # b crosses a's level piece at a distance below it
        return found(
            "PIP-03", a, run("b", "boiler.return", "down 600 mm", "north 500 mm", f"down {apart}", "south 1 m")
        )

    # the level piece of a runs at 0.5 m; b's goes south under it at 0.9 m minus the distance
    (f,) = pair("379 mm")
    assert (f.measured, f.verdict) == (pytest.approx(0.021), Verdict.BREAKS)
    assert f.limit == pytest.approx(0.022)
    assert "1.30 m east, 0.00 m north, 0.50 m up" in f.remedy
    (f,) = pair("377 mm")
    assert f.verdict is not Verdict.BREAKS
    assert f.remedy == ""
    assert pair("200 mm") == []


def test_legs_of_one_tee_do_not_clash_there() -> None:
    a = run("a", "boiler.flow", "down 1 m", "tee T", "down 1 m")
    assert found("PIP-03", a, run("b", "a.T", "west 1 m")) == []
    # but they do where the branch turns too soon
    turned = run("b", "a.T", "west 15 mm", "down 500 mm")
    both = found("PIP-03", a, turned)
    assert [f.subject for f in both] == ["a 1 and b", "a 2 and b"]
    assert all(f.verdict is Verdict.BREAKS for f in both)
    assert [f.measured for f in both] == pytest.approx([0.015, 0.015])


def test_cups_grow_with_the_tube() -> None:
    for material in Material:
        sizes = sorted((t.outside_m, cup_m(t)) for t in TUBES.values() if t.material is material)
        assert all(y0 <= y1 for (_, y0), (_, y1) in itertools.pairwise(sizes))
        assert all(0.005 < cup < 0.07 for _, cup in sizes)
