"""Sizes of fittings: how far tube goes in, take-outs, and which tees and reducers are sold."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise

from wetside.basis.quantity import INCH
from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.basis.tables import load, number
from wetside.fabricate.spec import JointSystem, Shop, Take
from wetside.pipework.spec import Material, Tube

Row = Mapping[str, float | str]
Chain = tuple[tuple[str, str], ...]
"""Bushings in order from the tee's socket outwards: larger and smaller size."""

_COLUMN: dict[Take, str] = {
    Take.ELBOW_90: "elbow90",
    Take.ELBOW_45: "elbow45",
    Take.TEE_RUN: "tee_run",
    Take.TEE_BRANCH: "tee_branch",
    Take.COUPLING: "coupling",
    Take.CONNECTOR: "connector",
}
_SAME = 5e-5
"""Outside diameters closer than this belong to one size."""


@record(kw_only=False)
class Sized:
    """A dimension of a fitting and where it comes from."""

    value_m: Metre
    source: str
    """A source key; ``"typical"`` where the person should measure, ``"own"`` where they did."""


def takeout(shop: Shop, take: Take, tube: Tube, across: Tube | None = None) -> Sized:
    """From the fitting's centre to the end of the tube in it.

    :param tube: the tube that goes in
    :param across: of a tee, what the table is read at: the branch for `TEE_RUN`, the larger end of the run for
        `TEE_BRANCH`
    :raises TableProblem: a shipped table is damaged
    """
    system = shop.system(tube.material)
    for own in shop.own:
        if own.take is take and own.size == tube.size and own.system in (None, system):
            return Sized(own.takeout_m, "own")
    found = _of_table(system, tube.material, _COLUMN[take], (across or tube).outside_m)
    if system is JointSystem.THREADED and take not in (Take.COUPLING, Take.CONNECTOR):
        # the table has the face, from which the thread goes in
        return Sized(found.value_m - insertion(shop, tube).value_m, found.source)
    return found


def sized_like(shop: Shop, tube: Tube, size: str) -> Tube:
    """The tube in another nominal size of its series; the tube itself where its series has no such size."""
    series = ranks(shop, tube)
    return replace(tube, name=size, size=size, outside_m=series[size]) if size in series else tube


def ranks(shop: Shop, tube: Tube) -> dict[str, Metre]:
    """Sizes of the tube's series and their outside diameters."""
    return _series(shop.system(tube.material), tube.material, tube.size, tube.outside_m)


def nearest_size(shop: Shop, tube: Tube, outside: Metre) -> str:
    """The size of the tube's series that comes nearest to an outside diameter."""
    series = ranks(shop, tube)
    return min(series, key=lambda s: abs(series[s] - outside))


@cache
def _series(system: JointSystem, material: Material, size: str, outside: Metre) -> dict[str, Metre]:
    """Sizes and outside diameters of the table that the tube's own size stands in."""
    name = JointSystem.SOLDERED if system is JointSystem.BRAZED else system
    best: dict[str, Metre] = {}
    miss = float("inf")
    for table in ("fittings_mm", "fittings_in"):
        rows = [r for r in load(table).rows if r["system"] == name.value and r["material"] == material.value]
        for row in rows:
            far = abs(number(row, "outside") - outside) + (0.0 if row["size"] == size else 1e-4)
            if far < miss:
                miss, best = far, {str(r["size"]): number(r, "outside") for r in rows}
    return best


def insertion(shop: Shop, tube: Tube) -> Sized:
    """How far the tube goes into a fitting: cup, thread made up, or the depth of a pressed or crimped joint.

    Threads: to NPT the hand-tight length and the wrench turns; to ISO 7-1 the useful length. Soldered inch sizes: CDA
    Table 14.10; metric ones the least engagement of EN 1254-1, from memory. All others typical: the maker's figure
    counts.
    """
    system = shop.system(tube.material)
    for own in shop.own:
        if own.size == tube.size and own.insertion_m is not None and own.system in (None, system):
            return Sized(own.insertion_m, "own")
    return _depth(system, tube.material, tube.size, tube.outside_m)


@cache
def _depth(system: JointSystem, material: Material, size: str, outside: Metre) -> Sized:
    if system is JointSystem.THREADED:
        return _thread(outside)
    rows = [r for r in _rows(system, material) if r["insertion"] != ""]
    if system not in (JointSystem.SOLDERED, JointSystem.BRAZED):
        return _at(rows, "insertion", outside)
    if any(r["size"] == size for r in rows):
        return Sized(_at(rows, "insertion", outside).value_m, "from-memory")
    return _at([r for r in load("cups").rows if r["material"] == "copper"], "cup", outside)


@cache
def _of_table(system: JointSystem, material: Material, column: str, outside: Metre) -> Sized:
    return _at(_rows(system, material), column, outside)


def npt_makeup_m(row: Row) -> Metre:
    """Thread engaged when made up: hand-tight length and the turns by wrench, ``L1 + turns / threads per inch``."""
    return number(row, "hand") + number(row, "wrench") / number(row, "threads") * INCH


def _thread(outside: Metre) -> Sized:
    npt, bsp = load("threads_npt").rows, load("threads_bsp").rows
    nearest = min((*npt, *bsp), key=lambda r: abs(number(r, "outside") - outside))
    fits = abs(number(nearest, "outside") - outside) < 0.02 * outside
    length = npt_makeup_m(nearest) if "hand" in nearest else number(nearest, "useful")
    return Sized(length, str(nearest["source"]) if fits else "typical")


@cache
def _rows(system: JointSystem, material: Material) -> tuple[Row, ...]:
    """Rows of the fitting tables, thinnest first; brazed fittings are the soldered ones."""
    name = JointSystem.SOLDERED if system is JointSystem.BRAZED else system
    every = [r for t in ("fittings_mm", "fittings_in") for r in load(t).rows]
    found = [r for r in every if r["system"] == name.value and r["material"] == material.value]
    return tuple(sorted(found, key=lambda r: number(r, "outside")))


def _at(rows: Sequence[Row], column: str, outside: Metre) -> Sized:
    """The column at an outside diameter: a row's own figure, else between rows and in proportion beyond them."""
    for row in rows:
        if abs(number(row, "outside") - outside) < _SAME:
            return Sized(number(row, column), str(row["source"]))
    points = [(number(r, "outside"), number(r, column)) for r in rows]
    if outside <= points[0][0]:
        return Sized(points[0][1] * outside / points[0][0], "typical")
    for (x0, y0), (x1, y1) in pairwise(points):
        if outside <= x1:
            return Sized(y0 + (y1 - y0) * (outside - x0) / (x1 - x0), "typical")
    return Sized(points[-1][1] * outside / points[-1][0], "typical")


def joint_gap_m(shop: Shop, system: JointSystem) -> Metre:
    """Least tube to be seen between two fittings; typical unless the job gives its own."""
    if shop.least_gap_m is not None:
        return shop.least_gap_m
    return _usual_gap_m(system)


@cache
def _usual_gap_m(system: JointSystem) -> Metre:
    return number(load("joint_gap").by("system")[system.value], "gap")


@cache
def sold_tees(material: Material) -> tuple[tuple[str, str, str], ...]:
    """Run, run out, branch of the tees that are sold in a material."""
    return tuple(
        (str(r["run"]), str(r["out"]), str(r["branch"])) for r in load("tees").rows if r["material"] == material.value
    )


@cache
def sold_reducers(material: Material) -> dict[tuple[str, str], Metre]:
    """Larger and smaller size of the reducers that are sold → what they leave between the ends of the tubes."""
    rows = [r for r in load("reducers").rows if r["material"] == material.value]
    return {(str(r["size"]), str(r["to"])): number(r, "gap") for r in rows}


def reducers(material: Material, size: str, to: str) -> Chain | None:
    """The fewest sold reducers from a size to a smaller one, in order; none where they are equal.

    :returns: nothing (`None`) where no chain of at most 3 of them is sold
    """
    return _chains(material, size).get(to)


@cache
def _chains(material: Material, size: str) -> dict[str, Chain]:
    """By smaller size, the fewest sold reducers that lead to it."""
    sold = sold_reducers(material)
    found: dict[str, Chain] = {size: ()}
    last: list[Chain] = [()]
    for _ in range(3):
        more: list[Chain] = []
        for chain in last:
            here = chain[-1][1] if chain else size
            for pair in sold:
                if pair[0] == here and pair[1] not in found:
                    found[pair[1]] = (*chain, pair)
                    more.append(found[pair[1]])
        last = more
    return found
