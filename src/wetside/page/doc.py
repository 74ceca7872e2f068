"""The open job as a document: commands that are tried or made, undo and redo, the file watched.

Nothing here knows of the web. Every method may take tens of milliseconds: call it from a thread, never from the event
loop. A `Reading` never changes; `Doc.now` is swapped as a whole, so readers need no lock.
"""

import hashlib
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, cast

from wetside.basis.errors import JobProblem, Mistake, NoSolution
from wetside.basis.quantity import System
from wetside.basis.record import record
from wetside.basis.rules import Finding, worst_first
from wetside.jobfile.files import TomlFile, job_path, parse_toml, problem
from wetside.jobfile.read import design_of
from wetside.jobfile.save import Edit, called, save_bytes
from wetside.jobfile.schema import TABLES
from wetside.jobfile.values import is_table
from wetside.jobfile.variant import chain, merge
from wetside.page.commands import Change, PlainTables, carry_out
from wetside.study.gather import AT_ONCE, gather_at_once
from wetside.study.study import Study

SETTLED_S = 0.4
"""Seconds without a newer revision before the rules that take longer are judged."""
COARSE_NS = 100_000_000
MOST_STEPS = 200
"""Revisions that undo remembers."""


@record(kw_only=False)
class Reading:
    """One state of the job, whole: what is written, what follows from it, what is wrong with it."""

    rev: int
    sha: str
    """Of the file's text; also tells a tab that the program was started again."""
    content: bytes
    tables: Mapping[str, Any]
    """The tables as written, bases merged; those of the last text that could be read."""
    study: Study | None
    """Nothing where the tables make no design."""
    good: Study | None
    """The last study that had no mistakes: what is shown on while there are some."""
    mistakes: tuple[Mistake, ...]
    no_solution: str = ""
    seconds: float = 0.0
    findings: tuple[Finding, ...] = ()
    """Of the study shown; where not yet `whole`, those that take longer are the ones of the state before."""
    whole: bool = False
    """Whether every rule was judged."""

    @property
    def sound(self) -> bool:
        return self.study is not None and not self.mistakes and not self.no_solution

    @property
    def shown(self) -> Study | None:
        """The study that numbers come from."""
        return self.study if self.sound else self.good

    @property
    def system(self) -> System:
        """The unit system that bare numbers in the file have."""
        job = self.tables.get("job")
        units = cast("dict[str, Any]", job).get("units") if isinstance(job, dict) else None
        return System.US if units == "us" else System.METRIC


@record(kw_only=False)
class Clash:
    """A field that the person changed and somebody else too, since the person saw it."""

    table: str
    name: str
    field: str
    saw: object
    mine: object
    theirs: object


class Conflict(Exception):
    """The same field was changed on two sides; nothing was written."""

    def __init__(self, clashes: list[Clash]) -> None:
        self.clashes = clashes
        super().__init__(f"{len(clashes)} fields were changed on two sides")


@dataclass(slots=True)
class _Step:
    content: bytes
    said: str


@dataclass(slots=True)
class Doc:
    """One open job. `on_change(rev, tab)` is called, from whatever thread, after every new revision."""

    where: Path
    on_change: Callable[[int, str], None] = lambda rev, tab: None
    path: Path = field(init=False)
    now: Reading = field(init=False)
    _lock: threading.RLock = field(init=False, default_factory=threading.RLock)
    _steps: list[_Step] = field(init=False, default_factory=list[_Step])
    _at: int = field(init=False, default=0)
    _seen: dict[str, Mapping[str, Any]] = field(init=False, default_factory=dict[str, Mapping[str, Any]])
    _files: tuple[TomlFile, ...] = field(init=False, default=())
    _stamp: tuple[object, ...] = field(init=False, default=())
    _sure: bool = field(init=False, default=False)
    """Whether the stamp is old enough that a later change must have another: clocks of file systems are coarse."""
    _gone: bool = field(init=False, default=False)

    def __post_init__(self) -> None:
        """
        :raises JobProblem: there is no such job
        """
        self.path = job_path(self.where).resolve()
        content = self.path.read_bytes()
        self.now = Reading(0, "", b"", {}, None, None, ())
        self._take(content, "opened")

    @property
    def folder(self) -> Path:
        return self.path.parent

    # ---- reading

    def preview(self, change: Change) -> Reading:
        """What would follow from a change. Nothing is written and nothing is kept.

        :raises JobProblem: the change names something that isn't there
        """
        now = self.now
        files = self._files
        if not files:
            raise JobProblem(now.mistakes)
        began = time.perf_counter()
        trial = PlainTables(files[0].data)
        carry_out(change, trial, files[0].data)
        first = replace(files[0], data=trial.data)
        return self._read(now, (first, *files[1:]), now.content, now.rev, began)

    def trial(self, change: Change) -> Study:
        """The study that would follow from a change, not looked at yet.

        :raises JobProblem: the change names something that isn't there, or the tables would make no design
        """
        files = self._files
        if not files:
            raise JobProblem(self.now.mistakes)
        tables = PlainTables(files[0].data)
        carry_out(change, tables, files[0].data)
        return Study(design_of(merge((replace(files[0], data=tables.data), *files[1:]))))

    def _read(self, before: Reading, files: tuple[TomlFile, ...], content: bytes, rev: int, began: float) -> Reading:
        source = merge(files)
        tables: dict[str, Any] = {}
        for table, entries in source.tables.items():
            rows = [e.values for e in entries if is_table(e.values)]
            many = table in TABLES and TABLES[table].many
            tables[table] = rows if many else (rows[0] if rows else {})
        sha = hashlib.sha256(content).hexdigest()
        try:
            study = Study(design_of(source), before.good)
        except JobProblem as bad:
            return Reading(rev, sha, content, tables, None, before.good, bad.mistakes, findings=before.findings)
        mistakes, no_solution, findings = (), "", before.findings
        try:
            mistakes = tuple(source.place(m) for m in study.mistakes)
            if not mistakes:
                findings = _merged(gather_at_once(study), before.findings)
        except NoSolution as stuck:
            no_solution = str(stuck)
        except JobProblem as bad:
            mistakes = tuple(source.place(m) for m in bad.mistakes)
        good = before.good if mistakes or no_solution else study
        return Reading(
            rev, sha, content, tables, study, good, mistakes, no_solution, time.perf_counter() - began, findings
        )  # fmt: skip

    # ---- changing

    def commit(
        self, change: Change, *, saw: str = "", tab: str = "", force: bool = False, even_wrong: bool = False
    ) -> Reading:
        """Make a change in the file.

        :param saw: `Reading.sha` of the state that the person was looking at
        :param force: also where somebody else changed the same field meanwhile
        :param even_wrong: also where the file then has a mistake that keeps it from being read as a design
        :raises Conflict: somebody else changed the same field; nothing is written
        :raises JobProblem: the change can't be made, or the file would have mistakes that it has not now
        """
        with self._lock:
            self.look()
            if not force and saw and saw != self.now.sha:
                self._compare(change, saw)
            edit = Edit(self.path)
            carry_out(change, edit, self._files[0].data if self._files else {})
            content = edit.text.encode()
            files = self._with(content)
            trial = self._read(self.now, files, content, self.now.rev + 1, time.perf_counter())
            worse = [m for m in trial.mistakes if not _told(m, self.now.mistakes)]
            if trial.study is None and worse and not even_wrong:
                raise JobProblem(worse)
            edit.save()
            if self.path.read_bytes() == content:  # the trial is what is written now
                self._files = files
                return self._keep(trial, change.said, tab)
            return self._take(self.path.read_bytes(), change.said, tab=tab)

    def undo(self, tab: str = "") -> str:
        """Go one step back. Returns what was undone; empty when there is nothing."""
        with self._lock:
            self.look()
            if self._at == 0:
                return ""
            said = self._steps[self._at].said
            self._go(self._at - 1, tab)
            return said

    def redo(self, tab: str = "") -> str:
        """Go one step forward again. Returns what was done again; empty when there is nothing."""
        with self._lock:
            self.look()
            if self._at + 1 >= len(self._steps):
                return ""
            self._go(self._at + 1, tab)
            return self._steps[self._at].said

    def steps(self) -> tuple[str, str]:
        """What undo and redo would do; empty when there is nothing."""
        with self._lock:
            undo = self._steps[self._at].said if self._at > 0 else ""
            redo = self._steps[self._at + 1].said if self._at + 1 < len(self._steps) else ""
            return undo, redo

    def look(self) -> bool:
        """Read the files again if somebody else changed them. Returns whether there is a new revision."""
        with self._lock:
            stamp = self._stamps()
            if stamp == self._stamp and self._sure:
                return False
            try:
                content = self.path.read_bytes()
            except OSError as error:
                text = (error.strerror or "the disk refuses").lower()
                gone = problem(self.path.name, f"it can't be read: {text}", "put it back; its last state is shown")
                self._stamp, self._gone = stamp, True
                self._swap(replace(self.now, rev=self.now.rev + 1, mistakes=gone.mistakes), "")
                return True
            same, gone = content == self.now.content, self._gone
            self._gone = False
            if same and not gone and (stamp == self._stamp or len(self._files) <= 1):
                self._stamp, self._sure = stamp, self._aged()
                return False
            self._take(content, f"changed in {self.path.name}", keep=not same)
            return True

    def lines(self) -> list[str]:
        return self.now.content.decode("utf-8-sig", "replace").splitlines()

    # ---- inside

    def _with(self, content: bytes) -> tuple[TomlFile, ...]:
        data = parse_toml(content, self.path.name)
        return (TomlFile(self.path, self.path.name, content, data), *self._files[1:])

    def _go(self, to: int, tab: str) -> None:
        content = self._steps[to].content
        save_bytes(self.path, content, hashlib.sha256(self.now.content).hexdigest())
        self._at = to
        self._take(content, "", tab=tab, keep=False)

    def _take(self, content: bytes, said: str, *, tab: str = "", keep: bool = True) -> Reading:
        """A new text is the job's now."""
        before, began = self.now, time.perf_counter()
        try:
            self._files = chain(self.path)
            content = self._files[0].content
            new = self._read(before, self._files, content, before.rev + 1, began)
        except JobProblem as bad:
            # no TOML, or a base is missing: the last good state stays visible
            sha = hashlib.sha256(content).hexdigest()
            new = replace(before, rev=before.rev + 1, sha=sha, content=content, study=None, mistakes=bad.mistakes)
        return self._keep(new, said if keep else None, tab)

    def _keep(self, new: Reading, said: str | None, tab: str) -> Reading:
        """Swap the state, remembering the step unless it is one that was gone back to."""
        self._stamp, self._sure = self._stamps(), False
        if said is not None:
            del self._steps[self._at + 1 :]
            self._steps.append(_Step(new.content, said))
            del self._steps[:-MOST_STEPS]
            self._at = len(self._steps) - 1
        self._swap(new, tab)
        if new.sound:
            threading.Thread(target=self.finish, args=(new.rev,), daemon=True).start()
        return new

    def finish(self, rev: int, after_s: float = SETTLED_S) -> bool:
        """Judge the rules that take longer, once nothing newer has come for a moment. Returns whether it was done."""
        time.sleep(after_s)
        now = self.now
        if now.rev != rev or now.study is None or not now.sound:
            return False
        try:
            done = replace(now, findings=now.study.findings, whole=True)
        except NoSolution as stuck:
            done = replace(now, no_solution=str(stuck), whole=True)
        except JobProblem as bad:
            done = replace(now, mistakes=locate_all(bad.mistakes, self._files), whole=True)
        with self._lock:
            if self.now.rev != rev:
                return False
            self.now = done
        self.on_change(rev, "")
        return True

    def _swap(self, new: Reading, tab: str) -> None:
        self.now = new
        self._seen[new.sha] = new.tables
        while len(self._seen) > MOST_STEPS:
            del self._seen[next(iter(self._seen))]
        self.on_change(new.rev, tab)

    def _stamps(self) -> tuple[object, ...]:
        found: list[object] = []
        for path in dict.fromkeys((self.path, *(f.path for f in self._files))):
            try:
                stat = path.stat()
                found.append((stat.st_mtime_ns, stat.st_size, stat.st_ino))
            except OSError:
                found.append(None)
        return tuple(found)

    def _aged(self) -> bool:
        try:
            return time.time_ns() - self.path.stat().st_mtime_ns > COARSE_NS
        except OSError:
            return False

    def _compare(self, change: Change, saw: str) -> None:
        old = self._seen.get(saw)
        if old is None:
            return  # the program was started again since: what is written now is all that is known
        clashes: list[Clash] = []
        mine = {(s.table, s.name, s.field): s.value for s in change.steps}
        for table, name, name_field in sorted(change.touched()):
            was, now = _value(old, table, name, name_field), _value(self.now.tables, table, name, name_field)
            if was != now:
                clashes.append(Clash(table, name, name_field, was, mine.get((table, name, name_field)), now))
        if clashes:
            raise Conflict(clashes)


def _merged(quick: tuple[Finding, ...], before: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings of now, with those that take longer as they were."""
    ids = {r.id for r in AT_ONCE}
    return tuple(worst_first([*quick, *(f for f in before if f.rule.id not in ids)]))


def locate_all(mistakes: tuple[Mistake, ...], files: tuple[TomlFile, ...]) -> tuple[Mistake, ...]:
    source = merge(files)
    return tuple(source.place(m) for m in mistakes)


def _value(tables: Mapping[str, Any], table: str, name: str, name_field: str) -> object:
    found = tables.get(table)
    if isinstance(found, list):
        rows = cast("list[dict[str, Any]]", found)
        entry = next((r for r in rows if called(table, r) == name), None)
    else:
        entry = cast("dict[str, Any] | None", found)
    if entry is None:
        return None
    return entry.get(name_field) if name_field else entry


def _told(mistake: Mistake, known: tuple[Mistake, ...]) -> bool:
    return any((m.place.kind, m.wrong) == (mistake.place.kind, mistake.wrong) for m in known)
