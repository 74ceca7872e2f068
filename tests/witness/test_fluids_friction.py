"""Friction, fittings and Kv against the general library `fluids`."""

import fluids
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetside.network.friction import colebrook, k_from_kv, tube_drop


@given(st.floats(3.61, 8.0), st.floats(0.0, 0.05))
def test_colebrook(log_reynolds: float, roughness: float) -> None:
    reynolds = 10.0**log_reynolds
    theirs = fluids.friction.Colebrook(reynolds, roughness)
    assert colebrook(np.array([reynolds]), np.array([roughness]))[0] == pytest.approx(theirs, rel=1e-6)


@pytest.mark.parametrize("reynolds", [1e2, 1.9e3, 5e3, 2e4, 3e5])
def test_pressure_drop_of_a_tube(reynolds: float) -> None:
    rho, mu, bore, eps, length = 977.8, 4.04e-4, 0.0202, 1.5e-6, 12.0
    v = reynolds * mu / (rho * bore)
    f = fluids.friction_factor(Re=reynolds, eD=eps / bore, Method="Colebrook")
    theirs = fluids.dP_from_K(fluids.K_from_f(fd=f, L=length, D=bore), rho=rho, V=v)
    m = v * rho * np.pi / 4 * bore**2
    ours, _ = tube_drop(*(np.array([x]) for x in (m, length, bore, eps, rho, mu)))
    assert ours[0] == pytest.approx(theirs, rel=1e-6)


@given(st.floats(0.1, 50.0), st.floats(0.01, 0.06))
def test_k_of_a_kv(kv: float, bore: float) -> None:
    """Their constant is that of water at 999.1 kg/m3 or so; ours at 1000: 0.1 %."""
    assert k_from_kv(kv, bore) == pytest.approx(fluids.fittings.Kv_to_K(kv, bore), rel=2e-3)
