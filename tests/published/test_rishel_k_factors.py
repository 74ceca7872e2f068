"""Rishel, HVAC Pump Handbook (2006), Tables 3.7 to 3.12 pp. 57-59: loss coefficients of screwed fittings; and Illinois
Administrative Code 77-890 appendix A table Q: equivalent lengths of wrought copper fittings. Exact: they are tables."""

import pytest

from wetside.basis.quantity import FOOT, INCH
from wetside.network.resist import fitting, item
from wetside.pipework.items import shipped_items
from wetside.pipework.spec import Material

STEEL = (0.622, 0.824, 1.049, 1.380, 1.610, 2.067)
COPPER = (0.545, 0.785, 1.025, 1.265, 1.505, 1.985)
SCREWED = {
    "elbow 90": (2.10, 1.70, 1.50, 1.30, 1.20, 1.00),
    "elbow 45": (0.36, 0.35, 0.33, 0.32, 0.31, 0.30),
    "tee branch": (2.40, 2.10, 1.90, 1.70, 1.60, 1.40),
    "tee run": (0.90,) * 6,
}
VALVES = {
    "globe valve": (14.0, 10.0, 8.7, 8.0, 7.5, 6.9),
    "gate valve": (0.32, 0.28, 0.24, 0.22, 0.20, 0.17),
    "check valve": (5.6, 3.7, 3.0, 2.7, 2.5, 2.3),
}
SOLDERED_FT = {
    "elbow 90": (0.5, 1, 1, 2, 2, 2),
    "elbow 45": (0.5, 0.5, 1, 1, 2, 2),
    "tee run": (0.5, 0.5, 0.5, 0.5, 1, 1),
    "tee branch": (1, 2, 3, 4, 5, 7),
}


@pytest.mark.parametrize("name", SCREWED)
def test_screwed_fittings(name: str) -> None:
    got = [fitting(Material.STEEL, name, d * INCH) for d in STEEL]
    assert [x.k for x in got] == pytest.approx(SCREWED[name])
    assert all(x.extra_m == 0.0 for x in got)


@pytest.mark.parametrize("name", VALVES)
def test_valves(name: str) -> None:
    one = next(i for i in shipped_items() if i.name == name)
    assert [item(one, d * INCH).k for d in STEEL] == pytest.approx(VALVES[name])


@pytest.mark.parametrize("name", SOLDERED_FT)
def test_soldered_fittings(name: str) -> None:
    got = [fitting(Material.COPPER, name, d * INCH) for d in COPPER]
    assert [x.extra_m / FOOT for x in got] == pytest.approx(SOLDERED_FT[name])
    assert all(x.k == 0.0 for x in got)
