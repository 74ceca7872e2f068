"""What every terminal table is made of: heads, names and numbers in the job's units."""

from rich.text import Text

from wetside.basis.quantity import UNITS, Kind, System, show
from wetside.cli.prose import Prose, prose
from wetside.sheets.wording import clean


def unit_of(kind: Kind, system: System) -> str:
    """The unit as a column head shows it, never broken over two lines."""
    return UNITS[system][kind].text.replace(" ", "\u00a0")


def num(value: float, kind: Kind, system: System) -> Text:
    """A number without its unit, which the column head carries."""
    return Text(show(value, kind, system, unit=False))


def name(text: str) -> Text:
    """A name from the job: shown as it is, unable to steer the terminal."""
    return Text(clean(text), overflow="fold")


def head(job: str, what: str) -> Prose:
    return prose(f"{clean(job)} · {what}", "bold")
