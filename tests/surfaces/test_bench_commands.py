"""Bench sheets and made assemblies from the terminal, to the job file and back."""

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from wetside import open_job
from wetside.basis.rules import Verdict
from wetside.sheets.jsonschema import sheet_schema

Wetside = Callable[..., Any]


@pytest.fixture
def house(jobs: dict[str, Path], tmp_path: Path) -> Path:
    return Path(shutil.copytree(jobs["net-loft"], tmp_path / "house"))


def test_bench_sheets_as_json(job: Path, wetside: Wetside) -> None:
    data = wetside("bench", job, "--json").data
    jsonschema.validate(data, sheet_schema("bench"))
    assert data["assemblies"]
    text = wetside("bench", job, columns=100).out
    for assembly in data["assemblies"]:
        assert assembly["name"] in text
        assert all(c["name"] in text for c in assembly["cuts"])


def test_an_assembly_is_shown_first_and_written_when_asked(house: Path, wetside: Wetside) -> None:
    before = (house / "job.toml").read_bytes()
    shown = wetside("assemble", house, "--json").data
    jsonschema.validate(shown, sheet_schema("assemble"))
    assert (house / "job.toml").read_bytes() == before
    assert shown["written"] is False
    done = wetside("assemble", house, "--write", "--json").data
    assert done["written"] is True
    assert done["runs"] == shown["runs"]
    text = (house / "job.toml").read_text(encoding="utf-8")
    assert "# ---- pipe, as a fitter would say it aloud" in text, "comments stay"
    study = open_job(house)
    primary = next(r for r in study.design.runs if r.name == "primary")
    assert [m.text for m in primary.moves] == next(r for r in shown["runs"] if r["name"] == "primary")["moves"]
    # the house's own runs stay, and what they miss now is told
    assert any("heating return now misses primary.B" in n for n in done["notes"])
    tees = [f for f in study.findings if f.rule.id in ("PLA-10", "PLA-14", "PLA-15", "PLA-16")]
    assert len(tees) == 4
    assert all(f.verdict in (Verdict.HOLDS, Verdict.NEAR) for f in tees)


def test_a_separator_and_two_circuits_into_a_bare_job(house: Path, wetside: Wetside) -> None:
    """Without runs, vessel's and valve's places or pairs in the job: all of it comes from the choices."""
    import tomlkit

    file = house / "job.toml"
    doc: Any = tomlkit.parse(file.read_text(encoding="utf-8"))
    for table in ("run", "separation", "support", "emitter", "three_way"):
        doc.pop(table, None)
    doc["equipment"] = [e for e in doc["equipment"] if e["name"] != "filling loop"]
    for table in ("vessel", "relief"):
        for entry in doc[table]:
            del entry["at"], entry["faces"]
    file.write_text(tomlkit.dumps(doc), encoding="utf-8")
    done = wetside(
        "assemble", house, "--parting", "separator", "--circuit", "ground", "--circuit", "upper", "--write", "--json"
    ).data
    assert {"primary flow", "primary return", "house flow", "house return", "ground flow", "ground return"} <= {
        r["name"] for r in done["runs"]
    }
    assert any("no circulator for upper" in n for n in done["notes"])
    again = wetside("assemble", house, "--parting", "separator", "--circuit", "ground", "--circuit", "upper", "--json")
    assert again.data["places"] == done["places"]
    study = open_job(house, check=False)
    assert max(c.size_m for c in study.pipework.closures) < 1e-4
    assert {p.ref for p in study.design.ports} >= {"separator.heating_flow", "vessel", "relief valve", "filling loop"}


def test_no_room(house: Path, wetside: Wetside) -> None:
    outcome = wetside("assemble", house, "--wall", "0.6 m", "--json")
    assert outcome.code == 3
    assert "west of boiler.flow" in outcome.data["mistakes"][0]["wrong"]
    assert wetside("assemble", house, "--wall", "much").code == 2
    assert "copper" in wetside("assemble", house, "--tube", "coper 28", "--json").data["mistakes"][0]["remedy"]
