"""piping-designer.com, National Pipe Thread, after ASME B1.20.1: threads per inch, hand-tight L1, effective L2 (0.002
in; the 1/8 in row does not follow the formula and is not shipped). Made up: L1 and the turns by wrench (own sums).
Fitting catalogue citing ISO 7-1: useful thread, pitch and depth in mm; depth = 0.640327 pitch (0.001 mm)."""

import pytest

from wetside.basis.quantity import INCH
from wetside.basis.tables import load, number
from wetside.fabricate.sizes import insertion, npt_makeup_m
from wetside.fabricate.spec import Shop
from wetside.pipework.tubes import shipped_tubes

TUBES = {t.name: t for t in shipped_tubes()}
NPT = load("threads_npt").by("size")
BSP = load("threads_bsp").by("size")


@pytest.mark.parametrize(
    ("nominal", "outside", "threads", "hand", "effective", "made_up"),
    [
        ("1/2", 0.840, 14, 0.320, 0.534, 0.534),
        ("3/4", 1.050, 14, 0.340, 0.546, 0.554),
        ("1", 1.315, 11.5, 0.400, 0.682, 0.683),
        ("1 1/4", 1.660, 11.5, 0.420, 0.707, 0.703),
        ("1 1/2", 1.900, 11.5, 0.420, 0.724, 0.703),
        ("2", 2.375, 11.5, 0.436, 0.756, 0.697),
    ],
)
def test_npt(nominal: str, outside: float, threads: float, hand: float, effective: float, made_up: float) -> None:
    row = NPT[f"{nominal} in"]
    assert number(row, "outside") / INCH == pytest.approx(outside)
    assert number(row, "threads") == threads
    assert number(row, "hand") / INCH == pytest.approx(hand)
    assert number(row, "effective") / INCH == pytest.approx(effective)
    assert (0.80 * outside + 6.8) / threads == pytest.approx(effective, abs=0.002)
    assert npt_makeup_m(row) / INCH == pytest.approx(made_up, abs=5e-4)


def test_the_eighth_of_an_inch_does_not_follow() -> None:
    computed = (0.80 * 0.405 + 6.8) / 27
    assert computed != pytest.approx(0.260, abs=0.002)


@pytest.mark.parametrize(
    ("nominal", "useful", "pitch", "depth"),
    [("1/2", 13.2, 1.814, 1.162), ("3/4", 14.5, 1.814, 1.162), ("1", 16.8, 2.309, 1.479),
     ("1 1/4", 19.1, 2.309, 1.479), ("1 1/2", 19.1, 2.309, 1.479), ("2", 23.4, 2.309, 1.479)],
)  # fmt: skip
def test_iso_7(nominal: str, useful: float, pitch: float, depth: float) -> None:
    row = BSP[f"{nominal} in"]
    assert number(row, "useful") * 1000 == pytest.approx(useful)
    assert 0.640327 * number(row, "pitch") * 1000 == pytest.approx(depth, abs=1e-3)
    assert number(row, "depth") * 1000 == pytest.approx(depth)
    assert number(row, "pitch") * 1000 == pytest.approx(pitch)
    assert insertion(Shop(), TUBES[f"steel {nominal}"]).value_m * 1000 == pytest.approx(useful)
