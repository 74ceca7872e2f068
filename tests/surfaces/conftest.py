"""Demo jobs made the way a person makes them, and ways to run a command on them."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from wetside.cli.main import run as run_inside
from wetside.jobfile.new import demos, new_job

DEMOS = demos()


@dataclass(frozen=True)
class Outcome:
    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        return json.loads(self.out)


@pytest.fixture(scope="session")
def jobs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Folder of each demo job."""
    made: dict[str, Path] = {}
    for name in DEMOS:
        made[name] = tmp_path_factory.mktemp("jobs") / name
        new_job(made[name], name)
    return made


@pytest.fixture(params=DEMOS)
def job(request: pytest.FixtureRequest, jobs: dict[str, Path]) -> Path:
    """Every demo job in turn."""
    return jobs[request.param]


@pytest.fixture(scope="session")
def packs(jobs: dict[str, Path]) -> Callable[[Path], Path]:
    """The pack of a demo job, made once by the command."""
    made: dict[Path, Path] = {}

    def pack(job: Path) -> Path:
        if job not in made:
            file = job.with_suffix(".pdf")
            assert run_inside(["pack", str(job), "-o", str(file)]) == 0
            made[job] = file
        return made[job]

    return pack


@pytest.fixture
def wetside(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., Outcome]:
    """Run a command line inside this process, at 80 columns unless told otherwise."""

    def run(*args: str | Path, columns: int = 80) -> Outcome:
        monkeypatch.setenv("COLUMNS", str(columns))
        capsys.readouterr()
        code = run_inside([str(a) for a in args])
        out, err = capsys.readouterr()
        return Outcome(code, out, err)

    return run
