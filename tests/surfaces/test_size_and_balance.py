"""`wetside size` and `wetside balance` from end to end: shown, as JSON, and written into the job."""

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from wetside.cli import exits
from wetside.sheets.jsonschema import sheet_schema

DEMOS = Path(__file__).parents[2] / "src" / "wetside" / "jobfile" / "demos"
Wetside = Callable[..., Any]


def job(tmp_path: Path, demo: str = "net-loft") -> Path:
    shutil.copytree(DEMOS / demo, tmp_path / demo)
    return tmp_path / demo


@pytest.mark.parametrize("command", ["size", "balance"])
@pytest.mark.parametrize("demo", ["net-loft", "schoolhouse-mended"])
def test_shown_and_as_json(wetside: Wetside, tmp_path: Path, command: str, demo: str) -> None:
    folder = job(tmp_path, demo)
    before = (folder / "job.toml").read_bytes()
    data = wetside(command, folder, "--json").data
    jsonschema.validate(data, sheet_schema(command))
    assert data["written"] == []
    shown = wetside(command, folder).out
    for v in data["valves"]:
        assert v["emitter"] in shown or command == "size"
    assert (folder / "job.toml").read_bytes() == before, "nothing is written unasked"


@pytest.mark.parametrize(("demo", "run"), [("net-loft", "heating flow"), ("schoolhouse", "")])
def test_sized_and_written_breaks_no_rule_of_water(wetside: Wetside, tmp_path: Path, demo: str, run: str) -> None:
    folder = job(tmp_path, demo)
    data = wetside("size", folder, "--write", "--json").data
    assert any(line.startswith(f"run {run}") for line in data["written"])
    assert (folder / "job.toml.before").exists()
    found = wetside("check", folder, "--json").data["findings"]
    broken = {f["id"] for f in found if f["verdict"] == "breaks"}
    assert not broken & {"NET-01", "NET-02", "NET-03", "BAL-01", "BAL-02"}
    judged = {f["id"] for f in found}
    assert {"NET-01", "NET-02", "BAL-01"} <= judged


@pytest.mark.parametrize("demo", ["net-loft", "schoolhouse", "schoolhouse-mended"])
def test_balanced_and_written_is_balanced(wetside: Wetside, tmp_path: Path, demo: str) -> None:
    folder = job(tmp_path, demo)
    data = wetside("balance", folder, "--write", "--json").data
    assert data["written"] or demo.endswith("-mended")
    # a loop of baseboards without a valve gets what it gets
    without = {v["emitter"] for v in data["valves"] if v["kv"] is None}
    found = wetside("check", folder, "--json").data["findings"]
    judged = [f for f in found if f["id"] in ("BAL-01", "BAL-02")]
    assert judged
    broken = {f["subject"].partition(",")[0] for f in judged if f["verdict"] == "breaks"}
    assert broken <= without
    assert not without or demo.startswith("schoolhouse")


@pytest.mark.parametrize("command", ["size", "balance"])
def test_twice_changes_nothing(wetside: Wetside, tmp_path: Path, command: str) -> None:
    folder = job(tmp_path)
    wetside(command, folder, "--write")
    once = (folder / "job.toml").read_bytes()
    wetside(command, folder, "--write")
    assert (folder / "job.toml").read_bytes() == once


def test_the_pack_has_the_page(wetside: Wetside, tmp_path: Path) -> None:
    import pypdf

    folder = job(tmp_path)
    data = wetside("balance", folder, "--json").data
    sheets = wetside("pack", folder, "-o", tmp_path / "p.pdf", "--json").data["sheets"]
    assert "Balancing" in sheets
    pages = [p.extract_text() for p in pypdf.PdfReader(tmp_path / "p.pdf").pages]
    page = next(t for t in pages if "Balancing" in t and "Open every valve" in t)
    for v in data["valves"]:
        assert v["emitter"] in page
        assert f"{v['kv']:.2f}" in page


def test_a_job_that_cannot_be_written(wetside: Wetside, tmp_path: Path) -> None:
    assert wetside("balance", tmp_path / "nowhere", "--write").code in (exits.FILE, exits.MISTAKES)
