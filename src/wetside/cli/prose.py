"""Lines of words for the terminal, broken at plain spaces only: never inside a number or between it and its unit."""

from dataclasses import dataclass

from rich.cells import cell_len, chop_cells
from rich.console import Console, ConsoleOptions, RenderResult
from rich.measure import Measurement
from rich.text import Text


def wrapped(text: str, width: int) -> list[str]:
    """Lines of at most `width` cells; a word that is longer is broken where the line ends."""
    if cell_len(text) <= width:
        return [text]
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        whole = f"{line} {word}" if line else word
        if cell_len(whole) <= width:
            line = whole
            continue
        if line:
            lines.append(line)
        *full, line = chop_cells(word, width) if word else [""]
        lines.extend(full)
    return [*lines, line]


@dataclass(frozen=True)
class Prose:
    """Paragraphs, each with its style."""

    paragraphs: tuple[tuple[str, str], ...]

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        for text, style in self.paragraphs:
            for line in wrapped(text, options.max_width):
                yield Text(line, style=style, no_wrap=True, overflow="ignore")

    def __rich_measure__(self, console: Console, options: ConsoleOptions) -> Measurement:
        longest = max((cell_len(t) for t, _ in self.paragraphs), default=0)
        return Measurement(min(longest, options.max_width, 10), min(longest, options.max_width))


def prose(text: str, style: str = "") -> Prose:
    """One paragraph."""
    return Prose(((text, style),))
