"""How likely the shapes behind many drawn boxes are, at array speed."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.projection import CABINET, ShapePrior, is_right_pair, solve_many

__all__ = ["ShapeTable", "shape_log_density", "table_of"]

Floats = NDArray[np.float64]

TABLE_WIDTHS, TABLE_DEPTHS, TABLE_STEPS = (0.2, 5.0), (0.02, 3.0), 48
"""Shapes that the table spans; a step is 7 % and 11 %, finer than any sprite tells."""

LEAST_LOG_DENSITY = -8.0
"""A shape this unlikely is as good as ruled out; keeps one freak ratio from outweighing all else."""


def _log_steps(bounds: tuple[float, float]) -> Floats:
    return np.linspace(math.log(bounds[0]), math.log(bounds[1]), TABLE_STEPS)


class ShapeTable:
    """A prior over shapes, tabulated once, so that thousands of boxes are weighed at array speed.

    Parameters
    ----------
    prior : ShapePrior
    """

    def __init__(self, prior: ShapePrior) -> None:
        self._widths = _log_steps(TABLE_WIDTHS)
        self._depths = _log_steps(TABLE_DEPTHS)
        w, d = np.exp(self._widths).tolist(), np.exp(self._depths).tolist()
        self._flat = np.array([prior.log_density(a, None) for a in w])
        self._solid = np.array([[prior.log_density(a, b) for b in d] for a in w])

    def log_density(self, shapes: Floats) -> Floats:
        """Log density of (W/H, T/H), shape (K, 2) to (K,), by the nearest entry; T/H 0 for none drawn."""
        logs = np.log(np.maximum(shapes, 1e-9))
        i, j = (
            np.clip(np.rint((logs[:, k] - grid[0]) / (grid[1] - grid[0])), 0, TABLE_STEPS - 1).astype(int)
            for k, grid in enumerate((self._widths, self._depths))
        )
        found = np.where(shapes[:, 1] > 0, self._solid[i, j], self._flat[i])
        return np.asarray(np.maximum(found, LEAST_LOG_DENSITY))


@lru_cache(maxsize=4)
def table_of(prior: ShapePrior) -> ShapeTable:
    """The table of a prior, made once a run."""
    return ShapeTable(prior)


def shape_log_density(u: Floats, v: Floats, t: Floats, table: ShapeTable) -> Floats:
    """How likely the shapes behind many drawings are, shape (K,), by the reading that suits each best.

    Drawings with one true face are taken with the receding edge drawn in full or by half.
    """
    true = solve_many(u, v, t)[:, [0, 2]]
    lengths = np.stack([np.hypot(*e.T) for e in (u, v, t)], axis=1)
    solved = np.asarray(~np.isnan(true).any(axis=1))
    drawn = lengths[:, [0, 2]] / np.maximum(lengths[:, 1:2], 1e-9)
    best = table.log_density(np.where(solved[:, None], true, drawn))
    for back, (one, two) in enumerate(((v, t), (u, t), (u, v))):
        full = lengths / np.where(np.arange(3) == back, CABINET, 1.0)
        shapes = full[:, [0, 2]] / np.maximum(full[:, 1:2], 1e-9)
        suits = ~solved & is_right_pair(one, two) & (lengths[:, 2] > 0)
        best = np.where(suits, np.maximum(best, table.log_density(shapes)), best)
    return np.asarray(best)
