"""Tees against the `fluids` library, which follows the same source: equal but where ours goes on without a step."""

import fluids.fittings as theirs
import numpy as np
import pytest

from wetside.network.split import dividing_branch, dividing_run, joining_branch, joining_run

SHARES = [0.1, 0.2, 0.3, 0.35, 0.5, 0.6, 0.75, 0.9, 0.99]


def ours(function: object, share: float, *area: float) -> float:
    return float(function(np.array([share]), *(np.array([a]) for a in area))[0])


@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("branch_m", [0.0202, 0.0136, 0.010])
def test_joining(share: float, branch_m: float) -> None:
    area = (branch_m / 0.0202) ** 2
    run, branch = 1.0 - share, share
    assert ours(joining_run, share) == pytest.approx(
        theirs.K_run_converging_Crane(0.0202, branch_m, run, branch, angle=90), abs=1e-9
    )
    want = theirs.K_branch_converging_Crane(0.0202, branch_m, run, branch, angle=90)
    assert ours(joining_branch, share, area) == pytest.approx(want, rel=0.03, abs=0.01)


@pytest.mark.parametrize("share", SHARES)
@pytest.mark.parametrize("branch_m", [0.0202, 0.0136, 0.010])
def test_dividing(share: float, branch_m: float) -> None:
    """The branch of full width is left out: there the library counts its 0.3 twice (see the test below)."""
    area = (branch_m / 0.0202) ** 2
    run, branch = 1.0 - share, share
    assert ours(dividing_run, share, area) == pytest.approx(
        theirs.K_run_diverging_Crane(0.0202, branch_m, run, branch, angle=90), abs=1e-9
    )
    want = theirs.K_branch_diverging_Crane(0.0202, branch_m, run, branch, angle=90)
    if branch_m == 0.010:
        assert ours(dividing_branch, share, area) == pytest.approx(want, rel=1e-9)
    elif branch_m == 0.0136:  # just above two thirds of the bore, from where the library takes the figure for 1
        assert want < ours(dividing_branch, share, area) < 1.0 + (share / area) ** 2


@pytest.mark.parametrize("share", SHARES)
def test_dividing_into_a_branch_of_full_width(share: float) -> None:
    """The library has (1 + 0.3 y²)(1 + 0.3 y²), ours 1 + 0.3 y²: apart by no more than that second bracket."""
    want = theirs.K_branch_diverging_Crane(0.0202, 0.0202, 1.0 - share, share, angle=90)
    got = ours(dividing_branch, share, 1.0)
    assert got <= want + 1e-9
    assert want <= got * (1.0 + 0.3 * share**2) + 1e-9
