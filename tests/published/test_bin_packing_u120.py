"""OR-Library, Falkenauer's uniform bin-packing instances of 120 items, capacity 150 (file binpack1.txt): best known 48,
46, 50 and 49 for u120_00, _02, _08 and _19, where first fit decreasing needs one more each."""

import pytest

from wetside.takeoff import plan_cuts
from wetside.takeoff.fill import first_fit

U120 = {
    "00": (48, 7078, """
42 69 67 57 93 90 38 36 45 42 33 79 27 57 44 84 86 92 46 38 85 33 82 73 49 70 59 23 57 72 74 69 33 42 28 46 30
64 29 74 41 49 55 98 80 32 25 38 82 30 35 39 57 84 62 50 55 27 30 36 20 78 47 26 45 41 58 98 91 96 73 84 37 93 91 43 73
85 81 79 71 80 76 83 41 78 70 23 42 87 43 84 60 55 49 78 73 62 36 44 94 69 32 96 70 84 58 78 25 80 58 66 83 24 98 60 42
43 43 39"""),
    "02": (46, None, """
38 100 60 42 20 69 24 23 92 32 84 36 65 84 34 68 64 33 69 27 47 21 85 88 59 61 50 53 37 75 64 84 74 57 83 28 31 97 61 36
46 37 96 80 53 51 68 90 64 81 66 67 80 37 92 67 64 31 94 45 80 28 76 29 64 38 48 40 29 44 81 35 51 48 67 24 46 38 76 22
30 67 45 41 29 41 79 21 25 90 62 34 73 50 79 66 59 42 90 79 70 66 80 35 62 98 97 37 32 75 91 91 48 26 23 32 100 46 29
26"""),
    "08": (50, 7478, """
100 22 25 51 95 58 97 30 79 23 53 80 20 65 64 21 26 100 81 98 70 85 92 97 86 71 91 29 63 34 67 23 33 89 94 47
100 37 40 58 73 39 49 79 54 57 98 69 67 49 38 34 96 27 92 82 69 45 69 20 75 97 51 70 29 91 98 77 48 45 43 61 36 82 89 94
26 35 58 58 57 46 44 91 49 52 65 42 33 60 37 57 91 52 95 84 72 75 89 81 67 74 87 60 32 76 85 59 62 39 64 52 88 45 29 88
85 54 40 57"""),
    "19": (49, None, """
49 95 38 62 63 97 42 62 100 43 44 77 97 94 68 23 50 36 89 58 97 27 64 65 54 58 24 35 33 63 32 50 58 90 44 50 48 21 72 75
21 74 28 95 77 69 96 24 57 85 72 96 50 83 65 62 99 93 23 77 94 31 50 33 79 73 23 55 44 78 84 66 31 59 97 95 22 76 90 66
29 100 90 92 50 49 47 43 37 40 60 52 54 99 34 46 88 97 85 39 32 51 95 54 99 86 48 90 28 25 86 39 74 26 38 60 41 67 80
33"""),
}  # fmt: skip


@pytest.mark.parametrize("name", U120)
def test_optimum_is_proven(name: str) -> None:
    best, total, text = U120[name]
    pieces = [float(w) for w in text.split()]
    assert len(pieces) == 120
    assert total is None or sum(pieces) == total
    plan = plan_cuts(pieces, 150.0, 0.0, within_s=60.0)
    assert (len(plan.sticks), plan.bound, plan.proven) == (best, best, True)
    assert sorted(x for s in plan.sticks for x in s.cuts_m) == sorted(pieces)
    assert all(sum(s.cuts_m) <= 150.0 for s in plan.sticks)


@pytest.mark.parametrize(("name", "greedy"), [("00", 49), ("02", 47), ("08", 51), ("19", 50)])
def test_first_fit_decreasing_is_one_worse(name: str, greedy: int) -> None:
    pieces = sorted((int(w) for w in U120[name][2].split()), reverse=True)
    assert len(first_fit(pieces, 150)) == greedy
