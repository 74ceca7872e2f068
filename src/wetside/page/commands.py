"""Commands: every change that the page makes, as data. The same command is tried on plain tables and made in the file.

A command is a JSON object, ``do`` says what:

    {"do": "set", "table": "room", "name": "Hall", "field": "inside", "value": 19}
    {"do": "unset", "table": "room", "name": "Hall", "field": "height"}
    {"do": "add", "table": "room", "values": {"name": "Den", "storey": "Ground", "rectangle": [0, 0, 3, 4]}}
    {"do": "remove", "table": "opening", "name": "W3"}
    {"do": "rename", "table": "room", "name": "Den", "to": "Study"}
    {"do": "many", "said": "Wall moved", "all": [ … ]}

``name`` is empty for a table that stands once, and the key fields joined by ", " for a table told by several
(``"Store, south"`` of ``[[wall]]``). Values are as the file has them: numbers in the job's units, or text with a unit.
"""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, Protocol, cast

from wetside.basis.errors import JobProblem, Mistake, Place
from wetside.basis.record import record
from wetside.jobfile.save import called
from wetside.jobfile.schema import TABLES

MOST_COMMANDS = 4000
MOST_TEXT = 2000
MOST_ENTRIES = 2000
DEEPEST = 6


class BadCommand(ValueError):
    """What arrived is no command."""


class Target(Protocol):
    """What commands are carried out on: `jobfile.save.Edit`, or `PlainTables`."""

    def set(self, table: str, name: str, field: str, value: object) -> None: ...
    def unset(self, table: str, name: str, field: str) -> None: ...
    def add(self, table: str, values: Mapping[str, object]) -> None: ...
    def remove(self, table: str, name: str = "") -> None: ...


@record(kw_only=False)
class Command:
    """One step; what is not needed for `do` is empty."""

    do: str
    table: str
    name: str = ""
    field: str = ""
    value: object = None


@record(kw_only=False)
class Change:
    """What the person did, in steps."""

    said: str
    steps: tuple[Command, ...]

    def touched(self) -> set[tuple[str, str, str]]:
        """Table, name and field of all that it changes; no field where the whole entry comes or goes."""
        found: set[tuple[str, str, str]] = set()
        for s in self.steps:
            name = s.name or (called(s.table, cast("dict[str, object]", s.value)) if s.do == "add" else "")
            found.add((s.table, name, s.field))
        return found


def parse(sent: object) -> Change:
    """A command as it arrived.

    :raises BadCommand: it is none, or it is too large
    """
    if not isinstance(sent, dict):
        raise BadCommand("a command is an object")
    given = cast("dict[str, Any]", sent)
    said = given.get("said", "")
    if not isinstance(said, str) or len(said) > 200:
        raise BadCommand("said is a short text")
    steps = tuple(_steps(given, 0))
    if not steps:
        raise BadCommand("a command has at least one step")
    if len(steps) > MOST_COMMANDS:
        raise BadCommand(f"more than {MOST_COMMANDS} steps")
    return Change(said or _spoken(steps), steps)


def _spoken(steps: tuple[Command, ...]) -> str:
    first = steps[0]
    word = {"set": "changed", "unset": "changed", "add": "added", "remove": "removed", "rename": "renamed"}[first.do]
    name = first.name or str(cast("dict[str, Any]", first.value).get("name", "") if first.do == "add" else "")
    return f"{first.table} {name} {word}".replace("  ", " ")


def _steps(given: Mapping[str, Any], depth: int) -> Iterator[Command]:
    do = given.get("do")
    if do == "many":
        inner = given.get("all")
        if depth > 2 or not isinstance(inner, list) or len(cast("list[object]", inner)) > MOST_COMMANDS:
            raise BadCommand("many has a list of commands")
        for one in cast("list[object]", inner):
            if not isinstance(one, dict):
                raise BadCommand("many has a list of commands")
            yield from _steps(cast("dict[str, Any]", one), depth + 1)
        return
    table = _text(given, "table", 40)
    if table not in TABLES:
        raise BadCommand("there is no such table")
    name = _text(given, "name", 200, needed=False)
    if do == "set":
        value = given.get("value")
        _plain(value, 0)
        field = _text(given, "field", 60)
        yield Command("set", table, name, field, _dated(table, field, value))
    elif do == "unset":
        yield Command("unset", table, name, _text(given, "field", 60))
    elif do == "add":
        values = given.get("values")
        if not isinstance(values, dict):
            raise BadCommand("add has values")
        _plain(cast("object", values), 0)
        own = {k: _dated(table, k, v) for k, v in cast("dict[str, object]", values).items()}
        yield Command("add", table, value=own)
    elif do == "remove":
        yield Command("remove", table, name)
    elif do == "rename":
        yield Command("rename", table, name, "name", _text(given, "to", 200))
    else:
        raise BadCommand("do is one of set, unset, add, remove, rename, many")


def _dated(table: str, field: str, value: object) -> object:
    """A date, which JSON has to write as text, as the file has it."""
    shape = TABLES[table].model.model_fields.get(field)
    if shape is None or shape.annotation is not date or not isinstance(value, str):
        return value
    try:
        return date.fromisoformat(value)
    except ValueError:
        return value


def _text(given: Mapping[str, Any], key: str, most: int, *, needed: bool = True) -> str:
    value = given.get(key, None if needed else "")
    if not isinstance(value, str) or len(value) > most or (needed and not value):
        raise BadCommand(f"{key} is a text of at most {most} characters")
    return value


def _plain(value: object, depth: int) -> None:
    """Only what TOML holds: text, finite numbers, truth values, lists and tables."""
    if depth > DEEPEST:
        raise BadCommand("too deep")
    if isinstance(value, bool):
        return
    if isinstance(value, str):
        if len(value) > MOST_TEXT:
            raise BadCommand("a text is too long")
        return
    if isinstance(value, int | float):
        if not -1e15 < value < 1e15:
            raise BadCommand("a number is out of range")
        return
    if isinstance(value, list):
        entries = cast("list[object]", value)
        if len(entries) > MOST_ENTRIES:
            raise BadCommand("a list is too long")
        for entry in entries:
            _plain(entry, depth + 1)
        return
    if isinstance(value, dict):
        for key, entry in cast("dict[object, object]", value).items():
            if not isinstance(key, str) or not 0 < len(key) <= 60:
                raise BadCommand("a field has no good name")
            _plain(entry, depth + 1)
        return
    raise BadCommand("a value is none that the file can hold")


class PlainTables:
    """Tables as plain lists and dictionaries: what a preview is tried on. Only what is touched is copied."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.data: dict[str, Any] = dict(data)
        self._own: set[str] = set()

    def set(self, table: str, name: str, field: str, value: object) -> None:
        self._entry(table, name, make=True)[field] = value

    def unset(self, table: str, name: str, field: str) -> None:
        self._entry(table, name).pop(field, None)

    def add(self, table: str, values: Mapping[str, object]) -> None:
        if not TABLES[table].many:
            self.data[table] = dict(values)
            return
        rows = self._rows(table)
        name = called(table, values)
        if name and any(called(table, r) == name for r in rows):
            raise JobProblem([Mistake(Place(table, name, "name"), "there is one already", "give it another name")])
        rows.append(dict(values))

    def remove(self, table: str, name: str = "") -> None:
        if not TABLES[table].many:
            self.data.pop(table, None)
            return
        entry = self._entry(table, name)
        self._rows(table).remove(entry)

    def _rows(self, table: str) -> list[dict[str, Any]]:
        if table not in self._own:
            self._own.add(table)
            self.data[table] = [dict(r) for r in self.data.get(table, [])]
        return self.data[table]

    def _entry(self, table: str, name: str, *, make: bool = False) -> dict[str, Any]:
        if not TABLES[table].many:
            if table not in self.data and not make:
                raise JobProblem([Mistake(Place(table), "there is no such table", "add it")])
            if table not in self._own:
                self._own.add(table)
                self.data[table] = dict(self.data.get(table, {}))
            return self.data[table]
        for row in self._rows(table):
            if called(table, row) == name:
                return row
        raise JobProblem([Mistake(Place(table, name), f'there is no {table} "{name}"', "it may have been renamed")])


def carry_out(change: Change, target: Target, data: Mapping[str, Any]) -> None:
    """Make every step.

    :param data: tables before the change, to find what refers to a renamed thing
    :raises JobProblem: a step names something that isn't there
    """
    for step in change.steps:
        if step.do == "set":
            target.set(step.table, step.name, step.field, step.value)
        elif step.do == "unset":
            target.unset(step.table, step.name, step.field)
        elif step.do == "add":
            target.add(step.table, cast("Mapping[str, object]", step.value))
        elif step.do == "remove":
            target.remove(step.table, step.name)
        else:
            _rename(step, target, data)


_REFERS: dict[str, tuple[tuple[str, str], ...]] = {
    "storey": (("room", "storey"), ("underlay", "storey"), ("structure", "storey")),
    "room": (("opening", "room"), ("emitter", "room"), ("tank", "room"), ("run", "room"), ("wall", "room")),
    "construction": (
        ("opening", "construction"), ("wall", "construction"), ("room", "outer_wall"), ("room", "floor"),
        ("room", "top"), ("fabric", "outer_wall"), ("fabric", "inner_wall"), ("fabric", "ground_floor"),
        ("fabric", "inner_floor"), ("fabric", "roof"), ("fabric", "inner_door"),
    ),
    "tube": (("run", "tube"),),
    "run": (("support", "run"),),
}  # fmt: skip
"""Fields that hold the name of an entry of that table."""


def _rename(step: Command, target: Target, data: Mapping[str, Any]) -> None:
    old, new = step.name, str(step.value)
    for table, field in _REFERS.get(step.table, ()):
        if not TABLES[table].many:
            if data.get(table, {}).get(field) == old:
                target.set(table, "", field, new)
            continue
        for row in data.get(table, []):
            if row.get(field) == old:
                target.set(table, called(table, row), field, new)
    for row in data.get("run", []):
        name = called("run", row)
        for field in ("start", "end"):
            owner, dot, port = str(row.get(field, "")).partition(".")
            if owner == old and step.table != "room":
                target.set("run", name, field, f"{new}{dot}{port}")
        moves = row.get("moves")
        if isinstance(moves, list):
            told = [_in_move(str(m), step.table, old, new) for m in cast("list[object]", moves)]
            if told != moves:
                target.set("run", name, "moves", told)
    for row in data.get("separation", []):
        tees = row.get("tees")
        if (
            step.table == "run"
            and isinstance(tees, list)
            and any(str(t).partition(".")[0] == old for t in cast("list[object]", tees))
        ):
            moved = [
                f"{new}.{str(t).partition('.')[2]}" if str(t).partition(".")[0] == old else t
                for t in cast("list[object]", tees)
            ]
            target.set("separation", called("separation", row), "tees", moved)
    for row in data.get("three_way", []):
        for field in ("tee", "sensor"):
            owner, dot, tee = str(row.get(field, "")).partition(".")
            if step.table == "run" and dot and owner == old:
                target.set("three_way", called("three_way", row), field, f"{new}.{tee}")
    target.set(step.table, old, "name", new)


def _in_move(move: str, table: str, old: str, new: str) -> str:
    word = {"circulator": "fit", "item": "fit", "tube": "tube"}.get(table)
    return f"{word} {new}" if word and move == f"{word} {old}" else move
