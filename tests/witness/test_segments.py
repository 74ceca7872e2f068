"""Distance of two straights in space, against a bounded least-squares solver."""

import numpy as np
from scipy.optimize import lsq_linear

from wetside.pipework.clash import segment_distance


def test_segment_distance_is_the_bounded_least_square() -> None:
    rng = np.random.default_rng(7)
    points = rng.uniform(-1.0, 1.0, (4, 400, 3))
    # a third of them along the axes, some parallel, some crossing, as tube lies
    points[:, :150] = np.round(points[:, :150])
    points[3, 150:200] = points[2, 150:200] + (points[1, 150:200] - points[0, 150:200]) * 0.7
    p, p2, q, q2 = points
    apart, at = segment_distance(p, p2, q, q2)
    for i in range(400):
        d1, d2 = p2[i] - p[i], q2[i] - q[i]
        best = lsq_linear(np.stack([d1, -d2], axis=1), q[i] - p[i], bounds=(0.0, 1.0), tol=1e-12)
        assert abs(apart[i] - np.sqrt(2 * best.cost)) < 1e-5, i
        assert apart[i] <= np.sqrt(2 * best.cost) + 1e-9
        # the point lies on the first segment
        assert np.linalg.norm(at[i] - p[i]) + np.linalg.norm(at[i] - p2[i]) <= np.linalg.norm(d1) + 1e-9
