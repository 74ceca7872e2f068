"""What can go wrong, and whose it is to mend.

    WetsideError
    ├── JobProblem     the person can mend it: every mistake at once, each with its place in the job
    ├── NoSolution     the network did not converge: worst residual, where, likely cause; no partial answer
    └── TableProblem   our own shipped data is wrong

Anything else is a bug and keeps its traceback. A broken design rule is a finding, never an exception.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from difflib import get_close_matches


class WetsideError(Exception):
    """Root of everything that wetside raises on purpose."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where in the job a thing was said: the thing by its kind and name, then the field, then the entry in it.

    Engineering floors name things (`kind="run"`, `name="primary"`, `field="moves"`, `index=3`); the job file floor
    turns that into a path and a line. `index` counts from 0.
    """

    kind: str
    name: str = ""
    field: str = ""
    index: int | None = None


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake in a job: where, what is wrong, what would be right."""

    place: Place
    wrong: str
    remedy: str
    file: str = ""
    line: int | None = None
    path: str = ""

    def located(self, file: str, line: int | None, path: str) -> "Mistake":
        return replace(self, file=file, line=line, path=path)

    def __str__(self) -> str:
        where = self.file or "job"
        if self.line is not None:
            where += f", line {self.line}"
        field_text = self.path or " ".join(x for x in (self.place.kind, self.place.name, self.place.field) if x)
        return f"{where}: {field_text}: {self.wrong}. {self.remedy}"


class JobProblem(WetsideError):
    """The job can't be used as it is; carries every mistake that was found."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes: tuple[Mistake, ...] = tuple(mistakes)
        super().__init__("\n".join(str(m) for m in self.mistakes))


@dataclass(frozen=True, slots=True)
class Residuals:
    """What was left over when a solve stopped."""

    head_pa: float
    mass_kg_s: float
    energy_w: float = 0.0


class NoSolution(WetsideError):
    """A solve that stopped without an answer."""

    def __init__(self, iterations: int, residuals: Residuals, where: str, cause: str) -> None:
        self.iterations, self.residuals, self.where, self.cause = iterations, residuals, where, cause
        super().__init__(
            f"no solution after {iterations} steps; worst at {where}: "
            f"{residuals.head_pa:.3g} Pa, {residuals.mass_kg_s:.3g} kg/s. {cause}"
        )


class TableProblem(WetsideError):
    """A shipped table is damaged or cites a source that nobody listed."""


@dataclass
class MistakeList:
    """Collects mistakes so that a reader sees all of them at once."""

    found: list[Mistake] = field(default_factory=list[Mistake])

    def add(self, kind: str, name: str, field: str, wrong: str, remedy: str, index: int | None = None) -> None:
        self.found.append(Mistake(Place(kind, name, field, index), wrong, remedy))

    def raise_if_any(self) -> None:
        if self.found:
            raise JobProblem(self.found)


def nearest(word: str, known: Iterable[str]) -> str:
    """A remedy for an unknown name: the nearest known one, else the whole list."""
    names = sorted(set(known))
    by_folded = {n.casefold(): n for n in names}
    close = get_close_matches(word.casefold(), by_folded, n=1, cutoff=0.5)
    if close:
        return f'did you mean "{by_folded[close[0]]}"?'
    if not names:
        return "none is defined"
    shown = ", ".join(f'"{n}"' for n in names[:12])
    return f"known: {shown}{' …' if len(names) > 12 else ''}"
