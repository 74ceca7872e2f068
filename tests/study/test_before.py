"""A study begun from that of a design much the same says what one from nothing says."""

from dataclasses import replace
from typing import Any

import pytest

from wetside import open_job
from wetside.jobfile.new import demos, new_job
from wetside.study.design import Design
from wetside.study.gather import gather_at_once
from wetside.study.study import Study


def warmer(d: Design) -> Design:
    return replace(d, boilers=tuple(replace(b, flow_c=b.flow_c - 3.0) for b in d.boilers))


def colder_day(d: Design) -> Design:
    climate = replace(d.house.climate, outside_c=d.house.climate.outside_c - 4.0)
    return replace(d, house=replace(d.house, climate=climate))


def thicker(d: Design) -> Design:
    return replace(d, runs=tuple(replace(r, insulation_m=0.02) for r in d.runs))


def other_runs(d: Design) -> Design:
    return replace(d, runs=tuple(replace(r, room=d.house.rooms[0].name) for r in d.runs))


@pytest.fixture(scope="module", params=demos())
def first(request: Any, tmp_path_factory: pytest.TempPathFactory) -> Study:
    folder = tmp_path_factory.mktemp("before") / "job"
    new_job(folder, request.param)
    study = open_job(folder)
    assert study.mistakes == ()
    assert study.laid_findings
    return study


@pytest.mark.parametrize("change", [warmer, colder_day, thicker, other_runs])
def test_what_is_begun_from_another_is_the_same(first: Study, change: Any) -> None:
    design = change(first.design)
    begun, anew = Study(design, first), Study(design)
    assert begun.mistakes == anew.mistakes == ()
    assert begun.pipework == anew.pipework
    assert [(f.rule.id, f.subject, f.verdict) for f in gather_at_once(begun)] == [
        (f.rule.id, f.subject, f.verdict) for f in gather_at_once(anew)
    ]
    for a, b in zip(begun.flow.emitters, anew.flow.emitters, strict=True):
        assert a.output_w == pytest.approx(b.output_w, rel=1e-4, abs=0.05)
    for a, b in zip(begun.flow.legs, anew.flow.legs, strict=True):
        assert a.flow_kg_s == pytest.approx(b.flow_kg_s, rel=1e-3, abs=1e-5)


def test_what_did_not_change_is_not_worked_out_again(first: Study) -> None:
    assert Study(warmer(first.design), first).pipework is first.pipework
    assert Study(warmer(first.design), first).laid_findings is first.laid_findings
    assert Study(other_runs(first.design), first).pipework is not first.pipework


def test_what_is_wrong_with_a_design_is_told_whatever_it_began_from(first: Study) -> None:
    """Also where the net has as many links as before."""
    name = first.design.emitters[0].name
    design = replace(first.design, runs=tuple(r for r in first.design.runs if not r.end.startswith(f"{name}.")))
    assert Study(design, first).mistakes == Study(design).mistakes != ()
