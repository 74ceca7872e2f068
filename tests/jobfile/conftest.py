"""Jobs for the tests of the job file."""

from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest

STARTER = (files("wetside.jobfile") / "starter" / "job.toml").read_text(encoding="utf-8")


@pytest.fixture
def starter() -> str:
    """Text of the two-room job."""
    return STARTER


@pytest.fixture
def job(tmp_path: Path) -> Callable[..., Path]:
    """Write a job from text, the starter when none is given; returns its folder."""

    def write(text: str | bytes = STARTER, name: str = "job.toml") -> Path:
        data = text.encode() if isinstance(text, str) else text
        (tmp_path / name).write_bytes(data)
        return tmp_path

    return write


@pytest.fixture
def everything() -> str:
    """Text of the job that states every field."""
    return (Path(__file__).parent / "data" / "everything.toml").read_text(encoding="utf-8")
