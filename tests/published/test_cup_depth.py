"""Copper Tube Handbook (CDA A4015), Table 14.10: cup depth of solder joints, in; web table of NPT threads to ASME
B1.20.1: effective thread, ``L2 = (0.80 D + 6.8) / threads per inch``, within 0.002 in."""

import pytest

from wetside.basis.quantity import INCH
from wetside.pipework.rules import cup_m
from wetside.pipework.tubes import shipped_tubes

TUBES = {t.name: t for t in shipped_tubes()}


@pytest.mark.parametrize(
    ("nominal", "cup"),
    [("3/8", 0.380), ("1/2", 0.500), ("5/8", 0.620), ("3/4", 0.750), ("1", 0.910),
     ("1 1/4", 0.970), ("1 1/2", 1.090), ("2", 1.340)],
)  # fmt: skip
def test_solder_cup(nominal: str, cup: float) -> None:
    assert cup_m(TUBES[f"copper L {nominal}"]) / INCH == pytest.approx(cup, abs=1e-9)


@pytest.mark.parametrize(
    ("nominal", "threads"), [("1/2", 14), ("3/4", 14), ("1", 11.5), ("1 1/4", 11.5), ("1 1/2", 11.5), ("2", 11.5)]
)
def test_thread(nominal: str, threads: float) -> None:
    tube = TUBES[f"steel schedule 40 {nominal}"]
    assert cup_m(tube) / INCH == pytest.approx((0.80 * tube.outside_m / INCH + 6.8) / threads, abs=0.002)
