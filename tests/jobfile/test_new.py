"""A new job opens as it stands and never lands on top of something."""

import json
import subprocess
import sys

import jsonschema
import pytest

from wetside import open_job
from wetside.basis.errors import JobProblem
from wetside.basis.rules import Verdict
from wetside.jobfile.new import SCHEMA_LINE, demos, new_job
from wetside.jobfile.read import read_job


@pytest.mark.parametrize("like", [None, *demos()])
def test_a_new_job_reads(tmp_path, like):
    folder = tmp_path / "deep" / "house"
    written = new_job(folder, like)
    assert written[0] == folder / "job.toml"
    assert set(written) == {p for p in folder.rglob("*") if p.is_file()}
    assert written[0].read_text().startswith(SCHEMA_LINE)
    jsonschema.Draft202012Validator.check_schema(json.loads((folder / "job.schema.json").read_text()))
    for path in written:
        if path.suffix == ".toml":
            read_job(path)


def test_the_net_loft_is_shipped():
    assert "net-loft" in demos()


def test_an_empty_folder_will_do(tmp_path):
    assert (tmp_path / "job.toml") in new_job(tmp_path)


def test_a_folder_with_something_in_it_is_left_alone(tmp_path):
    (tmp_path / "letter.txt").write_text("dear")
    with pytest.raises(JobProblem, match="not empty"):
        new_job(tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["letter.txt"]
    with pytest.raises(JobProblem, match="it is a file"):
        new_job(tmp_path / "letter.txt")
    with pytest.raises(JobProblem, match="can't be written"):
        new_job(tmp_path / "letter.txt" / "below")


def test_the_starter_is_sound(tmp_path):
    """No must-rule breaks and every safety rule is known and holds: what people begin with teaches them."""
    new_job(tmp_path / "job")
    findings = open_job(tmp_path / "job").findings
    assert not [f for f in findings if f.broken_must]
    assert not [f for f in findings if f.verdict is Verdict.NOT_KNOWN]
    assert all(f.verdict in (Verdict.HOLDS, Verdict.NEAR) for f in findings if f.rule.safety)


def test_an_unknown_demo_names_the_nearest(tmp_path):
    with pytest.raises(JobProblem, match='did you mean "net-loft"'):
        new_job(tmp_path, "netloft")
    assert not list(tmp_path.iterdir())
    for odd in ("..", "net-loft/..", "", "."):
        with pytest.raises(JobProblem, match="no demo"):
            new_job(tmp_path, odd)


def test_names_no_folder_can_have(tmp_path):
    for odd in ("a\0b", "x" * 300):
        with pytest.raises(JobProblem):
            new_job(tmp_path / odd)


def test_making_one_needs_no_model_machinery():
    """`wetside new` copies files; it has no use for pydantic's slow import."""
    code = """import sys, tempfile
from wetside.jobfile.new import new_job
new_job(tempfile.mkdtemp())
print([m for m in ('pydantic', 'numpy', 'tomlkit') if m in sys.modules])"""
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"


def test_a_blank_job_lacks_rooms_and_nothing_else(tmp_path):
    new_job(tmp_path / "house", blank=True)
    with pytest.raises(JobProblem) as caught:
        open_job(tmp_path / "house")
    assert [m.wrong for m in caught.value.mistakes] == ["the table [[room]] is missing"]
    with (tmp_path / "house" / "job.toml").open("a") as file:
        file.write('[[room]]\nname = "Hall"\nstorey = "Ground"\nrectangle = [0, 0, 3, 4]\n')
    assert open_job(tmp_path / "house").rooms.total_w > 0
