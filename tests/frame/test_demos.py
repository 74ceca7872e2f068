"""The demo jobs: what the frame says of whole houses."""

from importlib.resources import as_file, files

import numpy as np
import pytest

from wetside import open_job
from wetside.basis.rules import Severity, Verdict
from wetside.frame import look
from wetside.frame.around import around
from wetside.frame.grow import hot_by_leg
from wetside.frame.model import model, supported, total_weight_n
from wetside.frame.propose import lay_supports
from wetside.frame.solve import solve
from wetside.frame.spacing import spacing_of
from wetside.study.study import Study

DEMOS = ("net-loft", "net-loft-mended", "schoolhouse", "schoolhouse-mended")


@pytest.fixture(scope="module", params=DEMOS)
def study(request: pytest.FixtureRequest) -> Study:
    with as_file(files("wetside.jobfile") / "demos" / request.param) as folder:
        return open_job(folder, check=False)


def test_no_must_rule_of_supports_breaks(study: Study) -> None:
    broken = [f for f in study.findings if f.rule.id.startswith("FRM") and f.verdict is Verdict.BREAKS]
    assert [f.subject for f in broken if f.rule.severity is Severity.MUST] == []


def test_the_mended_twins_can_be_built_and_grow_as_drawn(study: Study) -> None:
    broken = [f.subject for f in study.findings if f.rule.id[:3] in ("FAB", "FRM") and f.verdict is Verdict.BREAKS]
    assert (broken == []) == study.design.name.endswith("mended")


def test_every_connection_of_the_boiler_is_under_its_limits(study: Study) -> None:
    s = study.supporting
    assert {c.port for c in s.connections} >= {"boiler.flow", "boiler.return"}
    for c in s.connections:
        assert np.linalg.norm(c.force_n) <= s.force_limit_n
        assert np.linalg.norm(c.moment_n_m) <= s.moment_limit_n_m


def test_the_whole_house_is_carried_and_nothing_else(study: Study) -> None:
    d = study.design
    spacing = spacing_of(d.bracing.table, d.bracing.code, d.system)
    hot = hot_by_leg(study.pipework, 80.0, 10.0)
    laid = lay_supports(study.pipework, d.bracing, spacing, around(d.house), hot, d.system)
    placed = [p for mine in laid.chosen.values() for p in mine]
    made = model(study.pipework, laid.on, placed, [], rise_k={name: c - 10.0 for name, c in hot.items()}, end_items={})
    f, _ = supported(made, laid.on, placed)
    s = solve(f)
    weight = total_weight_n(f)
    assert s.weight.reaction[:, :3].sum(axis=0) == pytest.approx([0.0, 0.0, weight], abs=1e-6 * weight)
    middle = (f.at[f.beams.ends[:, 0]] + f.at[f.beams.ends[:, 1]]) / 2
    loads = f.beams.load_n_m * s.lines.length_m[:, None]
    moment = (
        s.weight.reaction[:, 3:].sum(axis=0)
        + np.cross(f.at, s.weight.reaction[:, :3] + f.load[:, :3]).sum(axis=0)
        + np.cross(middle, loads).sum(axis=0)
    )
    assert moment == pytest.approx([0.0] * 3, abs=1e-5 * weight)
    assert s.heat.reaction[:, :3].sum(axis=0) == pytest.approx([0.0] * 3, abs=1e-3)
    # and the reading says the same of it
    assert study.supporting.weight_n >= weight
    assert {x.run for x in study.supporting.supports} <= {r.name for r in d.runs}


def test_how_many_frames_are_solved_at_once_makes_no_difference(study: Study, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(look, "TOGETHER", 1)
    alone = Study(study.design).supporting
    first, second = ([(x.name, x.kind, x.at) for x in s.supports] for s in (alone, study.supporting))
    assert first == second
    for mine, other in zip(alone.runs, study.supporting.runs, strict=True):
        assert mine.stress_pa == pytest.approx(other.stress_pa, rel=1e-9)


def test_every_run_is_within_its_spacing(study: Study) -> None:
    for span in study.supporting.spans:
        assert span.allowed_m is not None
        assert span.length_m <= span.allowed_m * (1 + 1e-9), span


def test_what_two_must_lift_is_named(study: Study) -> None:
    heavy = study.supporting.heavy
    assert heavy and all(h.mass_kg >= 25 for h in heavy)
    assert [h.mass_kg for h in heavy] == sorted((h.mass_kg for h in heavy), reverse=True)


def test_supports_meet_the_joists_of_the_net_loft(study: Study) -> None:
    joists = [t for t in study.design.bracing.timbers if t.what == "joist"]
    across = [
        s
        for s in study.supporting.supports
        if s.fixed_to == "joist" and any(t.low_m <= s.at[2] <= t.high_m for t in joists)
    ]
    assert bool(across) == study.design.name.startswith("Net loft")
    for s in across:
        steps = (s.at[0] - 0.2) / 0.4
        assert steps == pytest.approx(round(steps), abs=1e-6)
