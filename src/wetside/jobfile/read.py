"""A job off the disk: file and bases → tables → `Design`. Every mistake at once, each with file, line and path."""

from collections.abc import Iterable
from pathlib import Path

from wetside.basis.errors import Mistake
from wetside.jobfile.build import build
from wetside.jobfile.check import check
from wetside.jobfile.source import Source
from wetside.jobfile.variant import load
from wetside.study.design import Design


def read_job(where: str | Path) -> Design:
    """The design that a folder's ``job.toml``, or the TOML file of a job or variant, states.

    :raises JobProblem: every mistake in the files, located. Mistakes of geometry show only in the readings: see
        `wetside.open_job`.
    """
    return design_of(load(where))


def locate(mistakes: Iterable[Mistake], where: str | Path) -> tuple[Mistake, ...]:
    """Mistakes of the engineering floors, with the file, line and path of what they name.

    :raises JobProblem: the files can't be read any more
    """
    found = tuple(mistakes)
    if not found:
        return ()
    source = load(where)
    return tuple(source.place(m) for m in found)


def design_of(source: Source) -> Design:
    """The design that merged tables state.

    :raises JobProblem: every mistake in them, located
    """
    design = build(check(source), source.files[0].shown)
    if (problem := source.problem()) is not None:
        raise problem
    if design is None:
        raise AssertionError("a design without faults is missing")
    return design
