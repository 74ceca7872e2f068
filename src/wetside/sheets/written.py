"""What a command wrote, and what kept it from writing."""

from wetside.basis.errors import JobProblem, NoSolution
from wetside.basis.record import record
from wetside.sheets.said import said


@record
class WrittenFile:
    file: str = said("Path of the file.")
    title: str = said("What it shows.")


@record
class NewSheet:
    folder: str = said("Folder of the new job.")
    like: str = said("The demo that it was copied from; empty for a fresh job.")
    files: tuple[WrittenFile, ...] = said("What was written.")


@record
class DrawSheet:
    job: str = said("Name of the job.")
    folder: str = said("Folder of the drawings.")
    theme: str = said("One of light, dark, print.")
    files: tuple[WrittenFile, ...] = said("Every drawing.")


@record
class PackSheet:
    job: str = said("Name of the job.")
    file: str = said("Path of the PDF.")
    paper: str = said('One of "a4", "us-letter".')
    bytes: int = said("Its size.", "byte")
    sheets: tuple[str, ...] = said("Titles of the sheets in it, in order.")


@record
class CsvSheet:
    job: str = said("Name of the job.")
    file: str = said("Path of the CSV file.")


@record
class MistakeLine:
    file: str = said("File that holds the mistake; empty where it has none.")
    line: int | None = said("Line in that file, from 1; null where not known.")
    path: str = said("Where in the file, such as room[2].outline; empty where not known.")
    kind: str = said("Kind of thing: room, run, emitter and so on.")
    name: str = said("Its name.")
    field: str = said("The field that is wrong.")
    wrong: str = said("What is wrong.")
    remedy: str = said("What would be right.")


@record
class MistakesSheet:
    exit: int = said("The exit code, as `wetside --help` lists them.")
    mistakes: tuple[MistakeLine, ...] = said("Every mistake that was found.")


def mistakes_of(problem: JobProblem, code: int) -> MistakesSheet:
    """The mistakes of a job."""
    return MistakesSheet(
        exit=code,
        mistakes=tuple(
            MistakeLine(
                file=m.file,
                line=m.line,
                path=m.path,
                kind=m.place.kind,
                name=m.place.name,
                field=m.place.field,
                wrong=m.wrong,
                remedy=m.remedy,
            )
            for m in problem.mistakes
        ),
    )


def one_mistake(wrong: str, remedy: str, code: int, *, file: str = "", kind: str = "", name: str = "") -> MistakesSheet:
    """A single mistake that is no entry of a job: a wrong command line, a file that can't be read."""
    line = MistakeLine(file=file, line=None, path="", kind=kind, name=name, field="", wrong=wrong, remedy=remedy)
    return MistakesSheet(exit=code, mistakes=(line,))


def no_solution(problem: NoSolution, code: int) -> MistakesSheet:
    """A network without an answer: where it is worst, by how much, and the likely cause."""
    left = f"{problem.residuals.head_pa:.3g} Pa, {problem.residuals.mass_kg_s:.3g} kg/s"
    wrong = f"no solution after {problem.iterations} steps; worst at {problem.where}: {left}"
    return one_mistake(wrong, problem.cause, code, kind="network", name=problem.where)
