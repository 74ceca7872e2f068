"""How far apart supports may be, by published table."""

from functools import cache

from wetside.basis.errors import JobProblem, Mistake, Place, nearest
from wetside.basis.quantity import System
from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.basis.tables import load, number, reference
from wetside.pipework.spec import Material, Tube

PLASTIC = (Material.PEX, Material.MULTILAYER)
USUAL = {System.METRIC: ("metric", ""), System.US: ("trade", "irc 2018")}
"""Table in use and adopted code where the job names none."""
_CLOSE: Metre = 1e-5


@record(kw_only=False)
class Row:
    table: str
    material: str
    from_outside_m: Metre
    horizontal_m: Metre | None
    vertical_m: Metre | None
    source: str


@record(kw_only=False)
class Allowed:
    """Largest spacing of one tube in one direction, and the table and source that it comes from."""

    spacing_m: Metre
    table: str
    source: str


@cache
def rows() -> tuple[Row, ...]:
    """Every row of every shipped spacing table."""
    return tuple(
        Row(
            table=str(r["table"]),
            material=str(r["material"]),
            from_outside_m=number(r, "from_outside"),
            horizontal_m=None if r["horizontal"] == "" else number(r, "horizontal"),
            vertical_m=None if r["vertical"] == "" else number(r, "vertical"),
            source=str(r["source"]),
        )
        for name in ("support_spacing_ft", "support_spacing_m")
        for r in load(name).rows
    )


@cache
def tables() -> tuple[str, ...]:
    """Names of the spacing tables."""
    return tuple(dict.fromkeys(r.table for r in rows()))


def look_up(table: str, tube: Tube, *, vertical: bool) -> Allowed | None:
    """Spacing of a tube by one table: the row of the next smaller size; nothing when the table does not go so far down
    or leaves it to others.

    :raises JobProblem: there is no such table
    """
    if table not in tables():
        wrong = f'there is no spacing table "{table}"'
        raise JobProblem([Mistake(Place("supports", "", "spacing"), wrong, nearest(table, tables()))])
    return _row(table, tube.material, tube.outside_m, vertical)


@cache
def _row(table: str, material: Material, outside: Metre, vertical: bool) -> Allowed | None:
    kinds = {material.value} | ({"plastic"} if material in PLASTIC else set[str]())
    found: Allowed | None = None
    for r in rows():
        if r.table == table and r.material in kinds and r.from_outside_m <= outside + _CLOSE:
            spacing = r.vertical_m if vertical else r.horizontal_m
            if spacing is not None:
                found = Allowed(spacing, table, r.source)
    return found


@record(kw_only=False)
class Spacing:
    """The table in use under the adopted code's ceiling."""

    table: str
    code: str

    def allowed(self, tube: Tube, *, vertical: bool) -> Allowed | None:
        """The smaller of both; a table that says nothing of the tube gives way to the other, at last to the 2018 code
        for plastic that a metric table does not know."""
        found = [look_up(t, tube, vertical=vertical) for t in (self.table, self.code) if t]
        known = [a for a in found if a is not None]
        if not known and tube.material in PLASTIC:
            known = [a for a in (look_up("irc 2018", tube, vertical=vertical),) if a is not None]
        return min(known, key=lambda a: a.spacing_m, default=None)

    def text(self) -> str:
        """What is in use, in words."""
        used = f"{self.table}: {reference(next(r.source for r in rows() if r.table == self.table))}"
        return used + (f"; ceiling {self.code}" if self.code else "; no adopted code named as the ceiling")


def spacing_of(table: str, code: str, system: System) -> Spacing:
    """The tables that a job uses.

    :raises JobProblem: one of them doesn't exist
    """
    usual = USUAL[system]
    made = Spacing(table or usual[0], code or usual[1])
    for field, name in (("spacing", made.table), ("code", made.code)):
        if name and name not in tables():
            wrong = f'there is no spacing table "{name}"'
            raise JobProblem([Mistake(Place("supports", "", field), wrong, nearest(name, tables()))])
    return made
