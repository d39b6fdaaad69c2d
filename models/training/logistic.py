"""Logistic regression by Newton's steps, for the few weights that are fitted here."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
STEPS = 40


def fit(x: Floats, y: Floats, hold: Floats, weight: Floats | float = 1.0) -> Floats:
    """The weights of the columns of ``x`` (cases, signs), of unit spread, then the constant, for outcomes ``y`` of 0 and 1.

    ``hold`` is the penalty on the square of each weight, the constant's last; ``weight`` how much each case counts.
    """
    a = np.hstack([x, np.ones((len(x), 1))])
    penalty = np.diag(hold)
    w = np.zeros(a.shape[1])
    for _ in range(STEPS):
        p = 1.0 / (1.0 + np.exp(-a @ w))
        slope = a.T @ (weight * (p - y)) + penalty @ w
        w -= np.linalg.solve((a.T * (weight * p * (1.0 - p))) @ a + penalty, slope)
    return w
