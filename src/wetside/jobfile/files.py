"""One TOML file off the disk, or the mistakes that keep it from being one."""

import hashlib
import re
import stat
import tomllib
from pathlib import Path
from typing import Any

from wetside.basis.errors import JobProblem, Mistake, Place
from wetside.basis.record import record
from wetside.jobfile.values import is_list, is_table

MOST_BYTES = 5 * 1024 * 1024
"""A job of a large house has some 100 kB; beyond this it is some other file."""

_DEEPEST = 40
_MOST_PARTS = 100
_PART = re.compile(r"[\w\"'-][ \t]*\.[ \t]*(?=[\w\"'-])")
_AT = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


@record(kw_only=False)
class TomlFile:
    path: Path
    shown: str
    """Its name as messages say it."""
    content: bytes
    data: dict[str, Any]

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()


def problem(shown: str, wrong: str, remedy: str, line: int | None = None, path: str = "") -> JobProblem:
    """A job problem with one mistake that concerns a file as such."""
    return JobProblem([Mistake(Place("file", shown), wrong, remedy, shown, line, path or "file")])


def job_path(where: str | Path) -> Path:
    """The job's TOML file: `where` itself, or ``job.toml`` in the folder `where`.

    :raises JobProblem: there is nothing, or nothing that could be a job
    """
    path = Path(where)
    try:
        if path.is_dir():
            found = path / "job.toml"
            if not found.exists():
                others = sorted(p.name for p in path.glob("*.toml"))
                remedy = f"name the file: {', '.join(others[:5])}" if others else "make a job with: wetside new FOLDER"
                raise problem(path.name or str(path), "there is no job.toml in this folder", remedy)
            path = found
        mode = path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        raise problem(path.name or str(path), "there is no such file or folder", "check the path") from None
    except (OSError, ValueError) as error:
        raise problem(path.name or str(path), f"it can't be opened: {_reason(error)}", "check the path") from None
    if not stat.S_ISREG(mode):
        raise problem(path.name, "it is no plain file", "give a folder with a job.toml, or a TOML file")
    return path


def read_bytes(path: Path, shown: str) -> bytes:
    """The content of a file of reasonable size.

    :raises JobProblem: it can't be read, or is too large
    """
    try:
        with path.open("rb") as stream:
            content = stream.read(MOST_BYTES + 1)
    except OSError as error:
        raise problem(shown, f"it can't be read: {_reason(error)}", "check the path and who may read it") from None
    if len(content) > MOST_BYTES:
        raise problem(shown, "it is larger than 5 MB, so it is no job file", "give the job's own TOML file")
    return content


def read_toml(path: Path, shown: str) -> TomlFile:
    """The file's TOML.

    :raises JobProblem: unreadable, not UTF-8, or no TOML; with line and column
    """
    content = read_bytes(path, shown)
    return TomlFile(path, shown, content, parse_toml(content, shown))


def parse_toml(content: bytes, shown: str) -> dict[str, Any]:
    """TOML from bytes; a byte-order mark at the start is passed over.

    :raises JobProblem: not UTF-8, or no TOML; with line and column
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise problem(shown, "it is not text in UTF-8", "save it from a text editor as UTF-8", line) from None
    for number, row in enumerate(text.splitlines(), 1):
        # a parser's time grows with the square of the parts of a key
        if row.count(".") > _MOST_PARTS and len(_PART.findall(row)) > _MOST_PARTS:
            raise problem(shown, "a name with too many dots", "write [table] and name = value", number)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        said = str(error)
        at = _AT.search(said)
        line = int(at[1]) if at and at[1] else text.count("\n") + 1
        column = f"column {at[2]}" if at and at[2] else "at its end"
        wrong = (said[: at.start()] if at else said) or "it can't be understood"
        remedy = "mend the TOML here: text in quotes, [table], [[table]], name = value, one per line"
        raise problem(shown, f"{wrong[0].lower()}{wrong[1:]}"[:200], remedy, line, column) from None
    except RecursionError:
        raise problem(shown, "lists or tables are nested too deeply", "flatten them") from None
    except (ValueError, OverflowError):
        raise problem(shown, "it holds a number that is too long", "write a shorter number") from None
    if _depth(data) > _DEEPEST:
        raise problem(shown, "lists or tables are nested too deeply", "flatten them")
    return data


def _depth(data: dict[str, Any]) -> int:
    """Levels of nesting, counted without recursion."""
    level: list[object] = [data]
    depth = 0
    while level and depth <= _DEEPEST:
        depth += 1
        inner: list[object] = []
        for held in level:
            if is_table(held):
                inner.extend(held.values())
            elif is_list(held):
                inner.extend(held)
        level = inner
    return depth


def _reason(error: Exception) -> str:
    text = getattr(error, "strerror", None)
    return str(text).lower() if text else "its name can't be used"
