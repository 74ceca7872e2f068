"""Tees made of those that are sold."""

from itertools import product

import pytest

from wetside.fabricate.compose import compose
from wetside.fabricate.sizes import reducers, sold_reducers, sold_tees
from wetside.pipework.spec import Material

MM = {s: float(s.split()[0]) for s in ("10 mm", "12 mm", "15 mm", "18 mm", "22 mm", "28 mm", "35 mm", "42 mm", "54 mm")}


def test_a_sold_tee_is_taken_as_it_is() -> None:
    made = compose(Material.COPPER, ("15 mm", "22 mm", "15 mm"), MM)
    assert made.sizes == ("15 mm", "22 mm", "15 mm")
    assert made.bushings == ((), (), ())


def test_the_tee_that_nobody_sells() -> None:
    wanted = ("28 mm", "15 mm", "22 mm")
    assert wanted not in sold_tees(Material.COPPER)
    made = compose(Material.COPPER, wanted, MM)
    assert made.sizes == ("28 mm", "22 mm", "22 mm")
    assert made.bushings == ((), (("22 mm", "15 mm"),), ())


@pytest.mark.parametrize("wanted", list(product(("15 mm", "22 mm", "28 mm", "35 mm"), repeat=3)))
def test_every_tee_of_common_sizes_can_be_made(wanted: tuple[str, str, str]) -> None:
    made = compose(Material.COPPER, wanted, MM)
    assert made.sold
    either_way = {(a, b, c) for a, b, c in sold_tees(Material.COPPER)} | {
        (b, a, c) for a, b, c in sold_tees(Material.COPPER)
    }
    assert made.sizes in either_way
    for have, want, chain in zip(made.sizes, wanted, made.bushings, strict=True):
        at = have
        for size, to in chain:
            assert size == at
            assert (size, to) in sold_reducers(Material.COPPER)
            at = to
        assert at == want


def test_what_cannot_be_made_is_told() -> None:
    assert not compose(Material.COPPER, ("16 mm", "16 mm", "16 mm"), MM).sold


def test_chains_of_reducers() -> None:
    assert reducers(Material.COPPER, "22 mm", "22 mm") == ()
    assert reducers(Material.COPPER, "22 mm", "15 mm") == (("22 mm", "15 mm"),)
    assert len(reducers(Material.COPPER, "54 mm", "15 mm") or ()) == 2
    assert reducers(Material.COPPER, "15 mm", "22 mm") is None
