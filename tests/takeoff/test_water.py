"""The water that the heating holds leaves tap water out."""

import pytest

import wetside
from wetside.jobfile.new import new_job
from wetside.takeoff.water import heating_legs


def test_tap_water_tube_holds_no_heating_water(tmp_path) -> None:
    new_job(tmp_path / "job", like="net-loft")
    study = wetside.open_job(tmp_path / "job")
    legs = {leg.run for leg in heating_legs(study.pipework, study.design.boilers)}
    everything = {leg.run for leg in study.pipework.legs}
    assert everything - legs == {"cold feed", "hot feed"}
    tap = sum(
        leg.length_m * 3.14159265 / 4 * leg.tubes[0].bore_m ** 2
        for leg in study.pipework.legs
        if leg.run in ("cold feed", "hot feed")
    )
    whole = sum(
        p.length_m * 3.14159265 / 4 * p.tube.bore_m**2
        for leg in study.pipework.legs
        for p in leg.pieces
        if hasattr(p, "length_m")
    )
    emitters = sum(e.water_m3 for e in study.design.emitters)
    boilers = sum(b.water_m3 for b in study.design.boilers)
    assert study.water_m3 == pytest.approx(whole - tap + emitters + boilers, rel=1e-6)


def test_without_a_boiler_all_tube_counts(tmp_path) -> None:
    new_job(tmp_path / "job", like="net-loft")
    study = wetside.open_job(tmp_path / "job")
    assert heating_legs(study.pipework, ()) == study.pipework.legs
