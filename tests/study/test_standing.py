"""Emitters before doors, and equipment outside the house."""

from dataclasses import replace
from pathlib import Path

import pytest

from wetside import open_job
from wetside.basis.quantity import System, tape
from wetside.basis.rules import Finding, Verdict
from wetside.emitter.spec import Emitter
from wetside.house.reading import PlacedOpening
from wetside.house.spec import Opening, Part
from wetside.jobfile.new import new_job
from wetside.pipework.spec import Port
from wetside.study.design import Design
from wetside.study.standing import IN_THE_HOUSE, clear_m, judge


@pytest.fixture(scope="module")
def design(tmp_path_factory: pytest.TempPathFactory) -> Design:
    folder = tmp_path_factory.mktemp("two") / "job"
    new_job(folder)
    return open_job(folder).design


def door(west: float, east: float, north: float = 0.0) -> PlacedOpening:
    return PlacedOpening(
        name="D1", room="Living room", storey="Ground", part=Part.DOOR, line=((west, north), (east, north)),
        width_m=east - west,
    )  # fmt: skip


def r1(design: Design) -> Emitter:
    """Stands under the south window, 1.30 m to 2.70 m east."""
    found = next(e for e in design.emitters if e.name == "R1")
    assert (found.at[0], found.length_m) == (2.0, 1.4)
    return found


def found(design: Design, *doors: PlacedOpening, e: Emitter | None = None) -> list[Finding]:
    said = Opening(
        name="D1", room="Living room", part=Part.DOOR, wall="south", construction="x", width_m=0.8, height_m=2.0
    )
    house = replace(design.house, openings=(said,))
    return list(judge(house, doors, (e or r1(design),), (), System.METRIC))


@pytest.mark.parametrize(
    ("west", "east", "free", "verdict"),
    [
        (0.3, 1.1, 0.2, Verdict.HOLDS),
        (0.5, 1.3, 0.0, Verdict.NEAR),
        (0.6, 1.4, -0.1, Verdict.BREAKS),
        (1.6, 2.4, -1.1, Verdict.BREAKS),
        (2.9, 3.7, 0.2, Verdict.HOLDS),
    ],
)
def test_an_emitter_keeps_clear_of_a_door_on_its_wall(
    design: Design, west: float, east: float, free: float, verdict: Verdict
) -> None:
    (finding,) = found(design, door(west, east))
    assert finding.measured == pytest.approx(free)
    assert finding.verdict is verdict
    if verdict is Verdict.BREAKS:
        assert finding.broken_must
        assert finding.remedy == f"move it {tape(-free, System.METRIC)} along the wall, or to another"


def test_doors_in_other_walls_count_for_nothing(design: Design) -> None:
    assert clear_m(r1(design), door(1.6, 2.4, north=3.6)) is None
    assert found(design, door(1.6, 2.4, north=3.6)) == []
    assert found(design, replace(door(1.6, 2.4), storey="First")) == []
    assert found(design, replace(door(1.6, 2.4), part=Part.WINDOW)) == []
    x, y, _ = r1(design).at
    assert found(design, door(1.6, 2.4), e=replace(r1(design), at=(x, y, 2.1))) == []


@pytest.mark.parametrize(
    ("height", "outside", "verdict"),
    [
        (1.2, 0.0, Verdict.HOLDS),
        (2.9, 0.5, Verdict.NEAR),
        (3.0, 0.6, Verdict.BREAKS),
        (-0.4, 0.4, Verdict.HOLDS),
        (-0.6, 0.6, Verdict.BREAKS),
        (60.0, 57.6, Verdict.BREAKS),
    ],
)
def test_equipment_stands_within_the_house(design: Design, height: float, outside: float, verdict: Verdict) -> None:
    port = Port(owner="relief valve", name="", at=(1, 1, height), faces=(0, 0, 1), owner_kind="relief")
    (finding,) = judge(design.house, (), (), (port,))
    assert finding.rule is IN_THE_HOUSE
    assert finding.measured == pytest.approx(outside)
    assert finding.verdict is verdict
    assert not finding.broken_must


def test_the_whole_job_is_judged(tmp_path: Path) -> None:
    new_job(tmp_path / "job")
    file = tmp_path / "job" / "job.toml"
    text = file.read_text(encoding="utf-8")
    text += '\n[[opening]]\nname = "Door"\nroom = "Living room"\npart = "door"\nwall = "south"\n'
    text += 'construction = "partition"\nwidth = 0.8\nheight = 2.0\n'
    text = text.replace("width = 1.8\n", "width = 0.5\noffset = 0.2\n", 1)
    file.write_text(text, encoding="utf-8")
    study = open_job(tmp_path / "job")
    broken = [f for f in study.findings if f.rule.id == "JOB-02" and f.verdict is Verdict.BREAKS]
    assert [f.subject for f in broken] == ["R1 and Door"]
