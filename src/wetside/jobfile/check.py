"""Every table held against its model; what does not fit becomes a fault in plain words."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Annotated, Any, TypeVar, get_args, get_origin

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from wetside.basis.errors import nearest
from wetside.basis.quantity import System
from wetside.jobfile.field import Table
from wetside.jobfile.lines import Path as Steps
from wetside.jobfile.schema import EMITTERS, FORMAT, TABLES
from wetside.jobfile.source import Fault, Source
from wetside.jobfile.values import is_table, said, toml_text

T = TypeVar("T", bound=Table)

_QUOTED = re.compile(r"'((?:[^'\\]|\\.)*)'")
_WANTED = {
    "string": "text in quotes", "bool": "true or false", "int": "a whole number", "float": "a number",
    "list": "a list in [ ]", "tuple": "a list in [ ]", "model": "a table", "dict": "a table",
    "date": "a date such as 2026-11-01",
}  # fmt: skip


@dataclass(slots=True)
class Draft:
    """The tables that passed, with their positions, and the faults found so far."""

    source: Source
    system: System
    tables: dict[str, list[tuple[int, Table]]] = field(default_factory=dict[str, list[tuple[int, Table]]])

    def rows(self, table: str, model: type[T]) -> list[tuple[int, T]]:
        """The sound entries of a table with their positions among the merged ones."""
        return [(i, t) for i, t in self.tables.get(table, []) if isinstance(t, model)]

    def one(self, table: str, model: type[T]) -> T | None:
        """A table that stands once; its defaults when it is left out and may be."""
        rows = self.rows(table, model)
        if rows:
            return rows[0][1]
        return None if TABLES[table].needed or table in self.source.tables else model()

    def names(self, *tables: str) -> list[str]:
        """Names in use, also those of entries with a fault, so that one mistake does not bring another."""
        found: list[str] = []
        for table in tables:
            for _, entry in self.source.entries(table):
                if isinstance(name := entry.get("name"), str):
                    found.append(name)
        return found

    def faulty(self, *tables: str) -> set[str]:
        """Names of entries with a fault: whatever is asked of them, one mistake must not bring another."""
        marked = {f.path[:2] for f in self.source.faults}
        return {
            name
            for table in tables
            for index, entry in self.source.entries(table)
            if ((table, index) in marked or (table,) in marked) and isinstance(name := entry.get("name"), str)
        }

    def fault(self, path: Steps, wrong: str, remedy: str) -> None:
        self.source.faults.append(Fault(path, wrong, remedy))

    def know(self, path: Steps, word: str, known: list[str], what: str, also: Mapping[str, str] | None = None) -> bool:
        """Whether a name is known; a fault if not, with the nearest name (`also`: other words for known ones)."""
        if word in known:
            return True
        self.fault(path, f'no {what} is called "{word}"', nearest(word, known, also))
        return False


def check(source: Source) -> Draft:
    """Check every table; faults are added to the source."""
    faults = source.faults
    system = _system(source)
    draft = Draft(source, system)
    _format(source)
    for table, kind in TABLES.items():
        written = any(table in f.data for f in source.files)
        misspelt = get_close_matches(table, [str(f.path[0]) for f in faults if f.path[0] not in TABLES], n=1)
        told = misspelt or (written and any(f.path[0] == table for f in faults))
        if kind.needed and not source.tables.get(table) and not told:
            brackets = f"[[{table}]]" if kind.many else f"[{table}]"
            wrong = f"the table {brackets} is missing"
            faults.append(Fault((table,), wrong, f"add it, for example:  {brackets}  {_needed_text(kind.model)}"))
        for index, entry in source.entries(table):
            path: Steps = (table, index) if entry.origins[0].index is not None else (table,)
            if not is_table(entry.values):
                faults.append(Fault(path, f"{said(entry.values)} is no table", f"write [[{table}]]"))
                continue
            model = kind.model
            if table == "emitter":
                wanted = entry.get("kind")
                if not isinstance(wanted, str) or wanted not in EMITTERS:
                    wrong = "kind is missing" if wanted is None else f"{said(wanted)} is no kind of emitter"
                    faults.append(Fault((*path, "kind"), wrong, nearest(str(wanted or ""), EMITTERS)))
                    continue
                model = EMITTERS[wanted]
            try:
                sound = model.model_validate(entry.values, context=system)
            except ValidationError as bad:
                faults.extend(_fault(e, path, model) for e in _misspelt(bad.errors(include_url=False)))
            else:
                draft.tables.setdefault(table, []).append((index, sound))
    _twice(draft)
    return draft


def _system(source: Source) -> System:
    for _, entry in source.entries("job"):
        if entry.get("units") == "us":
            return System.US
    return System.METRIC


def _format(source: Source) -> None:
    base = source.files[-1]
    if "format" not in base.data:
        source.faults.append(Fault(("format",), "format is missing", f"begin the file with: format = {FORMAT}"))
    for file in source.files:
        stated = file.data.get("format", FORMAT)
        if isinstance(stated, bool) or stated != FORMAT:
            remedy = f"this wetside reads format = {FORMAT}"
            source.faults.append(Fault(("format",), f"format is {said(stated)}", remedy))


def _twice(draft: Draft) -> None:
    """Names given twice: within a table, and among all things that a run may refer to."""
    for table, kind in TABLES.items():
        if not kind.key or table == "accept":
            continue
        seen: set[tuple[object, ...]] = set()
        for index, entry in draft.source.entries(table):
            key = tuple(entry.get(k) for k in kind.key)
            if any(not isinstance(k, (str, int)) for k in key):
                continue
            if key in seen:
                spoken = ", ".join(said(k) for k in key)
                wrong = f"{spoken} stands twice"
                draft.fault(
                    (table, index, kind.key[-1]),
                    wrong,
                    "give each its own name" if kind.key == ("name",) else "make one of the two",
                )
            seen.add(key)
    owners: dict[str, str] = {}
    for table in ("boiler", "circulator", "item", "emitter", "tank", "vessel", "relief", "equipment", "run"):
        for index, entry in draft.source.entries(table):
            name = entry.get("name")
            if not isinstance(name, str):
                continue
            if owners.setdefault(name, table) != table:
                wrong = f'a {owners[name]} is called "{name}" too, so a run can\'t tell them apart'
                draft.fault((table, index, "name"), wrong, "give one of them another name")


def _misspelt(errors: list[ErrorDetails]) -> list[ErrorDetails]:
    """Without "missing" where an unknown field of nearly that name is told already."""
    extra = [e["loc"] for e in errors if e["type"] == "extra_forbidden"]
    return [
        e
        for e in errors
        if e["type"] != "missing"
        or not get_close_matches(str(e["loc"][-1]), [str(x[-1]) for x in extra if x[:-1] == e["loc"][:-1]], n=1)
    ]


def _fault(error: ErrorDetails, path: Steps, model: type[Table]) -> Fault:
    loc: Steps = tuple(error["loc"])
    kind, value, ctx = error["type"], error["input"], error.get("ctx", {})
    at = (*path, *loc)
    within, called = _model_at(model, loc[:-1]), loc[-1] if loc else ""
    if kind == "extra_forbidden":
        fields = list(within.model_fields) if within else []
        return Fault(at, f'"{str(called)[:60]}" is no field of {_where(path, loc)}', nearest(str(called)[:60], fields))
    if kind == "missing":
        if isinstance(called, int) or within is None:
            return Fault(at[:-1], "it has too few entries", "give all of them")
        remedy = f"add, for example: {_example(within, called)}"
        return Fault(path if len(loc) == 1 else at[:-1], f"{called} is missing", remedy)
    if kind == "wetside":
        return Fault(at, str(ctx.get("wrong")), str(ctx.get("remedy")))
    if kind == "literal_error":
        words = [m.replace("\\'", "'") for m in _QUOTED.findall(str(ctx.get("expected", "")))]
        remedy = nearest(value, words) if isinstance(value, str) else _list(words)
        return Fault(at, f"{said(value)} is not known here", remedy)
    if kind.endswith("too_long"):
        what = "the text is too long" if kind.startswith("string") else "it has too many entries"
        return Fault(at, what, f"at most {ctx.get('max_length')}{' characters' if kind.startswith('string') else ''}")
    if kind.endswith("too_short"):
        return Fault(at, "the text is empty", "say it")
    bounds = {"greater_than_equal": "at least {ge}", "less_than_equal": "at most {le}"}
    if kind in bounds:
        return Fault(at, f"{said(value)} is out of range", bounds[kind].format(**ctx))
    wanted = next((text for key, text in _WANTED.items() if kind.startswith(key)), None)
    if wanted is not None:
        return Fault(at, f"{said(value)} does not fit", f"write {wanted}")
    return Fault(at, f"{said(value)} does not fit", error["msg"].lower())


def _where(path: Steps, loc: Steps) -> str:
    inner = [str(step) for step in loc[:-1] if isinstance(step, str)]
    return " ".join([str(path[0]), *inner])


def _list(words: list[str]) -> str:
    return "one of " + ", ".join(f'"{w}"' for w in words)


def _model_at(model: type[Table], loc: Steps) -> type[Table] | None:
    """The model that a location inside `model` leads to."""
    at: type[Table] | None = model
    for step in loc:
        if isinstance(step, int):
            continue
        info = at.model_fields.get(step) if at else None
        at = table_in(info.annotation) if info else None
    return at


def table_in(annotation: Any) -> type[Table] | None:
    """The table that a field holds, or a list of them, if it does."""
    if isinstance(annotation, type) and issubclass(annotation, Table):
        return annotation
    inner = get_args(annotation)[:1] if get_origin(annotation) is Annotated else get_args(annotation)
    return next((found for x in inner if (found := table_in(x)) is not None), None)


def _example(model: type[Table], name: str) -> str:
    examples = model.model_fields[name].examples
    return f"{name} = {toml_text(examples[0])}" if examples else name


def _needed_text(model: type[Table]) -> str:
    return "  ".join(_example(model, n) for n, f in model.model_fields.items() if f.is_required())
