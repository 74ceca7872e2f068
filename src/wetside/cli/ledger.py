"""A table of names and numbers that never cuts a number: ruled where the terminal is wide enough, else one entry under
the other."""

from dataclasses import dataclass, field

from rich import box
from rich.console import Console, ConsoleOptions, RenderResult
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from wetside.cli.prose import prose

NAME = 12
"""Cells that a name column shrinks to, before a table gives way to entries."""

Cell = str | Text


def plain(cell: Cell) -> str:
    return cell.plain if isinstance(cell, Text) else cell


@dataclass
class Ledger:
    """The first `names` columns hold words and may wrap; the others hold numbers and never do. A row of one cell is a
    heading within the table."""

    title: str
    columns: tuple[str, ...]
    names: int = 1
    rows: list[tuple[Cell, ...]] = field(default_factory=list[tuple[Cell, ...]])
    unruled: int = 0
    """This many of the last columns hold no number but a picture, aligned left."""

    def add(self, *cells: Cell) -> None:
        self.rows.append(cells)

    def heads(self) -> list[str]:
        """Column heads; of two words or more the last, a unit, goes on a line of its own."""
        return [
            c if i < self.names or " " not in c else "\n".join(c.rsplit(" ", 1)) for i, c in enumerate(self.columns)
        ]

    def widths(self) -> list[int]:
        """Cells that each column needs: a name column what it can shrink to, any other its widest cell."""
        heads = self.heads()
        needed: list[int] = []
        for i, head in enumerate(heads):
            cells = [plain(r[i]) for r in self.rows if len(r) > 1]
            widest = max((Text(c).cell_len for c in (*head.split("\n"), *cells)), default=0)
            needed.append(min(widest, NAME) if i < self.names else widest)
        return needed

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        needed = self.widths()
        yield Text(self.title, style="bold")
        # a space on either side of a cell, a rule between cells and at both edges
        if sum(needed) + 3 * len(needed) + 1 <= options.max_width:
            yield self.ruled(needed)
        else:
            yield from self.entries()
            yield Text()

    def ruled(self, needed: list[int]) -> Table:
        table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1))
        for i, head in enumerate(self.heads()):
            words = i < self.names
            right = not words and i < len(self.columns) - self.unruled
            table.add_column(
                head,
                justify="right" if right else "left",
                vertical="top",
                overflow="fold",
                no_wrap=not words,
                min_width=needed[i],
            )
        for row in self.rows:
            if len(row) == 1:
                table.add_section()
                heading = row[0].copy() if isinstance(row[0], Text) else Text(row[0])
                heading.stylize("italic")
                table.add_row(heading)
            else:
                table.add_row(*row)
        return table

    def entries(self) -> RenderResult:
        """Every row as its names over its numbers, each number with what its column's head says."""
        for row in self.rows:
            if len(row) == 1:
                yield prose(f"\n{plain(row[0])}", "italic")
                continue
            yield prose(" · ".join(plain(c) for c in row[: self.names] if plain(c)))
            last = len(row) - self.unruled
            pairs = [spoken(h, plain(c)) for h, c in zip(self.columns, row, strict=True)]
            yield Padding(prose(", ".join(p for p in pairs[self.names : last] if p)), (0, 0, 0, 2))


def spoken(head: str, cell: str) -> str:
    """``"needs 1 606 W"`` of the head ``"needs W"``; never broken over two lines."""
    word, _, unit = head.rpartition(" ")
    unit = unit if any(c.isdigit() for c in cell) else ""
    return "\u00a0".join(x for x in (word, cell, unit) if x).replace(" ", "\u00a0") if cell else ""
