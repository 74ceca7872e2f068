"""What commands share: the job, its JSON, what was written."""

import sys
from collections.abc import Callable, Generator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from wetside.basis.errors import JobProblem
from wetside.cli.teller import is_utf, say

if TYPE_CHECKING:
    from wetside.sheets.said import Sheet
    from wetside.sheets.written import WrittenFile
    from wetside.study.study import Study

F = TypeVar("F", bound=Callable[..., Any])


def job_argument(command: F) -> F:
    return click.argument("job", type=click.Path(path_type=Path), default=Path())(command)


def json_option(command: F) -> F:
    return click.option("--json", "as_json", is_flag=True, help="Print JSON; `wetside schema` prints its schema.")(
        command
    )


def tell_json(sheet: "Sheet") -> None:
    from wetside.sheets.said import as_json

    say(as_json(sheet, ascii_only=not is_utf(sys.stdout)))


@contextmanager
def opened(job: Path, *, whole: bool = True) -> "Generator[Study]":
    """The study of a job; mistakes that a reading raises get their file and line.

    :param whole: look for every mistake first, also in what this command does not show
    """
    from wetside import open_job

    study = open_job(job, check=False)
    try:
        if whole and study.mistakes:
            raise JobProblem(study.mistakes)
        yield study
    except JobProblem as problem:
        from wetside.jobfile.read import locate

        raise JobProblem(locate(problem.mistakes, job)) from None


def tell_written(title: str, files: "tuple[WrittenFile, ...]") -> None:
    from wetside.sheets.wording import clean

    say(clean(title))
    for f in files:
        title = "" if f.title == Path(f.file).name else f"  {clean(f.title)}"
        say(f"  {clean(f.file)}{title}")
