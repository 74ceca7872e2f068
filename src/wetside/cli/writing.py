"""What `size --write` and `balance --write` put into a job file, tried before it is saved."""

from pathlib import Path
from typing import TYPE_CHECKING

from wetside.basis.errors import JobProblem

if TYPE_CHECKING:
    from wetside.sheets.assemble import AssembleSheet
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


def write_assembled(
    job: Path,
    study: "Study",
    *,
    boiler: str,
    parting: str,
    circuits: tuple[str, ...],
    without: tuple[str, ...],
    tube: str,
    small: str,
    beside: float | None,
    write: bool,
) -> "AssembleSheet":
    """Make the pipework near a boiler, try it in the job, and write it when asked.

    :raises JobProblem: there is no room, or the job would be wrong with it; the file is as it was then
    """
    from wetside.jobfile.assemble import assembled, choices_of, misses, write_assembly
    from wetside.jobfile.save import Edit
    from wetside.jobfile.settings import edited
    from wetside.pipework.assembly_spec import Part, Parting
    from wetside.sheets.assemble import assemble_sheet

    choices, notes = choices_of(
        study.design,
        boiler=boiler,
        parting=Parting(parting),
        circuits=circuits,
        without=[Part(w) for w in without],
        tube=tube,
        small=small,
        beside=beside,
    )
    made = assembled(choices, study.design)
    edit = Edit(job)
    write_assembly(edit, study.design, made)
    source, tried = edited(edit)
    try:
        found = misses(tried)
    except JobProblem as problem:
        raise JobProblem(tuple(source.place(m) for m in problem.mistakes)) from None
    # what the water still wants, such as circuits that lead back, is for the person to draw
    open_ends = tuple(f"{m.place.kind} {m.place.name}: {m.wrong}; {m.remedy}" for m in tried.mistakes)
    if write:
        edit.save()
    return assemble_sheet(study, choices.flow.owner, made, (*notes, *found, *open_ends), write)
