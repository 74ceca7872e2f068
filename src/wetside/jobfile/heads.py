"""Lines of named tables and of their list entries, found in a job file's text without parsing it: quick enough for any
check. A mistake needs more (`lines`); text that is written in a way that no person writes is left without a line."""

import re
from pathlib import Path

from wetside.basis.record import record

_HEAD = re.compile(r"^[ \t]*\[\[?[ \t]*([A-Za-z_]+)[ \t]*\]\]?[ \t]*(?:#.*)?$", re.MULTILINE)
_NAME = re.compile(r"""^[ \t]*name[ \t]*=[ \t]*(?:"([^"\\\n]*)"|'([^'\n]*)')""", re.MULTILINE)
_BASE = re.compile(r"""^[ \t]*base[ \t]*=[ \t]*(?:"([^"\\\n]*)"|'([^'\n]*)')""", re.MULTILINE)
_ENTRY = re.compile(r"""#[^\n]*|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'|\]""")
_LONG = re.compile(r'"""(?:[^\\]|\\.)*?"""|' + r"'''.*?'''", re.DOTALL)
_DEEPEST = 20


@record(kw_only=False)
class Text:
    """One file: what it is called, and the stretch of text of each named table."""

    shown: str
    text: str
    tables: dict[tuple[str, str], tuple[int, int]]
    """Table and name → start of the head, end of the body."""

    def line(self, table: str, name: str) -> int | None:
        """Line of a table's head, from 1."""
        at = self.tables.get((table, name))
        return None if at is None else self.text.count("\n", 0, at[0]) + 1

    def entry_line(self, table: str, name: str, field: str, index: int) -> int | None:
        """Line of an entry (from 0) of a list of texts in a table."""
        at = self.tables.get((table, name))
        begin = (
            None if at is None else re.compile(rf"^[ \t]*{field}[ \t]*=[ \t]*\[", re.MULTILINE).search(self.text, *at)
        )
        if at is None or begin is None:
            return None
        seen = 0
        for found in _ENTRY.finditer(self.text, begin.end(), at[1]):
            if found[0] == "]":
                return None
            if not found[0].startswith("#"):
                if seen == index:
                    return self.text.count("\n", 0, found.start()) + 1
                seen += 1
        return None


def texts(path: Path) -> tuple[Text, ...]:
    """A job file and its bases, the file that was asked for first; what can't be read ends the row."""
    found: list[Text] = []
    folder = path.parent.resolve()
    while len(found) < _DEEPEST:
        try:
            real = path.resolve()
            text = path.read_bytes().decode("utf-8-sig")
        except (OSError, UnicodeDecodeError, ValueError):
            break
        shown = real.relative_to(folder).as_posix() if real.is_relative_to(folder) else path.name
        found.append(_read(shown, text))
        first = _HEAD.search(text)
        base = _BASE.search(text, 0, first.start() if first else len(text))
        if base is None:
            break
        path = path.parent / (base[1] or base[2] or "")
        path = path / "job.toml" if path.is_dir() else path
    return tuple(found)


def _read(shown: str, text: str) -> Text:
    # long strings may hold anything; blanked, so that every place stays where it is
    plain = _LONG.sub(lambda m: re.sub(r"[^\n]", " ", m[0]), text)
    heads = list(_HEAD.finditer(plain))
    tables: dict[tuple[str, str], tuple[int, int]] = {}
    for i, head in enumerate(heads):
        end = heads[i + 1].start() if i + 1 < len(heads) else len(plain)
        name = _NAME.search(plain, head.end(), end)
        if name is not None:
            tables.setdefault((head[1], name[1] if name[1] is not None else name[2]), (head.start(), end))
    return Text(shown, plain, tables)
