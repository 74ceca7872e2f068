"""Crane, Technical Paper 410, answers as printed there and quoted in the notebooks of the `fluids` library
(github CalebBell/fluids, docs/Examples/Crane TP 410 Solved Problems, commit 091070e)."""

import math

import numpy as np
import pytest

from wetside.basis.quantity import FOOT, GALLON, INCH, G
from wetside.fluid.water import liquid
from wetside.network.curve import at_speed
from wetside.network.friction import colebrook, k_from_kv, square_coefficient, tube_drop
from wetside.network.split import joining_branch, joining_run, tee_falls


def test_7_1_smooth_pipe() -> None:
    """Water 30 °C, 200 l/min, bore 52.5 mm: Re 100600, f .0179; tolerance .5 %."""
    rho, mu = liquid().density(30.0), liquid().viscosity(30.0)
    re = 4 * rho * 0.2 / 60 / (math.pi * 0.0525 * mu)
    assert re == pytest.approx(100_600, rel=5e-3)
    assert colebrook(np.array([re]), np.array([0.0]))[0] == pytest.approx(0.0179, abs=1e-4)


def test_7_2_k_of_a_kv() -> None:
    """Kv 500 on 154 mm: K 3.6; L/D 240 and 37.0 m at f .015; .3 %: there water of 999 kg/m3 stands behind Kv."""
    k = k_from_kv(500.0, 0.154)
    assert k == pytest.approx(3.6, rel=3e-3)
    assert k / 0.015 == pytest.approx(240, rel=3e-3)
    assert k / 0.015 * 0.154 == pytest.approx(37.0, rel=3e-3)


def test_7_15_pump_head() -> None:
    """70 °F, 100 gpm, 3 in schedule 40 (3.068 in), 500 ft, lift 400 ft, gate valve, 4 elbows, 2 1/2 in lift check
    (2.469 in), exit, efficiency .70: 421 ft, 15.2 hp; tolerance .5 %.

    Loss coefficients by TP-410: f_T .017 in 3 in, .018 in 2 1/2 in; gate 8 f_T, elbow 30 f_T, exit 1; the check 600 f_T
    on its own bore (f_T in its smaller bore).
    """
    rho, mu, d = 62.298 * 16.018463, 0.95e-3, 3.068 * INCH
    m = rho * 100 * GALLON / 60
    one = np.ones(1)
    pipe, _ = tube_drop(m * one, 500 * FOOT * one, d * one, 0.00015 * FOOT * one, rho * one, mu * one)
    k = 8 * 0.017 + 4 * 30 * 0.017 + 1.0
    fittings = square_coefficient(k * one, 0 * one, d * one, rho * one) * m * m
    check = square_coefficient(600 * 0.018 * one, 0 * one, 2.469 * INCH * one, rho * one) * m * m
    head = 400 + float(pipe[0] + fittings[0] + check[0]) / (rho * G * FOOT)
    assert head == pytest.approx(421, rel=5e-3)
    assert head * FOOT * G * m / 0.70 / 745.7 == pytest.approx(15.2, rel=5e-3)


def test_7_33_affinity() -> None:
    """3500 → 1700 rpm, 400 gpm, 126 ft, 17.5 hp: 194 gpm, 29.7 ft, 2.0 hp."""
    ((flow, head),) = at_speed(((400.0, 126.0),), 1700 / 3500)
    assert flow == pytest.approx(194, abs=0.5)
    assert head == pytest.approx(29.7, abs=0.05)
    assert 17.5 * (flow / 400) * (head / 126) == pytest.approx(2.0, abs=0.05)


def test_7_35_converging_tee() -> None:
    """4 in schedule 40, run 300 and branch 100 US gpm: K branch about −.042, K run .325, speed 10.08 ft/s, losses
    −.067 and .513 ft of fluid; tolerance 1 %."""
    share, alike = np.array([0.25]), np.array([1.0])
    branch, run = float(joining_branch(share, alike)[0]), float(joining_run(share)[0])
    assert branch == pytest.approx(-0.042, abs=5e-4)
    assert run == pytest.approx(0.325, abs=5e-4)
    bore = 4.026 * INCH
    area = math.pi / 4 * bore**2
    speed = 400 * GALLON / 60 / area
    assert speed / FOOT == pytest.approx(10.08, rel=1e-2)
    head = speed**2 / (2 * G)
    assert branch * head / FOOT == pytest.approx(-0.067, rel=1e-2)
    assert run * head / FOOT == pytest.approx(0.513, rel=1e-2)
    # and as a net's tee: pressure falls outwards from the node by minus what joins loses
    flows = np.array([[-300.0], [400.0], [-100.0]]) * GALLON / 60 * 998.0
    falls = tee_falls(flows, np.full((3, 1), area), np.array([998.0]))[:, 0]
    assert falls / (998.0 * speed**2 / 2) == pytest.approx([-run, 0.0, -branch], abs=1e-9)
