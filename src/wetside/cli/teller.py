"""Writing to the terminal: any width, any encoding, piped or not, text that can't steer the terminal."""

import sys
from typing import TYPE_CHECKING, TextIO

from wetside.basis.rules import Verdict

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

MARK: dict[Verdict, str] = {
    Verdict.BREAKS: "✗",
    Verdict.NOT_KNOWN: "?",
    Verdict.NEAR: "◆",
    Verdict.ACCEPTED: "⊖",
    Verdict.HOLDS: "●",
}
STYLE: dict[Verdict, str] = {
    Verdict.BREAKS: "bold red",
    Verdict.NOT_KNOWN: "bold",
    Verdict.NEAR: "yellow",
    Verdict.ACCEPTED: "dim",
    Verdict.HOLDS: "green",
}

# One character for one, so that columns stay aligned.
_PLAIN = str.maketrans({
    "✗": "X", "◆": "~", "⊖": "=", "●": "+", "█": "#", "░": ".", "▏": "|", "−": "-", "\u202f": " ", "–": "-", "—": "-",
    "→": ">", "≤": "<", "≥": ">", "…": ".", "·": "*", "×": "x", "°": "o", "²": "2", "³": "3", "Δ": "D", "☐": "_",
    "’": "'", "‘": "'", "“": '"', "”": '"', "\ufffd": "?",
})  # fmt: skip


def encodable(text: str, encoding: str) -> str:
    """The text with every character that the encoding lacks replaced by one that it has."""
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return "".join(c if _fits(c, encoding) else _fallback(c, encoding) for c in text)
    return text


def _fits(c: str, encoding: str) -> bool:
    try:
        c.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True


def _fallback(c: str, encoding: str) -> str:
    plain = c.translate(_PLAIN)
    return plain if _fits(plain, encoding) else "?"


class FittedStream:
    """A text stream that first replaces what its encoding lacks."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream
        self.encoding = stream.encoding or "ascii"

    def write(self, text: str) -> int:
        return self.stream.write(encodable(text, self.encoding))

    def flush(self) -> None:
        self.stream.flush()

    def isatty(self) -> bool:
        return self.stream.isatty()

    def fileno(self) -> int:
        return self.stream.fileno()


def is_utf(stream: TextIO) -> bool:
    """Whether the stream takes any character."""
    return (stream.encoding or "").lower().replace("-", "").startswith("utf")


def say(text: str, *, err: bool = False) -> None:
    """One line (or more) of plain text."""
    FittedStream(sys.stderr if err else sys.stdout).write(text + "\n")


def console(*, err: bool = False) -> "Console":
    """A console that follows the terminal's width, NO_COLOR and pipes; markup and highlighting off, because names are
    data."""
    from rich.console import Console

    stream = FittedStream(sys.stderr if err else sys.stdout)
    return Console(file=stream, markup=False, highlight=False, emoji=False)  # pyright: ignore[reportArgumentType]


def show(*parts: "RenderableType") -> None:
    """Tables and text, one under the other."""
    out = console()
    for part in parts:
        out.print(part)
