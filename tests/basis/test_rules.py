"""The verdict is computed from the numbers, and a broken rule never looks like a held one."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from wetside.basis.quantity import Kind, System
from wetside.basis.rules import Rule, Severity, Verdict, worst_first

SPEED = Rule("TST-01", "Water speed in tube", "at most", Kind.SPEED, "common practice", remedy="use the next size")
OUTPUT = Rule("TST-02", "Room gets its heat", "at least", Kind.POWER, "common practice")
SAFE = Rule("TST-03", "Relief valve opens", "at most", Kind.PRESSURE, "common practice", safety=True)


@pytest.mark.parametrize(
    ("measured", "verdict"),
    [(1.2, Verdict.BREAKS), (1.0, Verdict.NEAR), (0.96, Verdict.NEAR), (0.5, Verdict.HOLDS)],
)
def test_at_most(measured: float, verdict: Verdict) -> None:
    assert SPEED.judge("run F", measured, 1.0).verdict is verdict


@pytest.mark.parametrize(
    ("measured", "verdict"), [(900, Verdict.BREAKS), (1000, Verdict.NEAR), (1040, Verdict.NEAR), (1200, Verdict.HOLDS)]
)
def test_at_least(measured: float, verdict: Verdict) -> None:
    assert OUTPUT.judge("hall", measured, 1000.0).verdict is verdict


def test_not_known_never_counts_as_held() -> None:
    finding = OUTPUT.judge("hall", None, 1000.0, missing="no emitter is drawn")
    assert finding.verdict is Verdict.NOT_KNOWN
    assert finding.texts(System.METRIC) == ("–", "1\u202f000 W")
    with pytest.raises(ValueError, match="which input is missing"):
        OUTPUT.judge("hall", None, 1000.0)
    with pytest.raises(ValueError, match="not a number"):
        OUTPUT.judge("hall", math.nan, 1000.0)


def test_safety_rules_cannot_be_accepted_away() -> None:
    with pytest.raises(ValueError, match="safety rule"):
        SAFE.judge("valve", 4e5, 3e5).accept("2026-11-01", "I like it")
    waived = SPEED.judge("run F", 1.2, 1.0).accept("2026-11-01", "short run")
    assert waived.verdict is Verdict.ACCEPTED and not waived.broken_must
    held = SPEED.judge("run F", 0.2, 1.0)
    assert held.accept("2026-11-01", "no need") is held


@given(st.floats(0.5, 2.0), st.floats(0.5, 2.0), st.sampled_from(list(System)))
def test_a_broken_rule_never_shows_equal_numbers(measured: float, limit: float, system: System) -> None:
    assume(abs(measured - limit) > 1e-8)
    finding = SPEED.judge("run F", measured, limit)
    m, n = finding.texts(system)
    assert (finding.verdict is Verdict.BREAKS) == (measured > limit)
    assert not (finding.verdict is Verdict.BREAKS and m == n)


def test_worst_first() -> None:
    held = SPEED.judge("a", 0.2, 1.0)
    broken = SPEED.judge("b", 1.2, 1.0)
    advice = Rule("TST-00", "Advice", "at most", Kind.SPEED, "common practice", Severity.ADVISE).judge("c", 1.2, 1.0)
    unknown = OUTPUT.judge("d", None, None, missing="x")
    assert [f.subject for f in worst_first([held, unknown, advice, broken])] == ["b", "c", "d", "a"]
