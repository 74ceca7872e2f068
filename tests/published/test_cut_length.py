"""Copper soldering project worksheet (US Department of Labor grant training material): 1 in copper, 9 1/2 in from
centre to centre, take-outs 3/4 in each: cut 8 in. The same piece by the other route, centre to end less the cups (own).
Own nipple: 12 in between 3/4 in threaded elbows, 1.31 in centre to face (from memory), 0.554 in made up: 10.488 in."""

import pytest

from wetside.basis.quantity import INCH, System
from wetside.fabricate.fittings import fit
from wetside.fabricate.sizes import insertion, takeout
from wetside.fabricate.spec import OwnFitting, Shop, Take
from wetside.pipework.items import shipped_items
from wetside.pipework.lay import lay
from wetside.pipework.moves import parse_move
from wetside.pipework.spec import Port, Run
from wetside.pipework.tubes import shipped_tubes

TUBES = {t.name: t for t in shipped_tubes()}
PORT = Port(owner="boiler", name="flow", at=(0.0, 0.0, 1.5), faces=(0.0, 0.0, -1.0), owner_kind="boiler")


def middle_cut(tube: str, between: str, shop: Shop) -> float:
    """The piece between two elbows, in."""
    moves = [parse_move(m, System.US) for m in ("down 2 ft", f"east {between}", "down 2 ft")]
    run = Run(name="a", tube=tube, start="boiler.flow", moves=tuple(moves), end="")
    f = fit(lay([run], [PORT], shipped_tubes(), shipped_items(), lambda _: ""), shop)
    return f.cuts[1].length_m / INCH


def test_the_worksheet() -> None:
    measured = OwnFitting(take=Take.ELBOW_90, size="1 in", takeout_m=0.75 * INCH)
    assert middle_cut("copper L 1", "9 1/2 in", Shop(own=(measured,))) == pytest.approx(8.0, abs=1e-9)


def test_the_same_by_centre_to_end() -> None:
    cup = insertion(Shop(), TUBES["copper L 1"]).value_m / INCH
    assert cup == pytest.approx(0.91, abs=1e-9)
    centre_to_end = 0.75 + cup
    assert 9.5 - 2 * centre_to_end + 2 * cup == pytest.approx(8.0, abs=1e-9)


def test_a_threaded_nipple() -> None:
    tube = TUBES["steel schedule 40 3/4"]
    assert insertion(Shop(), tube).value_m / INCH == pytest.approx(0.554, abs=5e-4)
    assert takeout(Shop(), Take.ELBOW_90, tube).value_m / INCH == pytest.approx(1.31 - 0.554, abs=5e-4)
    assert middle_cut("steel schedule 40 3/4", "12 in", Shop()) == pytest.approx(10.488, abs=1e-3)
