"""OR-Library, Falkenauer's uniform bin-packing instances of 120 items, capacity 150 (file binpack1.txt, u120_00 and
u120_08): best known 48 and 50; first fit decreasing is one more in each, which is what ours must give."""

import pytest

from wetside.takeoff.sticks import first_fit

U120_00 = """
42 69 67 57 93 90 38 36 45 42 33 79 27 57 44 84 86 92 46 38 85 33 82 73 49 70 59 23 57 72 74 69 33 42 28 46 30
64 29 74 41 49 55 98 80 32 25 38 82 30 35 39 57 84 62 50 55 27 30 36 20 78 47 26 45 41 58 98 91 96 73 84 37 93 91 43 73
85 81 79 71 80 76 83 41 78 70 23 42 87 43 84 60 55 49 78 73 62 36 44 94 69 32 96 70 84 58 78 25 80 58 66 83 24 98 60 42
43 43 39"""
U120_08 = """
100 22 25 51 95 58 97 30 79 23 53 80 20 65 64 21 26 100 81 98 70 85 92 97 86 71 91 29 63 34 67 23 33 89 94 47
100 37 40 58 73 39 49 79 54 57 98 69 67 49 38 34 96 27 92 82 69 45 69 20 75 97 51 70 29 91 98 77 48 45 43 61 36 82 89 94
26 35 58 58 57 46 44 91 49 52 65 42 33 60 37 57 91 52 95 84 72 75 89 81 67 74 87 60 32 76 85 59 62 39 64 52 88 45 29 88
85 54 40 57"""


@pytest.mark.parametrize(("text", "total", "best", "ours"), [(U120_00, 7078, 48, 49), (U120_08, 7478, 50, 51)])
def test_first_fit_decreasing(text: str, total: int, best: int, ours: int) -> None:
    pieces = sorted((float(w) for w in text.split()), reverse=True)
    assert (len(pieces), sum(pieces)) == (120, total)
    cut = first_fit(pieces, 150.0, 0.0)
    assert len(cut) == ours == best + 1
    assert all(sum(c) <= 150.0 for c in cut)
    assert sorted((p for c in cut for p in c), reverse=True) == pieces
