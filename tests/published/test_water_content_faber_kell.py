"""Faber and Kell's Heating and Air-Conditioning of Buildings, Table 6.4, p. 147: water content of tube, l/m.

Tolerance 1 %: the book's tubes were made to BS 2871 Table X and BS 1387 medium, whose bores were means of limits.
"""

import pytest

from wetside.pipework.tubes import shipped_tubes
from wetside.takeoff.water import tube_content_m3

TUBES = {t.name: t for t in shipped_tubes()}


@pytest.mark.parametrize(
    ("name", "l_m"),
    [
        ("copper 15", 0.145), ("copper 22", 0.321), ("copper 28", 0.540),
        ("copper 35", 0.837), ("copper 42", 1.234), ("copper 54", 2.095),
        ("steel 1/2", 0.205), ("steel 3/4", 0.367), ("steel 1", 0.586),
        ("steel 1 1/4", 1.016), ("steel 1 1/2", 1.376), ("steel 2", 2.205),
    ],
)  # fmt: skip
def test_content(name: str, l_m: float) -> None:
    assert tube_content_m3(1.0, TUBES[name].bore_m) * 1000 == pytest.approx(l_m, rel=0.01)
