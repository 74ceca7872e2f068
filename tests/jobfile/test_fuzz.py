# ruff: noqa: E501 (lists of odd values)
"""Whatever stands in the file: a design, or mistakes with words. Never a traceback."""

import tomllib
import warnings
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wetside.basis.errors import JobProblem, NoSolution
from wetside.jobfile.read import locate, read_job
from wetside.jobfile.values import toml_text
from wetside.study.study import Study

STARTER = (Path(__file__).parents[2] / "src/wetside/jobfile/starter/job.toml").read_text(encoding="utf-8")
EVERYTHING = (Path(__file__).parent / "data" / "everything.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    return tmp_path_factory.mktemp("fuzz")


def survives(folder: Path, content: bytes) -> None:
    """Reading gives a design or a JobProblem whose every mistake has words and, where it can, a line of the file."""
    (folder / "job.toml").write_bytes(content)
    lines = content.count(b"\n") + 1
    try:
        design = read_job(folder)
    except JobProblem as problem:
        assert problem.mistakes
        for mistake in problem.mistakes:
            assert mistake.file == "job.toml"
            assert mistake.wrong and mistake.remedy and mistake.path
            assert mistake.line is None or 1 <= mistake.line <= lines
            assert "Traceback" not in str(mistake)
            assert len(str(mistake)) < 900
        return
    study = Study(design)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            found = study.mistakes
        except NoSolution:
            found = ()
        try:
            _ = study.rooms.total_w
        except JobProblem:
            assert found
    for mistake in locate(found, folder):
        assert mistake.file == "job.toml" and mistake.wrong


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(content=st.binary(max_size=300))
def test_any_bytes(folder, content):
    survives(folder, content)


@given(content=st.text(alphabet="[]{}=,.\"'#\n \t-+_0123456789eEinfaTtruroomjbnm:", max_size=200))
def test_text_that_looks_like_toml(folder, content):
    survives(folder, content.encode())


VALUES = st.sampled_from(
    ["0", "-1", "1e300", "-1e-300", "nan", "inf", "true", '""', '"x"', '"-3 m"', '"1e999 m"', '"5 furlongs"', "[]", "[[]]", "{}",
     "[1, 2]", "[1, 2, 3]", "[[1, 2], [1, 2]]", "2026-01-01", "9" * 30, "9" * 400, '"Kitchen"', '"boiler.flow"', '"flow.R2"',
     '["down 3 m"]', '["tee A", "tee A"]', '"south"', "3", "0.5", '"\\u0000"', '"\\U0001F525"', "{ name = 1 }", "-0.0", "1e-9"]
)  # fmt: skip


@settings(max_examples=250)
@given(
    text=st.sampled_from([STARTER, EVERYTHING]),
    changes=st.lists(
        st.tuples(st.sampled_from(["drop", "twice", "swap", "value", "cut"]), st.integers(0, 400), st.integers(0, 400), VALUES),
        min_size=1, max_size=4,
    ),
)  # fmt: skip
def test_a_job_with_lines_dropped_doubled_moved_and_altered(folder, text, changes):
    rows = text.splitlines()
    for how, a, b, value in changes:
        i, j = a % len(rows), b % len(rows)
        if how == "drop":
            del rows[i]
        elif how == "twice":
            rows.insert(j, rows[i])
        elif how == "swap":
            rows[i], rows[j] = rows[j], rows[i]
        elif how == "value" and "=" in rows[i]:
            rows[i] = f"{rows[i].split('=')[0]}= {value}"
        elif how == "cut":
            rows[i] = rows[i][: b % (len(rows[i]) + 1)]
    survives(folder, "\n".join(rows).encode())


JSON = st.recursive(
    st.one_of(st.booleans(), st.integers(-(10**20), 10**20), st.floats(), st.text(max_size=8),
              st.sampled_from(["2 m", "-4 mm", "70 degC", "boiler.flow", "Kitchen", "left", "roof"])),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(st.sampled_from(["name", "at", "x"]), inner, max_size=3)),
    max_leaves=6,
)  # fmt: skip


def write(data: dict) -> str:
    """TOML of a nested mapping, every table written inline."""
    return "\n".join(f"{k} = {toml_text(v)}" for k, v in data.items()) + "\n"


@settings(max_examples=250)
@given(data=st.data())
def test_any_value_at_any_path(folder, data):
    job = tomllib.loads(data.draw(st.sampled_from([STARTER, EVERYTHING])))
    for _ in range(data.draw(st.integers(1, 3))):
        at = job
        for _ in range(5):
            key = data.draw(st.sampled_from(sorted(at) if isinstance(at, dict) else range(len(at))))
            if isinstance(at[key], dict | list) and at[key] and data.draw(st.booleans()):
                at = at[key]
                continue
            at[key] = data.draw(JSON)
            break
    survives(folder, write(job).encode("utf-8", "replace"))


@pytest.mark.parametrize("depth", [50, 200, 500, 3000, 50_000])
@pytest.mark.parametrize("brackets", ["[]", "{}"])
def test_deep_nesting(folder, depth, brackets):
    inner = "[" * depth + "]" * depth if brackets == "[]" else "{ a = " * depth + "1" + " }" * depth
    survives(folder, STARTER.replace("inside = 21", f"inside = {inner}").encode())
    survives(folder, f"job.{'a.' * depth}b = 1\n".encode())
    survives(folder, f"[job.{'a.' * depth}b]\nx = 1\n".encode())
