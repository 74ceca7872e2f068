"""A job as written: its file and the bases that it builds on, merged, with the origin of every table kept."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from wetside.basis.errors import JobProblem, Mistake, Place
from wetside.basis.record import record
from wetside.jobfile.files import TomlFile
from wetside.jobfile.lines import Lines
from wetside.jobfile.lines import Path as Steps
from wetside.jobfile.values import is_table


@record(kw_only=False)
class Origin:
    """One file's part in a table: which file, the table's position there, the fields it states."""

    file: int
    index: int | None
    keys: frozenset[str]


@dataclass(slots=True)
class Entry:
    """One table after merging. `values` is whatever the file holds, if it is no table at all."""

    values: object
    origins: list[Origin]

    def get(self, key: str) -> object:
        return self.values.get(key) if is_table(self.values) else None


@record(kw_only=False)
class Fault:
    """A mistake by its exact place in the merged tables: ``("run", 3, "moves", 4)``."""

    path: Steps
    wrong: str
    remedy: str
    entry: Entry | None = None
    """The table that the path leads to, where it is not (or no longer) among the merged ones."""


@dataclass(slots=True)
class Source:
    """`files[0]` is the file that was asked for; its base follows, and so on."""

    files: tuple[TomlFile, ...]
    tables: dict[str, list[Entry]]
    faults: list[Fault] = field(default_factory=list[Fault])
    _lines: dict[int, Lines] = field(default_factory=dict[int, Lines])

    @property
    def folder(self) -> Path:
        return self.files[0].path.parent

    def entries(self, table: str) -> Iterator[tuple[int, Entry]]:
        yield from enumerate(self.tables.get(table, []))

    def line(self, file: int, path: Steps) -> int | None:
        if file not in self._lines:
            self._lines[file] = Lines(self.files[file].content)
        return self._lines[file].of(path)

    def locate(self, fault: Fault) -> Mistake:
        """The fault with its file, line and spoken path."""
        path = fault.path
        table = str(path[0]) if path else ""
        entry, rest = self._entry(path)
        if fault.entry is not None:
            entry, rest = fault.entry, path[2:] if len(path) > 1 and isinstance(path[1], int) else path[1:]
        place = Place(table, _name(entry), str(rest[0]) if rest else "", _index(rest))
        if entry is None:
            # a whole table, or something at the top of the file: the first file that has it
            for i, file in enumerate(self.files):
                if table in file.data:
                    return Mistake(place, fault.wrong, fault.remedy, file.shown, self.line(i, path), spoken(path, None))
            return Mistake(place, fault.wrong, fault.remedy, self.files[0].shown, None, spoken(path, None))
        origin = next(
            (o for o in reversed(entry.origins) if rest and rest[0] in o.keys),
            entry.origins[-1] if not rest else entry.origins[0],
        )
        head: Steps = (table,) if origin.index is None else (table, origin.index)
        line = self.line(origin.file, (*head, *rest))
        return Mistake(place, fault.wrong, fault.remedy, self.files[origin.file].shown, line, spoken(path, entry))

    def place(self, mistake: Mistake) -> Mistake:
        """An engineering floor's mistake, which names its thing, with file, line and spoken path."""
        at = mistake.place
        if mistake.file or at.kind not in self.tables:
            return mistake if mistake.file else mistake.located(self.files[0].shown, None, mistake.path)
        found = self._called(mistake)
        single = len(self.tables[at.kind]) == 1 and self.tables[at.kind][0].origins[0].index is None
        if found is None and not single:
            return mistake.located(self.files[0].shown, None, mistake.path)
        path: Steps = (at.kind,) if single else (at.kind, found or 0)
        if at.field:
            path = (*path, at.field)
            if at.index is not None:
                path = (*path, at.index)
        where = self.locate(Fault(path, mistake.wrong, mistake.remedy))
        return mistake.located(where.file, where.line, where.path)

    def problem(self) -> JobProblem | None:
        """All faults, in the order of the files; nothing when there are none."""
        if not self.faults:
            return None
        found = {(m.file, m.line or 0, m.path, m.wrong): m for m in map(self.locate, self.faults)}
        names = [f.shown for f in self.files]
        return JobProblem(m for _, m in sorted(found.items(), key=lambda x: (names.index(x[0][0]), *x[0][1:])))

    def _called(self, mistake: Mistake) -> int | None:
        """The entry that a mistake names. Walls are named by their room: the one whose figures the message quotes."""
        at = mistake.place
        keys = ("name", "room", "rule")
        named = [(i, e) for i, e in self.entries(at.kind) if next(filter(None, map(e.get, keys)), None) == at.name]
        quoted = [i for i, e in named if any(str(e.get(k)) in mistake.wrong for k in (at.field, "wall") if e.get(k))]
        return quoted[0] if len(named) > 1 and quoted else named[0][0] if named else None

    def _entry(self, path: Steps) -> tuple[Entry | None, Steps]:
        entries = self.tables.get(str(path[0])) if path else None
        if not entries:
            return None, path[1:]
        if entries[0].origins[0].index is None:
            return entries[0], path[2:] if len(path) > 1 and isinstance(path[1], int) else path[1:]
        if len(path) > 1 and isinstance(path[1], int) and path[1] < len(entries):
            return entries[path[1]], path[2:]
        return None, path[1:]


def spoken(path: Steps, entry: Entry | None) -> str:
    """``run "primary" moves[4]``: the table by its name, then the field; list entries counted from 0."""
    if not path:
        return "file"
    text = str(path[0])
    rest = path[1:]
    if rest and isinstance(rest[0], int):
        name = _name(entry)
        text += f' "{name}"' if name else f"[{rest[0]}]"
        rest = rest[1:]
    for position, step in enumerate(rest):
        if isinstance(step, int):
            text += f"[{step}]"
        else:
            text += f" {step}" if position == 0 else f".{step}"
    return text


def _name(entry: Entry | None) -> str:
    """What tells an entry from others of its table: its name, else room and wall, or rule and subject."""
    if entry is None:
        return ""
    words = [entry.get("name")]
    if words[0] is None:
        words = (
            [entry.get("room"), entry.get("wall")] if entry.get("wall") else [entry.get("rule"), entry.get("subject")]
        )
    text = ", ".join(str(w) for w in words if isinstance(w, (str, int)) and not isinstance(w, bool))
    return "".join(c if c.isprintable() else "\ufffd" for c in text)[:80]


def _index(rest: Steps) -> int | None:
    return rest[1] if len(rest) > 1 and isinstance(rest[1], int) else None
