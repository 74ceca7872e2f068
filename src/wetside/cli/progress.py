"""A progress bar on the error stream, shown only to a person at a terminal."""

import sys
from collections.abc import Callable, Generator
from contextlib import contextmanager


@contextmanager
def steps(title: str, total: int) -> Generator[Callable[[str], None]]:
    """Yields a function that is called with the name of each step as it begins.

    :param total: number of steps
    """
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.progress import BarColumn, Progress, TextColumn

    from wetside.cli.teller import console

    columns = (
        TextColumn("{task.fields[step]}", markup=False),
        BarColumn(),
        TextColumn("{task.completed}/{task.total}"),
    )
    with Progress(*columns, console=console(err=True), transient=True) as bar:
        task = bar.add_task(title, total=total, step=title, start=True)
        done = 0

        def step(name: str) -> None:
            nonlocal done
            bar.update(task, step=name, completed=done)
            done += 1

        yield step
        bar.update(task, completed=total)
