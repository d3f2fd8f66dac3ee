"""Proportions of bound books before any pixel is seen."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

__all__ = ["BookPrior", "LogNormal", "book_prior"]


@dataclass(frozen=True)
class LogNormal:
    """Log-normal density of a ratio.

    Attributes
    ----------
    median : float
    spread : float
        Standard deviation of the natural logarithm.
    source : str
        With its label.
    """

    median: float
    spread: float
    source: str

    def log_density(self, ratio: float) -> float:
        """Natural log of the density, per unit of the ratio's logarithm; -inf for no positive ratio.

        >>> round(LogNormal(0.7, 0.25, "").log_density(0.7), 4)
        0.4674
        """
        if not ratio > 0 or not math.isfinite(ratio):
            return -math.inf
        z = (math.log(ratio) - math.log(self.median)) / self.spread
        return -0.5 * z * z - math.log(self.spread * math.sqrt(2 * math.pi))


@dataclass(frozen=True)
class BookPrior:
    """Width and thickness of a bound book against its height, taken as independent.

    Attributes
    ----------
    width, thickness : LogNormal
    """

    width: LogNormal
    thickness: LogNormal

    @property
    def source(self) -> str:
        """Where the numbers stand, with their label."""
        return f"width : height {self.width.source} thickness : height {self.thickness.source}"

    def log_density(self, w_over_h: float, t_over_h: float | None) -> float:
        """Natural log of the density of both ratios, per unit of their logarithms.

        Parameters
        ----------
        w_over_h : float
        t_over_h : float or None
            None or 0 where no thickness is drawn; the density is then that of the width alone.
        """
        density = self.width.log_density(w_over_h)
        return density + self.thickness.log_density(t_over_h) if t_over_h else density


@cache
def book_prior() -> BookPrior:
    """The prior of ``prior.toml``."""
    table = tomllib.loads((files(__package__) / "prior.toml").read_text("utf-8"))
    one, two = (
        LogNormal(entry["median"], entry["spread"], f"({entry['label']}) {entry['source']}")
        for entry in (table["width_over_height"], table["thickness_over_height"])
    )
    return BookPrior(one, two)
