"""A job and its bases merged: a variant states only what it changes.

Tables are matched by name. A named table that the base has not is added; one that it has is overlaid field by field
(a list is replaced whole); ``remove = true`` takes it away; ``without = ["field"]`` drops fields of the base.
"""

from pathlib import Path
from typing import Any

from wetside.basis.errors import JobProblem, nearest
from wetside.jobfile.files import TomlFile, job_path, problem, read_toml
from wetside.jobfile.schema import EMITTERS, TABLES
from wetside.jobfile.source import Entry, Fault, Origin, Source
from wetside.jobfile.values import is_list, is_table

_DEEPEST = 20


def load(where: str | Path) -> Source:
    """Read the file and all its bases, and merge them.

    :raises JobProblem: one of the files is missing or no TOML, or the bases go round in a circle
    """
    return merge(chain(where))


def merge(files: tuple[TomlFile, ...]) -> Source:
    """A file and its bases merged. What the files hold is not changed."""
    source = Source(files, {})
    for number in range(len(files) - 1, -1, -1):
        _overlay(source, number, variant=number < len(files) - 1)
    return source


def chain(where: str | Path) -> tuple[TomlFile, ...]:
    """The file that is asked for, its base behind it, and so on.

    :raises JobProblem: one of the files is missing or no TOML, or the bases go round in a circle
    """
    return tuple(_chain(job_path(where)))


def _chain(path: Path) -> list[TomlFile]:
    files: list[TomlFile] = []
    seen: list[Path] = []
    folder = path.parent
    while True:
        real = path.resolve()
        try:
            shown = real.relative_to(folder.resolve()).as_posix()
        except ValueError:
            shown = path.name
        if real in seen or len(files) >= _DEEPEST:
            line = Source((files[-1],), {}).line(0, ("base",))
            long = f"more than {_DEEPEST} bases stand on each other"
            wrong = f'base = "{shown}" leads back to itself' if real in seen else long
            raise problem(files[-1].shown, wrong, "let one of the files have no base", line, "base")
        files.append(read_toml(path, shown))
        seen.append(real)
        base = files[-1].data.get("base")
        if base is None:
            return files
        path = _base(files[-1], base)


def _base(file: TomlFile, base: object) -> Path:
    line = Source((file,), {}).line(0, ("base",))
    remedy = 'name a TOML file beside this one: base = "job.toml"'
    if not isinstance(base, str) or not base.strip() or not base.isprintable():
        raise problem(file.shown, "base is no file name", remedy, line, "base")
    path = file.path.parent / base
    try:
        return job_path(path)
    except JobProblem as missing:
        others = [p.name for p in sorted(file.path.parent.glob("*.toml")) if p.name != file.path.name]
        wrong = f'base "{base[:80]}": {missing.mistakes[0].wrong}'
        raise problem(file.shown, wrong, nearest(base, others) if others else remedy, line, "base") from None


def _overlay(source: Source, number: int, variant: bool) -> None:
    data = source.files[number].data
    for table, content in data.items():
        if table in ("format", "base"):
            continue
        kind = TABLES.get(table)
        if kind is None:
            source.faults.append(Fault((table,), f'"{table}" is no table of a job', nearest(table, TABLES)))
        elif kind.many and is_list(content):
            for index, values in enumerate(content):
                _entry(source, table, values, Origin(number, index, _keys(values)), variant)
        elif not kind.many and is_table(content):
            _entry(source, table, content, Origin(number, None, _keys(content)), variant)
        elif is_table(content) or is_list(content):
            wrong = f"{table} stands in {'one pair' if kind.many else 'two pairs'} of brackets"
            remedy = f"write [[{table}]], once for each" if kind.many else f"write [{table}], once"
            source.faults.append(Fault((table,), wrong, remedy))
            # taken as meant, so that this slip does not bring others
            if is_list(content):
                for values in content[:1]:
                    _entry(source, table, values, Origin(number, 0, _keys(values)), variant)
            else:
                _entry(source, table, content, Origin(number, None, _keys(content)), variant)
        else:
            remedy = f"write [[{table}]] and its fields below" if kind.many else f"write [{table}] and its fields below"
            source.faults.append(Fault((table,), f"{table} is a table", remedy))


def _keys(values: object) -> frozenset[str]:
    return frozenset(values) if is_table(values) else frozenset()


def _entry(source: Source, table: str, values: object, origin: Origin, variant: bool) -> None:
    entries = source.tables.setdefault(table, [])
    if not variant or not is_table(values):
        entries.append(Entry(values, [origin]))
        return
    stated: dict[str, Any] = dict(values)
    keys = TABLES[table].key
    # a `[[wall]]` is told by room and wall; without its key fields it can't be matched and is checked as a new table
    base = None
    if not keys or any(k in stated for k in keys):
        wanted = [stated.get(k) for k in keys]
        base = next((e for e in entries if [e.get(k) for k in keys] == wanted), None)
    marked = "remove" in stated or "without" in stated
    if marked:
        _marked(source, table, stated, origin, base)
        return
    if base is None:
        entries.append(Entry(stated, [origin]))
        return
    _lay_over(table, base, stated, origin)


def _lay_over(table: str, base: Entry, stated: dict[str, Any], origin: Origin) -> None:
    old: dict[str, Any] = dict(base.values) if is_table(base.values) else {}
    if table == "emitter" and "kind" in stated and stated["kind"] != old.get("kind"):
        # another kind of emitter: fields that only the old kind has go with it
        model = EMITTERS.get(str(stated["kind"]))
        if model is not None:
            old = {k: v for k, v in old.items() if k in model.model_fields}
    base.values = old | stated
    base.origins.append(origin)


def _marked(source: Source, table: str, stated: dict[str, Any], origin: Origin, base: Entry | None) -> None:
    """A table with ``remove`` or ``without``."""
    entries = source.tables[table]
    keys = TABLES[table].key

    def fault(field: str, wrong: str, remedy: str) -> None:
        at: tuple[str | int, ...] = (table, origin.index, field) if origin.index is not None else (table, field)
        source.faults.append(Fault(at, wrong, remedy, Entry(stated, [origin])))

    if base is None:
        named = ", ".join(f'{k} "{stated.get(k)}"' for k in keys) or "such table"
        known = [str(e.get(keys[0])) for e in entries if e.get(keys[0])] if keys else []
        mark = "remove" if "remove" in stated else "without"
        fault(
            mark,
            f"the base has no {table} with {named}"[:200],
            nearest(str(stated.get(keys[0])), known) if keys else "leave it out",
        )
        return
    if "remove" in stated:
        if stated["remove"] is not True or set(stated) - {"remove", *keys}:
            fault("remove", "a table that is removed states nothing else", "keep its name and remove = true")
        elif TABLES[table].needed and not TABLES[table].many:
            fault("remove", f"a job can't do without [{table}]", "change its fields instead")
        else:
            entries.remove(base)
        return
    dropped = stated.pop("without")
    known = [str(k) for k in base.values if k not in keys] if is_table(base.values) else []
    if not is_list(dropped) or not all(isinstance(x, str) for x in dropped):
        fault("without", "without is a list of field names", 'write without = ["wall"]')
        return
    for field in dropped:
        if field not in known:
            fault("without", f'the base\'s {table} has no field "{field}"'[:200], nearest(str(field), known))
            return
    if is_table(base.values):
        base.values = {k: v for k, v in base.values.items() if k not in dropped}
    _lay_over(table, base, stated, Origin(origin.file, origin.index, origin.keys - {"without"}))
