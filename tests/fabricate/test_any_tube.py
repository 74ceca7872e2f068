"""Any shipped tube meets any other, in every joint system."""

from hypothesis import given
from hypothesis import strategies as st
from shopfloor import made, run

from wetside.fabricate.assemble import farthest
from wetside.fabricate.reading import FittingKind
from wetside.fabricate.rules import judge
from wetside.fabricate.spec import SYSTEMS, Shop
from wetside.pipework.spec import Material
from wetside.pipework.tubes import shipped_tubes

TUBE = st.sampled_from([t.name for t in shipped_tubes()])


@given(
    TUBE, TUBE, TUBE, TUBE, st.sampled_from(SYSTEMS[Material.COPPER]), st.sampled_from(SYSTEMS[Material.PEX])
)  # fmt: skip
def test_tees_reducers_and_adapters(first, second, third, branch, copper, plastic) -> None:
    moves = ["down 1 m"]
    # a change right before the tee is the tee's own, one in mid-air a reducer
    moves += [f"tube {second}"] * (second != first) + ["tee T", "down 1 m"]
    moves += [f"tube {third}"] * (third != second)
    moves += ["down 500 mm", "east 2 m", "fit drain cock", "east 1 m", "northeast 1 m"]
    shop = Shop(systems=((Material.COPPER, copper), (Material.PEX, plastic)))
    f = made(run("main", "boiler.flow", *moves, tube=first), run("side", "main.T", "west 1 m", tube=branch), shop=shop)
    assert not f.blocked
    assert farthest(f) < 1e-9
    faces = 1 + sum(x.kind is FittingKind.DIELECTRIC for x in f.fittings)
    outlets = 1
    assert len(f.joints) == sum(x.sockets for x in f.fittings) + faces + outlets
    assert all(e.takeout_m >= 0.0 and e.insertion_m > 0.0 for b in f.bodies for e in b.ends)
    assert judge(f)
