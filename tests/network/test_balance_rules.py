"""The rules of a balanced system: held, broken, and exactly on the limit."""

from dataclasses import replace

import pytest
from smallhouse import all_runs, at_work, laid
from test_balance import balanced, equipment, wish

from wetside.basis.rules import Verdict
from wetside.network.balance_rules import MOST_OFF, MOST_PA, NEAR_DESIGN, QUIET_VALVE, design_flows, judge
from wetside.network.flow import EMPTY


def test_as_it_stands_it_is_not_balanced() -> None:
    flow = at_work(all_runs())
    off, _ = judge(laid(all_runs()), equipment(), wish(), flow)
    assert off.rule is NEAR_DESIGN
    assert off.verdict is Verdict.BREAKS
    assert off.place.startswith("emitter:R")


def test_balanced_it_holds() -> None:
    b = balanced()
    done = equipment().with_valves(b.settings).with_circulators(b.turned)
    off, quiet = judge(laid(all_runs()), done, wish(), b.after)
    assert (off.verdict, quiet.verdict) == (Verdict.HOLDS, Verdict.HOLDS)
    assert off.measured == pytest.approx(0.0, abs=0.01)
    assert quiet.rule is QUIET_VALVE


def test_design_flows_are_those_of_the_balance() -> None:
    b = balanced()
    done = equipment().with_valves(b.settings).with_circulators(b.turned)
    assert design_flows(laid(all_runs()), done, wish(), b.after) == pytest.approx(
        {e.name: e.design_kg_s for e in b.emitters}, rel=5e-3
    )


def test_limits() -> None:
    for rule, limit in ((NEAR_DESIGN, MOST_OFF), (QUIET_VALVE, MOST_PA)):
        assert rule.judge("x", limit, limit).verdict in (Verdict.HOLDS, Verdict.NEAR)
        assert rule.judge("x", limit * 1.001, limit).verdict is Verdict.BREAKS
        assert rule.judge("x", limit * 0.5, limit).verdict is Verdict.HOLDS


def test_nothing_drawn_is_nothing_judged() -> None:
    assert judge(laid(all_runs()), equipment(), wish(), replace(EMPTY)) == ()
