"""Street elbows in any run: whatever stands close, the pieces meet the drawing and every joint is made once."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st
from shopfloor import laid, made, run

from wetside.fabricate.assemble import farthest
from wetside.fabricate.bench import benches
from wetside.fabricate.reading import Fabrication, FittingKind
from wetside.fabricate.sizes import insertion, takeout
from wetside.fabricate.spec import JointSystem, Shop, Take
from wetside.fabricate.street import SPARE
from wetside.pipework.spec import Material
from wetside.pipework.tubes import shipped_tubes

TUBES = {t.name: t for t in shipped_tubes()}
STREETS = (FittingKind.STREET_90, FittingKind.STREET_45)
# each turns the run square; none goes back
WAYS = ("west", "north", "down")


def street_mm(tube: str) -> float:
    """Two elbows of a tube, one a street elbow, centre to centre."""
    shop, of = Shop(), TUBES[tube]
    return 1000 * (2 * takeout(shop, Take.ELBOW_90, of).value_m + insertion(shop, of).value_m)


def shop_for(copper: JointSystem) -> Shop:
    return Shop(systems=((Material.COPPER, copper),))


@st.composite
def moves(draw: st.DrawFn, tube: str) -> list[str]:
    """Square turns, many of them about as close as a street elbow needs."""
    near = street_mm(tube)
    said = ["down 400 mm"]
    last = "down"
    for _ in range(draw(st.integers(1, 6))):
        last = draw(st.sampled_from([w for w in WAYS if w != last]))
        close = st.sampled_from([-3.0, 0.0, 0.5, 1.0, 1.6, 2.0, 5.0]).map(lambda x: near + x)
        said.append(f"{last} {draw(st.one_of(close, st.floats(10.0, 300.0))):.3f} mm")
    return said


def whole(f: Fabrication) -> None:
    assert farthest(f) < 1e-4
    streets = [x for x in f.fittings if x.kind in STREETS]
    assert len(streets) == len(f.streets)
    assert len(f.joints) == sum(x.sockets for x in f.fittings) + sum(b.port != "" for b in f.bodies)
    ends = Counter(e.joint for b in f.bodies for e in b.ends)
    shared = {f.bodies[c.a].ends[c.a_end].joint for c in f.streets}
    assert {n for n, k in ends.items() if k == 2} == shared
    assert set(ends) <= {j.number for j in f.joints}
    takes = Counter(j.cut for j in f.joints if j.cut)
    assert set(takes.values()) <= {2}
    assert set(takes) == {c.name for c in f.cuts}
    said = {j.number: j.of for j in f.joints}
    for b in f.bodies:
        for e in b.ends:
            assert said[e.joint] == b.name or e.insertion_m < 0.0


@given(st.data(), st.sampled_from(["copper 15", "copper 22", "copper 28", "copper L 3/4", "steel 3/4"]))
def test_any_run_is_whole(data: st.DataObject, tube: str) -> None:
    runs = run("a", "boiler.flow", *data.draw(moves(tube)), tube=tube)
    f = made(runs)
    whole(f)
    for c in f.streets:
        a, b = f.bodies[c.a], f.bodies[c.b]
        own, cup = sorted((a.ends[c.a_end], b.ends[c.b_end]), key=lambda e: e.insertion_m)
        # its end reaches the stop, and covers the cup
        assert own.insertion_m == -cup.insertion_m
        least = takeout(Shop(), Take.ELBOW_90, TUBES[tube]).value_m + cup.insertion_m
        assert -1e-4 <= own.takeout_m - least <= SPARE + 2e-4
    for work in benches(laid(runs), f, ["boiler"]):
        done = [n for p in work.pieces for n in p.joints] + [*work.in_place, *work.screwed]
        assert len(done) == len(set(done))
        assert set(done) == {e.joint for k in work.bodies for e in f.bodies[k].ends} | {
            j.number for j in f.joints if j.number in done
        }


@given(st.data(), st.sampled_from([JointSystem.PRESSED, JointSystem.COMPRESSION]))
def test_no_run_has_a_street_elbow_where_none_is_sold(data: st.DataObject, system: JointSystem) -> None:
    f = made(run("a", "boiler.flow", *data.draw(moves("copper 22"))), shop=shop_for(system))
    whole(f)
    assert not f.streets


def test_a_branch_that_turns_right_at_its_tee() -> None:
    tee = 1000 * takeout(Shop(), Take.TEE_BRANCH, TUBES["copper 22"], TUBES["copper 22"]).value_m
    elbow = street_mm("copper 22") - 1000 * takeout(Shop(), Take.ELBOW_90, TUBES["copper 22"]).value_m
    main = run("main", "boiler.flow", "down 500 mm", "tee T", "down 500 mm")
    f = made(main, run("branch", "main.T", f"west {tee + elbow + 0.4:.3f} mm", "down 300 mm"))
    whole(f)
    (street,) = f.streets
    assert {f.bodies[street.a].name, f.bodies[street.b].name} == {"tee main.T", "street elbow 90°"}
    (branch,) = (c for c in f.cuts if c.run == "branch")
    assert branch.start.startswith("street elbow 90°")
