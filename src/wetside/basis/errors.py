"""What can go wrong, and whose it is to mend.

    WetsideError
    ├── JobProblem     the person can mend it: every mistake at once, each with its place in the job
    ├── NoSolution     the network did not converge: worst residual, where, likely cause; no partial answer
    └── TableProblem   our own shipped data is wrong

Anything else is a bug and keeps its traceback. A broken design rule is a finding, never an exception.
"""

import re
from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, field, replace
from difflib import SequenceMatcher

from wetside.basis.record import record


class WetsideError(Exception):
    """Root of everything that wetside raises on purpose."""


@record(kw_only=False)
class Place:
    """Where in the job a thing was said: the thing by its kind and name, then the field, then the entry in it.

    Engineering floors name things (`kind="run"`, `name="primary"`, `field="moves"`, `index=3`); the job file floor
    turns that into a path and a line. `index` counts from 0.
    """

    kind: str
    name: str = ""
    field: str = ""
    index: int | None = None


@record(kw_only=False)
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


@record(kw_only=False)
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


_CLOSE = 0.5
"""Least likeness, 0 to 1, of a word and a name for the one to be taken for a slip of the other."""
_SHOWN = 24
_TOKEN = re.compile(r"\d+(?:[./]\d+)?|[^\W\d_]+")
_UNITS = frozenset({"mm", "in", "inch", "od"})


def nearest(word: str, known: Iterable[str], also: Mapping[str, str] | None = None) -> str:
    """A remedy for an unknown name: the nearest known one, else the whole list.

    Words may come in another order than in the name (``"22 mm copper"`` for ``"copper 22"``), and a unit beside a size
    counts for nothing. Names are listed in the order given, those of a set by the alphabet.

    :param also: other words for known names, such as a trade's abbreviations
    """
    names = list(dict.fromkeys(sorted(known) if isinstance(known, Set) else known))
    meant = (also or {}).get(word.strip().casefold())
    if meant in names:
        return f'did you mean "{meant}"?'
    likeness, close = max(((_likeness(word, n), n) for n in sorted(names)), default=(0.0, ""), key=lambda x: x[0])
    if likeness >= _CLOSE:
        return f'did you mean "{close}"?'
    if not names:
        return "none is defined"
    shown = ", ".join(f'"{n}"' for n in names[:_SHOWN])
    return f"known: {shown}{' …' if len(names) > _SHOWN else ''}"


def _likeness(word: str, name: str) -> float:
    """1 for the same text, 0 for nothing in common; as written, or with the words of both in one order."""
    a, b = word.casefold(), name.casefold()
    as_written = SequenceMatcher(None, b, a).ratio()
    one, two = _tokens(a), _tokens(b)
    if one and set(one) < set(two) and one[0][0].isdigit():
        return max(as_written, 0.75)  # a size alone
    if len(one) < 2 or len(two) < 2:
        return as_written
    return max(as_written, SequenceMatcher(None, " ".join(two), " ".join(one)).ratio())


def _tokens(text: str) -> list[str]:
    found = _TOKEN.findall(text)
    if any(x[0].isdigit() for x in found):
        found = [x for x in found if x not in _UNITS]
    return sorted(found)
