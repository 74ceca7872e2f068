"""Tees that nobody sells, made of those that are: a sold tee with bushings in its sockets."""

from collections.abc import Mapping
from functools import cache

from wetside.basis.record import record
from wetside.fabricate.sizes import Chain, reducers, sold_tees
from wetside.pipework.spec import Material


@record(kw_only=False)
class Composed:
    """A tee or cross as bought, and the bushings in each of its ends."""

    sizes: tuple[str, ...]
    """Run in, run out, branch (or two)."""
    bushings: tuple[Chain, ...]
    sold: bool = True
    """Whether the list of sold fittings has it."""


def compose(material: Material, wanted: tuple[str, ...], rank: Mapping[str, float]) -> Composed:
    """The sold tee or cross with the fewest bushings for these ends (run in, run out, branches), then the smallest.

    A cross is sold with equal ends only. What can't be made of sold ones is taken as wanted and told so.

    :param rank: nominal size → outside diameter, by which the tee with the least metal is found
    """
    return _composed(material, wanted, tuple(rank.items()))


@cache
def _composed(material: Material, wanted: tuple[str, ...], ranks: tuple[tuple[str, float], ...]) -> Composed:
    rank = dict(ranks)
    choices: list[tuple[str, ...]] = []
    if len(wanted) == 3:
        for run, out, branch in sold_tees(material):
            choices += [(run, out, branch)] if run == out else [(run, out, branch), (out, run, branch)]
    else:
        choices = [(run,) * len(wanted) for run, out, branch in sold_tees(material) if run == out == branch]
    if wanted in choices:
        return Composed(wanted, ((),) * len(wanted))
    best: tuple[tuple[int, float], Composed] | None = None
    for sizes in choices:
        chains = [reducers(material, have, want) for have, want in zip(sizes, wanted, strict=True)]
        if any(c is None for c in chains):
            continue
        made = tuple(c for c in chains if c is not None)
        cost = (sum(len(c) for c in made), sum(rank.get(s, 0.0) ** 2 for s in sizes))
        if best is None or cost < best[0]:
            best = (cost, Composed(sizes, made))
    return best[1] if best else Composed(wanted, ((),) * len(wanted), sold=False)
