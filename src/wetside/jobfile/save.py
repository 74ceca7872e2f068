"""Edits of a job file that keep its comments and layout, and a save that never leaves half a file.

The new text is written beside the file, forced to the disk, and takes the file's place in one step; the text that was
there before is kept as ``job.toml.before``. Savers of one folder wait for each other, and a file that changed since it
was read is never overwritten.
"""

import hashlib
import os
import tempfile
from collections.abc import Generator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wetside.basis.errors import JobProblem, Mistake, Place, nearest
from wetside.jobfile.files import MOST_BYTES, job_path, parse_toml, problem, read_bytes
from wetside.jobfile.schema import TABLES
from wetside.jobfile.values import is_list, is_table, toml_text

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

KEPT = ".before"
_PART = ".saving"
_LONG = 100


class Edit:
    """A job file being changed. Nothing touches the disk until `save`."""

    def __init__(self, where: str | Path) -> None:
        """
        :raises JobProblem: there is no such file, or it is no TOML
        """
        import tomlkit
        from tomlkit.exceptions import TOMLKitError

        self.path = job_path(where).resolve()
        content = read_bytes(self.path, self.path.name)
        parse_toml(content, self.path.name)
        self._sha256 = hashlib.sha256(content).hexdigest()
        # newlines as they are, so that an untouched line stays byte for byte
        text = content.decode("utf-8-sig")
        self._mark = content[: len(content) - len(text.encode())]
        try:
            self._document: TOMLDocument = tomlkit.parse(text)
        except (TOMLKitError, ValueError, RecursionError) as error:
            raise problem(self.path.name, f"it can't be edited: {error}"[:200], "edit it by hand") from None

    @property
    def text(self) -> str:
        """The file as it would be saved."""
        import tomlkit

        return tomlkit.dumps(self._document)

    @property
    def is_variant(self) -> bool:
        """Whether the file states only what differs from a base."""
        return "base" in self._document

    def states(self, table: str, name: str) -> bool:
        """Whether this file itself has an entry (a variant's base may have it instead)."""
        return self._find(table, name) is not None

    def value(self, table: str, name: str, field: str) -> object:
        """What this file states in a field; None where it states nothing."""
        found = self._find(table, name)
        return None if found is None or field not in found else found[field]

    def put(self, table: str, name: str, field: str, value: object) -> None:
        """Set a field; in a variant whose base has the entry, state the change. A dot leads into a table inside the
        entry: ``"circulator.speed"``.

        :raises JobProblem: no such table, or TOML has no such value
        """
        outer, _, inner = field.rpartition(".")
        if not self.states(table, name) and self.is_variant and name and len(TABLES[table].key) == 1:
            self.add(table, {TABLES[table].key[0]: name, outer or field: {inner: value} if outer else value})
            return
        found: Any = self._find(table, name)
        if outer and found is not None and is_table(found.get(outer)):
            found[outer][inner] = _item(value)
            return
        self.set(table, name, outer or field, {inner: value} if outer else value)

    def relist(self, table: str, name: str, field: str, values: list[str]) -> None:
        """Change a list of texts into another, touching only entries that differ: layout and comments stay.

        :raises JobProblem: no such table
        """
        from difflib import SequenceMatcher

        found: Any = self._find(table, name)
        if found is None or not is_list(found.get(field)):
            self.put(table, name, field, values)
            return
        array: Any = found[field]
        was = [str(x) for x in array]
        for kind, a, b, c, d in reversed(SequenceMatcher(None, was, values, autojunk=False).get_opcodes()):
            if kind == "equal":
                continue
            for k in reversed(range(a, b)):
                del array[k]
            for k, text in enumerate(values[c:d]):
                array.insert(a + k, text)

    def set(self, table: str, name: str, field: str, value: object) -> None:
        """Set one field of a table; `name` is empty for a table that stands once, and the key fields joined by ", "
        for one that is told by several (``"Store, south"``). A comment on its line stays.

        :raises JobProblem: no such table, or TOML has no such value
        """
        found = self._find(table, name)
        if found is None and not TABLES[table].many:
            self.add(table, {field: value})
            return
        if found is None:
            raise self._unknown(table, name)
        try:
            found[field] = _item(value)
        except (ValueError, TypeError) as bad:
            raise self._problem(table, name, field, f"{value!r} can't be written: {bad}"[:200]) from None

    def unset(self, table: str, name: str, field: str) -> None:
        """Take one field out of a table.

        :raises JobProblem: no such table or field
        """
        found = self._find(table, name)
        if found is None:
            raise self._unknown(table, name)
        if field not in found:
            remedy = nearest(field, [str(k) for k in found])
            raise JobProblem([Mistake(Place(table, name, field), "it has no such field", remedy, self.path.name)])
        del found[field]

    def add(self, table: str, values: Mapping[str, object]) -> None:
        """Add a table: behind the last of its kind, or at the end.

        :raises JobProblem: a table of this name is there, or TOML has no such value
        """
        import tomlkit

        if table not in TABLES:
            raise self._problem(table, "", "", "there is no such table", nearest(table, TABLES))
        name = called(table, values)
        if name and self._find(table, name) is not None:
            raise self._problem(table, name, TABLES[table].key[0], "there is one already", "give it another name")
        new = tomlkit.table()
        try:
            for field, value in values.items():
                new.append(field, _item(value))
        except (ValueError, TypeError) as bad:
            raise self._problem(table, name, "", f"it can't be written: {bad}"[:200]) from None
        document: Any = self._document
        if not TABLES[table].many:
            document.append(table, new)
            return
        if table not in document:
            document.append(table, tomlkit.aot())
        document[table].append(new)

    def remove(self, table: str, name: str = "") -> None:
        """Take a table out, with the comments inside it.

        :raises JobProblem: no such table
        """
        found = self._find(table, name)
        if found is None:
            raise self._unknown(table, name)
        document: Any = self._document
        if TABLES[table].many and len(document[table]) > 1:
            index = next(i for i, t in enumerate(document[table]) if t is found or called(table, t) == name)
            del document[table][index]
        else:
            document.remove(table)

    def save(self) -> Path:
        """Put the changed text in the file's place; the text before is kept beside it. Returns the kept file.

        :raises JobProblem: the file changed since it was read, can't be written, or would be too large
        """
        content = self._mark + self.text.encode()
        parse_toml(content, self.path.name)
        if len(content) > MOST_BYTES:
            raise problem(self.path.name, "it would be larger than 5 MB", "split the job")
        kept = save_bytes(self.path, content, self._sha256)
        self._sha256 = hashlib.sha256(content).hexdigest()
        return kept

    def _find(self, table: str, name: str) -> Any:
        if table not in TABLES:
            raise self._problem(table, name, "", "there is no such table", nearest(table, TABLES))
        document: Any = self._document
        found = document.get(table)
        if found is None or not TABLES[table].many:
            return found
        return next((t for t in found if is_table(t) and called(table, t) == name), None)

    def _unknown(self, table: str, name: str) -> JobProblem:
        document: Any = self._document
        known = [c for t in document.get(table, []) if is_table(t) and (c := called(table, t))]
        return self._problem(table, name, "", f'there is no {table} "{name}"', nearest(name, known))

    def _problem(self, table: str, name: str, field: str, wrong: str, remedy: str = "mend the value") -> JobProblem:
        return JobProblem([Mistake(Place(table, name, field), wrong, remedy, self.path.name)])


def called(table: str, values: Mapping[str, object]) -> str:
    """What tells an entry of a table from the others: its name, or its key fields joined; empty if it says none."""
    keys = TABLES[table].key
    words = [str(values[k]) for k in keys if values.get(k) is not None]
    return ", ".join(words) if len(words) == len(keys) else ""


def _item(value: object) -> object:
    """A value as it is to be written: a list that makes a long line has an entry to a line."""
    import tomlkit

    if not is_list(value) or len(toml_text(value)) <= _LONG:
        return value
    array: Any = tomlkit.array()
    for entry in value:
        if is_table(entry):
            inline: Any = tomlkit.inline_table()
            inline.update(entry)
            array.append(inline)
        else:
            array.append(entry)
    return array.multiline(True)


def save_bytes(path: Path, content: bytes, expected_sha256: str) -> Path:
    """Replace a file whose content still has the expected hash, keeping the old content beside it.

    :raises JobProblem: it changed, vanished, or can't be written
    """
    kept = path.with_name(path.name + KEPT)
    try:
        with _alone(path):
            old = path.read_bytes()
            if hashlib.sha256(old).hexdigest() != expected_sha256:
                remedy = "read it again, then make the change again; nothing was overwritten"
                raise problem(path.name, "it was changed by someone else since it was read", remedy)
            # whoever was stopped while saving left these; nobody else is saving now
            for left in path.parent.glob(f".{path.name}.*{_PART}"):
                with suppress(OSError):
                    left.unlink()
            mode = path.stat().st_mode & 0o777
            _put(kept, old, mode, path.name)
            _put(path, content, mode, path.name)
            _settle(path.parent)
    except FileNotFoundError:
        raise problem(path.name, "it is gone since it was read", "put it back, or start a new job") from None
    except OSError as error:
        text = (error.strerror or "the disk refuses").lower()
        raise problem(path.name, f"it can't be saved: {text}", "the file is as it was before") from None
    return kept


def _put(path: Path, content: bytes, mode: int, base: str) -> None:
    number, name = tempfile.mkstemp(prefix=f".{base}.", suffix=_PART, dir=path.parent)
    part = Path(name)
    try:
        with os.fdopen(number, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        part.chmod(mode)
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def _settle(folder: Path) -> None:
    """Force the folder's own entry to the disk, where the system can."""
    if os.name != "posix":
        return
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


@contextmanager
def _alone(path: Path) -> Generator[None]:
    """Hold the folder so that savers wait for each other. The system lets go when a process dies."""
    if os.name == "posix":
        import fcntl

        number = os.open(path.parent, os.O_RDONLY)
        try:
            fcntl.flock(number, fcntl.LOCK_EX)
            yield
        finally:
            os.close(number)
        return
    # elsewhere: whoever makes the file first, saves; a file left by a stopped saver is told, not guessed about
    lock = path.with_name(path.name + ".lock")
    try:
        number = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY)
    except FileExistsError:
        remedy = f"wait for it; if nobody is saving, delete {lock.name}"
        raise problem(path.name, "someone else is saving it", remedy) from None
    try:
        yield
    finally:
        os.close(number)
        lock.unlink(missing_ok=True)
