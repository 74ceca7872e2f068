"""Trade index page "How to calculate the delta T for a radiator", buildingservicesindex.co.uk, entry 136540.

Correction factors of radiator output by mean excess, exponent 1.3, printed to three decimals.
"""

import pytest

from wetside.emitter.law import output_from_excess

FACTORS = [
    (5, 0.050), (10, 0.123), (15, 0.209), (20, 0.304), (25, 0.406), (30, 0.515), (35, 0.629), (40, 0.748),
    (45, 0.872), (50, 1.000), (55, 1.132), (60, 1.267), (65, 1.406), (70, 1.549), (75, 1.694),
]  # fmt: skip


@pytest.mark.parametrize(("excess_k", "factor"), FACTORS)
def test_factor(excess_k: float, factor: float) -> None:
    assert output_from_excess(1.0, 50.0, 1.3, excess_k) == pytest.approx(factor, abs=0.0005)


def test_795_watts_at_50_are_241_at_20() -> None:
    # a seller's page quoting the same factors: 795 W at 50 K gives 241 W at 20 K; it multiplies by the rounded 0.304
    assert output_from_excess(795.0, 50.0, 1.3, 20.0) == pytest.approx(241.0, abs=0.0005 * 795.0 + 0.5)
