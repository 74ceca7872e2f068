"""Hawaii rule 12-223.1-9: a relief valve passes 1 lb/h of steam for each 1000 Btu/h of boiler output."""

import pytest

from wetside.basis.quantity import BTU, POUND
from wetside.plant.relief import steam_to_pass


def test_100_000_btu_per_hour_are_100_pounds_per_hour() -> None:
    assert steam_to_pass(100_000 * BTU / 3600) / (POUND / 3600) == pytest.approx(100.0, rel=1e-12)
