"""wetside: one house's hot-water heating from survey to first fire."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from wetside.study.study import Study

__version__ = "0.1.0"
__all__ = ["__version__", "open_job"]


def open_job(where: "str | Path", *, check: bool = True) -> "Study":
    """Read a job and offer all its readings.

    :param where: folder with a ``job.toml``, or the TOML file of a job or variant
    :param check: also look for mistakes that only geometry shows; without it the readings raise them when asked
    :raises JobProblem: every mistake found, each with file, line and path
    """
    from wetside.basis.errors import JobProblem, NoSolution
    from wetside.jobfile.read import locate, read_job
    from wetside.study.study import Study

    study = Study(read_job(where))
    if check:
        try:
            found = study.mistakes
        except NoSolution:
            # no mistake of the job's: the flow reading says so itself when it is asked
            found = ()
        if found:
            raise JobProblem(locate(found, where))
    return study
