"""Values with an interval, and the little arithmetic that dimensions need."""

from __future__ import annotations

from dataclasses import dataclass

from pixel2make.quantity import Dimension

__all__ = ["Span"]


@dataclass(frozen=True)
class Span:
    """A value and the interval it lies in; any unit.

    Sums and products take the ends of both intervals, as if the errors stood together at their
    worst: an interval may come out too wide, never too narrow.

    Attributes
    ----------
    value, low, high : float
        ``low <= value <= high``.

    Examples
    --------
    >>> Span(10, 9, 12) - Span.exact(4)
    Span(value=6, low=5, high=8)
    """

    value: float
    low: float
    high: float

    @classmethod
    def exact(cls, value: float) -> Span:
        """A chosen value: no interval."""
        return cls(value, value, value)

    @classmethod
    def of(cls, dimension: Dimension) -> Span:
        """The interval of a dimension."""
        return cls(dimension.value_mm, dimension.low_mm, dimension.high_mm)

    def __add__(self, other: Span | float) -> Span:
        other = _span(other)
        return Span(self.value + other.value, self.low + other.low, self.high + other.high)

    def __sub__(self, other: Span | float) -> Span:
        other = _span(other)
        return Span(self.value - other.value, self.low - other.high, self.high - other.low)

    def __mul__(self, other: Span | float) -> Span:
        """Product of two spans that are nowhere negative."""
        other = _span(other)
        return Span(self.value * other.value, self.low * other.low, self.high * other.high)

    def __truediv__(self, other: Span | float) -> Span:
        """Quotient of two spans that are nowhere negative; the divisor is above zero."""
        other = _span(other)
        return Span(self.value / other.value, self.low / other.high, self.high / other.low)

    def at_least(self, limit: float) -> Span:
        """The same, no end below `limit`."""
        return Span(max(self.value, limit), max(self.low, limit), max(self.high, limit))

    def at_most(self, limit: float) -> Span:
        """The same, no end above `limit`."""
        return Span(min(self.value, limit), min(self.low, limit), min(self.high, limit))

    def dimension(self, name: str, origin: str, rule: str = "", source: str = "") -> Dimension:
        """A dimension of that value, in millimetres."""
        return Dimension(name, self.value, self.low, self.high, origin, rule, source)


def _span(value: Span | float) -> Span:
    return value if isinstance(value, Span) else Span.exact(float(value))
