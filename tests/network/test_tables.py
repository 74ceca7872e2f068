"""A net made by hand, as the manual shows it; and what is said when one is wrong."""

import doctest
from dataclasses import replace
from typing import Any

import pytest

import wetside.network.net as net_module
from wetside.basis.errors import JobProblem, NoSolution
from wetside.network.net import Coil, Curve, Net, NetLink, NetNode, Rating, Source
from wetside.network.solve import solve

A, B = NetNode(name="a"), NetNode(name="b")
PUMP = NetLink(name="pump", tail="a", head="b", curve=Curve(name="P", points=((0.0, 3e4), (1e-3, 1e4))))
TUBE = NetLink(name="tube", tail="b", head="a", length_m=10.0)


def test_example_in_the_docstring() -> None:
    failed, tried = doctest.testmod(net_module)
    assert tried > 3
    assert failed == 0


def said(*links: NetLink, nodes: tuple[NetNode, ...] = (A, B)) -> str:
    with pytest.raises(JobProblem) as caught:
        solve(Net(nodes=nodes, links=links))
    return str(caught.value)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"bore_m": 0.0}, "bore: 0 can't be"),
        ({"length_m": -1.0}, "length: -1 can't be"),
        ({"k": float("nan")}, "k: nan can't be"),
        ({"kv_m3_h": 0.0}, "kv: 0 can't be"),
        ({"roughness_m": 0.03}, "roughness: 0.03 can't be"),
        ({"ambient_c": float("inf")}, "ambient: inf can't be"),
        ({"tail": "bb"}, 'no node is called "bb". did you mean "b"?'),
        ({"source": Source(name="S", flow_c=60.0, output_w=-1.0)}, "output: -1 can't be"),
        ({"coil": Coil(name="C", store_c=float("nan"), coil_w_k=1.0)}, "store: nan can't be"),
        (
            {"rating": Rating(name="R", rated_w=0.0, rated_excess_k=50.0, exponent=1.3, room_c=20.0)},
            "rated: 0 can't be",
        ),
        ({"curve": Curve(name="Q", points=((0.0, 1.0), (1.0, 2.0)))}, "its head rises with flow"),
        ({"curve": Curve(name="Q", points=((1.0, 2.0), (0.5, 1.0)))}, "its flows do not ascend"),
        ({"curve": Curve(name="Q", points=())}, "its curve has no points"),
        (
            {"source": Source(name="S", flow_c=60.0, output_w=1.0), "coil": Coil(name="C", store_c=50.0, coil_w_k=1.0)},
            "more than one of circulator, source, coil, rating and exchanger",
        ),
    ],
)
def test_wrong_numbers_are_named(change: dict[str, Any], words: str) -> None:
    assert words in said(PUMP, replace(TUBE, **change))


def test_all_mistakes_at_once() -> None:
    text = said(PUMP, replace(PUMP, tail="x", bore_m=-1.0), nodes=(A, B, B))
    for words in ("two links are called", "two nodes are called", 'no node is called "x"', "bore: -1"):
        assert words in text


def test_empty_net() -> None:
    s = solve(Net(nodes=(), links=()))
    assert s.flow_kg_s.size == 0
    alone = solve(Net(nodes=(A,), links=(), fill_c=30.0))
    assert alone.temperature_c == pytest.approx([30.0])


def test_a_link_from_a_node_to_itself() -> None:
    ring = replace(PUMP, head="a", length_m=4.0)
    s = solve(Net(nodes=(A,), links=(ring,)))
    assert s.flow_kg_s[0] > 0.0
    assert s.drop_pa[0] == pytest.approx(s.lift_pa[0], abs=1e-3)


def test_no_solution_carries_evidence() -> None:
    with pytest.raises(NoSolution) as caught:
        solve(Net(nodes=(A, B), links=(PUMP, TUBE)), most_steps=1)
    problem = caught.value
    assert problem.iterations == 1
    assert problem.residuals.head_pa > 1.0
    assert problem.where == '"pump"'
    assert "do not settle" in problem.cause


def test_no_solution_names_circulators_against_each_other() -> None:
    strong = replace(PUMP, curve=Curve(name="strong", points=((0.0, 9e4), (1e-3, 8e4))))
    weak = replace(TUBE, tail="a", head="b", curve=Curve(name="weak", points=((0.0, 1e4), (1e-3, 1e3))))
    with pytest.raises(NoSolution, match="Two circulators against each other") as caught:
        solve(Net(nodes=(A, B), links=(strong, weak)), most_steps=1)
    assert "backwards through weak, pushed by strong" in caught.value.cause
