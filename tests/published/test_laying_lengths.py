"""Modern Plumbing (2010), p. 364: figure 20-20, cup depths rounded for the shop; figure 20-21, laying lengths of 1/2,
3/4 and 1 in fittings (which row is which fitting is inferred). Cast fittings of ASME B16.18: 1 in elbow 3/4 in (from
memory, and in the soldering worksheet), against 23/32 of figure 20-21: makes differ by about 1/32 in an end."""

import pytest

from wetside.basis.quantity import INCH
from wetside.fabricate.sizes import insertion, takeout
from wetside.fabricate.spec import Shop, Take
from wetside.pipework.tubes import shipped_tubes

TUBES = {t.name: t for t in shipped_tubes()}
SHOP = Shop()


@pytest.mark.parametrize(
    ("nominal", "rounded", "off"),
    [("3/8", 3 / 8, 1 / 32), ("1/2", 1 / 2, 1 / 32), ("3/4", 3 / 4, 1 / 32), ("1", 15 / 16, 1 / 32),
     ("1 1/4", 1.0, 1 / 32), ("1 1/2", 1 + 1 / 8, 0.0355), ("2", 1 + 3 / 8, 0.0355)],
)  # fmt: skip
def test_cups(nominal: str, rounded: float, off: float) -> None:
    """The dossier's two largest sizes are just over 1/32 in off."""
    depth = insertion(SHOP, TUBES[f"copper L {nominal}"]).value_m / INCH
    assert depth == pytest.approx(rounded, abs=off)


@pytest.mark.parametrize(
    ("take", "lengths"),
    [
        (Take.ELBOW_45, (9 / 32, 11 / 32, 3 / 8)),
        (Take.ELBOW_90, (3 / 8, 17 / 32, 23 / 32)),
        (Take.TEE_BRANCH, (11 / 32, 1 / 2, 11 / 16)),
        (Take.TEE_RUN, (11 / 32, 1 / 2, 11 / 16)),
    ],
)
def test_figure_20_21(take: Take, lengths: tuple[float, float, float]) -> None:
    for nominal, printed in zip(("1/2", "3/4", "1"), lengths, strict=True):
        found = takeout(SHOP, take, TUBES[f"copper L {nominal}"])
        assert found.value_m / INCH == pytest.approx(printed, abs=1e-9)
        assert found.source == "modern-plumbing-20-21"


def test_a_coupling_leaves_three_thirty_seconds() -> None:
    for nominal in ("1/2", "3/4", "1"):
        assert 2 * takeout(SHOP, Take.COUPLING, TUBES[f"copper L {nominal}"]).value_m / INCH == pytest.approx(3 / 32)


def test_the_conflict_is_within_the_scatter_that_is_reckoned_with() -> None:
    wrought = takeout(SHOP, Take.ELBOW_90, TUBES["copper L 1"]).value_m / INCH
    assert abs(wrought - 3 / 4) <= 1 / 32
    assert SHOP.take_m == pytest.approx(INCH / 32, abs=1e-5)


@pytest.mark.parametrize(
    ("nominal", "ell", "half"), [("1 1/4", 7 / 8, 7 / 16), ("1 1/2", 1.0, 1 / 2), ("2", 1 + 1 / 4, 9 / 16)]
)
def test_cast_fittings_from_memory(nominal: str, ell: float, half: float) -> None:
    assert takeout(SHOP, Take.ELBOW_90, TUBES[f"copper L {nominal}"]).value_m / INCH == pytest.approx(ell)
    assert takeout(SHOP, Take.ELBOW_45, TUBES[f"copper L {nominal}"]).value_m / INCH == pytest.approx(half)


@pytest.mark.parametrize(
    ("size", "least"), [(12, 8.6), (15, 10.6), (18, 12.6), (22, 15.4), (28, 18.4), (35, 23.0), (42, 27.0), (54, 32.0)]
)
def test_least_engagement_of_en_1254_from_memory(size: int, least: float) -> None:
    found = insertion(SHOP, TUBES[f"copper {size}"])
    assert found.value_m * 1000 == pytest.approx(least)
    assert found.source == "from-memory"
