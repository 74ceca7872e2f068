"""Single friction factors printed in teaching material.

a) Anonymous course page: 0.02 m3/s, 0.1 m, 200 m, roughness .26 mm, mu 1e-3: Re 254600, f .0254, 164.4 kPa; the source
   stopped iterating early: 2 %.
b) holooly.com solutions: 1.2 m, roughness .60 mm, slope 1/250, nu 1.005e-6: 2.363 m/s; .1 %.
c) holooly.com solutions: Re 150309, relative roughness .000872: f .021.
d) Cengel and Cimbala, ch. 8 (length and answer from memory): 8 l/s in 40 mm, roughness .002 mm, 30 m: 239 kPa.
"""

import math

import numpy as np
import pytest

from wetside.network.friction import colebrook, tube_drop


def f(reynolds: float, roughness: float) -> float:
    return float(colebrook(np.array([reynolds]), np.array([roughness]))[0])


def test_a() -> None:
    v = 0.02 / (math.pi / 4 * 0.1**2)
    assert v == pytest.approx(2.546, abs=1e-3)
    assert v * 0.1 / 1e-6 == pytest.approx(254_600, abs=100)
    assert f(v * 0.1 / 1e-6, 0.0026) == pytest.approx(0.0254, rel=0.02)
    drop, _ = tube_drop(*(np.array([x]) for x in (20.0, 200.0, 0.1, 0.26e-3, 1000.0, 1e-3)))
    assert drop[0] == pytest.approx(164.4e3, rel=0.02)


def test_b() -> None:
    v = 2.363
    assert f(v * 1.2 / 1.005e-6, 0.6e-3 / 1.2) * v * v / (2 * 9.81 * 1.2) == pytest.approx(1 / 250, rel=2e-3)


def test_c() -> None:
    assert f(150_309, 0.000872) == pytest.approx(0.021, abs=5e-4)


def test_d() -> None:
    drop, _ = tube_drop(*(np.array([x]) for x in (8e-3 * 999.1, 30.0, 0.04, 0.002e-3, 999.1, 1.138e-3)))
    assert drop[0] == pytest.approx(239e3, abs=0.5e3)
