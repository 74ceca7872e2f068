"""What sizing and balancing write: only what they found, comments and layout kept, variants by what differs."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from wetside import open_job
from wetside.basis.errors import JobProblem
from wetside.basis.quantity import Kind, System
from wetside.jobfile.new import new_job
from wetside.jobfile.save import Edit
from wetside.jobfile.settings import in_unit, trial, write_balance, write_size

DEMOS = Path(__file__).parents[2] / "src" / "wetside" / "jobfile" / "demos"


@pytest.fixture
def loft(tmp_path: Path) -> Path:
    shutil.copy(DEMOS / "net-loft" / "job.toml", tmp_path / "job.toml")
    return tmp_path


def comments(text: str) -> list[str]:
    return [line.partition("#")[2] for line in text.splitlines() if "#" in line]


def test_settings_are_written_and_read_back(loft: Path) -> None:
    study = open_job(loft)
    edit = Edit(loft)
    before = edit.text
    done = write_balance(edit, study.design, study.balanced)
    assert len(done) == len(study.balanced.settings) + len(study.balanced.turned)
    assert comments(edit.text) == comments(before)
    edit.save()
    read = open_job(loft)
    kvs = {i.name: i.kv_m3_h for i in read.design.items}
    for e in study.balanced.emitters:
        assert kvs[f"{e.name} lockshield"] == pytest.approx(e.kv_m3_h, rel=1e-4)
    speeds = {c.name: c.speed for c in read.design.circulators}
    assert speeds["heating circulator"] == study.balanced.turned["heating circulator"]
    watts = {c.name: c.watts for c in read.design.circulators}
    assert watts["heating circulator"] == pytest.approx(25.0 * speeds["heating circulator"] ** 3, rel=0.01)
    flows = {e.name: e.flow_kg_s for e in read.flow.emitters}
    for e in study.balanced.emitters:
        assert flows[e.name] == pytest.approx(e.design_kg_s, rel=0.01)


def test_sizes_are_written_and_read_back(loft: Path) -> None:
    study = open_job(loft)
    edit = Edit(loft)
    before = edit.text
    write_size(edit, study.design, study.sized)
    assert comments(edit.text) == comments(before)
    new = trial(edit)
    runs = {r.name: r for r in new.design.runs}
    for r in study.sized.runs:
        assert runs[r.name].tube == r.tube
        assert runs[r.name].moves == r.moves
    untouched = {r.name for r in study.design.runs} - {r.name for r in study.sized.runs}
    assert {runs[n] for n in untouched} == {r for r in study.design.runs if r.name in untouched}
    rated = {e.name: e.rated_w for e in new.design.emitters}
    for c in study.sized.emitters:
        assert rated[c.was.name] == pytest.approx(c.emitter.rated_w, rel=1e-3)


def test_a_variant_states_only_what_differs(loft: Path) -> None:
    (loft / "cooler.toml").write_text('base = "job.toml"\n\n[[boiler]]\nname = "boiler"\nflow = 66\n', encoding="utf-8")
    study = open_job(loft / "cooler.toml")
    base = (loft / "job.toml").read_bytes()
    edit = Edit(loft / "cooler.toml")
    write_balance(edit, study.design, study.balanced)
    edit.save()
    assert (loft / "job.toml").read_bytes() == base
    read = open_job(loft / "cooler.toml")
    assert read.design.boilers[0].flow_c == 66.0
    kvs = {i.name: i.kv_m3_h for i in read.design.items}
    assert kvs["R7 lockshield"] == pytest.approx(
        next(e.kv_m3_h for e in study.balanced.emitters if e.name == "R7"), rel=1e-4
    )


def test_a_boilers_own_circulator(loft: Path) -> None:
    study = open_job(loft)
    edit = Edit(loft)
    reading = replace(study.balanced, settings=(), turned={"boiler circulator": 0.61})
    assert write_balance(edit, study.design, reading) == ("boiler boiler: circulator.speed = 0.61",)
    assert trial(edit).design.boilers[0].circulator is not None
    assert trial(edit).design.boilers[0].circulator.speed == 0.61


def test_units_of_the_job() -> None:
    assert in_unit(0.8650, Kind.KV, System.US) == pytest.approx(1.0, rel=1e-3)
    assert in_unit(1.2, Kind.KV, System.METRIC) == 1.2
    assert in_unit(1.8, Kind.LENGTH, System.METRIC) == 1.8
    assert isinstance(in_unit(2.0, Kind.LENGTH, System.METRIC), int)


def test_a_file_that_would_be_wrong_is_not_saved(loft: Path) -> None:
    edit = Edit(loft)
    edit.put("run", "primary", "tube", "copper 23")
    with pytest.raises(JobProblem, match="copper 23"):
        trial(edit)


def test_a_list_changes_where_it_differs(loft: Path) -> None:
    edit = Edit(loft)
    moves = [str(m) for m in edit.value("run", "primary", "moves")]
    edit.relist("run", "primary", "moves", moves)
    assert edit.text == Edit(loft).text
    edit.relist("run", "primary", "moves", [*moves[:2], "tube copper 35", *moves[2:]])
    lines, before = edit.text.splitlines(), Edit(loft).text.splitlines()
    assert len([x for x in before if x not in lines]) <= 1, "one line is touched"


@pytest.mark.parametrize("demo", ["net-loft", "schoolhouse"])
def test_demos_can_be_started_sized_and_opened(tmp_path: Path, demo: str) -> None:
    new_job(tmp_path / "house", demo)
    study = open_job(tmp_path / "house")
    edit = Edit(tmp_path / "house")
    write_size(edit, study.design, study.sized)
    assert study.sized.balance is not None
    write_balance(edit, study.design, study.sized.balance)
    assert trial(edit).mistakes == ()
