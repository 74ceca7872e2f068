"""What `size --write` and `balance --write` put into a job file, tried before it is saved."""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wetside.study.study import Study

MOST_ROUNDS = 5
"""A larger emitter moves its connections, and with them the tube: then once more with those."""


def write_balanced(job: Path, study: "Study") -> tuple[str, ...]:
    """Write the settings. Returns what was written.

    :raises JobProblem: the file can't be changed, or would be wrong; it is as it was then
    """
    from wetside.jobfile.save import Edit
    from wetside.jobfile.settings import trial, write_balance

    edit = Edit(job)
    done = write_balance(edit, study.design, study.balanced)
    trial(edit)
    edit.save()
    return done


def write_sized(job: Path, study: "Study") -> tuple[str, ...]:
    """Write tubes, emitters and the settings that go with them. Returns what was written.

    :raises JobProblem: the file can't be changed, or would be wrong; it is as it was then
    """
    from wetside.jobfile.save import Edit
    from wetside.jobfile.settings import trial, write_balance, write_size

    edit = Edit(job)
    done: dict[str, str] = {}
    for _ in range(MOST_ROUNDS):
        before = edit.text
        sized = study.sized
        lines = write_size(edit, study.design, sized)
        if sized.balance is not None:
            lines = (*lines, *write_balance(edit, study.design, sized.balance))
        done |= {line.partition(" = ")[0]: line for line in lines}
        if edit.text == before:
            break
        study = trial(edit)
        if not sized.emitters:
            break
    edit.save()
    return tuple(done.values())
