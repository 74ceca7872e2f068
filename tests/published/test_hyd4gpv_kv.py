"""Valve coefficients: rdrr.io, package hyd4gpv. Kv = .8650 Cv, Cv = 1.1561 Kv; Kv = d²/sqrt(626.3 zeta), d in mm.

By the definitions with water of 1000 kg/m3 the last constant is 625.4: .15 % apart, for a denser or lighter water.
"""

import math

import pytest

from wetside.basis.quantity import KV_PER_CV
from wetside.network.friction import k_from_kv


def test_kv_per_cv() -> None:
    assert pytest.approx(0.8650, abs=5e-5) == KV_PER_CV
    assert pytest.approx(1.1561, abs=5e-5) == 1 / KV_PER_CV


@pytest.mark.parametrize(("bore_mm", "zeta"), [(20.0, 2.5), (13.6, 100.0), (154.0, 3.6)])
def test_kv_of_zeta(bore_mm: float, zeta: float) -> None:
    kv = bore_mm**2 / math.sqrt(626.3 * zeta)
    assert k_from_kv(kv, bore_mm / 1000) == pytest.approx(zeta, rel=3e-3)
