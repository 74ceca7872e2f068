"""Many variants of one net at once: the same links, other numbers. By compiled code where numba is installed.

A boiler at four flow temperatures, with the radiator's valve open and half shut:

    >>> import numpy as np
    >>> from wetside.network.net import Curve, NetLink, NetNode, Rating, Source
    >>> net = Net(
    ...     nodes=(NetNode(name="cold"), NetNode(name="hot")),
    ...     links=(
    ...         NetLink(name="boiler", tail="cold", head="hot", length_m=9.0, bore_m=0.0136,
    ...                 source=Source(name="boiler", flow_c=70.0, output_w=12e3)),
    ...         NetLink(name="R1", tail="hot", head="x", kv_m3_h=0.2, rating=Rating(
    ...             name="R1", rated_w=1500.0, rated_excess_k=50.0, exponent=1.3, room_c=20.0)),
    ...         NetLink(name="pump", tail="x", head="cold", length_m=9.0, bore_m=0.0136,
    ...                 curve=Curve(name="P", points=((0.0, 40e3), (0.5e-3, 0.0)))),
    ...     ),
    ... )
    >>> net = replace(net, nodes=(*net.nodes, NetNode(name="x")))
    >>> kv = np.repeat([[np.inf, 0.2, np.inf], [np.inf, 0.1, np.inf]], 4, axis=0)
    >>> answers = batch(net, Variants(count=8, source_c=np.tile([[75.0], [65.0], [55.0], [45.0]], (2, 1)), kv_m3_h=kv))
    >>> [round(float(w)) for w in answers.given_w[:, 1]]
    [1477, 1147, 835, 546, 1311, 1025, 752, 496]
"""

from collections.abc import Iterator
from dataclasses import replace
from importlib.util import find_spec
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from wetside.basis.errors import NoSolution
from wetside.basis.record import record
from wetside.basis.si import Ratio
from wetside.network.answer import Solution
from wetside.network.columns import check, columns
from wetside.network.core_net import fits
from wetside.network.net import Net
from wetside.network.solve import solve

if TYPE_CHECKING:
    from wetside.network.core import CoreNet
    from wetside.network.core_net import Numbers

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@record(eq=False)
class Variants:
    """What variants have otherwise than the net: a row for each variant, a column for each link or thing.

    Things (sources, emitters, circulators) come in the order of their links. None leaves the net's numbers.
    """

    count: int
    kv_m3_h: Floats | None = None
    """Infinite: none. Thermostatic valves keep what they add."""
    k: Floats | None = None
    shut: Flags | None = None
    source_c: Floats | None = None
    room_c: Floats | None = None
    """Of emitters."""
    speed: Floats | None = None
    """Of circulators."""


@record(eq=False)
class Answers:
    """As `Solution`, with a row for each variant."""

    flow_kg_s: Floats
    drop_pa: Floats
    lift_pa: Floats
    tail_c: Floats
    head_c: Floats
    given_w: Floats
    loss_w: Floats
    density_kg_m3: Floats
    velocity_m_s: Floats
    pressure_pa: Floats
    temperature_c: Floats
    on_loop: Flags
    held: Flags
    iterations: NDArray[np.intp]
    head_residual_pa: Floats
    mass_residual_kg_s: Floats
    energy_residual: Floats


_LINKS = (
    "flow_kg_s", "drop_pa", "lift_pa", "tail_c", "head_c", "given_w", "loss_w", "density_kg_m3", "velocity_m_s",
)  # fmt: skip


def variant(net: Net, variants: Variants, i: int) -> Net:
    """One variant as a net of its own."""
    links = list(net.links)
    things = {"source": 0, "rating": 0, "curve": 0}
    for e, x in enumerate(links):
        if variants.kv_m3_h is not None:
            kv = float(variants.kv_m3_h[i, e])
            x = replace(x, kv_m3_h=None if kv == np.inf else kv)
        if variants.k is not None:
            x = replace(x, k=float(variants.k[i, e]))
        if variants.shut is not None:
            x = replace(x, shut=bool(variants.shut[i, e]))
        if x.source is not None:
            if variants.source_c is not None:
                x = replace(x, source=replace(x.source, flow_c=float(variants.source_c[i, things["source"]])))
            things["source"] += 1
        if x.rating is not None:
            if variants.room_c is not None:
                x = replace(x, rating=replace(x.rating, room_c=float(variants.room_c[i, things["rating"]])))
            things["rating"] += 1
        if x.curve is not None:
            if variants.speed is not None:
                x = replace(x, curve=replace(x.curve, speed=float(variants.speed[i, things["curve"]])))
            things["curve"] += 1
        links[e] = x
    return replace(net, links=tuple(links))


def _solved(net: Net, variants: Variants, glycol_share: Ratio) -> Iterator[Solution]:
    """Each variant in turn, by compiled code where that knows all of the net."""
    if not fits(net) or find_spec("numba") is None:
        for i in range(variants.count):
            yield solve(variant(net, variants, i), glycol_share=glycol_share)
        return
    from wetside.network.core import Aim, CoreNet
    from wetside.network.core_net import numbers_of

    first = variant(net, variants, 0)
    check(first)
    aim = Aim().numbers()
    made: dict[bytes, CoreNet] = {}
    numbers = numbers_of(net, columns(net))
    for i in range(variants.count):
        shut = numbers.shut if variants.shut is None else variants.shut[i]
        core = made.get(key := shut.tobytes())
        if core is None:
            own = replace(
                numbers, shut=np.array(shut, dtype=np.bool_), k=numbers.k.copy(),
                inverse_kv2=numbers.inverse_kv2.copy(), source_c=numbers.source_c.copy(), rating=numbers.rating.copy(),
            )  # fmt: skip
            core = made[key] = CoreNet.of(own, glycol_share=glycol_share)
        _set(core, numbers, variants, i)
        end = core.solve(aim)
        yield core.answer() if end.settled else solve(variant(net, variants, i), glycol_share=glycol_share)


def _set(core: "CoreNet", base: "Numbers", variants: Variants, i: int) -> None:
    n = core.numbers
    if variants.kv_m3_h is not None:
        n.inverse_kv2[:] = variants.kv_m3_h[i] ** -2.0 + base.thermostat_inverse_kv2
    if variants.k is not None:
        n.k[:] = variants.k[i]
    if variants.source_c is not None:
        n.source_c[:] = variants.source_c[i]
    if variants.room_c is not None:
        n.rating[3] = variants.room_c[i]
    if variants.speed is not None:
        core.set_speeds(variants.speed[i])
    core.load()


def batch(net: Net, variants: Variants, *, glycol_share: Ratio = 0.0) -> Answers:
    """Solve all variants of a net.

    :raises JobProblem: a name or number in the net that can't be
    :raises NoSolution: of the first variant whose balances can't be met; says which, and there is no partial answer
    """
    solved: list[Solution] = []
    variants = _checked(net, variants)
    each = _solved(net, variants, glycol_share)
    try:
        solved.extend(each)
    except NoSolution as problem:
        where = f"variant {len(solved)}, {problem.where}"
        raise NoSolution(problem.iterations, problem.residuals, where, problem.cause) from problem
    rows = {
        f: np.array([getattr(s, f) for s in solved])
        for f in (*_LINKS, "pressure_pa", "temperature_c", "on_loop", "held")
    }
    return Answers(
        **rows,
        iterations=np.array([s.iterations for s in solved]),
        head_residual_pa=np.array([s.residuals.head_pa for s in solved]),
        mass_residual_kg_s=np.array([s.residuals.mass_kg_s for s in solved]),
        energy_residual=np.array([s.energy_residual for s in solved]),
    )


def _checked(net: Net, variants: Variants) -> Variants:
    """:raises ValueError: an array that has not a row for each variant and a column for each link or thing"""
    links = len(net.links)
    wanted = {
        "kv_m3_h": links, "k": links, "shut": links,
        "source_c": sum(x.source is not None for x in net.links),
        "room_c": sum(x.rating is not None for x in net.links),
        "speed": sum(x.curve is not None for x in net.links),
    }  # fmt: skip
    for name, columns_wanted in wanted.items():
        value = getattr(variants, name)
        if value is not None and np.shape(value) != (variants.count, columns_wanted):
            raise ValueError(f"{name} must have {variants.count} rows and {columns_wanted} columns")
    kv, k = variants.kv_m3_h, variants.k
    if kv is not None and not np.all(kv > 0.0):
        raise ValueError("kv_m3_h must be above 0; infinite stands for none")
    if k is not None and not np.all((k >= 0.0) & np.isfinite(k)):
        raise ValueError("k must be 0 or more")
    return variants
